// SPDX-License-Identifier: MIT
#include "qf-study-private.h"

#include "page/qf-note-entry.h"

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
}

/// The note at the caret, or NULL with a hint to the user
static const QfNote*
caret_note(QfStudyWindow* const self)
{
  const QfNote* const note =
    qf_score_note_at(qf_study_get_score(self), self->caret.voice, self->caret.time);
  if (!note) {
    qf_study_toast(self, "There is no note at the caret in this voice");
  }
  return note;
}

static void
write_pitch(QfStudyWindow* const self, const QfPitch pitch)
{
  QfTime  start = QF_TIME_ZERO, duration = QF_TIME_ZERO;
  QfError error = {0};

  qf_study_place_at_caret(self, &start, &duration);
  if (qf_study_may_write(self) &&
      qf_answer_item_finish(self->item,
                            qf_answer_put_note(answer_of(self), self->caret.voice, start, duration,
                                               pitch, NULL, &error),
                            &error)) {
    qf_study_sound_pitches(self, &pitch, 1, 0.8);
    qf_study_set_caret(self, self->caret.voice, qf_study_stop_after(self, start, duration));
  }
}

static void
write_note_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self   = data;
  const int            letter = qf_entry_letter(g_variant_get_string(parameter, NULL));

  (void)action;
  if (letter >= 0) {
    write_pitch(self, qf_caret_nearest_pitch(qf_study_get_score(self), self->caret, letter));
  }
}

static void
write_rest_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_study_set_caret(self, self->caret.voice, qf_study_next_stop(self, self->caret.time));
}

static void
delete_at(QfStudyWindow* const self, const QfTime time)
{
  const QfNote* const note  = qf_score_note_at(qf_study_get_score(self), self->caret.voice, time);
  QfError             error = {0};

  if (note && qf_study_may_write(self)) {
    qf_answer_item_finish(self->item, qf_answer_delete_note(answer_of(self), note->id, &error),
                          &error);
  }
}

static void
delete_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)parameter;
  if (g_str_equal(g_action_get_name(G_ACTION(action)), "delete-before")) {
    qf_study_set_caret(self, self->caret.voice, qf_study_previous_stop(self, self->caret.time));
  }
  delete_at(self, self->caret.time);
}

static void
set_pitch(QfStudyWindow* const self, const QfNote* const note, const QfPitch pitch)
{
  QfError error = {0};

  if (qf_study_may_write(self) &&
      qf_answer_item_finish(
        self->item, qf_answer_set_pitch(answer_of(self), note->id, pitch, &error), &error)) {
    qf_study_sound_pitches(self, &pitch, 1, 0.8);
  }
}

static void
step_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self  = data;
  const int            steps = qf_entry_steps(g_action_get_name(G_ACTION(action)));
  const QfNote* const  note  = caret_note(self);

  (void)parameter;
  if (note) {
    set_pitch(self, note,
              qf_pitch_move_steps(note->pitch, steps,
                                  qf_score_signature_at(qf_study_get_score(self), note->start)));
  }
}

static void
alter_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self  = data;
  const QfNote* const  note  = caret_note(self);
  QfPitch              pitch = {0, 0, 0};
  QfError              error = {0};

  (void)parameter;
  if (!note) {
    return;
  }
  if (qf_entry_alter(g_action_get_name(G_ACTION(action)), note->pitch, &pitch, &error)) {
    qf_study_toast(self, error.text);
  } else {
    set_pitch(self, note, pitch);
  }
}

/// Doubt the note at the caret, or trust it again
static void
doubt_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self    = data;
  const QfTry* const   attempt = qf_answer_item_get_try(self->item);
  const QfNote* const  note    = caret_note(self);
  QfError              error   = {0};

  (void)action;
  (void)parameter;
  if (note && attempt && qf_study_may_write(self)) {
    const bool is_doubtful = qf_try_is_doubtful(attempt, note->id);
    qf_answer_item_finish(self->item,
                          qf_answer_set_note_doubt(answer_of(self), note->id, !is_doubtful, &error),
                          &error);
  }
}

static void
set_value_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self  = data;
  const QfNote* const  note  = caret_note(self);
  QfError              error = {0};

  (void)action;
  if (note && qf_study_may_write(self)) {
    const QfCaret wanted = {.value = qf_entry_value(g_variant_get_int32(parameter))};
    qf_answer_item_finish(
      self->item,
      qf_answer_set_duration(answer_of(self), note->id, qf_caret_duration(wanted), &error), &error);
  }
}

/// A click puts the caret on a note or place; a second one writes a note there
static void
picked_cb(QfStudyWindow* const self, const double x, const double y, const int n_press)
{
  QfHit  hit   = {0};
  size_t voice = self->caret.voice;

  if (!qf_study_sheet_hit(self->sheet, x, y, &hit)) {
    return;
  }

  const QfNote* const note = qf_score_find_note(qf_study_get_score(self), hit.note, &voice);
  if (note) {
    qf_study_set_caret(self, voice, note->start);
    qf_study_sound_pitches(self, &note->pitch, 1, 0.8);
    return;
  }

  const QfCaret there =
    qf_entry_point(qf_study_get_score(self), self->caret, hit.staff, hit.step, hit.time);
  qf_study_set_caret(self, there.voice, there.time);
  if (n_press == 2) {
    write_pitch(self, qf_entry_pitch_at_step(qf_study_get_score(self), hit.time, hit.step));
  }
}

static void
dragged_cb(QfStudyWindow* const self, const guint id, const double x, const double y)
{
  size_t              voice = 0;
  QfHit               hit   = {0};
  const QfNote* const note  = qf_score_find_note(qf_study_get_score(self), id, &voice);

  if (note && qf_study_sheet_hit(self->sheet, x, y, &hit) &&
      hit.step != qf_pitch_step(note->pitch)) {
    set_pitch(self, note,
              qf_pitch_move_steps(note->pitch, hit.step - qf_pitch_step(note->pitch),
                                  qf_score_signature_at(qf_study_get_score(self), note->start)));
  }
}

static void
history_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self    = data;
  const bool           is_undo = g_str_equal(g_action_get_name(G_ACTION(action)), "undo");

  (void)parameter;
  if (qf_study_may_write(self) &&
      (is_undo ? qf_answer_can_undo(answer_of(self)) : qf_answer_can_redo(answer_of(self)))) {
    qf_answer_item_finish(
      self->item, is_undo ? qf_answer_undo(answer_of(self)) : qf_answer_redo(answer_of(self)),
      NULL);
  }
}

void
qf_study_add_note_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "write-note", .activate = write_note_cb, .parameter_type = "s"},
    {.name = "write-rest", .activate = write_rest_cb},
    {.name = "delete-note", .activate = delete_cb},
    {.name = "delete-before", .activate = delete_cb},
    {.name = "step-up", .activate = step_cb},
    {.name = "step-down", .activate = step_cb},
    {.name = "octave-up", .activate = step_cb},
    {.name = "octave-down", .activate = step_cb},
    {.name = "sharpen", .activate = alter_cb},
    {.name = "flatten", .activate = alter_cb},
    {.name = "doubt", .activate = doubt_cb},
    {.name = "set-value", .activate = set_value_cb, .parameter_type = "i"},
    {.name = "undo", .activate = history_cb},
    {.name = "redo", .activate = history_cb},
  };
  QfScoreView* const view = qf_study_sheet_get_score_view(self->sheet);

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(view, "picked", G_CALLBACK(picked_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(view, "dragged", G_CALLBACK(dragged_cb), self, G_CONNECT_SWAPPED);
}
