// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_JUDGE_IMPL_H
#define QUINTFALL_PARTWRITING_JUDGE_IMPL_H

#include "judge.h"

/// Puts remarks into a list, with the frames they are about
typedef struct {
  Sink          sink;
  const Frames* frames;
  QfProfile     profile;
  Judgements*   list;
  size_t        from;
  size_t        to;
} Judge;

/// Note a remark on the frames the judge is at
void
judge_push(Judge* judge, Remark remark);

/// Doubling, omission and use of the chord that begins at a frame
void
judge_chord(Judge* judge, size_t start);

#endif // QUINTFALL_PARTWRITING_JUDGE_IMPL_H
