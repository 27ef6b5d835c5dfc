// SPDX-License-Identifier: MIT
#include "musicxml_build.h"

#include <stdlib.h>

enum { MAX_OPEN_TIES = 64 };

int
qf_raw_compare_numbers(const int64_t a, const int64_t b)
{
  return (a > b) - (a < b);
}

int
qf_raw_compare_notes(const void* const left, const void* const right)
{
  const QfRawNote* const a = (const QfRawNote*)left;
  const QfRawNote* const b = (const QfRawNote*)right;

  int order = qf_raw_compare_numbers(a->stream, b->stream);
  order     = order ? order : qf_raw_compare_numbers(a->start, b->start);
  return order ? order : qf_pitch_compare(b->pitch, a->pitch);
}

static int
compare_by_start(const void* const left, const void* const right)
{
  const QfRawNote* const a = (const QfRawNote*)left;
  const QfRawNote* const b = (const QfRawNote*)right;

  const int order = qf_raw_compare_numbers(a->start, b->start);
  return order ? order : qf_raw_compare_notes(left, right);
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

void
qf_raw_join_ties(QfRawScore* const raw, QfRemarks* const remarks)
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
