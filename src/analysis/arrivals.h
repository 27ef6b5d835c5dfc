// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_ARRIVALS_H
#define QUINTFALL_ANALYSIS_ARRIVALS_H

#include "labels_impl.h"

/// What speaks for the end of a phrase, strongest last
typedef enum {
  QF_END_NONE,
  QF_END_LONG,     ///< The arrival is long and strong
  QF_END_SIX_FOUR, ///< A cadential six-four announces it
  QF_END_REPEAT,   ///< A repeat sign
  QF_END_REST,     ///< All voices rest
  QF_END_PASSAGE,  ///< The last chord
  QF_END_FERMATA,
} QfPhraseEnd;

/// A possible arrival of a cadence
typedef struct {
  const QfLabelling* labelling;
  const QfLabels*    labels;
  size_t             first;   ///< First link of the arrival's harmony
  size_t             arrival; ///< Its last
  QfTime             at;      ///< Where the soprano is looked at
  QfPhraseEnd        end;
} QfCadenceArrival;

const QfLink*
qf_arrival_link(const QfCadenceArrival* arrival, size_t index);

bool
qf_arrival_has_role(const QfCadenceArrival* arrival, size_t index, QfRole role);

/// True for a plain numeral of a degree of the key, not altered
bool
qf_arrival_is_degree(const QfCadenceArrival* arrival, size_t index, int degree);

/// Dominant in root position, not a leading-tone chord
bool
qf_arrival_is_root_dominant(const QfCadenceArrival* arrival, size_t index);

/// The highest chord note at the arrival, fifths above C; suspensions are waited for
int
qf_arrival_soprano(const QfCadenceArrival* arrival);

/// What ends the phrase with the arrival, a fermata left out
QfPhraseEnd
qf_arrival_phrase_end(const QfCadenceArrival* arrival);

/// Name the kind of a cadence whose chords are given; false if it is none
bool
qf_cadence_find_kind(const QfCadenceArrival* arrival, QfCadence* cadence);

/// Say why it is one
void
qf_cadence_explain(const QfCadenceArrival* arrival, QfCadence* cadence);

#endif // QUINTFALL_ANALYSIS_ARRIVALS_H
