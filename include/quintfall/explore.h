// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_EXPLORE_H
#define QUINTFALL_EXPLORE_H

#include "quintfall/rules.h"

/// What a continuation takes its notes from
typedef enum {
  QF_STOCK_DIATONIC,
  QF_STOCK_APPLIED,         ///< Dominants and leading-tone chords of other degrees
  QF_STOCK_MIXTURE,         ///< Borrowed from the parallel key
  QF_STOCK_NEAPOLITAN,      ///< On the lowered second degree
  QF_STOCK_AUGMENTED_SIXTH, ///< Italian, French, German
  QF_STOCK_N_KINDS
} QfStock;

/// Where one stands: a link, what sounds there, and what stands after it
typedef struct {
  QfLink           link;
  const QfVoicing* voicing; ///< What sounds at the link's end, or NULL to have it written
  const QfLink*    next;    ///< The link that follows now, or NULL
  const QfLink*    after;   ///< The one after that, which stays if `next` is replaced, or NULL
  const QfVoicing* after_voicing; ///< What sounds as `after` begins; needed with it
  const QfKept*    kept;          ///< Notes of the next link that stay; their `link` is not read
  size_t           n_kept;
  QfProfile        profile;
  QfNamingKind     naming; ///< Of the notes in the sentences
} QfExploreFrom;

/// One way to go on
typedef struct {
  QfNumeral    numeral; ///< In the key of the link
  QfChord      chord;
  QfStock      stock;
  QfFunction   function;
  QfInterval   motion; ///< Ascending interval from the link's root to this one
  QfResolution resolution;
  bool         is_present; ///< It is what follows now
  bool         has_kept;   ///< The notes that stay are in it; otherwise they do not fit
  unsigned     count;      ///< Moves from the link's numeral to this one in the corpus
  double       share;      ///< Of all moves from the link's numeral in this mode, 0-1

  QfVoicing voicing;    ///< The best voice leading found
  int       cost;       ///< Of this step, as qf_write() counts; -1 if the profile forbids it
  int       semitones;  ///< That the four voices move, all in all
  int       n_errors;   ///< Of the profile, in this step
  int       n_warnings; ///< Of the profile, in this step
  char      finding[QF_FINDING_SIZE]; ///< The gravest remark on this step, or empty
  char      reason[QF_REASON_SIZE];   ///< Why go there: a plain English sentence
} QfContinuation;

/// Ways to go on, the most common first, and the smoothest among the equally common
typedef struct {
  QfVoicing       voicing; ///< Of the link itself: as given, or as it was written
  QfContinuation* items;   ///< Owned
  size_t          n_items;
  unsigned        n_moves;   ///< Moves from the link's numeral in the corpus, in this mode
  unsigned        n_leaving; ///< Those of them that lead into another key
} QfContinuations;

/**
   List where a link can go: every chord of the key's vocabulary that common
   practice lets follow, and whatever else followed in the corpus twice or more.

   How common a move is does not depend on the key, only on its mode. Each way is
   written in four parts from the voicing that sounds: by qf_write() where the
   profile allows it, otherwise by qf_realise(), and then the remarks say what is
   wrong. Notes that stay are kept wherever they fit. Chords that cannot be
   written at all are left out.

   @param[out] result Set on success; to be cleared.
   @return #QF_OK; #QF_ERR_IMPOSSIBLE or #QF_ERR_RANGE if the link itself cannot be
   written or spelled; #QF_ERR_NO_MEM.
*/
QfStatus
qf_explore(const QfExploreFrom* from, QfContinuations* result, QfError* error);

void
qf_continuations_clear(QfContinuations* continuations);

/// "diatonic", "applied", "mixture", "Neapolitan", "augmented sixth"
const char*
qf_stock_name(QfStock stock);

/**
   How often one numeral follows another in the corpus, in a key of the given mode.

   @param to NULL for all moves from `from`, those into another key included.
*/
unsigned
qf_count_moves(QfMode mode, const QfNumeral* from, const QfNumeral* to);

#endif // QUINTFALL_EXPLORE_H
