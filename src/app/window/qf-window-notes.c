// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "common/qf-message.h"
#include "page/qf-note-entry.h"

static QfLesson*
lesson_of(const QfWindow* const self)
{
  return qf_lesson_item_get_lesson(self->item);
}

/// The note at the caret, or NULL with a hint to the user
static const QfNote*
caret_note(QfWindow* const self)
{
  const QfScore* const score = qf_lesson_item_get_score(self->item);
  const QfNote* const  note  = self->caret.voice < qf_score_n_voices(score)
                                 ? qf_score_note_at(score, self->caret.voice, self->caret.time)
                                 : NULL;

  if (!note) {
    qf_window_toast(self, "There is no note at the caret in this voice");
  }

  return note;
}

static void
write_note_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self   = data;
  const int       letter = qf_entry_letter(g_variant_get_string(parameter, NULL));
  QfError         error  = {0};

  (void)action;
  if (letter < 0 || !qf_score_n_voices(qf_lesson_item_get_score(self->item))) {
    return;
  }

  const QfTime  duration = qf_caret_duration(self->caret);
  const QfPitch pitch =
    qf_caret_nearest_pitch(qf_lesson_item_get_score(self->item), self->caret, letter);
  const QfStatus st = qf_lesson_put_note(lesson_of(self), self->caret.voice, self->caret.time,
                                         duration, pitch, NULL, &error);
  if (qf_lesson_item_finish(self->item, st, &error)) {
    qf_window_sound_pitches(self, &pitch, 1, 0.8);
    qf_window_set_caret(self, self->caret.voice, qf_time_add(self->caret.time, duration));
  }
}

static void
write_rest_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const      self  = data;
  const QfScore* const score = qf_lesson_item_get_score(self->item);
  const QfNote* const  note  = qf_score_note_at(score, self->caret.voice, self->caret.time);
  QfError              error = {0};

  (void)action;
  (void)parameter;
  if (note) {
    // A note held into the rest is cut short; one that begins here goes.
    const QfTime   kept = qf_time_sub(self->caret.time, note->start);
    const QfStatus st   = kept.num ? qf_lesson_set_duration(lesson_of(self), note->id, kept, &error)
                                   : qf_lesson_delete_note(lesson_of(self), note->id, &error);
    if (!qf_lesson_item_finish(self->item, st, &error)) {
      return;
    }
  }

  qf_window_set_caret(self, self->caret.voice,
                      qf_time_add(self->caret.time, qf_caret_duration(self->caret)));
}

static void
delete_note_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const     self  = data;
  const QfNote* const note  = caret_note(self);
  QfError             error = {0};

  (void)action;
  (void)parameter;
  if (note) {
    const QfStatus st = qf_lesson_delete_note(lesson_of(self), note->id, &error);
    qf_lesson_item_finish(self->item, st, &error);
  }
}

/// Delete the note before the caret and go back to where it began
static void
delete_before_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const      self   = data;
  const QfScore* const score  = qf_lesson_item_get_score(self->item);
  const QfNote*        before = NULL;
  QfError              error  = {0};

  (void)action;
  (void)parameter;
  for (size_t i = 0; i < qf_score_n_notes(score, self->caret.voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, self->caret.voice, i);
    before                   = qf_time_compare(note->start, self->caret.time) < 0 ? note : before;
  }
  if (before) {
    const QfTime   start = before->start;
    const QfStatus st    = qf_lesson_delete_note(lesson_of(self), before->id, &error);
    if (qf_lesson_item_finish(self->item, st, &error)) {
      qf_window_set_caret(self, self->caret.voice, start);
    }
  }
}

static void
set_pitch(QfWindow* const self, const QfNote* const note, const QfPitch pitch)
{
  QfError        error = {0};
  const QfStatus st    = qf_lesson_set_pitch(lesson_of(self), note->id, pitch, &error);

  if (qf_lesson_item_finish(self->item, st, &error)) {
    qf_window_sound_pitches(self, &pitch, 1, 0.8);
  }
}

static void
step_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const     self  = data;
  const int           steps = qf_entry_steps(g_action_get_name(G_ACTION(action)));
  const QfNote* const note  = caret_note(self);

  (void)parameter;
  if (note) {
    const QfScore* const score = qf_lesson_item_get_score(self->item);
    set_pitch(self, note,
              qf_pitch_move_steps(note->pitch, steps, qf_score_signature_at(score, note->start)));
  }
}

static void
alter_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const     self  = data;
  const QfNote* const note  = caret_note(self);
  QfPitch             pitch = {0, 0, 0};
  QfError             error = {0};

  (void)parameter;
  if (!note) {
    return;
  }
  if (qf_entry_alter(g_action_get_name(G_ACTION(action)), note->pitch, &pitch, &error)) {
    g_autofree char* text = qf_sentence_dup(error.text);
    qf_window_toast(self, text);
  } else {
    set_pitch(self, note, pitch);
  }
}

static void
set_value_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const     self  = data;
  const QfNote* const note  = caret_note(self);
  QfError             error = {0};

  (void)action;
  if (note) {
    const QfCaret  wanted = {.value = qf_entry_value(g_variant_get_int32(parameter))};
    const QfStatus st =
      qf_lesson_set_duration(lesson_of(self), note->id, qf_caret_duration(wanted), &error);
    qf_lesson_item_finish(self->item, st, &error);
  }
}

/// Lengthen the note at the caret by half, or take that back
static void
dot_note_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const     self  = data;
  const QfNote* const note  = caret_note(self);
  QfError             error = {0};

  (void)action;
  (void)parameter;
  if (note) {
    const bool     is_dotted = note->duration.num == 3;
    const QfTime   factor    = is_dotted ? qf_time(2, 3) : qf_time(3, 2);
    const QfStatus st        = qf_lesson_set_duration(lesson_of(self), note->id,
                                                      qf_time_mul(note->duration, factor), &error);
    qf_lesson_item_finish(self->item, st, &error);
  }
}

static void
move_note_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const     self    = data;
  const bool          is_left = g_str_equal(g_action_get_name(G_ACTION(action)), "move-note-left");
  const QfNote* const note    = caret_note(self);
  QfError             error   = {0};

  (void)parameter;
  if (!note) {
    return;
  }

  const QfTime beat  = qf_caret_beat(qf_lesson_item_get_score(self->item), note->start);
  const QfTime start = is_left ? qf_time_sub(note->start, beat) : qf_time_add(note->start, beat);
  if (start.num < 0) {
    qf_window_toast(self, "The note is at the start of the passage already");
    return;
  }

  const QfStatus st = qf_lesson_move_note(lesson_of(self), note->id, start, &error);
  if (qf_lesson_item_finish(self->item, st, &error)) {
    qf_window_set_caret(self, self->caret.voice, start);
  }
}

/// Set a fermata over what begins at the caret, or lift it
static void
fermata_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const      self  = data;
  const QfScore* const score = qf_lesson_item_get_score(self->item);
  const QfNote* const  note  = caret_note(self);
  QfError              error = {0};

  (void)action;
  (void)parameter;
  if (note) {
    const bool     is_set = qf_score_has_fermata(score, note->start);
    const QfStatus st     = qf_lesson_set_fermata(lesson_of(self), note->start, !is_set, &error);
    qf_lesson_item_finish(self->item, st, &error);
  }
}

static void
undo_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_window_flush_hearing(self);
  if (qf_lesson_can_undo(lesson_of(self))) {
    qf_lesson_item_finish(self->item, qf_lesson_undo(lesson_of(self)), NULL);
  }
}

static void
redo_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  if (qf_lesson_can_redo(lesson_of(self))) {
    qf_lesson_item_finish(self->item, qf_lesson_redo(lesson_of(self)), NULL);
  }
}

void
qf_window_add_note_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "write-note", .activate = write_note_cb, .parameter_type = "s"},
    {.name = "write-rest", .activate = write_rest_cb},
    {.name = "delete-note", .activate = delete_note_cb},
    {.name = "delete-before", .activate = delete_before_cb},
    {.name = "step-up", .activate = step_cb},
    {.name = "step-down", .activate = step_cb},
    {.name = "octave-up", .activate = step_cb},
    {.name = "octave-down", .activate = step_cb},
    {.name = "sharpen", .activate = alter_cb},
    {.name = "flatten", .activate = alter_cb},
    {.name = "set-value", .activate = set_value_cb, .parameter_type = "i"},
    {.name = "dot-note", .activate = dot_note_cb},
    {.name = "move-note-left", .activate = move_note_cb},
    {.name = "move-note-right", .activate = move_note_cb},
    {.name = "fermata", .activate = fermata_cb},
    {.name = "undo", .activate = undo_cb},
    {.name = "redo", .activate = redo_cb},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
