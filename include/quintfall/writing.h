// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_WRITING_H
#define QUINTFALL_WRITING_H

#include "quintfall/rules.h"

enum {
  QF_WRITING_MIN_VOICES = 3,
  QF_WRITING_MAX_VOICES = 5,
  QF_WRITING_MAX_BEST   = 64,
  QF_CLASH_MAX_NOTES    = 16,
};

/// A wish that a member of a chord be doubled
typedef struct {
  size_t  link;
  uint8_t member; ///< 0 root, 1 third, 2 fifth
} QfDoubling;

/// A range to be used instead of the usual one
typedef struct {
  size_t  voice;
  QfPitch low;
  QfPitch high;
} QfVoiceRange;

/// How a chain is to be written
typedef struct {
  QfProfile     profile;
  size_t        n_voices;    ///< 3 to 5; 0 means four
  bool          is_keyboard; ///< The upper voices lie in one hand, within an octave
  const QfKept* kept;        ///< Givens; voices count from the highest
  size_t        n_kept;
  size_t        n_best; ///< How many different writings to find; 0 means one

  const QfPitch* before;         ///< `n_voices` pitches to connect from, highest first, or NULL
  const QfPitch* after;          ///< `n_voices` pitches to connect to, or NULL
  bool           may_join_badly; ///< Joins to these may make errors, at a price

  const QfDoubling*   doublings; ///< Granted before everything else that is no error
  size_t              n_doublings;
  const QfVoiceRange* ranges;
  size_t              n_ranges;
  const bool*         on_downbeat; ///< By link, whether it begins a bar; NULL if not known
} QfWriteOptions;

/// A chain written out
typedef struct {
  int      cost;    ///< Lower is better
  QfPitch* pitches; ///< `n_links` times `n_voices`, chord by chord, highest first; owned
} QfWriting;

typedef struct {
  QfWriting* writings; ///< Best first; owned
  size_t     n_writings;
  size_t     n_links;
  size_t     n_voices;
} QfWritings;

/// Givens that cannot hold together although any of them can go
typedef struct {
  size_t n_kept; ///< 0 if the chords themselves cannot be written under the profile
  size_t kept[QF_CLASH_MAX_NOTES]; ///< Indices of givens
} QfClash;

/**
   Write a chain in the best way there is under a profile, or the n best ways.

   The cost adds the price of every remark of the rules, the motion of each
   voice, register and doubling; an error of the profile is never made. Of all
   voicings within the ranges (the wide ones in free, or those given), with no
   tendency tone doubled and nothing left out but a fifth, none costs less. Equal costs are
   decided by the order of voicings, the same way each time.

   @param[out] result Set on success; to be cleared.
   @param[out] clash If not NULL, set when it is impossible: the smallest set of
   givens found that clash.
   @return #QF_OK, #QF_ERR_IMPOSSIBLE with the chords and the givens that clash,
   #QF_ERR_RANGE for options out of range, #QF_ERR_NO_MEM.
*/
QfStatus
qf_write(const QfLink*  links,
         size_t         n_links,
         QfWriteOptions options,
         QfWritings*    result,
         QfClash*       clash,
         QfError*       error);

void
qf_writings_clear(QfWritings* writings);

#endif // QUINTFALL_WRITING_H
