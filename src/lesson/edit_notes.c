// SPDX-License-Identifier: MIT
#include "lesson_impl.h"

#include <stdlib.h>

static QfStatus
no_such_note(QfError* const error)
{
  return qf_error_set(error, QF_ERR_RANGE, "the note is no longer in the lesson");
}

static QfTime
note_end(const QfNote* const note)
{
  return qf_time_add(note->start, note->duration);
}

/// Say what is wrong with a note that the score would refuse
static QfStatus
put(State* const    state,
    const size_t    voice,
    const QfNote    note,
    uint32_t* const new_id,
    QfError* const  error)
{
  const QfStatus st =
    qf_score_put_note(state->score, voice, note.start, note.duration, note.pitch, note.id, new_id);
  if (st != QF_ERR_RANGE) {
    return st;
  }

  const char* const reason = voice >= qf_score_n_voices(state->score) ? "there is no such voice"
                             : note.start.num < 0     ? "a note can't begin before the first bar"
                             : note.duration.num <= 0 ? "a note needs a length above zero"
                             : qf_pitch_midi(note.pitch) < 0 || qf_pitch_midi(note.pitch) > 127
                               ? "the pitch lies outside C-1 to G9"
                               : "the note would lie beyond the longest piece that can be written";
  return qf_error_set(error, st, "%s", reason);
}

QfStatus
qf_lesson_put_note(QfLesson* const lesson,
                   const size_t    voice,
                   const QfTime    start,
                   const QfTime    duration,
                   const QfPitch   pitch,
                   uint32_t* const new_id,
                   QfError* const  error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  uint32_t     id   = QF_NO_NOTE;
  const QfNote note = {QF_NO_NOTE, start, duration, pitch};
  st = lesson_end_edit(lesson, state, "Write a note", put(state, voice, note, &id, error), error);
  if (!st && new_id) {
    *new_id = id;
  }
  return st;
}

QfStatus
qf_lesson_put_chord(QfLesson* const      lesson,
                    const QfTime         start,
                    const QfTime         duration,
                    const QfPitch* const pitches,
                    const bool* const    is_put,
                    QfError* const       error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  for (size_t v = 0; !st && v < qf_score_n_voices(state->score); ++v) {
    const QfNote note = {QF_NO_NOTE, start, duration, pitches[v]};
    st                = is_put[v] ? put(state, v, note, NULL, error) : QF_OK;
  }
  return lesson_end_edit(lesson, state, "Write a chord", st, error);
}

static QfStatus
set_pitch(State* const state, const QfNewPitch change, QfError* const error)
{
  if (!qf_score_find_note(state->score, change.note, NULL)) {
    return no_such_note(error);
  }

  const QfStatus st = qf_score_set_pitch(state->score, change.note, change.pitch);
  return st ? qf_error_set(error, st, "the pitch lies outside C-1 to G9") : QF_OK;
}

static QfStatus
set_pitches(QfLesson* const         lesson,
            const QfNewPitch* const changes,
            const size_t            n_changes,
            const char* const       name,
            QfError* const          error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  for (size_t i = 0; i < n_changes && !st; ++i) {
    st = set_pitch(state, changes[i], error);
  }
  return lesson_end_edit(lesson, state, name, st, error);
}

QfStatus
qf_lesson_set_pitch(QfLesson* const lesson,
                    const uint32_t  note,
                    const QfPitch   pitch,
                    QfError* const  error)
{
  const QfNewPitch change = {note, pitch};
  return set_pitches(lesson, &change, 1, "Change a pitch", error);
}

QfStatus
qf_lesson_set_pitches(QfLesson* const         lesson,
                      const QfNewPitch* const changes,
                      const size_t            n_changes,
                      QfError* const          error)
{
  return set_pitches(lesson, changes, n_changes, "Change pitches", error);
}

/// Take a note from its place and write it anew under the same identity
static QfStatus
replace_note(State* const   state,
             const uint32_t id,
             const QfTime*  start,
             const QfTime*  duration,
             QfError* const error)
{
  size_t              voice = 0;
  const QfNote* const found = qf_score_find_note(state->score, id, &voice);
  if (!found) {
    return no_such_note(error);
  }

  QfNote       note        = *found;
  const QfTime old_start   = note.start;
  const bool   has_fermata = qf_score_has_fermata(state->score, old_start);
  QfStatus     st          = qf_score_erase(state->score, voice, note.start, note_end(&note));
  note.start               = start ? *start : note.start;
  note.duration            = duration ? *duration : note.duration;
  st                       = st ? st : put(state, voice, note, NULL, error);
  if (!st && has_fermata && !qf_score_has_fermata(state->score, old_start)) {
    st = qf_score_set_fermata(state->score, note.start, true); // It goes with its last note
  }
  return st;
}

QfStatus
qf_lesson_move_note(QfLesson* const lesson,
                    const uint32_t  note,
                    const QfTime    start,
                    QfError* const  error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, "Move a note",
                              replace_note(state, note, &start, NULL, error), error);
}

QfStatus
qf_lesson_set_duration(QfLesson* const lesson,
                       const uint32_t  note,
                       const QfTime    duration,
                       QfError* const  error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, "Change a length",
                              replace_note(state, note, NULL, &duration, error), error);
}

QfStatus
qf_lesson_set_fermata(QfLesson* const lesson,
                      const QfTime    time,
                      const bool      is_set,
                      QfError* const  error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  st = qf_score_set_fermata(state->score, time, is_set);
  if (st == QF_ERR_RANGE) {
    qf_error_set(error, st, "a fermata needs a note that begins where it stands");
  }
  return lesson_end_edit(lesson, state, is_set ? "Set a fermata" : "Remove a fermata", st, error);
}

static QfStatus
delete_note(State* const state, const uint32_t id, QfError* const error)
{
  size_t              voice = 0;
  const QfNote* const note  = qf_score_find_note(state->score, id, &voice);
  return note ? qf_score_erase(state->score, voice, note->start, note_end(note))
              : no_such_note(error);
}

QfStatus
qf_lesson_delete_note(QfLesson* const lesson, const uint32_t note, QfError* const error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, "Delete a note", delete_note(state, note, error),
                              error);
}

static QfStatus
delete_span(State* const state, const QfTime start, const QfTime end, QfError* const error)
{
  if (start.num < 0 || qf_time_compare(start, end) >= 0) {
    return qf_error_set(error, QF_ERR_RANGE, "the span to delete is empty or begins too early");
  }

  QfStatus st = QF_OK;
  for (size_t v = 0; !st && v < qf_score_n_voices(state->score); ++v) {
    st = qf_score_erase(state->score, v, start, end);
  }
  state_remove_pins(state, start, end);
  return st;
}

QfStatus
qf_lesson_delete_span(QfLesson* const lesson,
                      const QfTime    start,
                      const QfTime    end,
                      QfError* const  error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, "Delete a span", delete_span(state, start, end, error),
                              error);
}

static bool
is_in_span(const QfTime time, const QfTime start, const QfTime end)
{
  return qf_time_compare(time, start) >= 0 && qf_time_compare(time, end) < 0;
}

/// Lift the notes of one voice that begin in a span, then set them down again
static QfStatus
move_voice(State* const   state,
           const size_t   voice,
           const QfTime   start,
           const QfTime   end,
           const QfTime   by,
           QfError* const error)
{
  const size_t  n_notes = qf_score_n_notes(state->score, voice);
  QfNote* const lifted  = (QfNote*)malloc(n_notes * sizeof(QfNote) + 1U);
  if (!lifted) {
    return QF_ERR_NO_MEM;
  }

  size_t n_lifted = 0;
  for (size_t i = 0; i < n_notes; ++i) {
    const QfNote* const note = qf_score_get_note(state->score, voice, i);
    if (is_in_span(note->start, start, end)) {
      lifted[n_lifted++] = *note;
    }
  }

  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < n_lifted; ++i) {
    st = qf_score_erase(state->score, voice, lifted[i].start, note_end(&lifted[i]));
  }
  for (size_t i = 0; !st && i < n_lifted; ++i) {
    lifted[i].start = qf_time_add(lifted[i].start, by);
    st              = put(state, voice, lifted[i], NULL, error);
  }
  free(lifted);
  return st;
}

/// Fermatas of a span go with its notes, unless other notes start where they were
static QfStatus
move_fermatas(QfScore* const       score,
              const QfScore* const before,
              const QfTime         start,
              const QfTime         end,
              const QfTime         by)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < qf_score_n_fermatas(before); ++i) {
    const QfTime time = qf_score_get_fermata(before, i);
    if (is_in_span(time, start, end) && !qf_score_has_fermata(score, time)) {
      st = qf_score_set_fermata(score, qf_time_add(time, by), true);
      st = st == QF_ERR_RANGE ? QF_OK : st; // Its notes were overwritten
    }
  }
  return st;
}

static QfStatus
move_pins(State* const state, const QfTime start, const QfTime end, const QfTime by)
{
  QfPin* const lifted   = (QfPin*)malloc(state->n_pins * sizeof(QfPin) + 1U);
  size_t       n_lifted = 0;
  if (!lifted) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i < state->n_pins; ++i) {
    if (is_in_span(state->pins[i].start, start, end)) {
      lifted[n_lifted++] = state->pins[i];
    }
  }
  state_remove_pins(state, start, end);
  state_remove_pins(state, qf_time_add(start, by), qf_time_add(end, by));

  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < n_lifted; ++i) {
    lifted[i].start = qf_time_add(lifted[i].start, by);
    st              = state_put_pin(state, lifted[i]);
  }
  free(lifted);
  return st;
}

static QfStatus
move_span(State* const   state,
          const QfTime   start,
          const QfTime   end,
          const QfTime   by,
          QfError* const error)
{
  if (start.num < 0 || qf_time_compare(start, end) >= 0) {
    return qf_error_set(error, QF_ERR_RANGE, "the span to move is empty or begins too early");
  }

  QfScore* const before = qf_score_dup(state->score);
  QfStatus       st     = before ? QF_OK : QF_ERR_NO_MEM;
  for (size_t v = 0; !st && v < qf_score_n_voices(state->score); ++v) {
    st = move_voice(state, v, start, end, by, error);
  }
  st = st ? st : move_fermatas(state->score, before, start, end, by);
  qf_score_free(before);
  return st ? st : move_pins(state, start, end, by);
}

QfStatus
qf_lesson_move_span(QfLesson* const lesson,
                    const QfTime    start,
                    const QfTime    end,
                    const QfTime    by,
                    QfError* const  error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, "Move a span", move_span(state, start, end, by, error),
                              error);
}
