// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_WEIGHTS_H
#define QUINTFALL_ANALYSIS_WEIGHTS_H

#include "nonchord.h"
#include "vocabulary.h"

/**
   The hand-set costs of the analysis; learned.h adds what is learned.

   A cost is like a negative logarithm: costs add, less is better, and a
   difference of one makes a reading some three times less likely. Set by hand
   after common practice; those of keys, onsets and foreign notes were then
   adjusted on 139 chorales and 80 textbook passages with the analyses of the
   When in Rome corpus (Gotham et al., TISMIR 6(1), 2023).
*/

#define QF_WEIGHT_NEVER 1e9F
#define QF_WEIGHT_PIVOT 0.2F ///< Share of a word's cost that a pivot chord pays in the new key
#define QF_WEIGHT_PINNED_WORD 0.0F
#define QF_WEIGHT_UNKNOWN 6.5F       ///< A slice without a name
#define QF_WEIGHT_UNKNOWN_BEAT 2.0F  ///< ... for each beat
#define QF_WEIGHT_LONE 3.0F          ///< A span of a single note name, without a chord
#define QF_WEIGHT_LONE_BEAT 0.5F     ///< ... for each beat
#define QF_WEIGHT_OUTSIDE_SCALE 0.5F ///< A beat of a note outside the key
#define QF_WEIGHT_DIRECT_CHANGE 1.5F ///< A change of key without a chord common to both
#define QF_WEIGHT_NO_ONSET 3.0F      ///< A chord that begins where no note does
#define QF_WEIGHT_SOLITARY 8.0F      ///< A chord of which only one note name sounds
#define QF_WEIGHT_AWAY_BEAT 0.03F    ///< A beat spent outside the declared key
#define QF_WEIGHT_AWAY_AT_END 1.0F   ///< Ending outside the declared key
#define QF_WEIGHT_PINNED_MOST 20.0F  ///< Most that a pinned chord can cost, however bad
#define QF_WEIGHT_DROP_BEAM 10.0F    ///< A chord so much worse is not tried on longer spans
#define QF_WEIGHT_BEAM 10.0F         ///< What is worse by more than this is given up
#define QF_WEIGHT_SPAN_BEAM 6.0F     ///< The same among the chords of one span

#define QF_WEIGHT_MOST_GAIN 6.0F ///< Most that a span's step and numeral lower its cost

/// Round a cost to a whole grain of 2^-20: sums of such costs are exact wherever they begin
static inline double
qf_weight_grain(const float cost)
{
  const double grains = (double)cost * 0x1p20;

  return (double)(int64_t)(grains + (grains < 0.0 ? -0.5 : 0.5)) * 0x1p-20;
}

/// From one numeral to the next of the same key
float
qf_weight_step(const QfEntry* from, const QfEntry* to);

/// A passage that begins with a numeral
float
qf_weight_first(const QfEntry* entry);

/// A passage that ends with a numeral
float
qf_weight_last(const QfEntry* entry);

/**
   A new chord.

   @param level Metrical level (qf_metre_level()).
   @param block 0-1: how far all notes strike together.
*/
float
qf_weight_onset(int level, float block);

/// A member that is not sounded; #QF_WEIGHT_NEVER where the chord cannot do without
float
qf_weight_missing(QfChordKind kind, unsigned present);

/**
   A member that is silent in a slice.

   @param is_first The chord begins with the slice.
   @param block 0-1: how far all notes strike together.
*/
float
qf_weight_absent(int member, bool is_first, float block);

/// A member in the bass, or -1 for a foreign bass
float
qf_weight_bass(const QfEntry* entry, int member);

/// A note that does not belong to the chord, for its beginning
float
qf_weight_foreign_start(QfForeignKind kind, bool is_weak, float struck_share);

/// The same, for each beat it lasts
float
qf_weight_foreign_beat(QfForeignKind kind);

/// Leaving one key for another; `home` is the declared key, or #QF_N_KEYS
float
qf_weight_key_change(size_t from, size_t to, size_t home);

/// Beginning in a key, given the signature's key
float
qf_weight_signature(size_t key, size_t signature);

#endif // QUINTFALL_ANALYSIS_WEIGHTS_H
