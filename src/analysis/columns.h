// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_COLUMNS_H
#define QUINTFALL_ANALYSIS_COLUMNS_H

#include "nonchord.h"
#include "vocabulary.h"

/// One note name of a column, doublings together
typedef struct {
  uint64_t bit;
  float    cost_first;  ///< Of being foreign to a chord that begins with the column
  float    cost_inside; ///< Of being foreign to a chord that has begun before
  int8_t   fifths;
} QfColumnNote;

/// A slice in which something sounds, as the search sees it
typedef struct {
  size_t       slice;
  uint64_t     mask;
  float        beats;
  float        onset;         ///< Cost of a new chord here
  bool         is_after_rest; ///< A rest of a beat or more comes before
  int8_t       bass;          ///< Fifths of the lowest note
  float        block;         ///< 0-1: how far all notes strike together, as a chord of its own
  uint8_t      n_notes;
  QfColumnNote notes[QF_MAX_VOICES];
  float        end_beats;          ///< Beats of all columns up to the end of this one
  float        outside[QF_N_KEYS]; ///< Cost of the notes outside each key's scale, up to here
} QfColumn;

/// A passage ready for the search
typedef struct {
  const QfScore* score;
  QfSlices       slices;
  QfNoteContext* contexts; ///< #QF_MAX_VOICES a slice
  QfColumn*      columns;
  size_t         n_columns;
} QfPassage;

QfStatus
qf_passage_init(QfPassage* passage, const QfScore* score);

void
qf_passage_clear(QfPassage* passage);

#endif // QUINTFALL_ANALYSIS_COLUMNS_H
