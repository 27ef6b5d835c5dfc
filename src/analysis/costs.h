// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_COSTS_H
#define QUINTFALL_ANALYSIS_COSTS_H

#include "fit.h"

/// What is fixed before the search
typedef struct {
  const QfVocabulary* vocabularies; ///< By mode
  size_t              home;         ///< Index of the declared key, or #QF_N_KEYS
  size_t              signature;    ///< Index of the first signature's key
  bool                may_modulate;
  const size_t*       pinned_keys;    ///< For each column, or #QF_N_KEYS where nothing is pinned
  const size_t*       pinned_entries; ///< For each column
} QfSearchGivens;

/// A span of columns read as one numeral of one key
typedef struct {
  size_t first; ///< Column
  size_t end;   ///< Column after the last
  size_t key;
  size_t entry;
} QfSpan;

const QfVocabulary*
qf_vocabulary_of(const QfSearchGivens* givens, size_t key);

/// Fifths of a key's tonic above C
int
qf_tonic_of(size_t key);

/// Cost of a span that lies in the key alone
float
qf_place_cost(const QfPassage*      passage,
              const QfSearchGivens* givens,
              size_t                first,
              size_t                end,
              size_t                key);

/// Cost of a span whose chord fits so
float
qf_fit_cost(const QfEntry* entry, QfFit fit);

/// Cost of leaving a span without a name
float
qf_unknown_cost(const QfPassage* passage, size_t first, size_t end);

/// Cost of a span read as an entry of a key, without its neighbours
float
qf_span_cost(const QfPassage* passage, const QfSearchGivens* givens, QfSpan span);

/// Cost of beginning the passage with an entry of a key, without its onset
float
qf_first_cost(const QfSearchGivens* givens, size_t key, size_t entry);

/// Cost of ending the passage with an entry of a key
float
qf_last_cost(const QfSearchGivens* givens, size_t key, size_t entry);

/// Cost of an entry's onset at a column, whatever comes before
float
qf_onset_cost(const QfPassage*      passage,
              const QfSearchGivens* givens,
              size_t                column,
              size_t                key,
              size_t                entry);

/// Cost of going from one span to the next, or from the beginning if `from` is NULL
float
qf_link_cost(const QfPassage* passage, const QfSearchGivens* givens, const QfSpan* from, QfSpan to);

#endif // QUINTFALL_ANALYSIS_COSTS_H
