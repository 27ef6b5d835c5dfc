// SPDX-License-Identifier: MIT
// Voices from the streams of a document.
#include "musicxml_build.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool
qf_raw_is_kept(const QfRawPart* const part)
{
  return part->has_pitch || !part->is_unpitched;
}

QfStatus
qf_raw_find_lanes(QfRawScore* const raw, QfRemarks* const remarks, QfError* const error)
{
  if (raw->n_notes) {
    qsort(raw->notes, raw->n_notes, sizeof(*raw->notes), qf_raw_compare_notes);
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

static int
compare_lanes(const void* const left, const void* const right)
{
  const Lane* const        a = (const Lane*)left;
  const Lane* const        b = (const Lane*)right;
  const QfRawStream* const s = a->stream;
  const QfRawStream* const t = b->stream;

  int order = s->order && t->order ? qf_raw_compare_numbers(s->order, t->order) : 0;
  order     = order ? order : qf_raw_compare_numbers((int64_t)s->part, (int64_t)t->part);
  order     = order ? order : qf_raw_compare_numbers(s->staff, t->staff);
  order     = order ? order : qf_raw_compare_numbers(atoi(s->voice), atoi(t->voice));
  order     = order ? order : qf_raw_compare_numbers(a->index, b->index);
  return order ? order : qf_raw_compare_numbers(a->lane, b->lane);
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
  if (!qf_raw_is_kept(&raw->parts[stream->part])) {
    return 0U;
  }
  if (stream->has_notes) {
    return stream->n_lanes;
  }
  return raw->has_fields ? stream->order > 0 : is_alone(raw, stream);
}

QfStatus
qf_raw_list_lanes(const QfRawScore* const raw,
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

void
qf_raw_name_voice(const QfRawScore* const raw,
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
