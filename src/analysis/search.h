// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_SEARCH_H
#define QUINTFALL_ANALYSIS_SEARCH_H

#include "columns.h"
#include "vocabulary.h"

#include "quintfall/label.h"

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

typedef struct {
  QfSpan* spans; ///< Owned
  size_t  n_spans;
  float   cost;
} QfPath;

/// How well a chord fits a span of columns, whatever the key
typedef struct {
  float    foreign; ///< Cost of the notes outside the chord
  unsigned present; ///< Bit m set: member m is sounded
  int      bass;    ///< Member in the bass at the beginning, or -1
} QfFit;

QfFit
qf_fit_of(const QfPassage* passage, size_t first, size_t end, int root, QfChordKind kind);

/// Cost of a span read as an entry of a key, without its neighbours
float
qf_span_cost(const QfPassage* passage, const QfSearchGivens* givens, QfSpan span);

/// Cost of going from one span to the next, or from the beginning if `from` is NULL
float
qf_link_cost(const QfPassage* passage, const QfSearchGivens* givens, const QfSpan* from, QfSpan to);

/**
   Find the cheapest reading of a whole passage.

   A dynamic programme over spans (semi-Markov): the state at a boundary is the
   key and numeral of the span that ends there. Linear in the number of
   columns, as spans are bounded and a longer chord goes on at no cost.

   @param[out] result (transfer full) Spans from the first column to the last.
*/
QfStatus
qf_search(const QfPassage* passage, const QfSearchGivens* givens, QfPath* result);

void
qf_path_clear(QfPath* path);

#endif // QUINTFALL_ANALYSIS_SEARCH_H
