// SPDX-License-Identifier: MIT
#include "qf-explore-pane.h"

#include "chain/qf-numeral-plate.h"
#include "common/qf-names.h"
#include "qf-app.h"
#include "qf-explore-words.h"

static const char* const voice_names[QF_SATB] = {"Soprano", "Alto", "Tenor", "Bass"};

struct _QfExplorePane {
  GtkWidget       parent_instance;
  GtkWidget*      box; ///< Template child, as all widgets below
  GtkLabel*       heading;
  GtkLabel*       total;
  GtkListBox*     list;
  GtkWidget*      details;
  GtkLabel*       reason;
  GtkGrid*        voices;
  GtkWidget*      fault;
  GtkLabel*       fault_text;
  QfContinuations found; ///< Owned
  QfMode          mode;
  QfNamingKind    naming;
  gboolean        is_filling; ///< Rows come and go, and nobody chooses
};

G_DEFINE_FINAL_TYPE(QfExplorePane, qf_explore_pane, GTK_TYPE_WIDGET)

enum { CHOSEN, TAKEN, N_SIGNALS };
static guint signals[N_SIGNALS];

static GtkWidget*
make_label(const char* const text, const char* const css_class)
{
  GtkWidget* const label = gtk_label_new(text);

  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_label_set_max_width_chars(GTK_LABEL(label), 18);
  if (css_class) {
    gtk_widget_add_css_class(label, css_class);
  }
  return label;
}

/// How common a move is, beside the commonest
static GtkWidget*
make_bar(const double share, const double most)
{
  GtkWidget* const bar = gtk_level_bar_new_for_interval(0.0, 1.0);

  // One colour: how long it is tells all there is to tell.
  gtk_level_bar_remove_offset_value(GTK_LEVEL_BAR(bar), GTK_LEVEL_BAR_OFFSET_LOW);
  gtk_level_bar_remove_offset_value(GTK_LEVEL_BAR(bar), GTK_LEVEL_BAR_OFFSET_HIGH);
  gtk_level_bar_remove_offset_value(GTK_LEVEL_BAR(bar), GTK_LEVEL_BAR_OFFSET_FULL);
  gtk_level_bar_set_value(GTK_LEVEL_BAR(bar), most > 0.0 ? share / most : 0.0);
  gtk_accessible_update_state(GTK_ACCESSIBLE(bar), GTK_ACCESSIBLE_STATE_HIDDEN, TRUE, -1);
  return bar;
}

static GtkWidget*
make_row(const QfContinuation* const item,
         const QfMode                mode,
         const double                most,
         GtkSizeGroup* const         plates)
{
  g_autofree char* motion = qf_explore_dup_motion(item);
  g_autofree char* count  = qf_explore_dup_count(item);
  g_autofree char* spoken = qf_explore_dup_spoken(item, mode);
  GtkWidget* const row    = gtk_list_box_row_new();
  GtkWidget* const box    = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 10);
  GtkWidget* const lines  = gtk_box_new(GTK_ORIENTATION_VERTICAL, 3);
  GtkWidget* const plate =
    qf_numeral_plate_new(&item->numeral, mode, item->motion, item->resolution);
  g_autofree char* told =
    item->is_present ? g_strdup_printf("%s \u2022 follows now", count) : g_strdup(count);

  gtk_size_group_add_widget(plates, plate);
  gtk_widget_set_valign(plate, GTK_ALIGN_CENTER);
  gtk_widget_set_hexpand(lines, TRUE);
  gtk_widget_set_valign(lines, GTK_ALIGN_CENTER);
  gtk_box_append(
    GTK_BOX(lines),
    make_label(motion, qf_root_motion_is_falling_fifth(item->motion) ? "heading" : "qf-plain"));
  if (item->count) {
    gtk_box_append(GTK_BOX(lines), make_bar(item->share, most));
  }
  gtk_box_append(GTK_BOX(lines), make_label(told, "caption"));
  gtk_box_append(GTK_BOX(box), plate);
  gtk_box_append(GTK_BOX(box), lines);
  gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(row), box);
  gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  return row;
}

static void
empty_list(QfExplorePane* const self)
{
  for (GtkWidget* row = NULL; (row = gtk_widget_get_first_child(GTK_WIDGET(self->list)));) {
    gtk_list_box_remove(self->list, row);
  }
}

static void
add_voice(QfExplorePane* const self, const int voice, const QfContinuation* const item)
{
  const QfPitch    from   = self->found.voicing.pitch[voice];
  const QfPitch    to     = item->voicing.pitch[voice];
  g_autofree char* before = qf_explore_dup_pitch(from, self->naming);
  g_autofree char* after  = qf_explore_dup_pitch(to, self->naming);
  g_autofree char* step   = qf_explore_dup_step(from, to);
  g_autofree char* notes  = g_strdup_printf("%s \u2192 %s", before, after);

  gtk_grid_attach(self->voices, make_label(voice_names[voice], "dim-label"), 0, voice, 1, 1);
  gtk_grid_attach(self->voices, make_label(notes, NULL), 1, voice, 1, 1);
  gtk_grid_attach(self->voices, make_label(step, NULL), 2, voice, 1, 1);
}

static void
show_details(QfExplorePane* const self)
{
  const QfContinuation* const item = qf_explore_pane_get_chosen(self);

  for (GtkWidget* child = NULL; (child = gtk_widget_get_first_child(GTK_WIDGET(self->voices)));) {
    gtk_grid_remove(self->voices, child);
  }
  gtk_widget_set_visible(self->details, item != NULL);
  if (!item) {
    return;
  }

  gtk_label_set_text(self->reason, item->reason);
  for (int voice = 0; voice < QF_SATB; ++voice) {
    add_voice(self, voice, item);
  }
  const char* const fault =
    item->has_kept ? item->finding : "It does not fit the notes that are given there.";
  gtk_label_set_text(self->fault_text, fault);
  gtk_widget_set_visible(self->fault, fault[0] != '\0');
}

/// A heading where what the corpus does not have begins
static void
header_cb(GtkListBoxRow* const row, GtkListBoxRow* const before, gpointer data)
{
  const QfExplorePane* const self  = QF_EXPLORE_PANE(data);
  const size_t               index = (size_t)gtk_list_box_row_get_index(row);
  const gboolean is_rare           = index < self->found.n_items && !self->found.items[index].count;
  const gboolean is_first =
    !before || (is_rare && self->found.items[index - 1U].count != 0 && index > 0);

  gtk_list_box_row_set_header(row, NULL);
  if (is_first) {
    GtkWidget* const header = make_label(is_rare ? "Possible, but never in the corpus"
                                                 : "In the corpus, the commonest first",
                                         "caption-heading");
    gtk_widget_add_css_class(header, "qf-list-header");
    gtk_list_box_row_set_header(row, header);
  }
}

static void
choose_first(QfExplorePane* const self)
{
  GtkListBoxRow* const first = gtk_list_box_get_row_at_index(self->list, 0);
  GtkAdjustment* const sight = gtk_list_box_get_adjustment(self->list);

  if (first) {
    gtk_list_box_select_row(self->list, first);
  }
  if (sight) {
    gtk_adjustment_set_value(sight, 0.0);
  }
}

void
qf_explore_pane_take(QfExplorePane* const   self,
                     QfContinuations* const found,
                     const QfLink* const    from,
                     const QfNamingKind     naming)
{
  g_autoptr(GtkSizeGroup) plates = gtk_size_group_new(GTK_SIZE_GROUP_HORIZONTAL);
  g_autofree char* total         = qf_explore_dup_total(found, from->key.mode);
  QfNumeralParts   parts         = {0};
  char             figures[sizeof(parts.figures)];
  char             key[QF_KEY_NAME_SIZE];

  qf_numeral_parts(&from->numeral, from->key.mode, &parts);
  qf_figures_write_in_line(parts.figures, figures, sizeof(figures));
  qf_key_spell_out(from->key, naming, key, sizeof(key));
  g_autofree char* heading =
    g_strdup_printf("After %s%s%s in %s", parts.head, figures, parts.tail, key);

  self->is_filling = TRUE;
  empty_list(self);
  qf_continuations_clear(&self->found);
  self->found  = *found;
  self->mode   = from->key.mode;
  self->naming = naming;
  *found       = (QfContinuations){0};

  const double most = self->found.n_items ? self->found.items[0].share : 0.0;
  for (size_t i = 0; i < self->found.n_items; ++i) {
    gtk_list_box_append(self->list, make_row(&self->found.items[i], self->mode, most, plates));
  }
  gtk_label_set_text(self->heading, heading);
  gtk_label_set_text(self->total, total);
  choose_first(self);
  self->is_filling = FALSE;
  show_details(self);
}

void
qf_explore_pane_clear(QfExplorePane* const self, const char* const why)
{
  self->is_filling = TRUE;
  empty_list(self);
  qf_continuations_clear(&self->found);
  self->is_filling = FALSE;
  gtk_label_set_text(self->heading, "Nowhere to go on from");
  gtk_label_set_text(self->total, why);
  show_details(self);
}

const QfContinuation*
qf_explore_pane_get_chosen(const QfExplorePane* const self)
{
  GtkListBoxRow* const row   = gtk_list_box_get_selected_row(self->list);
  const int            index = row ? gtk_list_box_row_get_index(row) : -1;
  return index >= 0 && (size_t)index < self->found.n_items ? &self->found.items[index] : NULL;
}

const QfVoicing*
qf_explore_pane_get_start(const QfExplorePane* const self)
{
  return &self->found.voicing;
}

void
qf_explore_pane_focus(QfExplorePane* const self)
{
  GtkListBoxRow* const row = gtk_list_box_get_selected_row(self->list);
  gtk_widget_grab_focus(row ? GTK_WIDGET(row) : GTK_WIDGET(self->list));
}

static void
selected_cb(QfExplorePane* const self)
{
  if (!self->is_filling) {
    show_details(self);
    if (qf_explore_pane_get_chosen(self)) {
      g_signal_emit(self, signals[CHOSEN], 0);
    }
  }
}

static void
activated_cb(QfExplorePane* const self)
{
  g_signal_emit(self, signals[TAKEN], 0);
}

static void
qf_explore_pane_dispose(GObject* const object)
{
  QfExplorePane* const self = QF_EXPLORE_PANE(object);

  self->is_filling = TRUE;
  g_clear_pointer(&self->box, gtk_widget_unparent);
  qf_continuations_clear(&self->found);
  G_OBJECT_CLASS(qf_explore_pane_parent_class)->dispose(object);
}

static void
qf_explore_pane_class_init(QfExplorePaneClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_explore_pane_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-explore-pane.ui");
  gtk_widget_class_bind_template_child(widget_class, QfExplorePane, box);
  gtk_widget_class_bind_template_child(widget_class, QfExplorePane, heading);
  gtk_widget_class_bind_template_child(widget_class, QfExplorePane, total);
  gtk_widget_class_bind_template_child(widget_class, QfExplorePane, list);
  gtk_widget_class_bind_template_child(widget_class, QfExplorePane, details);
  gtk_widget_class_bind_template_child(widget_class, QfExplorePane, reason);
  gtk_widget_class_bind_template_child(widget_class, QfExplorePane, voices);
  gtk_widget_class_bind_template_child(widget_class, QfExplorePane, fault);
  gtk_widget_class_bind_template_child(widget_class, QfExplorePane, fault_text);
  gtk_widget_class_bind_template_callback(widget_class, selected_cb);
  gtk_widget_class_bind_template_callback(widget_class, activated_cb);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_Escape, 0, "win.leave-pane", NULL);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_space, 0, "win.hear-continuation",
                                      NULL);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_h, 0, "win.hear-continuation", NULL);

  signals[CHOSEN] = g_signal_new("chosen", QF_TYPE_EXPLORE_PANE, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 0);
  signals[TAKEN]  = g_signal_new("taken", QF_TYPE_EXPLORE_PANE, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 0);
}

static void
qf_explore_pane_init(QfExplorePane* const self)
{
  gtk_widget_init_template(GTK_WIDGET(self));
  gtk_list_box_set_header_func(self->list, header_cb, self, NULL);
}
