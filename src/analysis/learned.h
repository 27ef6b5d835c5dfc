// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_LEARNED_H
#define QUINTFALL_ANALYSIS_LEARNED_H

#include <stddef.h>

/**
   What the learned weights speak of.

   The cost of a reading is the hand-set cost of weights.h plus a learned
   correction for each of these features, times how often or how long it
   occurs. So the whole cost is linear in the learned weights, and the weights
   can be learned by comparing readings (src/learn/learn.c). A block is an array of
   features, indexed as its comment says.
*/

enum {
  QF_N_WORDS    = 96, ///< Numerals of a mode that have weights of their own
  QF_N_TEXTURES = 2,  ///< Pieces, and short examples in plain chords
};

// Each block, below the words for its indexes
// clang-format off
#define QF_FEATURE_BLOCKS(BLOCK)                                                                   \
  /* mode, numeral */                                                                              \
  BLOCK(WORD, 2 * QF_N_WORDS)                                                                      \
  /* mode, numeral, 1 + member in the bass */                                                      \
  BLOCK(BASS, 2 * QF_N_WORDS * 6)                                                                  \
  /* mode, numeral, next numeral */                                                                \
  BLOCK(STEP, 2 * QF_N_WORDS * QF_N_WORDS)                                                         \
  /* role, next role, fifths from root to root */                                                  \
  BLOCK(STEP_ROLE, 9 * 9 * 12)                                                                     \
  /* mode, numeral, in plain chords */                                                             \
  BLOCK(WORD_PLAIN, 2 * QF_N_WORDS)                                                                \
  /* the steps of roles in plain chords */                                                         \
  BLOCK(STEP_PLAIN, 9 * 9 * 12)                                                                    \
  /* mode, numeral that begins the passage */                                                      \
  BLOCK(FIRST, 2 * QF_N_WORDS)                                                                     \
  /* mode, numeral that ends it */                                                                 \
  BLOCK(LAST, 2 * QF_N_WORDS)                                                                      \
  /* mode, numeral under a fermata, inverted */                                                    \
  BLOCK(PHRASE_END, 2 * QF_N_WORDS * 2)                                                            \
  /* mode, numeral after a fermata */                                                              \
  BLOCK(PHRASE_START, 2 * QF_N_WORDS)                                                              \
  /* metrical level, share of voices that strike */                                                \
  BLOCK(ONSET, 6 * 5)                                                                              \
  /* metrical level, bass held, repeated or moved */                                               \
  BLOCK(ONSET_BASS, 6 * 3)                                                                         \
  /* metrical level, length of the slice */                                                        \
  BLOCK(ONSET_LENGTH, 6 * 4)                                                                       \
  /* mode, degree of the bass before, degree now */                                                \
  BLOCK(BASS_MOTION, 2 * 13 * 12)                                                                  \
  /* mode, numeral, metrical level */                                                              \
  BLOCK(WORD_LEVEL, 2 * QF_N_WORDS * 6)                                                            \
  /* mode, numeral, degree of the bass before */                                                   \
  BLOCK(WORD_BEFORE, 2 * QF_N_WORDS * 13)                                                          \
  /* kind, weak, place in the texture, struck */                                                   \
  BLOCK(FOREIGN, 9 * 2 * 3 * 2)                                                                    \
  /* the same by beats: kind, place */                                                             \
  BLOCK(FOREIGN_BEAT, 9 * 3)                                                                       \
  /* quality class, fifths above root, kind, weak */                                               \
  BLOCK(FOREIGN_DEGREE, 5 * 13 * 3 * 2)                                                            \
  /* quality, member silent at the beginning */                                                    \
  BLOCK(ABSENT, 26 * 5)                                                                            \
  /* quality, member silent throughout */                                                          \
  BLOCK(MISSING, 26 * 5)                                                                           \
  /* quality, by beats */                                                                          \
  BLOCK(QUALITY_BEAT, 26)                                                                          \
  /* role, leading tone silent, rising or not */                                                   \
  BLOCK(LEADING, 9 * 3)                                                                            \
  /* role, seventh silent, falling or not */                                                       \
  BLOCK(SEVENTH, 9 * 3)                                                                            \
  /* mode, fifths above the tonic, by beats */                                                     \
  BLOCK(SCALE_BEAT, 2 * 21)                                                                        \
  /* texture, mode, fifths from signature */                                                       \
  BLOCK(SIGNATURE_BEAT, QF_N_TEXTURES * 2 * 9)                                                     \
  /* the same for the first key */                                                                 \
  BLOCK(SIGNATURE_FIRST, QF_N_TEXTURES * 2 * 9)                                                    \
  /* the same for the last key */                                                                  \
  BLOCK(SIGNATURE_LAST, QF_N_TEXTURES * 2 * 9)                                                     \
  /* texture, mode, tonic from the first bass */                                                   \
  BLOCK(FIRST_BASS_BEAT, QF_N_TEXTURES * 2 * 12)                                                   \
  /* texture, mode, tonic from the final bass */                                                   \
  BLOCK(FINAL_BASS_BEAT, QF_N_TEXTURES * 2 * 12)                                                   \
  /* the same, for the first key */                                                                \
  BLOCK(FIRST_BASS, QF_N_TEXTURES * 2 * 12)                                                        \
  /* the same, for the last key */                                                                 \
  BLOCK(FINAL_BASS, QF_N_TEXTURES * 2 * 12)                                                        \
  /* texture, modes, fifths from tonic to tonic */                                                 \
  BLOCK(CHANGE, QF_N_TEXTURES * 2 * 2 * 13)                                                        \
  /* texture, keys before and after from the first bass: */                                        \
  /* mode, tonic; mode, tonic */                                                                   \
  BLOCK(CHANGE_FIRST, QF_N_TEXTURES * 24 * 24)                                                     \
  /* the same from the final bass, */                                                              \
  BLOCK(CHANGE_FINAL, QF_N_TEXTURES * 24 * 24)                                                     \
  /* and from the signature */                                                                     \
  BLOCK(CHANGE_SIGNATURE, QF_N_TEXTURES * 18 * 18)                                                 \
  /* the same for a key and the target of an applied chord */                                      \
  BLOCK(APPLIED_FIRST, QF_N_TEXTURES * 24 * 24)                                                    \
  BLOCK(APPLIED_FINAL, QF_N_TEXTURES * 24 * 24)                                                    \
  BLOCK(APPLIED_SIGNATURE, QF_N_TEXTURES * 18 * 18)                                                \
  /* texture, mode, tonic from the phrase's last bass */                                           \
  BLOCK(GOAL_BEAT, QF_N_TEXTURES * 2 * 12)                                                         \
  /* texture, mode, times to and since a note outside it */                                        \
  BLOCK(AROUND_BEAT, QF_N_TEXTURES * 2 * 36)                                                       \
  /* texture, times to a note outside old and new key and to the phrase's end */                   \
  BLOCK(CHANGE_AHEAD, QF_N_TEXTURES * 216)                                                         \
  /* texture, keys from the phrase's last bass */                                                  \
  BLOCK(CHANGE_GOAL, QF_N_TEXTURES * 24 * 24)                                                      \
  BLOCK(CHANGE_PAST, QF_N_TEXTURES * 24 * 24)                                                      \
  /* the same for applied chords */                                                                \
  BLOCK(APPLIED_AROUND, QF_N_TEXTURES * 216)                                                       \
  BLOCK(APPLIED_GOAL, QF_N_TEXTURES * 24 * 24)                                                     \
  BLOCK(APPLIED_PAST, QF_N_TEXTURES * 24 * 24)                                                     \
  /* the same for a key that is left, */                                                           \
  BLOCK(LEAVE_GOAL, QF_N_TEXTURES * 2 * 12)                                                        \
  /* and for one that is entered */                                                                \
  BLOCK(ENTER_GOAL, QF_N_TEXTURES * 2 * 12)                                                        \
  /* texture, mode, time to a note outside the old key */                                          \
  BLOCK(LEAVE_AHEAD, QF_N_TEXTURES * 2 * 6)                                                        \
  /* texture, mode, time to a note outside the new key */                                          \
  BLOCK(ENTER_AHEAD, QF_N_TEXTURES * 2 * 6)                                                        \
  /* texture, mode, time since a note outside it */                                                \
  BLOCK(ENTER_BEHIND, QF_N_TEXTURES * 2 * 6)                                                       \
  /* texture, target's mode, time to a note outside it */                                          \
  BLOCK(APPLIED_AHEAD, QF_N_TEXTURES * 2 * 6)                                                      \
  /* texture, time to the end of the phrase */                                                     \
  BLOCK(CHANGE_REST, QF_N_TEXTURES * 6)                                                            \
  /* texture, mode, stay, phrase ended or key regained */                                          \
  BLOCK(STAY, QF_N_TEXTURES * 2 * 6 * 4)                                                           \
  /* texture, mode, stay in the last key */                                                        \
  BLOCK(LAST_STAY, QF_N_TEXTURES * 2 * 6)                                                          \
  /* texture, metrical level of a new key */                                                       \
  BLOCK(CHANGE_LEVEL, QF_N_TEXTURES * 6)                                                           \
  /* a new key within, after a phrase */                                                           \
  BLOCK(CHANGE_PHRASE, 2)                                                                          \
  /* texture, mode, first numeral of a key */                                                      \
  BLOCK(CHANGE_TO, QF_N_TEXTURES * 2 * QF_N_WORDS)                                                 \
  /* mode, pivot chord in the old key */                                                           \
  BLOCK(PIVOT_OLD, 2 * QF_N_WORDS)                                                                 \
  /* mode, pivot chord in the new key */                                                           \
  BLOCK(PIVOT_NEW, 2 * QF_N_WORDS)                                                                 \
  /* texture, new mode, root from tonic, quality class */                                          \
  BLOCK(DIRECT, QF_N_TEXTURES * 2 * 12 * 5)

// clang-format on

enum {
#define QF_FEATURE_BLOCK(name, size) QF_F_##name, QF_F_##name##_END = QF_F_##name + (size)-1,
  QF_FEATURE_BLOCKS(QF_FEATURE_BLOCK)
#undef QF_FEATURE_BLOCK
    QF_N_FEATURES
};

/// A sum over features: their cost, and their counts where these are wanted
typedef struct {
  const float* weights; ///< #QF_N_FEATURES
  float*       counts;  ///< #QF_N_FEATURES, or NULL
  float        cost;
} QfTally;

static inline void
qf_tally_add(QfTally* const tally, const size_t feature, const float value)
{
  tally->cost += tally->weights[feature] * value;
  if (tally->counts) {
    tally->counts[feature] += value;
  }
}

/// Add a feature of a block that has one half, of `size` features, for each texture
static inline void
qf_tally_textured(QfTally* const tally,
                  const size_t   block,
                  const size_t   size,
                  const size_t   index,
                  const float    texture,
                  const float    value)
{
  qf_tally_add(tally, block + index, (1.0F - texture) * value);
  qf_tally_add(tally, block + size + index, texture * value);
}

/// The learned weights that come with the program
const float*
qf_learned_weights(void);

#endif // QUINTFALL_ANALYSIS_LEARNED_H
