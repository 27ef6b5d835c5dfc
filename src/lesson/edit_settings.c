// SPDX-License-Identifier: MIT
#include "lesson_impl.h"

#include <string.h>

/// Change a text of the lesson unless it is too long to be read back
static QfStatus
set_text(State* const      state,
         const char* const text,
         QfStatus (*set)(State* state, const char* text),
         QfError* const error)
{
  return strlen(text) < LESSON_TEXT_SIZE
           ? set(state, text)
           : qf_error_set(error, QF_ERR_RANGE, "the text is longer than a mebibyte");
}

static QfStatus
set_title(State* const state, const char* const text)
{
  return qf_score_set_title(state->score, text);
}

static QfStatus
set_composer(State* const state, const char* const text)
{
  return qf_score_set_composer(state->score, text);
}

QfStatus
qf_lesson_set_title(QfLesson* const lesson, const char* const title, QfError* const error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, "Change the title",
                              set_text(state, title, set_title, error), error);
}

QfStatus
qf_lesson_set_composer(QfLesson* const lesson, const char* const composer, QfError* const error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, "Change the composer",
                              set_text(state, composer, set_composer, error), error);
}

QfStatus
qf_lesson_set_notes_text(QfLesson* const lesson, const char* const text, QfError* const error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, "Change the remarks", state_set_remarks(state, text),
                              error);
}

static QfStatus
set_key(State* const state, const QfKey* const key)
{
  // A declared key is kept to, a found one may change; the user can say otherwise afterwards.
  if (state->has_key != (key != NULL)) {
    state->may_modulate = !key;
  }
  state->has_key = key;
  if (!key) {
    return QF_OK;
  }
  state->key = *key;
  return qf_score_set_signature(state->score, QF_TIME_ZERO, *key);
}

QfStatus
qf_lesson_set_key(QfLesson* const lesson, const QfKey* const key, QfError* const error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, key ? "Declare the key" : "Let the key be found",
                              set_key(state, key), error);
}

QfStatus
qf_lesson_set_may_modulate(QfLesson* const lesson, const bool may_modulate, QfError* const error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  state->may_modulate = may_modulate;
  return lesson_end_edit(lesson, state, may_modulate ? "Look for other keys" : "Keep to one key",
                         QF_OK, error);
}

QfStatus
qf_lesson_set_key_thresholds(QfLesson* const       lesson,
                             const QfKeyThresholds thresholds,
                             QfError* const        error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  const double least   = thresholds.least_beats;
  const double cadence = thresholds.cadence_beats;
  if (!(least >= 0.0 && least <= QF_MAX_KEY_BEATS && cadence >= 0.0 &&
        cadence <= QF_MAX_KEY_BEATS)) {
    st = qf_error_set(error, QF_ERR_RANGE, "thresholds of a modulation are 0 to %d beats",
                      QF_MAX_KEY_BEATS);
  }
  state->thresholds = thresholds;
  return lesson_end_edit(lesson, state, "Change what makes a modulation", st, error);
}

QfStatus
qf_lesson_set_metre(QfLesson* const lesson, const QfMetre metre, QfError* const error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, "Change the metre",
                              qf_score_set_metre(state->score, metre), error);
}

QfStatus
qf_lesson_set_tempo(QfLesson* const lesson, const double quarters_per_minute, QfError* const error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  st = qf_score_set_tempo(state->score, quarters_per_minute);
  if (st == QF_ERR_RANGE) {
    qf_error_set(error, st, "a tempo is 10 to 400 quarter notes a minute");
  }
  return lesson_end_edit(lesson, state, "Change the tempo", st, error);
}

QfStatus
qf_lesson_set_hearing(QfLesson* const lesson, const QfHearing hearing, QfError* const error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  state->hearing = qf_hearing_clamp(hearing);
  if (state->hearing.forward.kind == QF_FORWARD_VOICE &&
      state->hearing.forward.voice >= qf_score_n_voices(state->score)) {
    st = qf_error_set(error, QF_ERR_RANGE, "the voice to bring forward does not exist");
  }
  return lesson_end_edit(lesson, state, "Change the hearing", st, error);
}

QfStatus
qf_lesson_set_plan(QfLesson* const lesson, const QfPlan* const plan, QfError* const error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state,
                              plan ? "Change the hearing plan" : "Remove the hearing plan",
                              state_set_plan(state, plan), error);
}

static QfStatus
append_bar(QfScore* const score)
{
  const size_t n_bars = qf_score_n_bars(score);
  QfBar        bar    = {.number = 1};
  if (n_bars) {
    const QfBar* const last = qf_score_get_bar(score, n_bars - 1U);
    bar.metre               = last->metre;
    bar.number              = last->number + 1;
  } else {
    qf_metre(4, 4, &bar.metre);
  }
  bar.length = qf_metre_bar(bar.metre);
  bar.offset = QF_TIME_ZERO;
  return qf_score_append_bar(score, bar);
}

QfStatus
qf_lesson_append_bar(QfLesson* const lesson, QfError* const error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st : lesson_end_edit(lesson, state, "Append a bar", append_bar(state->score), error);
}

QfStatus
qf_lesson_remove_last_bar(QfLesson* const lesson, QfError* const error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  st = qf_score_n_bars(state->score) > 1
         ? qf_score_remove_last_bar(state->score)
         : qf_error_set(error, QF_ERR_IMPOSSIBLE, "the only bar can't be removed");
  return lesson_end_edit(lesson, state, "Remove the last bar", st, error);
}

static QfStatus
give_notes(State* const          state,
           const uint32_t* const notes,
           const size_t          n_notes,
           const bool            is_given,
           QfError* const        error)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < n_notes; ++i) {
    st = qf_score_find_note(state->score, notes[i], NULL)
           ? state_set_given(state, notes[i], is_given)
           : qf_error_set(error, QF_ERR_RANGE, "the note is no longer in the lesson");
  }
  return st;
}

QfStatus
qf_lesson_give_notes(QfLesson* const       lesson,
                     const uint32_t* const notes,
                     const size_t          n_notes,
                     const bool            is_given,
                     QfError* const        error)
{
  const bool        is_one = n_notes == 1;
  const char* const name =
    is_given ? (is_one ? "Give a note" : "Give notes") : (is_one ? "Hide a note" : "Hide notes");
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, name,
                              give_notes(state, notes, n_notes, is_given, error), error);
}

QfStatus
qf_lesson_set_given(QfLesson* const lesson,
                    const uint32_t  note,
                    const bool      is_given,
                    QfError* const  error)
{
  return qf_lesson_give_notes(lesson, &note, 1, is_given, error);
}

static QfStatus
set_voice_given(State* const state, const size_t voice, const bool is_given, QfError* const error)
{
  if (voice >= qf_score_n_voices(state->score)) {
    return qf_error_set(error, QF_ERR_RANGE, "there is no such voice");
  }

  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < qf_score_n_notes(state->score, voice); ++i) {
    st = state_set_given(state, qf_score_get_note(state->score, voice, i)->id, is_given);
  }
  return st;
}

QfStatus
qf_lesson_set_voice_given(QfLesson* const lesson,
                          const size_t    voice,
                          const bool      is_given,
                          QfError* const  error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, is_given ? "Give a voice" : "Hide a voice",
                              set_voice_given(state, voice, is_given, error), error);
}

static bool
has_note_at(const QfScore* const score, const QfTime time)
{
  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    if (qf_score_note_at(score, v, time)) {
      return true;
    }
  }
  return false;
}

static QfStatus
pin(State* const state, const QfPin wanted, QfError* const error)
{
  return wanted.start.num >= 0 && has_note_at(state->score, wanted.start)
           ? state_put_pin(state, wanted)
           : qf_error_set(error, QF_ERR_RANGE, "a label is pinned where a note sounds");
}

QfStatus
qf_lesson_pin(QfLesson* const lesson, const QfPin wanted, QfError* const error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st : lesson_end_edit(lesson, state, "Pin a label", pin(state, wanted, error), error);
}

QfStatus
qf_lesson_pin_links(QfLesson* const     lesson,
                    const QfLink* const links,
                    const size_t        n_links,
                    QfError* const      error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  st = n_links ? QF_OK : qf_error_set(error, QF_ERR_RANGE, "there is no label to pin");
  for (size_t i = 0; !st && i < n_links; ++i) {
    st = pin(state, (QfPin){links[i].start, links[i].key, links[i].numeral}, error);
  }
  return lesson_end_edit(lesson, state, "Pin labels", st, error);
}

QfStatus
qf_lesson_unpin(QfLesson* const lesson, const QfTime start, QfError* const error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  const size_t index = state_pin_at(state, start);
  if (index == SIZE_MAX) {
    st = qf_error_set(error, QF_ERR_RANGE, "no label is pinned there");
  } else {
    state_remove_pin(state, index);
  }
  return lesson_end_edit(lesson, state, "Unpin a label", st, error);
}

static QfStatus
transpose_key(const QfKey key, const QfInterval interval, QfKey* const result)
{
  QfNoteName     tonic = {0, 0};
  const QfStatus st    = qf_note_name_transpose(key.tonic, interval, &tonic);
  if (st) {
    return st;
  }

  // The signature decides: fifths beyond seven signs are refused.
  const int fifths =
    qf_key_fifths(key) + qf_note_name_fifths(tonic) - qf_note_name_fifths(key.tonic);
  return qf_key_from_fifths(fifths, key.mode, result);
}

/// Move what a question accepts; words in which the teacher names notes stay as they are
static QfStatus
transpose_question(QfQuestion* const question, const QfInterval interval)
{
  QfStatus st = transpose_key(question->key, interval, &question->key);
  for (size_t i = 0; !st && question->form == QF_ASK_NOTE && i < question->n_answers; ++i) {
    char* const text  = question->answers[i];
    QfPitch     pitch = {0, 0, 0};
    QfNoteName  name  = {0, 0};
    if (!qf_pitch_parse(text, &pitch, NULL)) {
      st = qf_pitch_transpose(pitch, interval, &pitch);
      qf_pitch_write(pitch, text, sizeof(question->answers[i]));
    } else if (!qf_note_name_parse(text, &name, NULL, NULL)) {
      st = qf_note_name_transpose(name, interval, &name);
      qf_note_name_write(name, text, sizeof(question->answers[i]));
    }
  }
  return st;
}

static QfStatus
transpose_questions(State* const state, const QfInterval interval)
{
  if (!state->questions) {
    return QF_OK;
  }
  Questions* const copy = questions_new(state->questions->questions, state->questions->n_questions);
  QfStatus         st   = copy ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = 0; !st && i < copy->n_questions; ++i) {
    st = transpose_question(&copy->questions[i], interval);
  }
  questions_drop(state->questions);
  state->questions = copy;
  return st;
}

static QfStatus
transpose(State* const state, const QfInterval interval)
{
  QfStatus st = qf_score_transpose(state->score, interval);
  if (!st && state->has_key) {
    st = transpose_key(state->key, interval, &state->key);
  }
  for (size_t i = 0; !st && i < state->n_pins; ++i) {
    st = transpose_key(state->pins[i].key, interval, &state->pins[i].key);
  }
  return st ? st : transpose_questions(state, interval);
}

QfStatus
qf_lesson_transpose(QfLesson* const lesson, const QfInterval interval, QfError* const error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  st = transpose(state, interval);
  if (st == QF_ERR_RANGE) {
    qf_error_set(error, st,
                 "transposed so, a key would have more than seven signs or a note would leave "
                 "its range; choose another interval");
  }
  return lesson_end_edit(lesson, state, "Transpose", st, error);
}
