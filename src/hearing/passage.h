// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_PASSAGE_H
#define QF_HEARING_PASSAGE_H

#include "channels.h"
#include "event_list.h"

#include "quintfall/label.h"
#include "quintfall/slice.h"

/// The passage heard once
typedef struct {
  const QfScore*  score;
  const QfSlices* slices;
  const QfLabels* labels; ///< Chords to strike; or NULL for all slices
  const QfPart*   parts;  ///< One a voice
  QfTime          from;
  QfTime          to;
  QfTime          start_s;
  QfTime          seconds_per_whole;
  bool            is_in_blocks; ///< Every chord struck anew
  bool            is_spread;    ///< Blocks for half their time, then spread upwards
} QfPassage;

/// Set instruments and levels of the voices' channels
void
qf_passage_add_setups(QfEventList* list, const QfPart* parts, size_t n_parts, double at_s);

/// Add notes and marks; #QF_ERR_NO_MEM
QfStatus
qf_passage_add(QfEventList* list, const QfPassage* passage);

#endif // QF_HEARING_PASSAGE_H
