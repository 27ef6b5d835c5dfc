// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_VOCABULARY_H
#define QUINTFALL_ANALYSIS_VOCABULARY_H

#include "learned.h"

#include "quintfall/numeral.h"

enum {
  QF_KEY_SIGNS        = 10, ///< Keys are searched up to so many signs; beyond seven for spelling
  QF_N_KEYS           = 2 * (2 * QF_KEY_SIGNS + 1),
  QF_ENTRY_UNKNOWN    = 0, ///< The first entry of every vocabulary: no chord can be named
  QF_MAX_ENTRIES      = 224,
  QF_MAX_HOMONYMS     = 12, ///< Numerals that one chord can have in one key
  QF_ROOT_SPAN        = 20, ///< Roots lie at most this many fifths from the tonic
  QF_FIFTHS_OF_LOWEST = -29 ///< F with four flats; bit 0 of a note mask
};

/// What a numeral does among its neighbours
typedef enum {
  QF_ROLE_UNKNOWN,
  QF_ROLE_TONIC,
  QF_ROLE_PREDOMINANT,
  QF_ROLE_DOMINANT,        ///< Points at the tonic
  QF_ROLE_APPLIED,         ///< Points at another degree
  QF_ROLE_CADENTIAL,       ///< Six-four that stands for the dominant
  QF_ROLE_AUGMENTED_SIXTH, ///< Closes in on the dominant
  QF_ROLE_NEAPOLITAN,
  QF_ROLE_OTHER,
} QfRole;

/// One numeral of a mode, whatever its inversion; places are fifths above the tonic
typedef struct {
  QfNumeral   numeral; ///< In root position
  QfChordKind kind;
  QfRole      role;
  int         root;
  int         target;   ///< Of a dominant: the root it points at
  int         dominant; ///< Of a dominant: the root of the dominant it is or stands for
  float       prior;    ///< Hand-set cost of its being used at all
  size_t      word;     ///< Its place among the learned weights, or #QF_N_WORDS
} QfEntry;

/// Numerals of one mode, and what it costs to go from one to another
typedef struct {
  QfMode   mode;
  float    texture; ///< The passage's
  size_t   n_entries;
  QfEntry  entries[QF_MAX_ENTRIES];
  float    words[QF_MAX_ENTRIES]; ///< Cost of each being used at all
  float    steps[QF_MAX_ENTRIES][QF_MAX_ENTRIES];
  bool     has_kind[QF_CHORD_N_KINDS]; ///< Qualities that occur
  uint16_t homonyms[2 * QF_ROOT_SPAN + 1][QF_CHORD_N_KINDS][QF_MAX_HOMONYMS]; ///< Ends with 0
} QfVocabulary;

/// Fill in the numerals of a mode
void
qf_vocabulary_init(QfVocabulary* vocabulary, QfMode mode);

/// Entry of a numeral, added if it is new; #QF_ENTRY_UNKNOWN if it has no chord or no room is left
size_t
qf_vocabulary_add(QfVocabulary* vocabulary, const QfNumeral* numeral);

/// Add what it costs to use a numeral at all
void
qf_tally_word(QfTally* tally, const QfVocabulary* vocabulary, size_t entry);

/// Index of a numeral in the blocks that have one feature for each, or SIZE_MAX
size_t
qf_word_index(const QfVocabulary* vocabulary, size_t entry);

/// Add a numeral's feature of a block with `width` features a numeral
void
qf_tally_word_of(QfTally*            tally,
                 size_t              block,
                 const QfVocabulary* vocabulary,
                 size_t              entry,
                 size_t              width,
                 size_t              offset);

/// Add what it costs to go from one numeral to another
void
qf_tally_step(QfTally* tally, const QfVocabulary* vocabulary, size_t from, size_t to);

/// Set the costs of all numerals and steps, once all numerals are in
void
qf_vocabulary_weigh(QfVocabulary* vocabulary, const float* weights, float texture);

/// Numerals of a chord whose root lies so many fifths above the tonic; ends with 0, never NULL
static inline const uint16_t*
qf_vocabulary_find(const QfVocabulary* const vocabulary, const int root, const QfChordKind kind)
{
  static const uint16_t none[1] = {0};

  if (root < -QF_ROOT_SPAN || root > QF_ROOT_SPAN || kind >= QF_CHORD_N_KINDS) {
    return none;
  }

  return vocabulary->homonyms[root + QF_ROOT_SPAN][kind];
}

/// Index of a key
size_t
qf_key_index(QfKey key);

/// Signature of a key by index: sharps, or flats below zero
static inline int
qf_key_signs(const size_t key)
{
  return (int)(key / 2) - QF_KEY_SIGNS;
}

/// Key of an index; one beyond seven signs is written as its enharmonic twin
QfKey
qf_key_of_index(size_t index);

/// Fifths that a key's twin lies above the key itself: 0, 12 or -12
int
qf_key_twin_shift(size_t key);

/// Bit of a note in a mask of spelled notes
static inline uint64_t
qf_note_bit(const int fifths)
{
  const int bit = fifths - QF_FIFTHS_OF_LOWEST;

  return (bit >= 0 && bit < 64) ? UINT64_C(1) << (unsigned)bit : 0U;
}

/// Place of a chord member above its root, in fifths
int
qf_member_fifths(QfChordKind kind, int member);

#endif // QUINTFALL_ANALYSIS_VOCABULARY_H
