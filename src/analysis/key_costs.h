// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_KEY_COSTS_H
#define QUINTFALL_ANALYSIS_KEY_COSTS_H

#include "columns.h"

/// Add what a column costs in a key, whatever its chord
void
qf_tally_place(QfTally* tally, const QfPassage* passage, size_t column, size_t key);

/// Add what it costs to leave, and to enter, a key at a column
void
qf_tally_leave_key(QfTally* tally, const QfPassage* passage, size_t column, size_t key);

void
qf_tally_enter_key(QfTally* tally, const QfPassage* passage, size_t column, size_t key);

/// A stay in one key
typedef struct {
  float  beats;     ///< Since the key was entered; what is long is taken for equally long
  bool   has_ended; ///< A phrase has ended since
  size_t key;
  size_t before; ///< The key before it, or #QF_N_KEYS
} QfStay;

/// Go on from a stay with columns in a key, the same or another; that before the first has no key
QfStay
qf_stay_on(const QfPassage* passage, QfStay stay, size_t first, size_t end, size_t key);

/// Add what it costs to leave a key for another after a stay
void
qf_tally_stay(QfTally* tally, const QfPassage* passage, QfStay stay, size_t next);

/// Add what it costs to end the passage with a stay
void
qf_tally_last_stay(QfTally* tally, const QfPassage* passage, QfStay stay);

/// Add what it costs to leave one key for another, wherever that is; reads global facts only
void
qf_tally_change_keys(QfTally* tally, const QfPassage* passage, size_t from, size_t to);

/// Add what it costs to leave one key for another at a column
void
qf_tally_change_at(QfTally* tally, const QfPassage* passage, size_t column, size_t from, size_t to);

/// Add what it costs to apply a dominant to a target's key at a column of a key
void
qf_tally_apply_key(QfTally*         tally,
                   const QfPassage* passage,
                   size_t           column,
                   size_t           key,
                   size_t           target);

/// Add what it costs to begin, and to end, in a key
void
qf_tally_first_key(QfTally* tally, const QfPassage* passage, size_t key);

void
qf_tally_last_key(QfTally* tally, const QfPassage* passage, size_t key);

#endif // QUINTFALL_ANALYSIS_KEY_COSTS_H
