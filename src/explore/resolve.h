// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_EXPLORE_RESOLVE_H
#define QUINTFALL_EXPLORE_RESOLVE_H

#include "quintfall/label.h"

/// What a numeral leads one to expect
typedef struct {
  bool       is_any;      ///< False if it asks for nothing
  bool       is_dominant; ///< It has the leading tone of a target; otherwise it prepares a dominant
  QfNoteName root;        ///< Of the chord expected
  QfKey      target;      ///< Whose tonic or dominant that is
} Expectation;

Expectation
expectation_of(const QfNumeral* numeral, QfKey key);

/// What becomes of one numeral's expectation when another follows in the same key
QfResolution
resolution_of(const QfNumeral* from, const QfNumeral* to, QfKey key);

/// True if common practice lets one numeral follow another
bool
may_follow(const QfNumeral* from, const QfNumeral* to, QfKey key);

#endif // QUINTFALL_EXPLORE_RESOLVE_H
