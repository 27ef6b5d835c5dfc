// SPDX-License-Identifier: MIT
#include "qf-chord-row.h"

#include <math.h>

/// Qualities a student may choose; the list has room for more than a cell has
static const struct {
  QfChordKind kind;
  const char* word;
  const char* short_word;
} offers[] = {
  {QF_CHORD_MAJOR, "major", "major"},
  {QF_CHORD_MINOR, "minor", "minor"},
  {QF_CHORD_DIMINISHED, "diminished", "dim."},
  {QF_CHORD_AUGMENTED, "augmented", "aug."},
  {QF_CHORD_DOM7, "dominant 7", "dom. 7"},
  {QF_CHORD_MAJ7, "major 7", "maj. 7"},
  {QF_CHORD_MIN7, "minor 7", "min. 7"},
  {QF_CHORD_HALF_DIM7, "half-diminished 7", "half-d. 7"},
  {QF_CHORD_DIM7, "diminished 7", "dim. 7"},
  {QF_CHORD_MIN_MAJ7, "minor-major 7", "m.-maj. 7"},
  {QF_CHORD_ITALIAN, "Italian 6th", "It. 6th"},
  {QF_CHORD_FRENCH, "French 6th", "Fr. 6th"},
  {QF_CHORD_GERMAN, "German 6th", "Ger. 6th"},
};

typedef struct {
  GtkWidget*       box;
  GtkDropDown*     quality;
  GtkEditable*     numeral;
  GtkToggleButton* doubt;
  double           x;
} Cell;

struct _QfChordRow {
  GtkWidget parent_instance;
  GArray*   cells; ///< Of #Cell
  gboolean  is_filling;
};

G_DEFINE_FINAL_TYPE(QfChordRow, qf_chord_row, GTK_TYPE_WIDGET)

enum { QUALITY, NUMERAL, DOUBT, ENTERED, N_SIGNALS };
static guint signals[N_SIGNALS];

enum {
  CELL_GAP = 10, ///< Pixels between cells
};

static Cell*
cell_at(const QfChordRow* const self, const guint index)
{
  return &g_array_index(self->cells, Cell, index);
}

static guint
index_of(GtkWidget* const widget)
{
  return GPOINTER_TO_UINT(g_object_get_data(G_OBJECT(widget), "cell"));
}

static guint
choice_of(const QfAnswerChord* const chord)
{
  for (guint i = 0; chord && chord->has_kind && i < G_N_ELEMENTS(offers); ++i) {
    if (offers[i].kind == chord->kind) {
      return i + 1;
    }
  }
  return 0;
}

static void
quality_cb(QfChordRow* const self, GParamSpec* const spec, GtkWidget* const widget)
{
  (void)spec;
  if (!self->is_filling) {
    const guint chosen = gtk_drop_down_get_selected(GTK_DROP_DOWN(widget));
    const int   kind = chosen && chosen <= G_N_ELEMENTS(offers) ? (int)offers[chosen - 1].kind : -1;
    g_signal_emit(self, signals[QUALITY], 0, index_of(widget), kind);
  }
}

static void
commit_numeral(QfChordRow* const self, GtkWidget* const widget)
{
  if (!self->is_filling) {
    g_signal_emit(self, signals[NUMERAL], 0, index_of(widget),
                  gtk_editable_get_text(GTK_EDITABLE(widget)));
  }
}

/// Enter goes on to the next numeral
static void
activate_cb(QfChordRow* const self, GtkWidget* const widget)
{
  const guint index = index_of(widget);

  commit_numeral(self, widget);
  if (index + 1 < self->cells->len) {
    gtk_widget_grab_focus(GTK_WIDGET(cell_at(self, index + 1)->numeral));
  }
}

static void
left_numeral_cb(QfChordRow* const self, GtkEventController* const focus)
{
  commit_numeral(self, gtk_event_controller_get_widget(focus));
}

static void
entered_cb(QfChordRow* const self, GtkEventController* const focus)
{
  g_signal_emit(self, signals[ENTERED], 0, index_of(gtk_event_controller_get_widget(focus)));
}

static void
doubt_cb(QfChordRow* const self, GtkWidget* const widget)
{
  if (!self->is_filling) {
    g_signal_emit(self, signals[DOUBT], 0, index_of(widget),
                  gtk_toggle_button_get_active(GTK_TOGGLE_BUTTON(widget)));
  }
}

static void
name_widget(GtkWidget* const widget, const guint index, const char* const what, const char* place)
{
  g_autofree char* name = g_strdup_printf("%s, %s", what, place);

  g_object_set_data(G_OBJECT(widget), "cell", GUINT_TO_POINTER(index));
  gtk_accessible_update_property(GTK_ACCESSIBLE(widget), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  gtk_widget_set_tooltip_text(widget, name);
}

static void
set_up_cb(GtkSignalListItemFactory* const factory, GtkListItem* const item)
{
  GtkWidget* const label = gtk_label_new(NULL);

  (void)factory;
  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_list_item_set_child(item, label);
}

static void
bind_cb(GtkSignalListItemFactory* const factory, GtkListItem* const item)
{
  GtkLabel* const   label = GTK_LABEL(gtk_list_item_get_child(item));
  const char* const word =
    gtk_string_object_get_string(GTK_STRING_OBJECT(gtk_list_item_get_item(item)));

  (void)factory;
  gtk_label_set_text(label, word);
  for (gsize i = 0; i < G_N_ELEMENTS(offers); ++i) {
    if (g_str_equal(word, offers[i].word)) {
      gtk_label_set_text(label, offers[i].short_word);
    }
  }
}

/// The list keeps the long words and the mark of the chosen one
static void
shorten(GtkDropDown* const quality)
{
  GtkListItemFactory* const short_words = gtk_signal_list_item_factory_new();

  g_signal_connect(short_words, "setup", G_CALLBACK(set_up_cb), NULL);
  g_signal_connect(short_words, "bind", G_CALLBACK(bind_cb), NULL);
  gtk_drop_down_set_list_factory(quality, gtk_drop_down_get_factory(quality));
  gtk_drop_down_set_factory(quality, short_words);
  g_object_unref(short_words);
}

static GtkDropDown*
new_quality(QfChordRow* const self, const guint index, const char* const place)
{
  GtkStringList* const words = gtk_string_list_new((const char*[]){"?", NULL});

  for (gsize i = 0; i < G_N_ELEMENTS(offers); ++i) {
    gtk_string_list_append(words, offers[i].word);
  }

  GtkWidget* const widget = gtk_drop_down_new(G_LIST_MODEL(words), NULL);
  shorten(GTK_DROP_DOWN(widget));
  name_widget(widget, index, "Chord quality", place);
  g_signal_connect_object(widget, "notify::selected", G_CALLBACK(quality_cb), self,
                          G_CONNECT_SWAPPED);
  return GTK_DROP_DOWN(widget);
}

static GtkEditable*
new_numeral(QfChordRow* const self, const guint index, const char* const place)
{
  GtkWidget* const          widget = gtk_entry_new();
  GtkEventController* const focus  = gtk_event_controller_focus_new();

  gtk_editable_set_width_chars(GTK_EDITABLE(widget), 8);
  gtk_editable_set_max_width_chars(GTK_EDITABLE(widget), 8);
  gtk_entry_set_placeholder_text(GTK_ENTRY(widget), "numeral");
  name_widget(widget, index, "Numeral", place);
  g_signal_connect_object(widget, "activate", G_CALLBACK(activate_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(focus, "leave", G_CALLBACK(left_numeral_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(focus, "enter", G_CALLBACK(entered_cb), self, G_CONNECT_SWAPPED);
  gtk_widget_add_controller(widget, focus);
  return GTK_EDITABLE(widget);
}

static GtkToggleButton*
new_doubt(QfChordRow* const self, const guint index, const char* const place)
{
  GtkWidget* const widget = gtk_toggle_button_new_with_label("in doubt");

  gtk_widget_add_css_class(widget, "flat");
  gtk_widget_add_css_class(widget, "qf-doubt");
  name_widget(widget, index, "In doubt", place);
  g_signal_connect_object(widget, "toggled", G_CALLBACK(doubt_cb), self, G_CONNECT_SWAPPED);
  return GTK_TOGGLE_BUTTON(widget);
}

static void
clear_cells(QfChordRow* const self)
{
  for (guint i = 0; i < self->cells->len; ++i) {
    gtk_widget_unparent(cell_at(self, i)->box);
  }
  g_array_set_size(self->cells, 0);
}

void
qf_chord_row_set_places(QfChordRow* const        self,
                        const char* const* const places,
                        const gboolean           has_qualities,
                        const gboolean           has_numerals)
{
  clear_cells(self);
  for (guint i = 0; places[i]; ++i) {
    const Cell cell = {
      .box     = gtk_box_new(GTK_ORIENTATION_VERTICAL, 4),
      .quality = new_quality(self, i, places[i]),
      .numeral = new_numeral(self, i, places[i]),
      .doubt   = new_doubt(self, i, places[i]),
    };
    gtk_widget_set_visible(GTK_WIDGET(cell.quality), has_qualities);
    gtk_widget_set_visible(GTK_WIDGET(cell.numeral), has_numerals);
    gtk_box_append(GTK_BOX(cell.box), GTK_WIDGET(cell.quality));
    gtk_box_append(GTK_BOX(cell.box), GTK_WIDGET(cell.numeral));
    gtk_box_append(GTK_BOX(cell.box), GTK_WIDGET(cell.doubt));
    gtk_widget_set_parent(cell.box, GTK_WIDGET(self));
    g_array_append_val(self->cells, cell);
  }
}

void
qf_chord_row_fill(QfChordRow* const self, const guint index, const QfAnswerChord* const chord)
{
  const Cell* const cell   = cell_at(self, index);
  const char* const text   = chord ? chord->numeral : "";
  const guint       choice = choice_of(chord);

  self->is_filling = TRUE;
  if (gtk_drop_down_get_selected(cell->quality) != choice) {
    gtk_drop_down_set_selected(cell->quality, choice);
  }
  if (!g_str_equal(gtk_editable_get_text(cell->numeral), text) &&
      !(gtk_widget_get_state_flags(GTK_WIDGET(cell->numeral)) & GTK_STATE_FLAG_FOCUS_WITHIN)) {
    gtk_editable_set_text(cell->numeral, text);
  }
  gtk_toggle_button_set_active(cell->doubt, chord && chord->is_doubtful);
  self->is_filling = FALSE;
}

void
qf_chord_row_place(QfChordRow* const self, const double* const starts)
{
  for (guint i = 0; i < self->cells->len; ++i) {
    cell_at(self, i)->x = starts[i];
  }
  gtk_widget_queue_allocate(GTK_WIDGET(self));
}

static int
natural_size(GtkWidget* const widget, const GtkOrientation orientation)
{
  int natural = 0;
  gtk_widget_measure(widget, orientation, -1, NULL, &natural, NULL, NULL);
  return natural;
}

int
qf_chord_row_get_pitch(QfChordRow* const self, const guint index)
{
  return natural_size(cell_at(self, index)->box, GTK_ORIENTATION_HORIZONTAL) + CELL_GAP;
}

void
qf_chord_row_focus_quality(QfChordRow* const self, const guint index)
{
  if (index < self->cells->len) {
    gtk_widget_grab_focus(GTK_WIDGET(cell_at(self, index)->quality));
  }
}

void
qf_chord_row_focus_numeral(QfChordRow* const self, const guint index)
{
  if (index < self->cells->len) {
    gtk_widget_grab_focus(GTK_WIDGET(cell_at(self, index)->numeral));
  }
}

static void
qf_chord_row_measure(GtkWidget* const     widget,
                     const GtkOrientation orientation,
                     const int            for_size,
                     int* const           minimum,
                     int* const           natural,
                     int* const           minimum_baseline,
                     int* const           natural_baseline)
{
  const QfChordRow* const self = QF_CHORD_ROW(widget);
  int                     size = 0;

  (void)for_size;
  for (guint i = 0; i < self->cells->len; ++i) {
    const Cell* const cell = cell_at(self, i);
    const int         own  = natural_size(cell->box, orientation);
    size = MAX(size, orientation == GTK_ORIENTATION_HORIZONTAL ? own + (int)ceil(cell->x) : own);
  }
  *minimum = *natural = size;
  *minimum_baseline = *natural_baseline = -1;
}

static void
qf_chord_row_size_allocate(GtkWidget* const widget,
                           const int        width,
                           const int        height,
                           const int        baseline)
{
  const QfChordRow* const self = QF_CHORD_ROW(widget);

  (void)width;
  for (guint i = 0; i < self->cells->len; ++i) {
    const Cell* const   cell = cell_at(self, i);
    const GtkAllocation area = {(int)cell->x, 0,
                                natural_size(cell->box, GTK_ORIENTATION_HORIZONTAL), height};
    gtk_widget_size_allocate(cell->box, &area, baseline);
  }
}

static void
qf_chord_row_dispose(GObject* const object)
{
  QfChordRow* const self = QF_CHORD_ROW(object);

  if (self->cells) {
    clear_cells(self);
    g_clear_pointer(&self->cells, g_array_unref);
  }
  G_OBJECT_CLASS(qf_chord_row_parent_class)->dispose(object);
}

static void
qf_chord_row_class_init(QfChordRowClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);
  const GType           type         = G_TYPE_FROM_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_chord_row_dispose;
  widget_class->measure          = qf_chord_row_measure;
  widget_class->size_allocate    = qf_chord_row_size_allocate;
  gtk_widget_class_set_css_name(widget_class, "qf-chord-row");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  signals[QUALITY] = g_signal_new("quality", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                  G_TYPE_NONE, 2, G_TYPE_UINT, G_TYPE_INT);
  signals[NUMERAL] = g_signal_new("numeral", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                  G_TYPE_NONE, 2, G_TYPE_UINT, G_TYPE_STRING);
  signals[DOUBT] = g_signal_new("doubt", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE,
                                2, G_TYPE_UINT, G_TYPE_BOOLEAN);
  signals[ENTERED] = g_signal_new("entered", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                  G_TYPE_NONE, 1, G_TYPE_UINT);
}

static void
qf_chord_row_init(QfChordRow* const self)
{
  self->cells = g_array_new(FALSE, TRUE, sizeof(Cell));
  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, "Chords", -1);
}
