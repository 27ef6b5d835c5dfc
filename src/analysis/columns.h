// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_COLUMNS_H
#define QUINTFALL_ANALYSIS_COLUMNS_H

#include "learned.h"
#include "nonchord.h"
#include "vocabulary.h"

/// One note name of a column, doublings together
typedef struct {
  uint64_t bit;
  float    cost_first;  ///< Of being foreign to a chord that begins with the column
  float    cost_inside; ///< Of being foreign to a chord that has begun before
  int8_t   fifths;
  bool     is_struck; ///< One of the notes of this name begins with the column
  uint8_t  manner;    ///< Index of its kind and weight in the block of foreign degrees
} QfColumnNote;

/**
   A slice in which something sounds, as the search sees it.

   The search may look at nothing else of the passage: what it costs to read
   some columns then only changes with them, and an edit elsewhere leaves it as
   it was. So a new field belongs in qf_columns_equal(), unless it is a sum over
   the columns before, which is in whole grains (see qf_weight_grain()) and of
   which only differences are used.
*/
typedef struct {
  size_t       slice;
  uint64_t     mask;
  float        beats;
  float        onset;           ///< Cost of a new chord here, whatever the key
  uint8_t      level;           ///< Metrical level, at most 5
  uint8_t      share;           ///< Voices that strike, in quarters of all, rounded up
  uint8_t      bass_move;       ///< Bass 0 held, 1 struck again, 2 moved
  uint8_t      length;          ///< Index of the slice's length among the usual ones
  bool         is_phrase_end;   ///< The last column under a fermata
  bool         is_phrase_start; ///< The first column after one
  uint64_t     rising;          ///< Notes whose voice goes on by a step up
  uint64_t     falling;         ///< Notes whose voice goes on by a step down
  bool         is_after_rest;   ///< A rest of a beat or more comes before
  int8_t       bass;            ///< Fifths of the lowest note
  float        block;           ///< 0-1: how far all notes strike together, as a chord of its own
  uint8_t      n_notes;
  QfColumnNote notes[QF_MAX_VOICES];
  double       end_beats;        ///< Beats of all columns up to the end of this one, in grains
  int8_t       goal;             ///< Fifths of the bass with which the phrase ends
  int8_t       past;             ///< Fifths of the bass of the phrase's end before, or of the first
  uint8_t      rest;             ///< Index of the time to the end of the phrase
  uint8_t      ahead[QF_N_KEYS]; ///< Index of the time until a note outside each key
  uint8_t      behind[QF_N_KEYS]; ///< Index of the time since a note outside each key
  uint32_t     n_phrase_ends;     ///< Phrases that end in columns up to this one
  double       places[QF_N_KEYS]; ///< Cost of being in each key, up to the end of this column
} QfColumn;

/// A passage ready for the search
typedef struct {
  const QfScore* score;
  QfSlices       slices;
  uint8_t*       levels;   ///< Metrical level of the start of every slice
  QfNoteContext* contexts; ///< #QF_MAX_VOICES a slice
  QfColumn*      columns;
  size_t         n_columns;
  const float*   weights;     ///< Learned, #QF_N_FEATURES
  float*         own_weights; ///< Where they are weakened, otherwise NULL
  float          texture;     ///< 0-1: how far the passage is a short example in plain chords
  int            signature;   ///< Fifths of the key that all keys are measured from
  int            first_bass;  ///< Fifths of the tonic, or of the bass the passage begins with
  int            final_bass;  ///< Fifths of the tonic, or of the bass it ends with
} QfPassage;

/// Cut a score into columns and weigh them; `weights` are lent, `is_declared` if the key is given
QfStatus
qf_passage_init(QfPassage* passage, const QfScore* score, const float* weights, bool is_declared);

/// Add a column for every slice that sounds, without what lies around it
void
qf_columns_fill(QfPassage* passage);

/// Index of the note of the first voice, which may be written below others
size_t
qf_top_note(const QfSlice* slice);

/// Share of the notes of a slice that begin with it
float
qf_struck_share(const QfSlice* slice);

/// Set what keys are measured from; `home` is the declared key, or #QF_N_KEYS
void
qf_passage_set_home(QfPassage* passage, size_t home);

/// Columns that a passage has in common with an earlier one, weighed and measured alike
typedef struct {
  size_t n_first; ///< From the beginning on
  size_t n_last;  ///< Up to the end
} QfSameColumns;

/// Weigh all keys in every column, or take what was weighed in the same column of `before`
void
qf_passage_weigh_keys(QfPassage* passage, const QfPassage* before, QfSameColumns same);

/// True if two columns are the same to the search, wherever they stand
bool
qf_columns_equal(const QfColumn* a, const QfColumn* b);

/// Add what a sounding note costs as foreign to the chord: `is_first` where the chord begins
void
qf_tally_foreign(QfTally*         tally,
                 const QfPassage* passage,
                 size_t           column,
                 size_t           note,
                 bool             is_first);

/// Add what a new chord at a column costs, whatever its key
void
qf_tally_onset(QfTally* tally, const QfColumn* column);

void
qf_passage_clear(QfPassage* passage);

#endif // QUINTFALL_ANALYSIS_COLUMNS_H
