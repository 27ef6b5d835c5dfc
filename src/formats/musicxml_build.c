// SPDX-License-Identifier: MIT
// A score from what a MusicXML document says.
#include "musicxml_build.h"

#include <stdlib.h>

enum { MIDDLE_C_STEP = 28 };

/// Bass where most notes lie below middle C, otherwise treble, if the file names no clef
static QfClef
guess_clef(const QfRawScore* const raw, const size_t part, const int staff)
{
  size_t n_notes = 0;
  size_t n_low   = 0;
  for (size_t i = 0; i < raw->n_notes; ++i) {
    const QfRawStream* const stream = &raw->streams[raw->notes[i].stream];
    if (stream->part == part && stream->staff == staff) {
      n_low += qf_pitch_step(raw->notes[i].pitch) < MIDDLE_C_STEP;
      ++n_notes;
    }
  }
  return n_low > n_notes - n_low ? QF_CLEF_BASS : QF_CLEF_TREBLE;
}

/// Add the staves of every part; `first_staff` tells where a part's begin
static QfStatus
add_staves(const QfRawScore* const raw, size_t* const first_staff, QfScore* const score)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; i < raw->n_parts && !st; ++i) {
    const QfRawPart* const part = &raw->parts[i];
    first_staff[i]              = qf_score_n_staves(score);
    for (int staff = 0; qf_raw_is_kept(part) && staff < part->n_staves && !st; ++staff) {
      const QfClef clef = part->has_clef[staff] ? part->clefs[staff] : guess_clef(raw, i, staff);
      st                = qf_score_add_staff(score, staff ? "" : part->name, clef);
    }
  }
  return st;
}

static QfStatus
add_notes(const QfRawScore* const raw,
          const Lane* const       lanes,
          const size_t            n_lanes,
          QfScore* const          score)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; i < raw->n_notes && !st; ++i) {
    const QfRawNote* const note = &raw->notes[i];
    for (size_t voice = 0; voice < n_lanes && !note->is_merged && !st; ++voice) {
      if (lanes[voice].index == note->stream && lanes[voice].lane == note->lane) {
        st = qf_score_put_note(score, voice, qf_raw_time(note->start), qf_raw_time(note->duration),
                               note->pitch, QF_NO_NOTE, NULL);
      }
    }
  }
  return st;
}

/// The start of a note of this pitch that sounds on at a time, or the time itself
static QfTime
start_of_held(const QfScore* const score, const QfPitch pitch, const QfTime time)
{
  for (size_t voice = 0; voice < qf_score_n_voices(score); ++voice) {
    const QfNote* const note = qf_score_note_at(score, voice, time);
    if (note && qf_pitch_equals(note->pitch, pitch)) {
      return note->start;
    }
  }
  return time;
}

/// A fermata on the end of a tie is another voice's too, or else that of the whole tied note
static QfStatus
add_fermatas(const QfRawScore* const raw, QfScore* const score)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; i < raw->n_notes && !st; ++i) {
    const QfRawNote* const note = &raw->notes[i];
    const QfTime           time = qf_raw_time(note->start);
    if (!note->has_fermata || !qf_raw_is_kept(&raw->parts[raw->streams[note->stream].part])) {
      continue;
    }
    st = qf_score_set_fermata(score, time, true);
    if (st == QF_ERR_RANGE) {
      st = qf_score_set_fermata(score, start_of_held(score, note->pitch, time), true);
    }
  }
  return st;
}

static QfStatus
add_header(const QfRawScore* const raw, QfScore* const score)
{
  QfStatus st = qf_score_set_title(score, raw->title);
  if (!st) {
    st = qf_score_set_composer(score, raw->composer);
  }
  if (!st && raw->has_tempo) {
    st = qf_score_set_tempo(score, raw->tempo);
  }
  return st;
}

static QfStatus
add_voices(const QfRawScore* const raw,
           const size_t* const     first_staff,
           const Lane* const       lanes,
           const size_t            n_lanes,
           QfScore* const          score)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; i < n_lanes && !st; ++i) {
    const QfRawStream* const stream = lanes[i].stream;
    char                     name[QF_NAME_SIZE];
    qf_raw_name_voice(raw, lanes, n_lanes, i, name);
    st = qf_score_add_voice(score, name, first_staff[stream->part] + (size_t)stream->staff);
  }
  return st;
}

/// What stood in a measure now stands in the whole
static void
count_from_first_measure(QfRawScore* const raw, const QfTicks* const starts)
{
  for (size_t i = 0; i < raw->n_notes; ++i) {
    raw->notes[i].start += starts[raw->notes[i].measure];
  }
  for (size_t i = 0; i < raw->n_keys; ++i) {
    raw->keys[i].start += starts[raw->keys[i].measure];
  }
  for (size_t i = 0; i < raw->n_figures; ++i) {
    raw->figures[i].start += starts[raw->figures[i].measure];
  }
}

/// Fill an empty score; `starts` and `first_staff` are room for a number a measure and a part
static QfStatus
fill_score(QfRawScore* const raw,
           QfTicks* const    starts,
           size_t* const     first_staff,
           QfScore* const    score,
           QfRemarks* const  remarks,
           QfError* const    error)
{
  qf_raw_spread_metres(raw, remarks);
  QfStatus st = qf_raw_add_bars(raw, starts, score, remarks);
  if (st) {
    return qf_error_set(error, st, "the measures cannot be kept (%s)", qf_status_text(st));
  }
  count_from_first_measure(raw, starts);
  qf_raw_join_ties(raw, remarks);

  Lane   lanes[QF_MAX_VOICES];
  size_t n_lanes = 0U;
  st             = qf_raw_find_lanes(raw, remarks, error);
  if (!st) {
    st = qf_raw_list_lanes(raw, lanes, &n_lanes, error);
  }
  if (st) {
    return st;
  }

  st = add_staves(raw, first_staff, score);
  if (st) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED, "the score has more than %d staves",
                        QF_MAX_STAVES);
  }
  st = add_voices(raw, first_staff, lanes, n_lanes, score);
  if (!st) {
    st = add_header(raw, score);
  }
  if (!st) {
    st = qf_raw_set_keys(raw, score, remarks);
  }
  if (!st) {
    st = add_notes(raw, lanes, n_lanes, score);
  }
  if (!st) {
    st = add_fermatas(raw, score);
  }
  return st ? qf_error_set(error, st, "the score cannot be kept (%s)", qf_status_text(st)) : QF_OK;
}

/// Say which parts stay away; a score without any pitch is none
static QfStatus
check_parts(const QfRawScore* const raw, QfRemarks* const remarks, QfError* const error)
{
  size_t n_kept = 0U;
  for (size_t i = 0; i < raw->n_parts; ++i) {
    if (qf_raw_is_kept(&raw->parts[i])) {
      ++n_kept;
    } else {
      qf_remarks_add(remarks, QF_REMARK_UNPITCHED_PART, -1);
    }
  }
  return n_kept ? QF_OK
                : qf_error_set(error, QF_ERR_UNSUPPORTED,
                               "no part has pitched notes; expected at least one");
}

QfStatus
qf_raw_build(QfRawScore* const raw,
             QfScore** const   result,
             QfRemarks* const  remarks,
             QfError* const    error)
{
  QfStatus st = check_parts(raw, remarks, error);
  if (st) {
    return st;
  }

  QfTicks* const starts      = (QfTicks*)calloc(raw->n_measures, sizeof(QfTicks));
  size_t* const  first_staff = (size_t*)calloc(raw->n_parts, sizeof(size_t));
  QfScore* const score       = qf_score_new();
  if (starts && first_staff && score) {
    st = fill_score(raw, starts, first_staff, score, remarks, error);
  } else {
    st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading MusicXML");
  }

  free(starts);
  free(first_staff);
  if (st) {
    qf_score_free(score);
  } else {
    *result = score;
  }
  return st;
}
