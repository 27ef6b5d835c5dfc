// SPDX-License-Identifier: MIT
#include "smf_parse.h"
#include "smf_spell.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_EXACT_DEN = 64, ///< Played music soon has finer places
  BINARY_GRID   = 32,
  TRIPLET_GRID  = 24,
  MIDDLE_C      = 60,
};

//
// Time
//

/// True for a place that written music has: on a 64th or coarser, or in a tuplet of 3, 5 or 7
static bool
is_written_place(const QfTime time)
{
  int64_t rest = time.den;
  while (rest % 2 == 0) {
    rest /= 2;
  }
  return time.den <= MAX_EXACT_DEN && (rest == 1 || rest == 3 || rest == 5 || rest == 7);
}

/// True if every note begins and ends on a place that written music has
static bool
is_exact(const QfSmfFile* const file)
{
  for (size_t i = 0; i < file->n_notes; ++i) {
    const QfTime start = qf_time(file->notes[i].start, 4 * (int64_t)file->division);
    const QfTime end   = qf_time(file->notes[i].end, 4 * (int64_t)file->division);
    if (!is_written_place(start) || !is_written_place(end)) {
      return false;
    }
  }
  return true;
}

static QfTime
nearest(const QfTime time, const int64_t grid)
{
  const int64_t doubled = 2 * time.num * grid + time.den;
  return qf_time(doubled / (2 * time.den), grid);
}

static QfTime
distance(const QfTime a, const QfTime b)
{
  const QfTime apart = qf_time_sub(a, b);
  return apart.num < 0 ? (QfTime){-apart.num, apart.den} : apart;
}

/// Move a time to the nearest 32nd or, if that is nearer, the nearest 16th of a triplet
static QfTime
quantise(const QfTime time)
{
  const QfTime binary  = nearest(time, BINARY_GRID);
  const QfTime triplet = nearest(time, TRIPLET_GRID);
  return qf_time_compare(distance(triplet, time), distance(binary, time)) < 0 ? triplet : binary;
}

/// A note with its place in the score
typedef struct {
  QfTime   start;
  QfTime   end;
  uint32_t stream; ///< Track and channel
  uint8_t  key;
  uint8_t  lane; ///< Which of the voices its stream is split into
} Note;

/// Written music is kept as it is; played music is moved to the grid
static void
place_notes(const QfSmfFile* const file, Note* const notes, QfRemarks* const remarks)
{
  const bool    exact = is_exact(file);
  const int64_t whole = 4 * (int64_t)file->division;
  for (size_t i = 0; i < file->n_notes; ++i) {
    const QfSmfNote* const from  = &file->notes[i];
    Note* const            to    = &notes[i];
    const QfTime           start = qf_time(from->start, whole);
    const QfTime           end   = qf_time(from->end, whole);

    to->start  = exact ? start : quantise(start);
    to->end    = exact ? end : quantise(end);
    to->stream = from->track * 16U + from->channel;
    to->key    = from->key;
    if (qf_time_compare(to->start, start) || qf_time_compare(to->end, end)) {
      qf_remarks_add(remarks, QF_REMARK_QUANTISED, -1);
    }
    if (qf_time_compare(to->start, to->end) >= 0) {
      to->end = qf_time_add(to->start, qf_time(1, BINARY_GRID));
    }
  }
}

//
// Bars
//

static int
compare_changes(const void* const left, const void* const right)
{
  const QfSmfChange* const a = (const QfSmfChange*)left;
  const QfSmfChange* const b = (const QfSmfChange*)right;
  return (a->at > b->at) - (a->at < b->at);
}

static QfTime
time_of_change(const QfSmfFile* const file, const QfSmfChange* const change)
{
  return qf_time(change->at, 4 * (int64_t)file->division);
}

/// A first bar that is shorter than those after it is a pickup, for MIDI cannot say so
static bool
begins_with_pickup(const QfSmfFile* const file)
{
  if (file->n_metres < 2U || file->metres[0].at) {
    return false;
  }
  const QfTime first  = qf_metre_bar(file->metres[0].metre);
  const QfTime second = qf_metre_bar(file->metres[1].metre);
  return qf_time_compare(first, second) < 0 &&
         !qf_time_compare(first, time_of_change(file, &file->metres[1]));
}

static QfStatus
add_bars(const QfSmfFile* const file,
         const QfTime           end,
         QfScore* const         score,
         QfRemarks* const       remarks)
{
  const bool has_pickup = begins_with_pickup(file);
  QfMetre    metre;
  qf_metre(4, 4, &metre);
  if (!file->n_metres || file->metres[0].at) {
    qf_remarks_add(remarks, QF_REMARK_NO_METRE, -1);
  }

  QfStatus st     = QF_OK;
  size_t   next   = 0U;
  int      number = has_pickup ? 0 : 1;
  do {
    const QfTime start = qf_score_get_end(score);
    while (next < file->n_metres &&
           qf_time_compare(time_of_change(file, &file->metres[next]), start) <= 0) {
      if (qf_time_compare(time_of_change(file, &file->metres[next]), start) < 0) {
        qf_remarks_add(remarks, QF_REMARK_LATE_METRE, number);
      }
      metre = file->metres[next++].metre;
    }

    QfBar bar  = {.length = qf_metre_bar(metre), .offset = QF_TIME_ZERO, .metre = metre};
    bar.number = number;
    if (has_pickup && number == 0) {
      bar.metre  = file->metres[1].metre;
      bar.offset = qf_time_sub(qf_metre_bar(bar.metre), bar.length);
    }
    st = qf_score_append_bar(score, bar);
    ++number;
  } while (!st && qf_time_compare(qf_score_get_end(score), end) < 0);
  return st;
}

//
// Voices
//

static int
compare_notes(const void* const left, const void* const right)
{
  const Note* const a = (const Note*)left;
  const Note* const b = (const Note*)right;
  if (a->stream != b->stream) {
    return a->stream < b->stream ? -1 : 1;
  }
  const int order = qf_time_compare(a->start, b->start);
  return order ? order : (b->key > a->key) - (b->key < a->key);
}

/// A voice to be: one lane of one stream
typedef struct {
  uint32_t stream;
  uint8_t  lane;
  int64_t  key_sum; ///< For the mean height, which says the clef
  int64_t  n_notes;
} Lane;

typedef struct {
  Lane   lanes[QF_MAX_VOICES];
  size_t n_lanes;
} Lanes;

/// Share the notes out to lanes, where several sound at once the highest to the first
static QfStatus
find_lanes(Note* const      notes,
           const size_t     n_notes,
           Lanes* const     lanes,
           QfRemarks* const remarks,
           QfError*         error)
{
  QfTime ends[QF_MAX_VOICES];
  size_t first = 0U; // lane of the stream
  for (size_t i = 0; i < n_notes; ++i) {
    if (i == 0U || notes[i].stream != notes[i - 1U].stream) {
      first = lanes->n_lanes;
    }
    size_t lane = first;
    while (lane < lanes->n_lanes && qf_time_compare(ends[lane], notes[i].start) > 0) {
      ++lane;
    }
    if (lane == QF_MAX_VOICES) {
      return qf_error_set(error, QF_ERR_UNSUPPORTED,
                          "the MIDI file has more than %d voices, with chords split",
                          QF_MAX_VOICES);
    }
    if (lane == lanes->n_lanes) {
      lanes->lanes[lanes->n_lanes++] =
        (Lane){.stream = notes[i].stream, .lane = (uint8_t)(lane - first)};
      if (lane > first) {
        qf_remarks_add(remarks, QF_REMARK_CHORD_SPLIT, -1);
      }
    }
    notes[i].lane = (uint8_t)lane;
    ends[lane]    = notes[i].end;
    lanes->lanes[lane].key_sum += notes[i].key;
    lanes->lanes[lane].n_notes++;
  }
  return QF_OK;
}

static QfClef
clef_of(const Lane* const lane)
{
  return lane->key_sum < lane->n_notes * MIDDLE_C ? QF_CLEF_BASS : QF_CLEF_TREBLE;
}

/// A staff for each stream, a second one where its voices want another clef
static QfStatus
add_voices(const QfSmfFile* const file, const Lanes* const lanes, QfScore* const score)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; i < lanes->n_lanes && !st; ++i) {
    const Lane* const lane  = &lanes->lanes[i];
    const char* const track = file->names[lane->stream / 16U];
    const bool        is_solo =
      lane->lane == 0U && (i + 1U == lanes->n_lanes || lanes->lanes[i + 1U].stream != lane->stream);
    const size_t n_staves = qf_score_n_staves(score);
    const bool   fits     = lane->lane > 0U && n_staves > 0U &&
                      qf_score_get_staff(score, n_staves - 1U)->clef == clef_of(lane);
    const bool shares = fits || n_staves == QF_MAX_STAVES;
    if (!shares) {
      st = qf_score_add_staff(score, lane->lane ? "" : track, clef_of(lane));
    }

    char name[QF_NAME_SIZE];
    qf_name_voice(lanes->n_lanes, i, name);
    if (!st) {
      st = qf_score_add_voice(score, is_solo && track[0] ? track : name,
                              qf_score_n_staves(score) - 1U);
    }
  }
  return st;
}

//
// The score
//

static QfStatus
add_header(const QfSmfFile* const file, const bool has_voice_in_first, QfScore* const score)
{
  QfStatus st = QF_OK;
  if (file->n_tracks > 1U && !has_voice_in_first) {
    st = qf_score_set_title(score, file->names[0]);
  }
  if (!st && file->has_tempo) {
    st = qf_score_set_tempo(score, file->tempo);
  }
  for (size_t i = 0; i < file->n_keys && !st; ++i) {
    st = qf_score_set_signature(score, time_of_change(file, &file->keys[i]), file->keys[i].key);
  }
  return st;
}

static QfStatus
add_notes(const Note* const notes, const size_t n_notes, QfScore* const score)
{
  QfUnspelled* const unspelled = (QfUnspelled*)calloc(n_notes, sizeof(*unspelled));
  if (!unspelled) {
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < n_notes; ++i) {
    unspelled[i] = (QfUnspelled){notes[i].start, notes[i].end, notes[i].key, i, 0};
  }
  qf_smf_spell(unspelled, n_notes, score);

  QfStatus st = QF_OK;
  for (size_t i = 0; i < n_notes && !st; ++i) {
    const QfUnspelled* const note     = &unspelled[i];
    const QfTime             duration = qf_time_sub(note->end, note->start);
    const QfPitch            pitch    = qf_smf_pitch(note->midi, note->fifths);
    st = qf_score_put_note(score, notes[note->index].lane, note->start, duration, pitch, QF_NO_NOTE,
                           NULL);
  }
  free(unspelled);
  return st;
}

static QfStatus
fill_score(QfSmfFile* const file,
           Note* const      notes,
           QfScore* const   score,
           QfRemarks* const remarks,
           QfError* const   error)
{
  place_notes(file, notes, remarks);
  qsort(notes, file->n_notes, sizeof(*notes), compare_notes);

  Lanes    lanes = {.n_lanes = 0U};
  QfStatus st    = find_lanes(notes, file->n_notes, &lanes, remarks, error);
  if (st) {
    return st;
  }

  QfTime end = QF_TIME_ZERO;
  for (size_t i = 0; i < file->n_notes; ++i) {
    end = qf_time_max(end, notes[i].end);
  }
  st = add_header(file, notes[0].stream < 16U, score);
  if (!st) {
    st = add_bars(file, end, score, remarks);
  }
  if (!st) {
    st = add_voices(file, &lanes, score);
  }
  if (!st) {
    st = add_notes(notes, file->n_notes, score);
  }
  return st ? qf_error_set(error, st == QF_ERR_RANGE ? QF_ERR_UNSUPPORTED : st,
                           "the MIDI file is longer than a score can hold")
            : QF_OK;
}

static QfStatus
build(QfSmfFile* const file, QfScore** const result, QfRemarks* const remarks, QfError* const error)
{
  if (!file->n_notes) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED,
                        "the MIDI file has no pitched notes; expected at least one");
  }
  if (file->n_metres) {
    qsort(file->metres, file->n_metres, sizeof(*file->metres), compare_changes);
  }
  qf_remarks_add(remarks, QF_REMARK_SPELLED, -1);

  Note* const    notes = (Note*)calloc(file->n_notes, sizeof(*notes));
  QfScore* const score = qf_score_new();
  QfStatus       st    = notes && score
                           ? fill_score(file, notes, score, remarks, error)
                           : qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading MIDI");
  free(notes);
  if (st) {
    qf_score_free(score);
  } else {
    *result = score;
  }
  return st;
}

QfStatus
qf_smf_read(const void* const data,
            const size_t      length,
            QfScore** const   result,
            QfImport* const   import,
            QfError* const    error)
{
  QfSmfFile* const file    = (QfSmfFile*)calloc(1, sizeof(*file));
  QfRemarks        remarks = {0};
  QfScore*         score   = NULL;
  if (!file) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading MIDI");
  }

  QfStatus st = qf_smf_parse((const uint8_t*)data, length, file, &remarks, error);
  if (!st) {
    st = build(file, &score, &remarks, error);
  }
  qf_smf_file_clear(file);
  free(file);
  if (!st) {
    st = qf_remarks_tell(&remarks, import, error);
  }
  if (st) {
    qf_score_free(score);
  } else {
    *result = score;
  }
  return st;
}
