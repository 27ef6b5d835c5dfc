// SPDX-License-Identifier: MIT
#include "qf-compare-view.h"

#include "qf-compare-key.h"
#include "qf-compare-words.h"

#include "common/qf-message.h"
#include "page/qf-score-view.h"
#include "qf-app.h"

#include "quintfall/overlay.h"

#include <limits.h>
#include <math.h>

static const double unit_space     = 7.5; ///< Distance of staff lines at a zoom of 1, pixels
static const double largest_fitted = 1.2; ///< Zoom up to which staves are shrunken to be in sight
static const double least_shrunken = 0.7; ///< Of the size asked for

struct _QfCompareView {
  GtkWidget           parent_instance;
  GtkWidget*          box; ///< Template child, as all widgets below
  GtkBox*             layers;
  GtkScrolledWindow*  scroller;
  QfScoreView*        staves;
  GtkLabel*           counter;
  GtkLabel*           reason;
  GtkLabel*           heard;
  const QfComparison* comparison; ///< Lent
  QfEngraving*        engraving;  ///< Owned
  GSimpleActionGroup* actions;    ///< Owned, as below
  QfOverlayOptions    overlay;
  QfMarks             marks;
  QfNamingKind        naming;
  double              zoom;
  double              space;       ///< That the staves are laid out with
  guint               heard_pages; ///< Bits `1U << page` since a hearing was begun
  guint               fit_idle;    ///< Pending layout in another height
};

G_DEFINE_FINAL_TYPE(QfCompareView, qf_compare_view, GTK_TYPE_WIDGET)

enum { PICKED, TOGGLED, N_SIGNALS };
static guint signals[N_SIGNALS];

static const struct {
  const char*    name;
  QfOverlayPages pages;
} page_names[] = {
  {"both", QF_OVERLAY_BOTH},
  {"answer", QF_OVERLAY_THEIRS},
  {"passage", QF_OVERLAY_PASSAGE},
};

// ---- layout

/// Lay out at a size; gives the height, or 0 without memory
static double
engrave(QfCompareView* const self, const double space)
{
  QfEngraveOptions options = qf_engrave_options_screen();
  QfEngraving*     fresh   = NULL;
  double           width   = 0.0;
  double           height  = 0.0;

  options.space  = space;
  options.naming = self->naming;
  if (qf_overlay_new(self->comparison, self->overlay, options, &fresh, NULL)) {
    return 0.0; // The layout before stays on show
  }
  qf_score_view_set_engraving(self->staves, fresh);
  g_clear_pointer(&self->engraving, qf_engraving_free);
  self->engraving = fresh;
  self->space     = space;
  qf_engraving_get_size(fresh, &width, &height);
  return height;
}

static double
room_of(const QfCompareView* const self)
{
  return gtk_adjustment_get_page_size(gtk_scrolled_window_get_vadjustment(self->scroller));
}

/// As large as asked for, but rather smaller than cut off below
static void
lay_out(QfCompareView* const self)
{
  const double asked  = unit_space * self->zoom;
  const double room   = room_of(self);
  const double height = engrave(self, asked);

  if (self->zoom <= largest_fitted && room > 1.0 && height > room) {
    const double margins = 2.0 * qf_engrave_options_screen().margin; // Which do not shrink
    const double fitted  = (room - margins) / (height - margins);
    engrave(self, asked * MAX(least_shrunken, fitted));
  }
  qf_score_view_set_marks(self->staves, &self->marks);
}

static gboolean
fit_cb(gpointer data)
{
  QfCompareView* const self = data;

  self->fit_idle = 0;
  if (self->comparison) {
    lay_out(self);
  }
  return G_SOURCE_REMOVE;
}

/// Another height; laid out after this allocation is over
static void
resized_cb(QfCompareView* const self)
{
  if (self->comparison && !self->fit_idle) {
    self->fit_idle = g_idle_add(fit_cb, self);
  }
}

static double
x_of(const QfCompareView* const self, const QfTime place)
{
  return self->engraving ? qf_engraving_x_of(self->engraving, place) : 0.0;
}

static void
keep_in_sight(QfCompareView* const self, const QfTime place)
{
  GtkAdjustment* const across = gtk_scrolled_window_get_hadjustment(self->scroller);
  const double         x      = x_of(self, place);
  const double         left   = gtk_adjustment_get_value(across);
  const double         width  = gtk_adjustment_get_page_size(across);

  if (width > 0.0 && (x < left + 0.05 * width || x > left + 0.85 * width)) {
    gtk_adjustment_set_value(across, x - 0.3 * width);
  }
}

// ---- layers

/// Bit of a letter that no button of the window uses yet, and its place in the name
static gsize
find_mnemonic(const char* const name, guint32* const used)
{
  for (gsize i = 0; name[i]; ++i) {
    const char letter = g_ascii_tolower(name[i]);
    if (g_ascii_isalpha(letter) && !(*used & 1U << (letter - 'a'))) {
      *used |= 1U << (letter - 'a');
      return i;
    }
  }
  return strlen(name);
}

static void
add_toggle(QfCompareView* const self,
           const char* const    name,
           const char* const    action,
           guint32* const       used)
{
  g_autofree char* full  = g_strconcat("compare.", action, NULL);
  GString* const   label = g_string_new(name);
  const gsize      at    = find_mnemonic(name, used);

  if (at < strlen(name)) {
    g_string_insert_c(label, (gssize)at, '_');
  }
  gtk_box_append(self->layers, g_object_new(GTK_TYPE_TOGGLE_BUTTON, "use-underline", TRUE, "label",
                                            label->str, "action-name", full, NULL));
  g_string_free(label, TRUE);
}

static void
set_hidden(QfCompareView* const self, const char* const name, const gboolean is_hidden)
{
  guint voice = 0;

  if (sscanf(name, "voice-%u", &voice) == 1) {
    const guint32 bit           = 1U << voice;
    self->overlay.hidden_voices = (self->overlay.hidden_voices & ~bit) | (is_hidden ? bit : 0U);
  } else {
    const guint bit = 1U << (g_str_equal(name, "qualities") ? QF_LAYER_QUALITY : QF_LAYER_NUMERAL);
    self->overlay.hidden_rows = (self->overlay.hidden_rows & ~bit) | (is_hidden ? bit : 0U);
  }
}

static void
layer_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfCompareView* const self = data;

  g_simple_action_set_state(action, state);
  set_hidden(self, g_action_get_name(G_ACTION(action)), !g_variant_get_boolean(state));
  if (self->comparison) {
    lay_out(self);
    g_signal_emit(self, signals[TOGGLED], 0);
  }
}

static void
pages_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfCompareView* const self = data;

  g_simple_action_set_state(action, state);
  for (gsize i = 0; i < G_N_ELEMENTS(page_names); ++i) {
    if (g_str_equal(g_variant_get_string(state, NULL), page_names[i].name)) {
      self->overlay.pages = page_names[i].pages;
    }
  }
  if (self->comparison) {
    lay_out(self);
  }
}

static void
add_layer_action(QfCompareView* const self, const char* const name)
{
  g_autoptr(GSimpleAction) action =
    g_simple_action_new_stateful(name, NULL, g_variant_new_boolean(TRUE));

  g_signal_connect(action, "change-state", G_CALLBACK(layer_cb), self);
  g_action_map_add_action(G_ACTION_MAP(self->actions), G_ACTION(action));
}

/// A toggle for each voice of the passage and for both rows
static void
make_layers(QfCompareView* const self)
{
  const QfScore* const score = qf_comparison_get_score(self->comparison);
  // Letters of the buttons beside: Grade, Both, Answer, Passage
  guint32 used = 1U << ('g' - 'a') | 1U << ('o' - 'a') | 1U << ('w' - 'a') | 1U << ('p' - 'a');

  for (GtkWidget* child = NULL; (child = gtk_widget_get_first_child(GTK_WIDGET(self->layers)));) {
    gtk_box_remove(self->layers, child);
  }
  self->overlay.hidden_voices = 0;
  self->overlay.hidden_rows   = 0;
  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    g_autofree char* action = g_strdup_printf("voice-%zu", v);
    char             name[QF_NAME_SIZE];
    qf_compare_name_voice(score, v, name, sizeof(name));
    add_layer_action(self, action);
    add_toggle(self, name, action, &used);
  }
  add_layer_action(self, "qualities");
  add_layer_action(self, "numerals");
  if (qf_grade_has_layer(qf_comparison_get_grade(self->comparison), QF_LAYER_QUALITY)) {
    add_toggle(self, "Qualities", "qualities", &used);
  }
  add_toggle(self, "Numerals", "numerals", &used);
  qf_name_buttons(GTK_WIDGET(self->layers));
}

static const QfDifference*
difference_at(const QfCompareView* const self, const size_t index)
{
  const QfGrade* const grade = self->comparison ? qf_comparison_get_grade(self->comparison) : NULL;
  return grade && index < qf_grade_n_differences(grade) ? qf_grade_get_difference(grade, index)
                                                        : NULL;
}

static const QfVerdict*
verdict_of(const QfCompareView* const self, const QfDifference* const difference)
{
  return qf_grade_get_verdict(qf_comparison_get_grade(self->comparison), difference->verdict);
}

gboolean
qf_compare_view_has(const QfCompareView* const self, const size_t index)
{
  const QfDifference* const difference = difference_at(self, index);

  if (!difference) {
    return FALSE;
  }

  const QfVerdict* const verdict = verdict_of(self, difference);
  return verdict->layer == QF_LAYER_QUALITY || verdict->layer == QF_LAYER_NUMERAL
           ? !(self->overlay.hidden_rows & 1U << verdict->layer)
           : !(self->overlay.hidden_voices & 1U << verdict->voice);
}

// ---- what is shown

void
qf_compare_view_show(QfCompareView* const      self,
                     const QfComparison* const comparison,
                     const double              zoom,
                     const QfNamingKind        naming)
{
  const gboolean is_new = comparison != self->comparison;

  self->comparison = comparison;
  self->zoom       = zoom;
  self->naming     = naming;
  if (!comparison) {
    qf_score_view_set_engraving(self->staves, NULL);
    g_clear_pointer(&self->engraving, qf_engraving_free);
    return;
  }
  if (is_new) {
    make_layers(self);
  }
  lay_out(self);
}

void
qf_compare_view_set_caret(QfCompareView* const self, const size_t voice, const QfTime place)
{
  char name[280];

  if (!self->comparison) {
    return;
  }
  self->marks.has_caret   = true;
  self->marks.caret_voice = voice;
  self->marks.caret_time  = place;
  qf_compare_describe(self->comparison, voice, place, self->naming, name, sizeof(name));
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->staves), GTK_ACCESSIBLE_PROPERTY_LABEL, name,
                                 -1);
  qf_score_view_set_marks(self->staves, &self->marks);
  keep_in_sight(self, place);
}

/// "3 of 12" of those in the layers that are shown
static char*
count(const QfCompareView* const self, const size_t index)
{
  size_t n    = 0;
  size_t here = 0;

  for (size_t i = 0; difference_at(self, i); ++i) {
    n += qf_compare_view_has(self, i);
    here = i == index ? n : here;
  }
  return here ? g_strdup_printf("%zu of %zu", here, n)
              : g_strdup_printf(n == 1 ? "%zu difference" : "%zu differences", n);
}

void
qf_compare_view_choose(QfCompareView* const self, const size_t index)
{
  const QfDifference* const difference = difference_at(self, index);
  g_autofree char*          counter    = count(self, index);

  gtk_label_set_text(self->counter, counter);
  self->marks.has_selection = difference != NULL;
  if (!difference) {
    const gboolean has_any = difference_at(self, 0) != NULL;
    gtk_label_set_text(self->reason, has_any
                                       ? "Go through them with F7, and hear each with Ctrl+D"
                                       : "Answer and passage are alike in all that was asked");
    qf_score_view_set_marks(self->staves, &self->marks);
    return;
  }

  const QfVerdict* const verdict = verdict_of(self, difference);
  self->marks.selection_start    = difference->place;
  self->marks.selection_end = verdict->kind == QF_VERDICT_EXTRA ? difference->to : verdict->end;
  gtk_label_set_text(self->reason, verdict->reason);
  qf_score_view_set_marks(self->staves, &self->marks);
  keep_in_sight(self, difference->place);
}

/// What sounds, or what was heard of the difference so far
static const char*
words_of(const QfCompareView* const self, const QfHeardPage page)
{
  const guint both = 1U << QF_HEARD_ANSWER | 1U << QF_HEARD_PASSAGE;

  switch (page) {
    case QF_HEARD_ANSWER:
      return "The answer sounds";
    case QF_HEARD_PASSAGE:
      return "The passage sounds";
    default:
      return self->heard_pages == both                     ? "Both were heard"
             : self->heard_pages == 1U << QF_HEARD_PASSAGE ? "The answer has nothing to hear there"
                                                           : "";
  }
}

void
qf_compare_view_begin_hearing(QfCompareView* const self)
{
  self->heard_pages = 0;
}

void
qf_compare_view_set_playing(QfCompareView* const self, const QfHeardPage page, const QfTime place)
{
  self->heard_pages |= page == QF_HEARD_NOTHING ? 0U : 1U << page;

  const char* const text   = words_of(self, page);
  self->marks.is_playing   = page != QF_HEARD_NOTHING && place.num >= 0;
  self->marks.playing_time = place;
  gtk_label_set_text(self->heard, text);
  gtk_widget_set_visible(GTK_WIDGET(self->heard), text[0] != '\0');
  qf_score_view_set_marks(self->staves, &self->marks);
}

void
qf_compare_view_grab_focus(QfCompareView* const self)
{
  gtk_widget_grab_focus(GTK_WIDGET(self->staves));
}

// ---- the mouse

/// The voice of the passage that a hit means
static size_t
voice_hit(const QfCompareView* const self, const QfHit* const hit)
{
  const QfScore* const        score     = qf_comparison_get_score(self->comparison);
  const bool                  is_theirs = hit->note & QF_OVERLAY_THEIRS_BIT;
  const uint32_t              note      = hit->note & ~QF_OVERLAY_THEIRS_BIT;
  const QfComparedNote* const item =
    note ? qf_comparison_find_note(self->comparison, is_theirs, note) : NULL;

  for (size_t v = 0; !item && v < qf_score_n_voices(score); ++v) {
    if (qf_score_get_voice(score, v)->staff == hit->staff) {
      return v;
    }
  }
  return item ? item->voice : 0;
}

static void
picked_cb(QfCompareView* const self, const double x, const double y, const int n_press)
{
  QfHit hit = {0};

  (void)n_press;
  if (self->comparison && self->engraving && qf_engraving_hit(self->engraving, x, y, &hit)) {
    g_signal_emit(self, signals[PICKED], 0, (guint)voice_hit(self, &hit), hit.time.num,
                  hit.time.den);
  }
}

// ---- a widget

static void
qf_compare_view_dispose(GObject* const object)
{
  QfCompareView* const self = QF_COMPARE_VIEW(object);

  g_clear_handle_id(&self->fit_idle, g_source_remove);
  if (self->box) {
    qf_score_view_set_engraving(self->staves, NULL);
    g_signal_handlers_disconnect_by_data(gtk_scrolled_window_get_vadjustment(self->scroller), self);
  }
  self->comparison = NULL;
  g_clear_pointer(&self->box, gtk_widget_unparent);
  g_clear_pointer(&self->engraving, qf_engraving_free);
  g_clear_object(&self->actions);
  G_OBJECT_CLASS(qf_compare_view_parent_class)->dispose(object);
}

static void
qf_compare_view_class_init(QfCompareViewClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_compare_view_dispose;
  g_type_ensure(QF_TYPE_SCORE_VIEW);
  g_type_ensure(QF_TYPE_COMPARE_KEY);
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-compare-view.ui");
  gtk_widget_class_bind_template_child(widget_class, QfCompareView, box);
  gtk_widget_class_bind_template_child(widget_class, QfCompareView, layers);
  gtk_widget_class_bind_template_child(widget_class, QfCompareView, scroller);
  gtk_widget_class_bind_template_child(widget_class, QfCompareView, staves);
  gtk_widget_class_bind_template_child(widget_class, QfCompareView, counter);
  gtk_widget_class_bind_template_child(widget_class, QfCompareView, reason);
  gtk_widget_class_bind_template_child(widget_class, QfCompareView, heard);
  gtk_widget_class_bind_template_callback(widget_class, picked_cb);

  signals[PICKED]  = g_signal_new("picked", QF_TYPE_COMPARE_VIEW, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                  NULL, G_TYPE_NONE, 3, G_TYPE_UINT, G_TYPE_INT64, G_TYPE_INT64);
  signals[TOGGLED] = g_signal_new("toggled", QF_TYPE_COMPARE_VIEW, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                  NULL, G_TYPE_NONE, 0);
}

static void
qf_compare_view_init(QfCompareView* const self)
{
  static const GActionEntry entries[] = {
    {.name = "pages", .parameter_type = "s", .state = "'both'", .change_state = pages_cb},
  };

  self->actions          = g_simple_action_group_new();
  self->zoom             = 1.0;
  self->marks.caret_step = INT_MIN;
  g_action_map_add_action_entries(G_ACTION_MAP(self->actions), entries, G_N_ELEMENTS(entries),
                                  self);
  gtk_widget_insert_action_group(GTK_WIDGET(self), "compare", G_ACTION_GROUP(self->actions));
  gtk_widget_init_template(GTK_WIDGET(self));
  g_signal_connect_swapped(gtk_scrolled_window_get_vadjustment(self->scroller), "notify::page-size",
                           G_CALLBACK(resized_cb), self);
}
