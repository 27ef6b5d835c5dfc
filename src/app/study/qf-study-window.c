// SPDX-License-Identifier: MIT
#include "qf-study-private.h"

#include "common/qf-message.h"
#include "common/qf-names.h"
#include "qf-app.h"

G_DEFINE_FINAL_TYPE(QfStudyWindow, qf_study_window, ADW_TYPE_APPLICATION_WINDOW)

static const double usual_zoom = 1.2; ///< Larger than in a lesson, where the chain needs room
static const double least_zoom = 0.5;
static const double most_zoom  = 3.0;
static const double zoom_step  = 1.15;

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
}

void
qf_study_toast(QfStudyWindow* const self, const char* const text)
{
  AdwToast* const  toast  = adw_toast_new("");
  g_autofree char* plain  = qf_sentence_dup(text);
  g_autofree char* markup = g_markup_escape_text(plain, -1);

  // The latest message is the one that matters; older ones would queue behind it.
  if (self->toast) {
    adw_toast_dismiss(self->toast);
  }
  g_set_weak_pointer(&self->toast, toast);
  adw_toast_set_title(toast, markup);
  adw_toast_overlay_add_toast(self->toasts, toast);
}

gboolean
qf_study_may_write(QfStudyWindow* const self)
{
  if (qf_answer_is_read_only(answer_of(self))) {
    qf_study_toast(self, "This answer was written by a newer version; it can only be read");
    return FALSE;
  }
  if (self->grade) {
    qf_study_toast(self, "This attempt is graded. Begin another one (Ctrl+Shift+N) to go on");
    return FALSE;
  }
  return TRUE;
}

static void
set_enabled(QfStudyWindow* const self, const char* const name, const gboolean is_enabled)
{
  g_simple_action_set_enabled(G_SIMPLE_ACTION(g_action_map_lookup_action(G_ACTION_MAP(self), name)),
                              is_enabled);
}

static void
show_title(QfStudyWindow* const self)
{
  const QfAnswer* const answer  = answer_of(self);
  const char* const     title   = qf_answer_get_title(answer);
  const char* const     student = qf_answer_get_student(answer);
  const int             left    = qf_answer_hearings_left(answer);
  char                  key[QF_KEY_NAME_SIZE];

  qf_key_spell_out(qf_answer_get_key(answer), qf_preferences_get_view(self->preferences).naming,
                   key, sizeof(key));
  g_autofree char* hearings =
    left >= 0 ? g_strdup_printf(" \u2022 %d hearing%s left", left, left == 1 ? "" : "s")
              : g_strdup("");
  g_autofree char* subtitle =
    g_strdup_printf("%s \u2022 attempt %zu%s%s%s", key, qf_answer_n_attempts(answer), hearings,
                    student[0] ? " \u2022 " : "", student);
  g_autofree char* name = g_strdup_printf("Dictation: %s", title[0] ? title : "Untitled lesson");
  adw_window_title_set_title(self->title, name);
  adw_window_title_set_subtitle(self->title, subtitle);
  gtk_window_set_title(GTK_WINDOW(self), name);
}

/// Scroll so that the caret stands well inside the window
static void
keep_in_sight(QfStudyWindow* const self)
{
  GtkAdjustment* const across = gtk_scrolled_window_get_hadjustment(self->scroller);
  const double         x      = qf_study_sheet_x_of(self->sheet, self->caret.time);
  const double         left   = gtk_adjustment_get_value(across);
  const double         width  = gtk_adjustment_get_page_size(across);

  if (width > 0.0 && (x < left + 0.05 * width || x > left + 0.85 * width)) {
    gtk_adjustment_set_value(across, x - 0.25 * width);
  }
}

/// Height for the sheet, unless it was made larger on purpose
static double
room_of(const QfStudyWindow* const self)
{
  const double room =
    gtk_adjustment_get_page_size(gtk_scrolled_window_get_vadjustment(self->scroller));
  return self->zoom <= usual_zoom && room > 1.0 ? room : 0.0;
}

static void
show_sheet(QfStudyWindow* const self)
{
  const QfTry* const   attempt = qf_answer_item_get_try(self->item);
  const QfScore* const score =
    attempt ? qf_try_get_score(attempt) : qf_answer_get_frame(answer_of(self));
  const QfNamingKind  naming = qf_preferences_get_view(self->preferences).naming;
  const QfNote* const note   = qf_score_note_at(score, self->caret.voice, self->caret.time);
  char                name[280];

  qf_caret_describe(score, self->caret, naming, name, sizeof(name));
  if (note && attempt && qf_try_is_given(attempt, note->id)) {
    g_strlcat(name, ", given", sizeof(name));
  } else if (note && attempt && qf_try_is_doubtful(attempt, note->id)) {
    g_strlcat(name, ", in doubt", sizeof(name));
  }
  gtk_label_set_text(self->status, name);
  qf_study_sheet_show(
    self->sheet, answer_of(self), attempt,
    (QfSheetView){self->caret.voice, self->caret.time, naming, self->zoom, room_of(self)}, name);
  keep_in_sight(self);
}

/// The page that is written on, or the graded one over the passage
static void
show_page(QfStudyWindow* const self)
{
  if (self->comparison) {
    qf_compare_view_set_caret(self->compare, self->caret.voice, self->caret.time);
  } else {
    show_sheet(self);
  }
}

void
qf_study_set_caret(QfStudyWindow* const self, const size_t voice, const QfTime time)
{
  const QfScore* const page     = self->comparison ? qf_comparison_get_score(self->comparison)
                                                   : qf_answer_get_frame(answer_of(self));
  const size_t         n_voices = qf_score_n_voices(page);

  self->caret.voice = n_voices ? MIN(voice, n_voices - 1) : 0;
  self->caret.time  = qf_time_max(QF_TIME_ZERO, qf_time_min(time, qf_score_get_end(page)));
  show_page(self);
}

void
qf_study_refresh(QfStudyWindow* const self)
{
  const bool is_open = !self->grade && !qf_answer_is_read_only(answer_of(self));

  show_title(self);
  show_page(self);
  qf_study_show_doubts(self);
  set_enabled(self, "undo", is_open && qf_answer_can_undo(answer_of(self)));
  set_enabled(self, "redo", is_open && qf_answer_can_redo(answer_of(self)));
}

static void
failed_cb(QfStudyWindow* const self, const char* const text)
{
  qf_study_toast(self, text);
  qf_study_refresh(self);
}

static void
notes_typed_cb(QfStudyWindow* const self)
{
  qf_study_write_words(self, gtk_editable_get_text(GTK_EDITABLE(self->note_entry)));
}

// ---- view

static void
zoom_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;
  const char* const    name = g_action_get_name(G_ACTION(action));

  (void)parameter;
  self->zoom = g_str_equal(name, "zoom-in")    ? MIN(most_zoom, self->zoom * zoom_step)
               : g_str_equal(name, "zoom-out") ? MAX(least_zoom, self->zoom / zoom_step)
                                               : usual_zoom;
  if (self->comparison) {
    qf_compare_view_show(self->compare, self->comparison, self->zoom,
                         qf_preferences_get_view(self->preferences).naming);
  }
  show_page(self);
}

static gboolean
fit_cb(gpointer data)
{
  QfStudyWindow* const self = data;

  self->fit_idle = 0;
  if (!self->comparison) {
    show_sheet(self);
  }
  return G_SOURCE_REMOVE;
}

/// Another height; laid out after this allocation is over
static void
resized_cb(QfStudyWindow* const self)
{
  if (!self->fit_idle) {
    self->fit_idle = g_idle_add(fit_cb, self);
  }
}

static void
side_pane_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  g_simple_action_set_state(action, state);
  adw_flap_set_reveal_flap(QF_STUDY_WINDOW(data)->flap, g_variant_get_boolean(state));
}

static void
close_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  gtk_window_close(GTK_WINDOW(data));
}

/// Closing never loses anything: what cannot be written keeps the window open
static gboolean
qf_study_window_close_request(GtkWindow* const window)
{
  QfStudyWindow* const self = QF_STUDY_WINDOW(window);

  // The numeral being typed is part of the answer.
  gtk_window_set_focus(window, NULL);
  if (!qf_answer_item_flush(self->item)) {
    return TRUE;
  }
  qf_study_stop(self);
  return GTK_WINDOW_CLASS(qf_study_window_parent_class)->close_request(window);
}

static void
qf_study_window_dispose(GObject* const object)
{
  QfStudyWindow* const self = QF_STUDY_WINDOW(object);

  g_clear_handle_id(&self->second_half, g_source_remove);
  g_clear_handle_id(&self->fit_idle, g_source_remove);
  g_clear_handle_id(&self->sing_timeout, g_source_remove);
  g_clear_handle_id(&self->player_watch, g_source_remove);
  if (self->item) {
    g_signal_handlers_disconnect_by_data(self->item, self);
  }
  g_clear_weak_pointer(&self->toast);
  g_clear_pointer(&self->player, qf_player_free);
  if (self->comparison) {
    qf_compare_view_show(self->compare, NULL, self->zoom, QF_NAMING_ENGLISH);
    g_clear_pointer(&self->comparison, qf_comparison_free);
  }
  g_clear_pointer(&self->grade, qf_grade_free);
  G_OBJECT_CLASS(qf_study_window_parent_class)->dispose(object);
  g_clear_object(&self->item);
  g_clear_object(&self->preferences);
}

static void
qf_study_window_class_init(QfStudyWindowClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose         = qf_study_window_dispose;
  GTK_WINDOW_CLASS(klass)->close_request = qf_study_window_close_request;
  g_type_ensure(QF_TYPE_STUDY_SHEET);
  g_type_ensure(QF_TYPE_COMPARE_VIEW);
  g_type_ensure(QF_TYPE_QUESTION_PANE);
  g_type_ensure(QF_TYPE_RESULT_PANE);
  g_type_ensure(QF_TYPE_HEARING_BAR);
  g_type_ensure(QF_TYPE_SING_STRIP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-study-window.ui");
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, toasts);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, title);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, flap);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, side_stack);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, scroller);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, sheet);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, pages);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, compare);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, note_entry);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, degrees_only);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, scratch_only);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, status);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, hearing);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, sing);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, questions);
  gtk_widget_class_bind_template_child(widget_class, QfStudyWindow, result);
  for (QfLayer layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    gtk_widget_class_bind_template_child_full(widget_class, qf_layer_id(layer), FALSE, 0);
  }
  gtk_widget_class_bind_template_callback(widget_class, notes_typed_cb);
}

static void
qf_study_window_init(QfStudyWindow* const self)
{
  gtk_widget_init_template(GTK_WIDGET(self));
  qf_name_buttons(GTK_WIDGET(self));
  self->caret = (QfCaret){0, QF_TIME_ZERO, 2, false};
  self->zoom  = usual_zoom;
}

/// The first place of a voice that is to be filled in
static QfTime
first_gap(const QfStudyWindow* const self, const size_t voice)
{
  const QfTry* const attempt = qf_answer_item_get_try(self->item);

  for (size_t i = 0; attempt && i < qf_answer_n_slots(answer_of(self), voice); ++i) {
    const QfSlot* const slot = qf_answer_get_slot(answer_of(self), voice, i);
    if (!qf_score_note_at(qf_try_get_score(attempt), voice, slot->start)) {
      return slot->start;
    }
  }
  return QF_TIME_ZERO;
}

/// Layers that are not asked for cannot be chosen
static void
show_layers(QfStudyWindow* const self)
{
  const unsigned layers = qf_answer_get_study(answer_of(self)).layers;

  for (QfLayer layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    GObject* const button =
      gtk_widget_get_template_child(GTK_WIDGET(self), QF_TYPE_STUDY_WINDOW, qf_layer_id(layer));
    gtk_widget_set_visible(GTK_WIDGET(button), layers & 1U << layer);
  }
}

QfStudyWindow*
qf_study_window_find(GtkApplication* const application, const char* const path)
{
  g_autofree char* wanted = g_canonicalize_filename(path, NULL);

  for (GList* at = gtk_application_get_windows(application); at; at = at->next) {
    if (QF_IS_STUDY_WINDOW(at->data)) {
      QfStudyWindow* const window = at->data;
      g_autofree char*     path_there =
        g_canonicalize_filename(qf_answer_item_get_path(window->item), NULL);
      if (g_str_equal(path_there, wanted)) {
        return window;
      }
    }
  }
  return NULL;
}

QfStudyWindow*
qf_study_window_new(GtkApplication* const application,
                    QfPreferences* const  preferences,
                    QfAnswerItem* const   item)
{
  static const GActionEntry entries[] = {
    {.name = "zoom-in", .activate = zoom_cb},
    {.name = "zoom-out", .activate = zoom_cb},
    {.name = "zoom-reset", .activate = zoom_cb},
    {.name = "side-pane", .change_state = side_pane_cb, .state = "true"},
    {.name = "close", .activate = close_cb},
  };
  QfStudyWindow* const self = g_object_new(QF_TYPE_STUDY_WINDOW, "application", application, NULL);

  self->preferences = g_object_ref(preferences);
  self->item        = g_object_ref(item);
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  qf_hearing_bar_set_hearing(self->hearing, qf_lesson_get_hearing(qf_answer_item_get_lesson(item)),
                             qf_answer_get_frame(answer_of(self)));
  qf_study_add_caret_actions(self);
  qf_study_add_note_actions(self);
  qf_study_add_chord_actions(self);
  qf_study_add_scratch_actions(self);
  qf_study_add_play_actions(self);
  qf_study_add_input_actions(self);
  qf_study_add_question_actions(self);
  qf_study_add_result_actions(self);
  qf_study_add_compare_actions(self);
  qf_study_add_hand_in_actions(self);
  g_signal_connect_swapped(item, "changed", G_CALLBACK(qf_study_refresh), self);
  g_signal_connect_swapped(item, "failed", G_CALLBACK(failed_cb), self);
  gtk_window_set_default_size(GTK_WINDOW(self), 1280, 800);
  g_signal_connect_object(gtk_scrolled_window_get_vadjustment(self->scroller), "notify::page-size",
                          G_CALLBACK(resized_cb), self, G_CONNECT_SWAPPED);
  show_layers(self);
  const size_t bass = qf_study_voice_of(self, QF_LAYER_BASS);
  qf_study_set_caret(self, bass, first_gap(self, bass));
  qf_study_refresh(self);
  gtk_widget_grab_focus(GTK_WIDGET(qf_study_sheet_get_score_view(self->sheet)));
  qf_study_get_player(self); // Ready before it is needed
  return self;
}
