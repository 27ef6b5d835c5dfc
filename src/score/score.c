// SPDX-License-Identifier: MIT
#include "score_impl.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double default_tempo = 72.0;
static const double min_tempo     = 10.0;
static const double max_tempo     = 400.0;

void*
qf_array_grow(void* const   array,
              size_t* const capacity,
              const size_t  needed,
              const size_t  item_size)
{
  if (array && needed <= *capacity) {
    return array;
  }

  const size_t larger = needed + needed / 2U + 8U;
  void* const  moved  = realloc(array, larger * item_size);
  if (moved) {
    *capacity = larger;
  }
  return moved;
}

QfScore*
qf_score_new(void)
{
  QfScore* const score = (QfScore*)calloc(1, sizeof(QfScore));
  if (score) {
    score->tempo   = default_tempo;
    score->next_id = 1;
  }
  return score;
}

static QfStatus
add_satb(QfScore* const score)
{
  static const char* const names[] = {"Soprano", "Alto", "Tenor", "Bass"};

  QfStatus st = qf_score_add_staff(score, "", QF_CLEF_TREBLE);
  st          = st ? st : qf_score_add_staff(score, "", QF_CLEF_BASS);
  for (size_t i = 0; !st && i < 4; ++i) {
    st = qf_score_add_voice(score, names[i], i / 2U);
  }
  return st;
}

QfScore*
qf_score_new_satb(const QfKey key, const QfMetre metre, const QfTime pickup, const size_t n_bars)
{
  QfScore* const score = qf_score_new();
  if (!score) {
    return NULL;
  }

  const QfTime bar   = qf_metre_bar(metre);
  const QfTime first = qf_time_sub(pickup, qf_time_floor(pickup, bar));
  QfStatus     st    = add_satb(score);
  st                 = st ? st : qf_score_set_signature(score, QF_TIME_ZERO, key);
  if (!st && first.num > 0) {
    st = qf_score_append_bar(
      score, (QfBar){.length = first, .offset = qf_time_sub(bar, first), .metre = metre});
  }
  for (size_t i = 0; !st && i < n_bars && score->n_bars < QF_MAX_BARS; ++i) {
    st = qf_score_append_bar(score, (QfBar){.length = bar, .number = (int)i + 1, .metre = metre});
  }

  if (st) {
    qf_score_free(score);
    return NULL;
  }
  return score;
}

/// A copy of an array with room for at least one item, or NULL if out of memory
static void*
copy_array(const void* const from,
           const size_t      n_items,
           const size_t      item_size,
           size_t* const     capacity)
{
  *capacity      = n_items ? n_items : 1U;
  void* const to = malloc(*capacity * item_size);
  if (to && n_items) {
    memcpy(to, from, n_items * item_size);
  }
  return to;
}

static bool
copy_voice(const VoiceNotes* const from, VoiceNotes* const to)
{
  to->info    = from->info;
  to->n_notes = from->n_notes;
  to->notes   = (QfNote*)copy_array(from->notes, from->n_notes, sizeof(QfNote), &to->capacity);
  return to->notes;
}

QfScore*
qf_score_dup(const QfScore* const score)
{
  QfScore* const copy = qf_score_new();
  if (!copy) {
    return NULL;
  }

  copy->tempo        = score->tempo;
  copy->next_id      = score->next_id;
  copy->n_staves     = score->n_staves;
  copy->n_voices     = score->n_voices;
  copy->n_bars       = score->n_bars;
  copy->n_signatures = score->n_signatures;
  copy->n_fermatas   = score->n_fermatas;
  memcpy(copy->staves, score->staves, sizeof(score->staves));
  copy->bars = (QfBar*)copy_array(score->bars, score->n_bars, sizeof(QfBar), &copy->bars_capacity);
  copy->signatures = (QfSignature*)copy_array(score->signatures, score->n_signatures,
                                              sizeof(QfSignature), &copy->signatures_capacity);
  copy->fermatas   = (QfTime*)copy_array(score->fermatas, score->n_fermatas, sizeof(QfTime),
                                         &copy->fermatas_capacity);

  bool is_whole = copy->bars && copy->signatures && copy->fermatas &&
                  !qf_score_set_title(copy, qf_score_get_title(score)) &&
                  !qf_score_set_composer(copy, qf_score_get_composer(score)) &&
                  !qf_note_index_copy(&score->index, &copy->index);
  for (size_t i = 0; is_whole && i < score->n_voices; ++i) {
    is_whole = copy_voice(&score->voices[i], &copy->voices[i]);
  }

  if (!is_whole) {
    qf_score_free(copy);
    return NULL;
  }
  return copy;
}

static bool
times_equal(const QfTime a, const QfTime b)
{
  return qf_time_compare(a, b) == 0;
}

static bool
bars_equal(const QfBar* const a, const QfBar* const b)
{
  return times_equal(a->length, b->length) && times_equal(a->offset, b->offset) &&
         a->number == b->number && a->suffix == b->suffix && qf_metre_equals(a->metre, b->metre) &&
         a->starts_repeat == b->starts_repeat && a->ends_repeat == b->ends_repeat;
}

static bool
voices_equal(const VoiceNotes* const a, const VoiceNotes* const b)
{
  if (strcmp(a->info.name, b->info.name) != 0 || a->info.staff != b->info.staff ||
      a->n_notes != b->n_notes) {
    return false;
  }
  for (size_t i = 0; i < a->n_notes; ++i) {
    if (!times_equal(a->notes[i].start, b->notes[i].start) ||
        !times_equal(a->notes[i].duration, b->notes[i].duration) ||
        !qf_pitch_equals(a->notes[i].pitch, b->notes[i].pitch)) {
      return false;
    }
  }
  return true;
}

bool
qf_score_equals(const QfScore* const a, const QfScore* const b)
{
  bool is_equal = !strcmp(qf_score_get_title(a), qf_score_get_title(b)) &&
                  !strcmp(qf_score_get_composer(a), qf_score_get_composer(b)) &&
                  a->n_staves == b->n_staves && a->n_voices == b->n_voices &&
                  a->n_bars == b->n_bars && a->n_signatures == b->n_signatures &&
                  a->n_fermatas == b->n_fermatas;

  for (size_t i = 0; is_equal && i < a->n_staves; ++i) {
    is_equal =
      !strcmp(a->staves[i].name, b->staves[i].name) && a->staves[i].clef == b->staves[i].clef;
  }
  for (size_t i = 0; is_equal && i < a->n_bars; ++i) {
    is_equal = bars_equal(&a->bars[i], &b->bars[i]);
  }
  for (size_t i = 0; is_equal && i < a->n_signatures; ++i) {
    is_equal = times_equal(a->signatures[i].start, b->signatures[i].start) &&
               qf_key_equals(a->signatures[i].key, b->signatures[i].key);
  }
  for (size_t i = 0; is_equal && i < a->n_fermatas; ++i) {
    is_equal = times_equal(a->fermatas[i], b->fermatas[i]);
  }
  for (size_t i = 0; is_equal && i < a->n_voices; ++i) {
    is_equal = voices_equal(&a->voices[i], &b->voices[i]);
  }
  return is_equal;
}

void
qf_score_free(QfScore* const score)
{
  if (!score) {
    return;
  }

  for (size_t i = 0; i < score->n_voices; ++i) {
    free(score->voices[i].notes);
  }
  qf_note_index_clear(&score->index);
  free(score->fermatas);
  free(score->signatures);
  free(score->bars);
  free(score->composer);
  free(score->title);
  free(score);
}

static QfStatus
replace_text(char** const text, const char* const replacement)
{
  char* const copy = strdup(replacement ? replacement : "");
  if (!copy) {
    return QF_ERR_NO_MEM;
  }
  free(*text);
  *text = copy;
  return QF_OK;
}

const char*
qf_score_get_title(const QfScore* const score)
{
  return score->title ? score->title : "";
}

QfStatus
qf_score_set_title(QfScore* const score, const char* const title)
{
  return replace_text(&score->title, title);
}

const char*
qf_score_get_composer(const QfScore* const score)
{
  return score->composer ? score->composer : "";
}

QfStatus
qf_score_set_composer(QfScore* const score, const char* const composer)
{
  return replace_text(&score->composer, composer);
}

double
qf_score_get_tempo(const QfScore* const score)
{
  return score->tempo;
}

QfStatus
qf_score_set_tempo(QfScore* const score, const double quarters_per_minute)
{
  if (!(quarters_per_minute >= min_tempo && quarters_per_minute <= max_tempo)) {
    return QF_ERR_RANGE;
  }
  score->tempo = quarters_per_minute;
  return QF_OK;
}

/// Copy a name, cut at a whole UTF-8 character if it is too long
static void
copy_name(char name[QF_NAME_SIZE], const char* const text)
{
  size_t length = text ? strlen(text) : 0U;
  if (length >= QF_NAME_SIZE) {
    length = QF_NAME_SIZE - 1;
    while (length > 0 && ((unsigned char)text[length] & 0xC0U) == 0x80U) {
      --length;
    }
  }
  memset(name, 0, QF_NAME_SIZE);
  if (length) {
    memcpy(name, text, length);
  }
}

QfStatus
qf_score_add_staff(QfScore* const score, const char* const name, const QfClef clef)
{
  if (score->n_staves == QF_MAX_STAVES || (unsigned)clef >= QF_CLEF_N_KINDS) {
    return QF_ERR_RANGE;
  }
  QfStaff* const staff = &score->staves[score->n_staves++];
  copy_name(staff->name, name);
  staff->clef = clef;
  return QF_OK;
}

size_t
qf_score_n_staves(const QfScore* const score)
{
  return score->n_staves;
}

const QfStaff*
qf_score_get_staff(const QfScore* const score, const size_t index)
{
  assert(index < score->n_staves);
  return &score->staves[index];
}

QfStatus
qf_score_add_voice(QfScore* const score, const char* const name, const size_t staff)
{
  if (score->n_voices == QF_MAX_VOICES || staff >= score->n_staves) {
    return QF_ERR_RANGE;
  }
  VoiceNotes* const voice = &score->voices[score->n_voices++];
  copy_name(voice->info.name, name);
  voice->info.staff = (uint8_t)staff;
  return QF_OK;
}

size_t
qf_score_n_voices(const QfScore* const score)
{
  return score->n_voices;
}

const QfVoice*
qf_score_get_voice(const QfScore* const score, const size_t index)
{
  assert(index < score->n_voices);
  return &score->voices[index].info;
}
