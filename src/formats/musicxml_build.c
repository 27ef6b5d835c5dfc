// SPDX-License-Identifier: MIT
#include "musicxml_raw.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_OPEN_TIES = 64,
  MIDDLE_C_STEP = 28,
};

static QfTime
time_of(const QfTicks ticks)
{
  return qf_time(ticks, QF_TICKS_PER_WHOLE);
}

static QfTicks
ticks_of_bar(const QfMetre metre)
{
  return QF_TICKS_PER_WHOLE / metre.denominator * metre.numerator;
}

static bool
is_kept(const QfRawPart* const part)
{
  return part->has_pitch || !part->is_unpitched;
}

//
// Bars
//

static void
spread_metres(QfRawScore* const raw, QfRemarks* const remarks)
{
  QfMetre metre = {0};
  bool    known = false;
  for (size_t i = 0; i < raw->n_measures; ++i) {
    QfRawMeasure* const measure = &raw->measures[i];
    if (measure->has_metre) {
      metre = measure->metre;
    } else if (!known) {
      qf_metre(4, 4, &metre);
      qf_remarks_add(remarks, QF_REMARK_NO_METRE, measure->number);
    }
    known          = true;
    measure->metre = metre;
  }
}

/// The longest part says how long a measure is; rests that fill it only if they fit
static QfTicks
measure_length(const QfRawMeasure* const measure, QfRemarks* const remarks)
{
  const QfTicks bar  = ticks_of_bar(measure->metre);
  const QfTicks rest = measure->rest_length > bar ? 0 : measure->rest_length;
  if (!measure->length && !rest) {
    if (!measure->rest_length) {
      qf_remarks_add(remarks, QF_REMARK_FILLED_BAR, measure->number);
    }
    return bar;
  }
  return measure->length > rest ? measure->length : rest;
}

/// True if a measure goes on where the one before it broke off: 7a after 7, or an uncounted one
static bool
continues_bar(const QfBar* const before, const QfRawMeasure* const measure, const QfTime length)
{
  const QfTime reached = qf_time_add(before->offset, before->length);
  const QfTime end     = qf_time_add(reached, length);
  const QfTime bar     = qf_metre_bar(measure->metre);
  const bool   says_so = measure->number == before->number || measure->is_implicit;
  return says_so && qf_metre_equals(before->metre, measure->metre) &&
         qf_time_compare(reached, bar) < 0 && qf_time_compare(end, bar) <= 0;
}

static QfBar
bar_of(const QfRawScore* const raw, const size_t index, const QfBar* const before, QfTime length)
{
  const QfRawMeasure* const measure = &raw->measures[index];

  QfBar bar         = {.length = length, .offset = QF_TIME_ZERO, .metre = measure->metre};
  bar.number        = measure->number;
  bar.suffix        = measure->suffix;
  bar.starts_repeat = measure->starts_repeat;
  bar.ends_repeat   = measure->ends_repeat;

  const QfTime full     = qf_metre_bar(measure->metre);
  const bool   is_short = qf_time_compare(length, full) < 0;
  const bool   is_zero  = !measure->is_numbered || measure->is_implicit || measure->number == 0;
  if (!before && is_short && (raw->n_measures > 1U || is_zero)) {
    bar.offset = qf_time_sub(full, length);
    bar.number = measure->is_numbered ? measure->number : 0;
  } else if (before && continues_bar(before, measure, length)) {
    bar.offset = qf_time_add(before->offset, before->length);
    bar.number = before->number;
    if (!bar.suffix) {
      bar.suffix = before->suffix ? (char)(before->suffix + 1) : 'a';
    }
  }
  return bar;
}

static QfStatus
add_bars(const QfRawScore* const raw,
         QfTicks* const          starts,
         QfScore* const          score,
         QfRemarks* const        remarks)
{
  QfStatus st     = QF_OK;
  QfBar    before = {0};
  QfTicks  start  = 0;
  for (size_t i = 0; i < raw->n_measures && !st; ++i) {
    const QfTicks length = measure_length(&raw->measures[i], remarks);
    const QfBar   bar    = bar_of(raw, i, i ? &before : NULL, time_of(length));
    starts[i]            = start;
    start += length;
    before = bar;
    st     = qf_score_append_bar(score, bar);
  }
  return st;
}

//
// Ties
//

static int
compare_numbers(const int64_t a, const int64_t b)
{
  return (a > b) - (a < b);
}

static int
compare_by_stream(const void* const left, const void* const right)
{
  const QfRawNote* const a = (const QfRawNote*)left;
  const QfRawNote* const b = (const QfRawNote*)right;

  int order = compare_numbers(a->stream, b->stream);
  order     = order ? order : compare_numbers(a->start, b->start);
  return order ? order : qf_pitch_compare(b->pitch, a->pitch);
}

static int
compare_by_start(const void* const left, const void* const right)
{
  const QfRawNote* const a = (const QfRawNote*)left;
  const QfRawNote* const b = (const QfRawNote*)right;

  const int order = compare_numbers(a->start, b->start);
  return order ? order : compare_by_stream(left, right);
}

/// Notes with a tie that waits for its other end
typedef struct {
  QfRawNote* notes[MAX_OPEN_TIES];
  size_t     n_notes;
} OpenTies;

/// Find the note a tie comes from: same part, pitch and moment, in the same voice if there is one
static size_t
find_open(const OpenTies* const open, const QfRawScore* const raw, const QfRawNote* const note)
{
  size_t found = SIZE_MAX;
  for (size_t i = 0; i < open->n_notes; ++i) {
    const QfRawNote* const other = open->notes[i];
    if (other->start + other->duration != note->start ||
        !qf_pitch_equals(other->pitch, note->pitch) ||
        raw->streams[other->stream].part != raw->streams[note->stream].part) {
      continue;
    }
    if (other->stream == note->stream) {
      return i;
    }
    found = found == SIZE_MAX ? i : found;
  }
  return found;
}

static void
drop_stale(OpenTies* const         open,
           const QfTicks           now,
           const QfRawScore* const raw,
           QfRemarks* const        remarks)
{
  for (size_t i = open->n_notes; i > 0; --i) {
    const QfRawNote* const note = open->notes[i - 1U];
    if (note->start + note->duration < now) {
      qf_remarks_add(remarks, QF_REMARK_LOOSE_TIE, raw->measures[note->measure].number);
      open->notes[i - 1U] = open->notes[--open->n_notes];
    }
  }
}

/// A tied note sounds once: what is tied to it makes it longer
static void
join_ties(QfRawScore* const raw, QfRemarks* const remarks)
{
  if (raw->n_notes) {
    qsort(raw->notes, raw->n_notes, sizeof(*raw->notes), compare_by_start);
  }
  OpenTies open = {.n_notes = 0U};
  for (size_t i = 0; i < raw->n_notes; ++i) {
    QfRawNote* const note = &raw->notes[i];
    drop_stale(&open, note->start, raw, remarks);

    const size_t from = note->stops_tie ? find_open(&open, raw, note) : SIZE_MAX;
    if (from != SIZE_MAX) {
      open.notes[from]->duration += note->duration;
      note->is_merged = true;
      if (!note->starts_tie) {
        open.notes[from] = open.notes[--open.n_notes];
      }
      continue;
    }
    if (note->stops_tie) {
      qf_remarks_add(remarks, QF_REMARK_LOOSE_TIE, raw->measures[note->measure].number);
    }
    if (note->starts_tie && open.n_notes < MAX_OPEN_TIES) {
      open.notes[open.n_notes++] = note;
    }
  }
  drop_stale(&open, INT64_MAX, raw, remarks);
}

//
// Voices
//

/// Split streams with several notes at a time into lanes, the highest note in the first
static QfStatus
find_lanes(QfRawScore* const raw, QfRemarks* const remarks, QfError* const error)
{
  if (raw->n_notes) {
    qsort(raw->notes, raw->n_notes, sizeof(*raw->notes), compare_by_stream);
  }

  QfTicks ends[QF_MAX_VOICES] = {0};
  for (size_t i = 0; i < raw->n_notes; ++i) {
    QfRawNote* const   note   = &raw->notes[i];
    QfRawStream* const stream = &raw->streams[note->stream];
    if (i == 0 || raw->notes[i - 1U].stream != note->stream) {
      memset(ends, 0, sizeof(ends));
    }
    if (note->is_merged) {
      continue;
    }
    while (note->lane < QF_MAX_VOICES && ends[note->lane] > note->start) {
      ++note->lane;
    }
    if (note->lane == QF_MAX_VOICES) {
      qf_error_set(error, QF_ERR_UNSUPPORTED, "more than %d notes sound at once in one voice",
                   QF_MAX_VOICES);
      qf_error_place(error, 0, raw->measures[note->measure].number, NULL);
      return QF_ERR_UNSUPPORTED;
    }
    ends[note->lane] = note->start + note->duration;
    if (note->lane >= stream->n_lanes) {
      stream->n_lanes = (uint8_t)(note->lane + 1);
      if (note->lane > 0) {
        qf_remarks_add(remarks, QF_REMARK_CHORD_SPLIT, raw->measures[note->measure].number);
      }
    }
  }
  return QF_OK;
}

/// A voice of the score to be
typedef struct {
  const QfRawStream* stream;
  uint32_t           index; ///< Of the stream
  uint8_t            lane;
} Lane;

static int
compare_lanes(const void* const left, const void* const right)
{
  const Lane* const        a = (const Lane*)left;
  const Lane* const        b = (const Lane*)right;
  const QfRawStream* const s = a->stream;
  const QfRawStream* const t = b->stream;

  int order = s->order && t->order ? compare_numbers(s->order, t->order) : 0;
  order     = order ? order : compare_numbers((int64_t)s->part, (int64_t)t->part);
  order     = order ? order : compare_numbers(s->staff, t->staff);
  order     = order ? order : compare_numbers(atoi(s->voice), atoi(t->voice));
  order     = order ? order : compare_numbers(a->index, b->index);
  return order ? order : compare_numbers(a->lane, b->lane);
}

/// True if nothing else stands on a stream's staff
static bool
is_alone(const QfRawScore* const raw, const QfRawStream* const stream)
{
  for (size_t i = 0; i < raw->n_streams; ++i) {
    const QfRawStream* const other = &raw->streams[i];
    if (other != stream && other->part == stream->part && other->staff == stream->staff) {
      return false;
    }
  }
  return true;
}

/// Number of voices a stream makes; one of rests only stays if it is known to be a voice
static uint8_t
n_lanes_of(const QfRawScore* const raw, const QfRawStream* const stream)
{
  if (!is_kept(&raw->parts[stream->part])) {
    return 0U;
  }
  if (stream->has_notes) {
    return stream->n_lanes;
  }
  return raw->has_fields ? stream->order > 0 : is_alone(raw, stream);
}

static QfStatus
list_lanes(const QfRawScore* const raw,
           Lane                    lanes[QF_MAX_VOICES],
           size_t* const           n_lanes,
           QfError* const          error)
{
  *n_lanes = 0U;
  for (size_t i = 0; i < raw->n_streams; ++i) {
    const uint8_t n_more = n_lanes_of(raw, &raw->streams[i]);
    if (*n_lanes + n_more > QF_MAX_VOICES) {
      return qf_error_set(error, QF_ERR_UNSUPPORTED,
                          "the score has more than %d voices, with chords split", QF_MAX_VOICES);
    }
    for (uint8_t lane = 0; lane < n_more; ++lane) {
      lanes[(*n_lanes)++] = (Lane){&raw->streams[i], (uint32_t)i, lane};
    }
  }
  qsort(lanes, *n_lanes, sizeof(*lanes), compare_lanes);
  return QF_OK;
}

/// True if the part makes one voice only, so that its name is the voice's
static bool
is_solo(const Lane* const lanes, const size_t n_lanes, const size_t part)
{
  size_t n_found = 0U;
  for (size_t i = 0; i < n_lanes; ++i) {
    n_found += lanes[i].stream->part == part;
  }
  return n_found == 1U;
}

static void
name_voice(const QfRawScore* const raw,
           const Lane* const       lanes,
           const size_t            n_lanes,
           const size_t            index,
           char                    name[QF_NAME_SIZE])
{
  const QfRawStream* const stream = lanes[index].stream;
  const QfRawPart* const   part   = &raw->parts[stream->part];
  if (stream->order) {
    snprintf(name, QF_NAME_SIZE, "%s", stream->name);
  } else if (part->name[0] && is_solo(lanes, n_lanes, stream->part)) {
    snprintf(name, QF_NAME_SIZE, "%s", part->name);
  } else {
    qf_name_voice(n_lanes, index, name);
  }
}

//
// The score
//

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
    for (int staff = 0; is_kept(part) && staff < part->n_staves && !st; ++staff) {
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
        st = qf_score_put_note(score, voice, time_of(note->start), time_of(note->duration),
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
    const QfTime           time = time_of(note->start);
    if (!note->has_fermata || !is_kept(&raw->parts[raw->streams[note->stream].part])) {
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
    name_voice(raw, lanes, n_lanes, i, name);
    st = qf_score_add_voice(score, name, first_staff[stream->part] + (size_t)stream->staff);
  }
  return st;
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
  spread_metres(raw, remarks);
  QfStatus st = add_bars(raw, starts, score, remarks);
  if (st) {
    return qf_error_set(error, st, "the measures cannot be kept (%s)", qf_status_text(st));
  }
  for (size_t i = 0; i < raw->n_notes; ++i) {
    raw->notes[i].start += starts[raw->notes[i].measure];
  }
  for (size_t i = 0; i < raw->n_keys; ++i) {
    raw->keys[i].start += starts[raw->keys[i].measure];
  }
  for (size_t i = 0; i < raw->n_figures; ++i) {
    raw->figures[i].start += starts[raw->figures[i].measure];
  }
  join_ties(raw, remarks);

  Lane   lanes[QF_MAX_VOICES];
  size_t n_lanes = 0U;
  st             = find_lanes(raw, remarks, error);
  if (!st) {
    st = list_lanes(raw, lanes, &n_lanes, error);
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
    if (is_kept(&raw->parts[i])) {
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
