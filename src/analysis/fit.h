// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_FIT_H
#define QUINTFALL_ANALYSIS_FIT_H

#include "columns.h"

enum {
  QF_MAX_TRIALS = 640, ///< Roots and qualities tried from one column
};

/// How well a chord fits a span of columns, whatever the key
typedef struct {
  float    foreign; ///< Cost of the notes outside the chord and of silent members
  unsigned present; ///< Bit m set: member m is sounded
  int      bass;    ///< Member in the bass at the beginning, or -1
  uint8_t  leading; ///< Leading tone: 0 silent, 1 goes up a step, 2 does not
  uint8_t  seventh; ///< Seventh: 0 silent, 1 goes down a step, 2 does not
} QfFit;

/// A chord whose fit grows column by column
typedef struct {
  uint64_t    mask;
  uint64_t    members[QF_CHORD_MAX_NOTES];
  uint64_t    leading; ///< The note that would be a leading tone, or 0
  uint64_t    seventh; ///< The seventh, or 0
  QfFit       fit;
  float       cost; ///< Cost that the chord has in every key
  int         root; ///< Fifths above C
  QfChordKind kind;
  unsigned    size;
} QfTrial;

/// Chords that may fit spans from one column on
typedef struct {
  QfTrial trials[QF_MAX_TRIALS];
  size_t  n_trials;
} QfTrials;

QfFit
qf_fit_of(const QfPassage* passage, size_t first, size_t end, int root, QfChordKind kind);

/// The same, adding up the cost that the chord has in every key
QfFit
qf_tally_fit(QfTally*         tally,
             const QfPassage* passage,
             size_t           first,
             size_t           end,
             int              root,
             QfChordKind      kind);

/// Begin with every quality in use on every note that sounds before `limit`
void
qf_trials_start(QfTrials*           trials,
                const QfPassage*    passage,
                const QfVocabulary* vocabularies,
                size_t              first,
                size_t              limit);

/// Take in one more column; chords that can no longer win are dropped
void
qf_trials_extend(QfTrials* trials, const QfPassage* passage, size_t column, bool is_first);

/**
   The few best chords of the span so far.

   @param[out] best Indexes of trials, in no order.
   @return Their number, at most `max`.
*/
size_t
qf_trials_best(const QfTrials* trials, size_t* best, size_t max);

#endif // QUINTFALL_ANALYSIS_FIT_H
