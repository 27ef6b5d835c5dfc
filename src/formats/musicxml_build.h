// SPDX-License-Identifier: MIT
// The steps from what a MusicXML document says to a score.
#ifndef QUINTFALL_FORMATS_MUSICXML_BUILD_H
#define QUINTFALL_FORMATS_MUSICXML_BUILD_H

#include "musicxml_raw.h"

/// A voice of the score to be
typedef struct {
  const QfRawStream* stream;
  uint32_t           index; ///< Of the stream
  uint8_t            lane;
} Lane;

static inline QfTime
qf_raw_time(const QfTicks ticks)
{
  return qf_time(ticks, QF_TICKS_PER_WHOLE);
}

/// True for a part that has pitches, and so becomes part of the score
bool
qf_raw_is_kept(const QfRawPart* part);

int
qf_raw_compare_numbers(int64_t a, int64_t b);

/// Order notes by stream, then start, then from the highest down; for qsort()
int
qf_raw_compare_notes(const void* left, const void* right);

/// Give every measure the metre that is in force
void
qf_raw_spread_metres(QfRawScore* raw, QfRemarks* remarks);

/// Add the bars to a score; `starts` tells where each begins
QfStatus
qf_raw_add_bars(const QfRawScore* raw, QfTicks* starts, QfScore* score, QfRemarks* remarks);

/// A tied note sounds once: what is tied to it makes it longer
void
qf_raw_join_ties(QfRawScore* raw, QfRemarks* remarks);

/// Split streams with several notes at a time into lanes, the highest note in the first
QfStatus
qf_raw_find_lanes(QfRawScore* raw, QfRemarks* remarks, QfError* error);

/// List the voices of the score to be, in their order
QfStatus
qf_raw_list_lanes(const QfRawScore* raw,
                  Lane              lanes[QF_MAX_VOICES],
                  size_t*           n_lanes,
                  QfError*          error);

void
qf_raw_name_voice(const QfRawScore* raw,
                  const Lane*       lanes,
                  size_t            n_lanes,
                  size_t            index,
                  char              name[QF_NAME_SIZE]);

#endif // QUINTFALL_FORMATS_MUSICXML_BUILD_H
