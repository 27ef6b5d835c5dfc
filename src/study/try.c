// SPDX-License-Identifier: MIT
#include "answer_impl.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

QfTry*
try_new(const QfScore* const frame, const char* const at)
{
  QfTry* const try = (QfTry*)calloc(1, sizeof(QfTry));
  if (try) {
    try->frame = frame;
    try->score = qf_score_dup(frame);
    snprintf(try->at, sizeof(try->at), "%s", at);
  }
  if (try && !try->score) {
    try_free(try);
    return NULL;
  }
  return try;
}

static void*
copy_array(const void* const array, const size_t n_items, const size_t item_size)
{
  void* const copy = malloc(n_items * item_size + 1U);
  if (copy && n_items) {
    memcpy(copy, array, n_items * item_size);
  }
  return copy;
}

QfTry*
try_dup(const QfTry* const try)
{
  QfTry* const copy = (QfTry*)calloc(1, sizeof(QfTry));
  if (!copy) {
    return NULL;
  }
  *copy           = *try;
  copy->score     = qf_score_dup(try->score);
  copy->marks     = (NoteMark*)copy_array(try->marks, try->n_marks, sizeof(NoteMark));
  copy->chords    = (QfAnswerChord*)copy_array(try->chords, try->n_chords, sizeof(QfAnswerChord));
  copy->scratches = (QfScratch*)copy_array(try->scratches, try->n_scratches, sizeof(QfScratch));
  if (!copy->score || !copy->marks || !copy->chords || !copy->scratches) {
    try_free(copy);
    return NULL;
  }
  return copy;
}

void
try_free(QfTry* const try)
{
  if (try) {
    qf_score_free(try->score);
    free(try->marks);
    free(try->chords);
    free(try->scratches);
    free(try);
  }
}

const char*
qf_try_get_time(const QfTry* const try)
{
  return try->at;
}

const QfScore*
qf_try_get_score(const QfTry* const try)
{
  return try->score;
}

bool
qf_try_is_given(const QfTry* const try, const uint32_t note)
{
  return qf_score_find_note(try->frame, note, NULL) != NULL;
}

/// Index of the first mark not below a note
static size_t
mark_place(const QfTry* const try, const uint32_t note)
{
  size_t low  = 0;
  size_t high = try->n_marks;
  while (low < high) {
    const size_t middle = low + (high - low) / 2U;
    if (try->marks[middle].note < note) {
      low = middle + 1U;
    } else {
      high = middle;
    }
  }
  return low;
}

const NoteMark*
try_mark_of(const QfTry* const try, const uint32_t note)
{
  const size_t place = mark_place(try, note);
  return place < try->n_marks && try->marks[place].note == note ? &try->marks[place] : NULL;
}

void*
grow(void* const array, const size_t n, const size_t item_size)
{
  // Doubled whenever the number is a power of two, so that it costs little to append one by one
  const bool is_full = n == 0 || (n & (n - 1U)) == 0;
  return is_full ? realloc(array, (n ? 2U * n : 1U) * item_size) : array;
}

/// Make room for an item at a place of an array, or close the gap it leaves
static void*
shift_items(void* const  array,
            const size_t n,
            const size_t item_size,
            const size_t place,
            const bool   is_opened)
{
  char* const at = (char*)array + place * item_size;
  if (is_opened) {
    memmove(at + item_size, at, (n - place) * item_size);
  } else {
    memmove(at, at + item_size, (n - place - 1U) * item_size);
  }
  return at;
}

QfStatus
try_set_mark(QfTry* const try, const NoteMark mark)
{
  const size_t place    = mark_place(try, mark.note);
  const bool   is_there = place < try->n_marks && try->marks[place].note == mark.note;
  const bool   is_blank = !mark.is_doubtful && !mark.is_degree_only;
  if (is_blank) {
    if (is_there) {
      shift_items(try->marks, try->n_marks--, sizeof(NoteMark), place, false);
    }
    return QF_OK;
  }
  if (!is_there) {
    // A copy has just the room it needs, so the size can't be told from the number.
    NoteMark* const grown = (NoteMark*)realloc(try->marks, (try->n_marks + 1U) * sizeof(NoteMark));
    if (!grown) {
      return QF_ERR_NO_MEM;
    }
    try->marks = grown;
    shift_items(grown, try->n_marks++, sizeof(NoteMark), place, true);
  }
  try->marks[place] = mark;
  return QF_OK;
}

bool
qf_try_is_doubtful(const QfTry* const try, const uint32_t note)
{
  const NoteMark* const mark = try_mark_of(try, note);
  return mark && mark->is_doubtful;
}

bool
qf_try_is_degree_only(const QfTry* const try, const uint32_t note)
{
  const NoteMark* const mark = try_mark_of(try, note);
  return mark && mark->is_degree_only;
}

size_t
qf_try_n_chords(const QfTry* const try)
{
  return try->n_chords;
}

const QfAnswerChord*
qf_try_get_chord(const QfTry* const try, const size_t index)
{
  return &try->chords[index];
}

/// Index of the first chord not before a time
static size_t
chord_place(const QfTry* const try, const QfTime start)
{
  size_t low  = 0;
  size_t high = try->n_chords;
  while (low < high) {
    const size_t middle = low + (high - low) / 2U;
    if (qf_time_compare(try->chords[middle].start, start) < 0) {
      low = middle + 1U;
    } else {
      high = middle;
    }
  }
  return low;
}

const QfAnswerChord*
qf_try_chord_at(const QfTry* const try, const QfTime start)
{
  const size_t place = chord_place(try, start);
  return place < try->n_chords && !qf_time_compare(try->chords[place].start, start)
           ? &try->chords[place]
           : NULL;
}

QfStatus
try_put_chord(QfTry* const try, const QfAnswerChord chord)
{
  const size_t place    = chord_place(try, chord.start);
  const bool   is_there = qf_try_chord_at(try, chord.start) != NULL;
  if (!chord.has_kind && !chord.numeral[0] && !chord.is_doubtful) {
    if (is_there) {
      shift_items(try->chords, try->n_chords--, sizeof(QfAnswerChord), place, false);
    }
    return QF_OK;
  }
  if (!is_there) {
    QfAnswerChord* const grown =
      try->n_chords < MAX_CHORDS
        ? (QfAnswerChord*)realloc(try->chords, (try->n_chords + 1U) * sizeof(QfAnswerChord))
        : NULL;
    if (!grown) {
      return try->n_chords < MAX_CHORDS ? QF_ERR_NO_MEM : QF_ERR_RANGE;
    }
    try->chords = grown;
    shift_items(grown, try->n_chords++, sizeof(QfAnswerChord), place, true);
  }
  try->chords[place] = chord;
  return QF_OK;
}

size_t
qf_try_n_scratches(const QfTry* const try)
{
  return try->n_scratches;
}

const QfScratch*
qf_try_get_scratch(const QfTry* const try, const size_t index)
{
  return &try->scratches[index];
}

QfStatus
try_put_scratch(QfTry* const try, const QfScratch scratch)
{
  size_t place = 0;
  while (place < try->n_scratches) {
    const QfScratch* const other = &try->scratches[place];
    const int              order = qf_time_compare(other->start, scratch.start);
    if (order > 0 || (!order && other->voice >= scratch.voice)) {
      break;
    }
    ++place;
  }

  const bool is_there = place < try->n_scratches && try->scratches[place].voice == scratch.voice &&
                        !qf_time_compare(try->scratches[place].start, scratch.start);
  if (scratch.contour == QF_CONTOUR_NONE && !scratch.degree) {
    if (is_there) {
      shift_items(try->scratches, try->n_scratches--, sizeof(QfScratch), place, false);
    }
    return QF_OK;
  }
  if (!is_there) {
    QfScratch* const grown =
      try->n_scratches < MAX_SCRATCHES
        ? (QfScratch*)realloc(try->scratches, (try->n_scratches + 1U) * sizeof(QfScratch))
        : NULL;
    if (!grown) {
      return try->n_scratches < MAX_SCRATCHES ? QF_ERR_NO_MEM : QF_ERR_RANGE;
    }
    try->scratches = grown;
    shift_items(grown, try->n_scratches++, sizeof(QfScratch), place, true);
  }
  try->scratches[place] = scratch;
  return QF_OK;
}

/// True if a given note sounds within [start, end)
static bool
touches_given(const QfTry* const try, const size_t voice, const QfTime start, const QfTime end)
{
  for (size_t i = 0; i < qf_score_n_notes(try->frame, voice); ++i) {
    const QfNote* const note = qf_score_get_note(try->frame, voice, i);
    if (qf_time_compare(note->start, end) < 0 &&
        qf_time_compare(start, qf_time_add(note->start, note->duration)) < 0) {
      return true;
    }
  }
  return false;
}

QfStatus
try_put_note(QfTry* const    try,
             const size_t    voice,
             const QfNote    note,
             uint32_t* const new_id,
             QfError* const  error)
{
  if (voice >= qf_score_n_voices(try->score)) {
    return qf_error_set(error, QF_ERR_RANGE, "there is no such voice");
  }
  if (note.duration.num <= 0) {
    return qf_error_set(error, QF_ERR_RANGE, "a note lasts longer than nothing");
  }
  const QfTime end = qf_time_add(note.start, note.duration);
  if (note.start.num < 0 || qf_time_compare(end, qf_score_get_end(try->frame)) > 0) {
    return qf_error_set(error, QF_ERR_RANGE, "a note lies within the bars of the task");
  }
  if (touches_given(try, voice, note.start, end)) {
    return qf_error_set(error, QF_ERR_RANGE, "a note that the task gives is there");
  }

  const QfStatus st =
    qf_score_put_note(try->score, voice, note.start, note.duration, note.pitch, note.id, new_id);
  return st == QF_ERR_RANGE
           ? qf_error_set(error, st,
                          "a note lies between C-1 and G9, on a time that can be written")
           : st;
}

void
try_prune(QfTry* const try)
{
  size_t n_left = 0;
  for (size_t i = 0; i < try->n_marks; ++i) {
    if (qf_score_find_note(try->score, try->marks[i].note, NULL)) {
      try->marks[n_left++] = try->marks[i];
    }
  }
  try->n_marks = n_left;
}
