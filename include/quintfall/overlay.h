// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_OVERLAY_H
#define QUINTFALL_OVERLAY_H

#include "quintfall/compare.h"
#include "quintfall/engrave.h"

/// Which of the two pages are drawn
typedef enum {
  QF_OVERLAY_BOTH,
  QF_OVERLAY_THEIRS,
  QF_OVERLAY_PASSAGE,
} QfOverlayPages;

typedef struct {
  QfOverlayPages pages;
  uint32_t       hidden_voices; ///< Bits `1U << voice` of the passage; what is hidden leaves space
  unsigned       hidden_rows;   ///< Bits `1U << layer` of #QF_LAYER_QUALITY and #QF_LAYER_NUMERAL
  bool     is_plain; ///< The passage's notes are in ink whatever the answer has; for its page alone
  /// By verdict of the grade, what is printed at its place, 0 for nothing; NULL for nothing at all.
  /// Those of notes stand over the staves, those of qualities and numerals outside their rows.
  const uint16_t* numbers;
} QfOverlayOptions;

/// Tells a note of the answer from one of the passage in an overlay
#define QF_OVERLAY_THEIRS_BIT 0x80000000U

/**
   Draw an answer over the passage it was graded by, on the same staves and one scale of time.

   Notes that are alike stand once, in ink. Where they differ, theirs stands
   ringed and the passage's beside it as an outline; a missing note is an outline
   in a ring of dashes, one too many is struck through. A voice left empty is an
   outline without rings. Qualities stand over the staves and
   numerals under them, each in two rows, theirs framed where it differs. No mark
   depends on colour alone.

   The result is painted, exported and put into booklets as any other engraving.
   A note of the answer is asked for by its identity with #QF_OVERLAY_THEIRS_BIT;
   one that is alike has the passage's only.

   @param options Its `rows` and `is_shown` are not looked at.
   @param[out] result (transfer full); keeps nothing of the comparison.
*/
QfStatus
qf_overlay_new(const QfComparison* comparison,
               QfOverlayOptions    overlay,
               QfEngraveOptions    options,
               QfEngraving**       result,
               QfError*            error);

/// What the signs of an overlay say, to stand under one: as wide as `options` say, as high as
/// needed
QfStatus
qf_overlay_key_new(QfEngraveOptions options, QfEngraving** result, QfError* error);

#endif // QUINTFALL_OVERLAY_H
