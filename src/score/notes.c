// SPDX-License-Identifier: MIT
#include "score_impl.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

enum {
  MIN_MIDI = 0,
  MAX_MIDI = 127,
};

static bool
can_write_pitch(const QfPitch pitch)
{
  if (pitch.letter < 0 || pitch.letter > 6 || abs(pitch.alter) > QF_MAX_ALTER) {
    return false;
  }
  const int midi = qf_pitch_midi(pitch);
  return midi >= MIN_MIDI && midi <= MAX_MIDI;
}

size_t
qf_score_first_after(const QfScore* const score, const size_t voice, const QfTime time)
{
  const VoiceNotes* const notes = &score->voices[voice];
  size_t                  low   = 0;
  size_t                  high  = notes->n_notes;
  while (low < high) {
    const size_t middle = low + (high - low) / 2U;
    if (qf_time_compare(qf_note_end(&notes->notes[middle]), time) <= 0) {
      low = middle + 1U;
    } else {
      high = middle;
    }
  }
  return low;
}

/// Room for so many more notes in a voice, so that inserting them cannot fail
static QfStatus
reserve_notes(QfScore* const score, const size_t voice, const size_t n_more)
{
  VoiceNotes* const notes = &score->voices[voice];
  QfNote* const     grown =
    (QfNote*)qf_array_grow(notes->notes, &notes->capacity, notes->n_notes + n_more, sizeof(QfNote));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  notes->notes = grown;
  return qf_note_index_reserve(&score->index, n_more);
}

static void
insert_note(QfScore* const score, const size_t voice, const size_t at, const QfNote note)
{
  VoiceNotes* const notes = &score->voices[voice];
  assert(notes->n_notes < notes->capacity);

  memmove(&notes->notes[at + 1U], &notes->notes[at], (notes->n_notes - at) * sizeof(QfNote));
  notes->notes[at] = note;
  ++notes->n_notes;
  qf_note_index_set(&score->index, note.id, voice, note.start);
}

static void
remove_notes(QfScore* const score, const size_t voice, const size_t from, const size_t to)
{
  VoiceNotes* const notes = &score->voices[voice];
  for (size_t i = from; i < to; ++i) {
    qf_note_index_remove(&score->index, notes->notes[i].id);
  }
  if (to > from) {
    memmove(&notes->notes[from], &notes->notes[to], (notes->n_notes - to) * sizeof(QfNote));
    notes->n_notes -= to - from;
  }
}

static uint32_t
take_id(QfScore* const score)
{
  while (score->next_id == QF_NO_NOTE || qf_note_index_find(&score->index, score->next_id)) {
    ++score->next_id;
  }
  return score->next_id++;
}

/**
   Clear [start, end) of a voice and return where a note starting there goes.

   A note that reaches beyond both edges keeps its identity on the left and
   gets a new one on the right: room for one note must have been reserved.
*/
static size_t
clear_span(QfScore* const score, const size_t voice, const QfTime start, const QfTime end)
{
  VoiceNotes* const notes = &score->voices[voice];
  size_t            first = qf_score_first_after(score, voice, start);

  if (first < notes->n_notes && qf_time_compare(notes->notes[first].start, start) < 0) {
    QfNote* const left     = &notes->notes[first];
    const QfTime  left_end = qf_note_end(left);
    left->duration         = qf_time_sub(start, left->start);
    ++first;
    if (qf_time_compare(left_end, end) > 0) {
      const QfNote right = {take_id(score), end, qf_time_sub(left_end, end), left->pitch};
      insert_note(score, voice, first, right);
    }
  }

  size_t last = first;
  while (last < notes->n_notes && qf_time_compare(qf_note_end(&notes->notes[last]), end) <= 0) {
    ++last;
  }
  if (last < notes->n_notes && qf_time_compare(notes->notes[last].start, end) < 0) {
    QfNote* const cut = &notes->notes[last];
    cut->duration     = qf_time_sub(qf_note_end(cut), end);
    cut->start        = end;
    qf_note_index_set(&score->index, cut->id, voice, end);
  }
  remove_notes(score, voice, first, last);
  return first;
}

QfStatus
qf_score_put_note(QfScore* const  score,
                  const size_t    voice,
                  const QfTime    start,
                  const QfTime    duration,
                  const QfPitch   pitch,
                  const uint32_t  id,
                  uint32_t* const new_id)
{
  const QfTime end = qf_time_add(start, duration);
  if (voice >= score->n_voices || duration.num <= 0 || !qf_score_can_hold(start) ||
      !qf_score_can_hold(end) || !can_write_pitch(pitch)) {
    return QF_ERR_RANGE;
  }

  QfStatus st = reserve_notes(score, voice, 2);
  st          = st ? st : qf_score_extend_to(score, end);
  if (st) {
    return st;
  }

  size_t              old_voice = 0;
  const QfNote* const old       = qf_score_find_note(score, id, &old_voice);
  const QfTime        old_start = old ? old->start : start;
  const QfTime        old_end   = old ? qf_note_end(old) : start;
  if (old) {
    const size_t index = (size_t)(old - score->voices[old_voice].notes);
    remove_notes(score, old_voice, index, index + 1U);
  }

  const size_t at   = clear_span(score, voice, start, end);
  const QfNote note = {id == QF_NO_NOTE ? take_id(score) : id, start, duration, pitch};
  insert_note(score, voice, at, note);
  qf_score_prune_fermatas(score, start, end);
  qf_score_prune_fermatas(score, old_start, old_end);
  if (note.id >= score->next_id) {
    score->next_id = note.id + 1U;
  }
  if (new_id) {
    *new_id = note.id;
  }
  return QF_OK;
}

QfStatus
qf_score_erase(QfScore* const score, const size_t voice, const QfTime start, const QfTime end)
{
  if (voice >= score->n_voices || !qf_score_can_hold(start) || !qf_score_can_hold(end) ||
      qf_time_compare(start, end) > 0) {
    return QF_ERR_RANGE;
  }
  if (!qf_time_compare(start, end)) {
    return QF_OK;
  }

  const QfStatus st = reserve_notes(score, voice, 1);
  if (!st) {
    clear_span(score, voice, start, end);
    qf_score_prune_fermatas(score, start, end);
  }
  return st;
}

size_t
qf_score_n_notes(const QfScore* const score, const size_t voice)
{
  assert(voice < score->n_voices);
  return score->voices[voice].n_notes;
}

const QfNote*
qf_score_get_note(const QfScore* const score, const size_t voice, const size_t index)
{
  assert(voice < score->n_voices && index < score->voices[voice].n_notes);
  return &score->voices[voice].notes[index];
}

const QfNote*
qf_score_note_at(const QfScore* const score, const size_t voice, const QfTime time)
{
  assert(voice < score->n_voices);
  const VoiceNotes* const notes = &score->voices[voice];
  const size_t            index = qf_score_first_after(score, voice, time);
  return index < notes->n_notes && qf_time_compare(notes->notes[index].start, time) <= 0
           ? &notes->notes[index]
           : NULL;
}

const QfNote*
qf_score_find_note(const QfScore* const score, const uint32_t id, size_t* const voice)
{
  const NotePlace* const place = qf_note_index_find(&score->index, id);
  if (!place) {
    return NULL;
  }
  if (voice) {
    *voice = place->voice;
  }
  return qf_score_note_at(score, place->voice, place->start);
}

QfStatus
qf_score_set_pitch(QfScore* const score, const uint32_t id, const QfPitch pitch)
{
  size_t              voice = 0;
  const QfNote* const note  = qf_score_find_note(score, id, &voice);
  if (!note || !can_write_pitch(pitch)) {
    return QF_ERR_RANGE;
  }

  VoiceNotes* const notes                 = &score->voices[voice];
  notes->notes[note - notes->notes].pitch = pitch;
  return QF_OK;
}

static QfStatus
transpose_key(const QfKey key, const QfInterval interval, QfKey* const result)
{
  QfNoteName     tonic = key.tonic;
  const QfStatus st    = qf_note_name_transpose(key.tonic, interval, &tonic);
  if (st) {
    return st;
  }

  // Asking for the key by its signature is what refuses more than seven signs
  const int moved = qf_note_name_fifths(tonic) - qf_note_name_fifths(key.tonic);
  return qf_key_from_fifths(qf_key_fifths(key) + moved, key.mode, result);
}

/// Transpose in place; a failure leaves the score half done
static QfStatus
transpose_all(QfScore* const score, const QfInterval interval)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < score->n_signatures; ++i) {
    QfKey* const key = &score->signatures[i].key;
    st               = transpose_key(*key, interval, key);
  }
  for (size_t i = 0; i < score->n_voices; ++i) {
    for (size_t j = 0; !st && j < score->voices[i].n_notes; ++j) {
      QfPitch* const pitch = &score->voices[i].notes[j].pitch;
      st                   = qf_pitch_transpose(*pitch, interval, pitch);
      st                   = !st && !can_write_pitch(*pitch) ? QF_ERR_RANGE : st;
    }
  }
  return st;
}

QfStatus
qf_score_transpose(QfScore* const score, const QfInterval interval)
{
  QfScore* const copy = qf_score_dup(score);
  if (!copy) {
    return QF_ERR_NO_MEM;
  }

  const QfStatus st = transpose_all(copy, interval);
  if (!st) {
    const QfScore before = *score;
    *score               = *copy;
    *copy                = before;
  }
  qf_score_free(copy);
  return st;
}
