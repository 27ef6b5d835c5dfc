// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_COSTS_H
#define QUINTFALL_ANALYSIS_COSTS_H

#include "fit.h"

/// A span of columns read as one numeral of one key
typedef struct {
  size_t first; ///< Column
  size_t end;   ///< Column after the last
  size_t key;
  size_t entry;
} QfSpan;

/// Cost that learning lays on a span besides its own
typedef struct {
  float (*cost)(const void* data, QfSpan span);
  const void* data;
} QfBias;

/// What is fixed before the search
typedef struct {
  const QfVocabulary* vocabularies; ///< By mode
  size_t              home;         ///< Index of the declared key, or #QF_N_KEYS
  size_t              signature;    ///< Index of the first signature's key
  bool                may_modulate;
  const size_t*       pinned_keys;    ///< For each column, or #QF_N_KEYS where nothing is pinned
  const size_t*       pinned_entries; ///< For each column
  const QfBias*       bias;           ///< Favours some spans while weights are learned, or NULL
} QfSearchGivens;

static inline const QfVocabulary*
qf_vocabulary_of(const QfSearchGivens* const givens, const size_t key)
{
  return &givens->vocabularies[key % 2];
}

/// Fifths of a key's tonic above C
static inline int
qf_tonic_of(const size_t key)
{
  return qf_key_signs(key) + (key % 2 ? 3 : 0);
}

/// True if a home key is declared and this is another
static inline bool
qf_is_away(const QfSearchGivens* const givens, const size_t key)
{
  return givens->home != QF_N_KEYS && givens->home != key;
}

/// Cost of a span that lies in the key alone
float
qf_place_cost(const QfPassage*      passage,
              const QfSearchGivens* givens,
              size_t                first,
              size_t                end,
              size_t                key);

/// Add what an entry costs beyond the fit of its chord
void
qf_tally_entry(QfTally*              tally,
               const QfPassage*      passage,
               const QfSearchGivens* givens,
               QfSpan                span,
               QfFit                 fit);

/// Cost of leaving a span without a name
float
qf_unknown_cost(const QfPassage* passage, size_t first, size_t end);

/// Add what a span costs as an entry of a key, without what lies in the key alone
void
qf_tally_span(QfTally* tally, const QfPassage* passage, const QfSearchGivens* givens, QfSpan span);

/// Cost of a span read as an entry of a key, without its neighbours
float
qf_span_cost(const QfPassage* passage, const QfSearchGivens* givens, QfSpan span);

/// Cost of a numeral's onset at a column, whatever comes before
float
qf_onset_cost(const QfPassage*      passage,
              const QfSearchGivens* givens,
              size_t                column,
              size_t                key,
              size_t                entry);

/// Cost of beginning the passage with an entry of a key, without its onset
float
qf_first_cost(const QfPassage* passage, const QfSearchGivens* givens, size_t key, size_t entry);

/// Cost of ending the passage with an entry of a key
float
qf_last_cost(const QfPassage* passage, const QfSearchGivens* givens, size_t key, size_t entry);

/// Add what it costs to leave one key for another, wherever that is
void
qf_tally_change(QfTally*              tally,
                const QfPassage*      passage,
                const QfSearchGivens* givens,
                size_t                from,
                size_t                to);

/// Add what it costs to begin a key with an entry
void
qf_tally_change_to(QfTally*              tally,
                   const QfPassage*      passage,
                   const QfSearchGivens* givens,
                   size_t                key,
                   size_t                entry);

/// Add what it costs to hear an entry of one key as an entry of the next
void
qf_tally_pivot(QfTally*              tally,
               const QfSearchGivens* givens,
               size_t                old_key,
               size_t                old_entry,
               size_t                new_key,
               size_t                new_entry);

/// The cheapest way to hear a span in the key of the next, or #QF_ENTRY_UNKNOWN
size_t
qf_pivot_entry(const QfPassage* passage, const QfSearchGivens* givens, QfSpan from, QfSpan to);

/// Add what it costs to leave an entry for another key without a common chord
void
qf_tally_direct(QfTally*              tally,
                const QfPassage*      passage,
                const QfSearchGivens* givens,
                size_t                old_key,
                size_t                old_entry,
                size_t                new_key);

/// Add the cheapest way to hear the chord before a change of key in the new key, and go on
void
qf_tally_way_over(QfTally*              tally,
                  const QfPassage*      passage,
                  const QfSearchGivens* givens,
                  QfSpan                from,
                  QfSpan                to);

/// Cost of going from one span to the next, or from the beginning if `from` is NULL
float
qf_link_cost(const QfPassage* passage, const QfSearchGivens* givens, const QfSpan* from, QfSpan to);

/// Add all costs of a reading, given as spans from the first column to the last
void
qf_tally_path(QfTally*              tally,
              const QfPassage*      passage,
              const QfSearchGivens* givens,
              const QfSpan*         spans,
              size_t                n_spans);

#endif // QUINTFALL_ANALYSIS_COSTS_H
