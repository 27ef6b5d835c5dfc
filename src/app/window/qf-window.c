// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "common/qf-names.h"
#include "page/qf-note-mark.h"
#include "qf-app.h"

#include <math.h>

G_DEFINE_FINAL_TYPE(QfWindow, qf_window, ADW_TYPE_APPLICATION_WINDOW)

size_t
qf_window_get_link(const QfWindow* const self)
{
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  return labels ? qf_labels_link_at(labels, self->caret.time) : SIZE_MAX;
}

void
qf_window_toast(QfWindow* const self, const char* const text)
{
  AdwToast* const  toast  = adw_toast_new("");
  g_autofree char* markup = g_markup_escape_text(text, -1);

  // The latest message is the one that matters; older ones would queue behind it.
  if (self->toast) {
    adw_toast_dismiss(self->toast);
  }
  g_set_weak_pointer(&self->toast, toast);
  adw_toast_set_title(toast, markup);
  adw_toast_set_timeout(toast, 4);
  adw_toast_overlay_add_toast(self->toasts, toast);
}

void
qf_window_notice(QfWindow* const self, const char* const text)
{
  gtk_label_set_text(self->notice_text, text);
  gtk_revealer_set_reveal_child(self->notice, TRUE);
}

void
qf_window_set_enabled(QfWindow* const self, const char* const action, const gboolean is_enabled)
{
  GAction* const found = g_action_map_lookup_action(G_ACTION_MAP(self), action);
  g_return_if_fail(found);
  g_simple_action_set_enabled(G_SIMPLE_ACTION(found), is_enabled);
}

void
qf_window_set_state(QfWindow* const self, const char* const action, GVariant* const state)
{
  GAction* const found = g_action_map_lookup_action(G_ACTION_MAP(self), action);
  g_return_if_fail(found);
  g_simple_action_set_state(G_SIMPLE_ACTION(found), state);
}

QfKey
qf_window_key_at(const QfWindow* const self, const QfTime time)
{
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  QfKey                 key    = {{0, 0}, QF_MAJOR};
  const bool is_declared       = qf_lesson_get_key(qf_lesson_item_get_lesson(self->item), &key);

  if (!is_declared) {
    key = qf_score_signature_at(qf_lesson_item_get_score(self->item), time);
  }

  // A chord written into a passage that has modulated belongs to the key reached by then.
  for (size_t i = 0; labels && i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const label = qf_labels_get_link(labels, i);
    if (qf_time_compare(label->start, time) > 0) {
      break;
    }
    key = label->is_known ? label->key : key;
  }

  return key;
}

/// Add what a note outside its chord is to the words for the caret
static void
add_foreign_kind(const QfWindow* const self, char* const name, const size_t size)
{
  const QfScore* const score = qf_lesson_item_get_score(self->item);
  const QfNote* const  note  = self->caret.voice < qf_score_n_voices(score)
                                 ? qf_score_note_at(score, self->caret.voice, self->caret.time)
                                 : NULL;
  QfForeignKind        kind  = QF_FOREIGN_FREE;

  if (note &&
      qf_note_find_kind(qf_lesson_item_get_labels(self->item), self->caret.time, note->id, &kind)) {
    g_strlcat(name, ", ", size);
    g_strlcat(name, qf_foreign_kind_name(kind), size);
  }
}

static void
add_given(const QfWindow* const self, char* const name, const size_t size)
{
  const QfScore* const score  = qf_lesson_item_get_score(self->item);
  const gboolean       exists = self->caret.voice < qf_score_n_voices(score);
  const QfNote* const  note =
    exists ? qf_score_note_at(score, self->caret.voice, self->caret.time) : NULL;

  if (note && qf_lesson_is_given(qf_lesson_item_get_lesson(self->item), note->id)) {
    g_strlcat(name, ", given", size);
  }
}

void
qf_window_show_caret(QfWindow* const self)
{
  const QfScore* const score  = qf_lesson_item_get_score(self->item);
  const QfNamingKind   naming = qf_preferences_get_view(self->preferences).naming;
  const size_t         link   = qf_window_get_link(self);
  char                 name[280];
  char                 place[64];
  char                 key[QF_KEY_NAME_SIZE];

  qf_caret_describe(score, self->caret, naming, name, sizeof(name));
  add_foreign_kind(self, name, sizeof(name));
  if (self->kept_voices >> self->caret.voice & 1U) {
    g_strlcat(name, ", kept", sizeof(name));
  }
  add_given(self, name, sizeof(name));
  qf_place_speak(score, self->caret.time, place, sizeof(place));
  qf_key_spell_out(qf_window_key_at(self, self->caret.time), naming, key, sizeof(key));
  g_autofree char* where = g_strdup_printf("%s, %s", place, key);

  gtk_label_set_text(self->status, name);
  qf_passage_view_set_caret(self->passage, self->caret.voice, self->caret.time, name);
  qf_numeral_entry_set_place(qf_passage_view_get_entry(self->passage), where);
  qf_circle_view_set_marks(self->circle, link, SIZE_MAX);
  qf_reasons_pane_show(self->reasons, qf_lesson_item_get_labels(self->item), link, naming);
  qf_window_explore_later(self);
}

void
qf_window_set_caret(QfWindow* const self, const size_t voice, const QfTime time)
{
  const QfScore* const score    = qf_lesson_item_get_score(self->item);
  const size_t         n_voices = qf_score_n_voices(score);

  self->caret.voice = n_voices ? MIN(voice, n_voices - 1) : 0;
  self->caret.time  = qf_time_max(QF_TIME_ZERO, qf_time_min(time, qf_score_get_end(score)));
  self->has_anchor  = FALSE;
  qf_window_show_caret(self);
  qf_window_show_selection(self);
}

static void
show_title(QfWindow* const self)
{
  g_autofree char*      name   = qf_lesson_item_dup_title(self->item);
  const char* const     path   = qf_lesson_item_get_path(self->item);
  g_autofree char*      base   = path ? g_path_get_basename(path) : g_strdup("not saved yet");
  const char* const     edited = qf_lesson_item_is_modified(self->item) ? " \u2022 edited" : "";
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  char                  key[QF_KEY_NAME_SIZE] = "";

  if (labels) {
    qf_key_spell_out(qf_labels_get_key(labels), qf_preferences_get_view(self->preferences).naming,
                     key, sizeof(key));
  }
  const gboolean   is_read_only = qf_lesson_is_read_only(qf_lesson_item_get_lesson(self->item));
  g_autofree char* subtitle =
    g_strdup_printf("%s \u2022 %s%s%s", key, base, edited, is_read_only ? " \u2022 read only" : "");
  adw_window_title_set_title(self->title, name);
  adw_window_title_set_subtitle(self->title, subtitle);
  gtk_window_set_title(GTK_WINDOW(self), name);
}

static void
show_history(QfWindow* const self)
{
  const QfLesson* const lesson = qf_lesson_item_get_lesson(self->item);
  const char* const     undo   = qf_lesson_get_undo_name(lesson);
  const char* const     redo   = qf_lesson_get_redo_name(lesson);
  g_autofree char*      undo_tip =
    g_strdup_printf("Undo%s%s (Ctrl+Z)", undo ? ": " : "", undo ? undo : "");
  g_autofree char* redo_tip =
    g_strdup_printf("Redo%s%s (Ctrl+Shift+Z)", redo ? ": " : "", redo ? redo : "");

  gtk_widget_set_tooltip_text(self->undo, undo_tip);
  gtk_widget_set_tooltip_text(self->redo, redo_tip);
  qf_window_set_enabled(self, "undo", qf_lesson_can_undo(lesson));
  qf_window_set_enabled(self, "redo", qf_lesson_can_redo(lesson));
}

void
qf_window_refresh(QfWindow* const self)
{
  const QfViewSettings  view   = qf_preferences_get_view(self->preferences);
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);

  qf_passage_view_show(self->passage, qf_lesson_item_get_score(self->item), labels, view);
  qf_window_show_givens(self);
  qf_circle_view_set_labels(self->circle, labels, view.naming);
  show_title(self);
  show_history(self);
  qf_window_check_later(self);
  qf_window_show_voices(self);
  qf_window_set_caret(self, self->caret.voice, self->caret.time);
}

static void
show_hearing(QfWindow* const self)
{
  qf_hearing_bar_set_hearing(self->hearing,
                             qf_lesson_get_hearing(qf_lesson_item_get_lesson(self->item)),
                             qf_lesson_item_get_score(self->item));
}

static void
changed_cb(QfWindow* const self)
{
  if (!self->hearing_timeout) {
    show_hearing(self);
  }
  qf_window_show_step(self, self->player && qf_player_is_playing(self->player));

  qf_window_refresh(self);
  qf_window_show_place(self);
}

/// The length of the first note is the likeliest for the next ones
static void
guess_value(QfWindow* const self)
{
  const QfScore* const score = qf_lesson_item_get_score(self->item);
  const QfNote* const  first =
    qf_score_n_voices(score) && qf_score_n_notes(score, 0) ? qf_score_get_note(score, 0, 0) : NULL;
  const QfTime wanted = first ? first->duration : qf_caret_beat(score, QF_TIME_ZERO);

  self->caret.value     = 2;
  self->caret.is_dotted = false;
  for (int8_t value = 0; value <= 4; ++value) {
    for (int dots = 0; dots < 2; ++dots) {
      const QfCaret trial = {.value = value, .is_dotted = dots};
      if (!qf_time_compare(qf_caret_duration(trial), wanted)) {
        self->caret.value     = value;
        self->caret.is_dotted = dots;
      }
    }
  }

  qf_window_set_state(self, "value", g_variant_new_int32(self->caret.value));
  qf_window_set_state(self, "dotted", g_variant_new_boolean(self->caret.is_dotted));
}

static void
replaced_cb(QfWindow* const self)
{
  qf_window_stop(self);
  qf_window_end_singing(self);
  g_clear_handle_id(&self->hearing_timeout, g_source_remove);
  self->loop_from = QF_TIME_ZERO;
  self->loop_to   = QF_TIME_ZERO;
  qf_window_set_state(self, "loop-here", g_variant_new_boolean(FALSE));
  self->caret.voice = 0;
  self->caret.time  = QF_TIME_ZERO;
  qf_window_forget_findings(self);
  qf_window_reset_ways(self);
  guess_value(self);
  show_hearing(self);
  qf_window_refresh(self);
  qf_passage_view_fit(self->passage);
}

static void
saved_cb(QfWindow* const self)
{
  show_title(self);
}

static void
failed_cb(QfWindow* const self, const char* const text)
{
  qf_window_toast(self, text);
}

gboolean
qf_window_is_extending(QfWindow* const self)
{
  GdkSeat* const   seat  = gdk_display_get_default_seat(gtk_widget_get_display(GTK_WIDGET(self)));
  GdkDevice* const board = seat ? gdk_seat_get_keyboard(seat) : NULL;
  return board && (gdk_device_get_modifier_state(board) & GDK_SHIFT_MASK) != 0;
}

static void
chosen_cb(QfWindow* const self, const guint index)
{
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  if (qf_window_is_extending(self)) {
    qf_window_extend_selection(self, index);
  } else if (labels && index < qf_labels_n_links(labels)) {
    qf_window_set_caret(self, self->caret.voice, qf_labels_get_link(labels, index)->start);
  }
}

static void
typed_cb(QfWindow* const self, const char* const text)
{
  qf_numeral_entry_begin(qf_passage_view_get_entry(self->passage), text);
}

static void
left_cb(QfWindow* const self)
{
  gtk_widget_grab_focus(GTK_WIDGET(qf_passage_view_get_score_view(self->passage)));
}

static gboolean
qf_window_close_request(GtkWindow* const window)
{
  QfWindow* const self = QF_WINDOW(window);

  if (!self->is_closing) {
    gtk_widget_activate_action(GTK_WIDGET(self), "win.close", NULL);
    return TRUE;
  }

  int width = 0, height = 0;
  gtk_window_get_default_size(window, &width, &height);
  qf_preferences_set_window_size(self->preferences, width, height);
  qf_window_stop(self);
  qf_lesson_item_drop_journal(self->item);
  return GTK_WINDOW_CLASS(qf_window_parent_class)->close_request(window);
}

static void
qf_window_dispose(GObject* const object)
{
  QfWindow* const self = QF_WINDOW(object);

  g_clear_handle_id(&self->hearing_timeout, g_source_remove);
  g_clear_handle_id(&self->explore_timeout, g_source_remove);
  g_clear_handle_id(&self->step_timeout, g_source_remove);
  g_clear_handle_id(&self->sing_timeout, g_source_remove);
  g_clear_pointer(&self->running_export, qf_export_free);
  qf_window_drop_findings(self);
  if (self->item) {
    g_signal_handlers_disconnect_by_data(self->item, self);
  }
  if (self->preferences) {
    g_signal_handlers_disconnect_by_data(self->preferences, self);
  }
  g_clear_weak_pointer(&self->toast);
  qf_window_drop_player(self);
  qf_performance_clear(&self->performance);
  g_clear_pointer(&self->then_argument, g_free);
  g_clear_pointer(&self->soundfont, g_free);
  g_clear_pointer(&self->driver, g_free);
  g_clear_pointer(&self->way_found, g_free);
  G_OBJECT_CLASS(qf_window_parent_class)->dispose(object);
  g_clear_object(&self->item);
  g_clear_object(&self->preferences);
}

static void
qf_window_class_init(QfWindowClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose         = qf_window_dispose;
  GTK_WINDOW_CLASS(klass)->close_request = qf_window_close_request;

  g_type_ensure(QF_TYPE_PASSAGE_VIEW);
  g_type_ensure(QF_TYPE_CIRCLE_VIEW);
  g_type_ensure(QF_TYPE_REASONS_PANE);
  g_type_ensure(QF_TYPE_FINDINGS_PANE);
  g_type_ensure(QF_TYPE_EXPLORE_PANE);
  g_type_ensure(QF_TYPE_REALISE_BAR);
  g_type_ensure(QF_TYPE_HEARING_BAR);
  g_type_ensure(QF_TYPE_PLAN_STRIP);
  g_type_ensure(QF_TYPE_SING_STRIP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-window.ui");
  gtk_widget_class_bind_template_child(widget_class, QfWindow, toasts);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, title);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, undo);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, redo);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, notice);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, notice_text);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, flap);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, side);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, side_stack);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, passage);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, circle);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, reasons);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, findings_pane);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, explore);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, realise_bar);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, hearing);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, strip);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, sing);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, status);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, progress);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, progress_text);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, progress_bar);
  gtk_widget_class_bind_template_child(widget_class, QfWindow, recent_menu);
}

/// On a wide screen the side pane takes its share
static void
resized_cb(QfWindow* const self)
{
  int width = 0, height = 0;
  gtk_window_get_default_size(GTK_WINDOW(self), &width, &height);
  gtk_widget_set_size_request(self->side, CLAMP(width / 5, 300, 640), -1);
}

static void
connect_views(QfWindow* const self)
{
  QfChainView* const    chain = qf_passage_view_get_chain_view(self->passage);
  QfNumeralEntry* const entry = qf_passage_view_get_entry(self->passage);

  g_signal_connect_object(chain, "chosen", G_CALLBACK(chosen_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(chain, "typed", G_CALLBACK(typed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(entry, "entered", G_CALLBACK(qf_window_place_numerals), self,
                          G_CONNECT_SWAPPED);
  g_signal_connect_object(entry, "left", G_CALLBACK(left_cb), self, G_CONNECT_SWAPPED);
}

static void
qf_window_init(QfWindow* const self)
{
  gtk_widget_init_template(GTK_WIDGET(self));
  self->item  = qf_lesson_item_new();
  self->caret = (QfCaret){0, QF_TIME_ZERO, 2, false};
  g_signal_connect_swapped(self->item, "changed", G_CALLBACK(changed_cb), self);
  g_signal_connect_swapped(self->item, "replaced", G_CALLBACK(replaced_cb), self);
  g_signal_connect_swapped(self->item, "saved", G_CALLBACK(saved_cb), self);
  g_signal_connect_swapped(self->item, "failed", G_CALLBACK(failed_cb), self);
  connect_views(self);
  g_signal_connect(self, "notify::default-width", G_CALLBACK(resized_cb), NULL);
  g_signal_connect(self, "map", G_CALLBACK(qf_window_prepare_player), NULL);
}

QfWindow*
qf_window_new(GtkApplication* const application, QfPreferences* const preferences)
{
  QfWindow* const self   = g_object_new(QF_TYPE_WINDOW, "application", application, NULL);
  int             width  = 0;
  int             height = 0;

  self->preferences = g_object_ref(preferences);
  qf_window_add_open_actions(self);
  qf_window_add_study_actions(self);
  qf_window_add_midi_actions(self);
  qf_window_add_save_actions(self);
  qf_window_add_export_actions(self);
  qf_window_add_note_actions(self);
  qf_window_add_caret_actions(self);
  qf_window_add_chord_actions(self);
  qf_window_add_play_actions(self);
  qf_window_add_sound_actions(self);
  qf_window_add_hearing_actions(self);
  qf_window_add_plan_actions(self);
  qf_window_add_record_actions(self);
  qf_window_add_sing_actions(self);
  qf_window_add_view_actions(self);
  qf_window_add_finding_actions(self);
  qf_window_add_explore_actions(self);
  qf_window_add_realise_actions(self);
  qf_window_add_given_actions(self);
  qf_window_add_harmonise_actions(self);

  qf_preferences_get_window_size(preferences, &width, &height);
  gtk_window_set_default_size(GTK_WINDOW(self), width, height);
  qf_window_fill_recent(self);
  replaced_cb(self);
  gtk_widget_grab_focus(GTK_WIDGET(qf_passage_view_get_score_view(self->passage)));
  return self;
}
