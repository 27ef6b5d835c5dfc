// SPDX-License-Identifier: MIT
// Edits of the last attempt, with undo.
#include "answer_impl.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_STEPS = 200,
};

/// Begin an edit: a copy of the last attempt to change
static QfStatus
begin_edit(const QfAnswer* const answer, QfTry** const copy, QfError* const error)
{
  if (error) {
    *error = (QfError){.measure = -1};
  }
  if (qf_answer_is_read_only(answer)) {
    return qf_error_set(error, QF_ERR_READ_ONLY,
                        "this answer was written by a newer version of the program (format %d); "
                        "it can be read but not changed",
                        answer->version);
  }
  if (!answer->n_tries) {
    return qf_error_set(error, QF_ERR_IMPOSSIBLE, "no attempt was begun yet");
  }
  *copy = try_dup(answer->tries[answer->n_tries - 1U]);
  return *copy ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
}

/// Push a state (takes it only on success)
static QfStatus
push_step(TrySteps* const steps, QfTry* const try, const char* const name)
{
  TryStep* const grown = (TryStep*)realloc(steps->steps, (steps->n_steps + 1U) * sizeof(TryStep));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  steps->steps                   = grown;
  steps->steps[steps->n_steps++] = (TryStep){try, name};
  if (steps->n_steps > MAX_STEPS) {
    try_free(steps->steps[0].try);
    memmove(&steps->steps[0], &steps->steps[1], --steps->n_steps * sizeof(TryStep));
  }
  return QF_OK;
}

/// End an edit: take the changed copy, or drop it if something went wrong
static QfStatus
end_edit(QfAnswer* const   answer,
         QfTry* const      copy,
         const char* const name,
         const QfStatus    status,
         QfError* const    error)
{
  QfTry** const  place = &answer->tries[answer->n_tries - 1U];
  const QfStatus st    = status ? status : push_step(&answer->undo, *place, name);
  if (st) {
    try_free(copy);
    return error && !error->text[0] ? qf_error_set(error, st, "%s: %s", name, qf_status_text(st))
                                    : st;
  }
  try_prune(copy);
  steps_clear(&answer->redo);
  *place = copy;
  ++answer->revision;
  return QF_OK;
}

QfStatus
qf_answer_put_note(QfAnswer* const answer,
                   const size_t    voice,
                   const QfTime    start,
                   const QfTime    duration,
                   const QfPitch   pitch,
                   uint32_t* const new_id,
                   QfError* const  error)
{
  QfTry*   try = NULL;
  QfStatus st  = begin_edit(answer, &try, error);
  if (st) {
    return st;
  }
  uint32_t     id   = QF_NO_NOTE;
  const QfNote note = {QF_NO_NOTE, start, duration, pitch};
  st                = try_put_note(try, voice, note, &id, error);
  st                = end_edit(answer, try, "Write a note", st, error);
  if (!st && new_id) {
    *new_id = id;
  }
  return st;
}

/// The octave that brings a note name nearest to the voice's note before, or to the staff's middle
static QfPitch
nearest_pitch(const QfTry* const try, const size_t voice, const QfTime start, const QfNoteName name)
{
  // Middle line or thereabouts of each clef: B4, D3, C4, A3, B3
  static const int middle_steps[QF_CLEF_N_KINDS] = {34, 22, 28, 26, 27};

  const QfVoice* const staff_of = qf_score_get_voice(try->score, voice);
  int                  middle = middle_steps[qf_score_get_staff(try->score, staff_of->staff)->clef];
  for (size_t i = 0; i < qf_score_n_notes(try->score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(try->score, voice, i);
    if (qf_time_compare(note->start, start) < 0) {
      middle = qf_pitch_step(note->pitch);
    }
  }
  int step = middle - middle % 7 + name.letter;
  step += step - middle > 3 ? -7 : step - middle < -3 ? 7 : 0;
  return qf_pitch_from_step(step, name.alter);
}

QfStatus
qf_answer_put_degree(QfAnswer* const answer,
                     const size_t    voice,
                     const QfTime    start,
                     const QfTime    duration,
                     const int       degree,
                     const int       alter,
                     uint32_t* const new_id,
                     QfError* const  error)
{
  QfTry*   try = NULL;
  QfStatus st  = begin_edit(answer, &try, error);
  if (st) {
    return st;
  }

  QfNoteName name = {0, 0};
  uint32_t   id   = QF_NO_NOTE;
  if (degree < 1 || degree > 7 || alter < -2 || alter > 2 ||
      qf_key_degree(answer->key, degree, alter, &name)) {
    st = qf_error_set(error, QF_ERR_RANGE, "a degree is 1 to 7, with at most two accidentals");
  } else if (voice >= qf_score_n_voices(try->score)) {
    st = qf_error_set(error, QF_ERR_RANGE, "there is no such voice");
  } else {
    const QfNote note = {QF_NO_NOTE, start, duration, nearest_pitch(try, voice, start, name)};
    st                = try_put_note(try, voice, note, &id, error);
  }
  st = st ? st : try_set_mark(try, (NoteMark){.note = id, .is_degree_only = true});
  st = end_edit(answer, try, "Write a degree", st, error);
  if (!st && new_id) {
    *new_id = id;
  }
  return st;
}

/// The student's own note, or NULL with an error set
static const QfNote*
own_note(const QfTry* const try, const uint32_t note, size_t* const voice, QfError* const error)
{
  const QfNote* const found = qf_score_find_note(try->score, note, voice);
  if (!found) {
    qf_error_set(error, QF_ERR_RANGE, "the note is no longer in the answer");
    return NULL;
  }
  if (qf_try_is_given(try, note)) {
    qf_error_set(error, QF_ERR_RANGE, "the task gives this note; it stays as it is");
    return NULL;
  }
  return found;
}

QfStatus
qf_answer_set_pitch(QfAnswer* const answer,
                    const uint32_t  note,
                    const QfPitch   pitch,
                    QfError* const  error)
{
  QfTry*   try = NULL;
  QfStatus st  = begin_edit(answer, &try, error);
  if (st) {
    return st;
  }
  const bool is_doubtful = qf_try_is_doubtful(try, note);
  st =
    own_note(try, note, NULL, error) ? qf_score_set_pitch(try->score, note, pitch) : QF_ERR_RANGE;
  st = st ? st : try_set_mark(try, (NoteMark){.note = note, .is_doubtful = is_doubtful});
  return end_edit(answer, try, "Change a pitch", st, error);
}

QfStatus
qf_answer_set_duration(QfAnswer* const answer,
                       const uint32_t  note,
                       const QfTime    duration,
                       QfError* const  error)
{
  QfTry*   try = NULL;
  QfStatus st  = begin_edit(answer, &try, error);
  if (st) {
    return st;
  }
  size_t              voice = 0;
  const QfNote* const found = own_note(try, note, &voice, error);
  if (found) {
    QfNote changed   = *found;
    changed.duration = duration;
    st               = try_put_note(try, voice, changed, NULL, error);
  } else {
    st = QF_ERR_RANGE;
  }
  return end_edit(answer, try, "Change a duration", st, error);
}

QfStatus
qf_answer_delete_note(QfAnswer* const answer, const uint32_t note, QfError* const error)
{
  QfTry*   try = NULL;
  QfStatus st  = begin_edit(answer, &try, error);
  if (st) {
    return st;
  }
  size_t              voice = 0;
  const QfNote* const found = own_note(try, note, &voice, error);
  st                        = found ? qf_score_erase(try->score, voice, found->start,
                                                     qf_time_add(found->start, found->duration))
                                    : QF_ERR_RANGE;
  return end_edit(answer, try, "Delete a note", st, error);
}

QfStatus
qf_answer_set_note_doubt(QfAnswer* const answer,
                         const uint32_t  note,
                         const bool      is_doubtful,
                         QfError* const  error)
{
  QfTry*   try = NULL;
  QfStatus st  = begin_edit(answer, &try, error);
  if (st) {
    return st;
  }
  const NoteMark mark = {note, is_doubtful, qf_try_is_degree_only(try, note)};
  st                  = own_note(try, note, NULL, error) ? try_set_mark(try, mark) : QF_ERR_RANGE;
  return end_edit(answer, try, is_doubtful ? "Mark a doubt" : "Take back a doubt", st, error);
}

/// What is said of the chord at a time so far, or a blank one
static QfAnswerChord
chord_at(const QfTry* const try, const QfTime start)
{
  const QfAnswerChord* const chord = qf_try_chord_at(try, start);
  return chord ? *chord : (QfAnswerChord){.start = start};
}

static QfStatus
put_chord(QfTry* const try, const QfAnswerChord chord, QfError* const error)
{
  return chord.start.num < 0 || qf_time_compare(chord.start, qf_score_get_end(try->frame)) >= 0
           ? qf_error_set(error, QF_ERR_RANGE, "a chord begins within the bars of the task")
           : try_put_chord(try, chord);
}

QfStatus
qf_answer_set_numeral(QfAnswer* const    answer,
                      const QfTime       start,
                      const char* const  text,
                      const QfKey* const key,
                      QfError* const     error)
{
  QfTry*   try = NULL;
  QfStatus st  = begin_edit(answer, &try, error);
  if (st) {
    return st;
  }
  QfAnswerChord chord = chord_at(try, start);
  chord.has_key       = key && text[0];
  chord.key           = chord.has_key ? *key : (QfKey){{0, 0}, QF_MAJOR};
  st                  = strlen(text) < sizeof(chord.numeral)
                          ? QF_OK
                          : qf_error_set(error, QF_ERR_RANGE, "a numeral has at most %zu bytes",
                                         sizeof(chord.numeral) - 1U);
  if (!st) {
    snprintf(chord.numeral, sizeof(chord.numeral), "%s", text);
    st = put_chord(try, chord, error);
  }
  return end_edit(answer, try, "Write a numeral", st, error);
}

QfStatus
qf_answer_set_quality(QfAnswer* const          answer,
                      const QfTime             start,
                      const QfChordKind* const kind,
                      QfError* const           error)
{
  QfTry*   try = NULL;
  QfStatus st  = begin_edit(answer, &try, error);
  if (st) {
    return st;
  }
  QfAnswerChord chord = chord_at(try, start);
  chord.has_kind      = kind != NULL;
  chord.kind          = kind ? *kind : QF_CHORD_MAJOR;
  return end_edit(answer, try, "Name a chord quality", put_chord(try, chord, error), error);
}

QfStatus
qf_answer_set_chord_doubt(QfAnswer* const answer,
                          const QfTime    start,
                          const bool      is_doubtful,
                          QfError* const  error)
{
  QfTry*   try = NULL;
  QfStatus st  = begin_edit(answer, &try, error);
  if (st) {
    return st;
  }
  QfAnswerChord chord = chord_at(try, start);
  chord.is_doubtful   = is_doubtful;
  return end_edit(answer, try, is_doubtful ? "Mark a doubt" : "Take back a doubt",
                  put_chord(try, chord, error), error);
}

QfStatus
qf_answer_put_scratch(QfAnswer* const answer, const QfScratch scratch, QfError* const error)
{
  QfTry*   try = NULL;
  QfStatus st  = begin_edit(answer, &try, error);
  if (st) {
    return st;
  }
  const bool is_good = scratch.voice < qf_score_n_voices(try->score) && scratch.start.num >= 0 &&
                       qf_time_compare(scratch.start, qf_score_get_end(try->frame)) < 0 &&
                       scratch.degree >= 0 && scratch.degree <= 7 && scratch.alter >= -2 &&
                       scratch.alter <= 2 && (unsigned)scratch.contour < QF_CONTOUR_N_KINDS;
  st = is_good ? try_put_scratch(try, scratch)
               : qf_error_set(error, QF_ERR_RANGE,
                              "a mark of the scratch line lies within the bars of the task and "
                              "has a degree from 1 to 7");
  return end_edit(answer, try, "Sketch a shape", st, error);
}

bool
qf_answer_can_undo(const QfAnswer* const answer)
{
  return answer->undo.n_steps > 0;
}

bool
qf_answer_can_redo(const QfAnswer* const answer)
{
  return answer->redo.n_steps > 0;
}

const char*
qf_answer_get_undo_name(const QfAnswer* const answer)
{
  const TrySteps* const steps = &answer->undo;
  return steps->n_steps ? steps->steps[steps->n_steps - 1U].name : NULL;
}

const char*
qf_answer_get_redo_name(const QfAnswer* const answer)
{
  const TrySteps* const steps = &answer->redo;
  return steps->n_steps ? steps->steps[steps->n_steps - 1U].name : NULL;
}

/// Go one step from one list to the other
static QfStatus
go(QfAnswer* const answer, TrySteps* const from, TrySteps* const to)
{
  if (!from->n_steps) {
    return QF_ERR_IMPOSSIBLE;
  }
  QfTry** const  place = &answer->tries[answer->n_tries - 1U];
  const TryStep  step  = from->steps[from->n_steps - 1U];
  const QfStatus st    = push_step(to, *place, step.name);
  if (!st) {
    --from->n_steps;
    *place = step.try;
    ++answer->revision;
  }
  return st;
}

QfStatus
qf_answer_undo(QfAnswer* const answer)
{
  return go(answer, &answer->undo, &answer->redo);
}

QfStatus
qf_answer_redo(QfAnswer* const answer)
{
  return go(answer, &answer->redo, &answer->undo);
}
