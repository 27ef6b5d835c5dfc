// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_HARMONISE_H
#define QUINTFALL_HARMONISE_H

#include "quintfall/writing.h"

/// Chords that may be chosen from; each level has those before it
typedef enum {
  QF_VOCABULARY_DIATONIC,
  QF_VOCABULARY_APPLIED,   ///< With applied dominants and leading-tone sevenths
  QF_VOCABULARY_CHROMATIC, ///< With mixture, the Neapolitan and augmented sixths
  QF_VOCABULARY_N_KINDS
} QfVocabulary;

enum {
  QF_HARMONISE_MAX_NOTES    = 512,
  QF_HARMONISE_MAX_BEST     = 16,
  QF_HARMONISE_MAX_APART    = 6,
  QF_HARMONISE_FIGURES_SIZE = 16,
};

/// A note of the line that is given, which gets one chord
typedef struct {
  QfTime  start;
  QfTime  duration;
  QfPitch pitch;
  bool    is_figured; ///< Of a bass: its chord is the one the figures ask for
  char    figures[QF_HARMONISE_FIGURES_SIZE]; ///< As qf_figured_bass_notes() reads them
  bool    ends_phrase; ///< A cadence belongs here; the last note has one anyway
} QfGivenNote;

typedef struct {
  QfKey        key;
  QfMetre      metre;
  QfTime       pickup;  ///< Length of a first incomplete bar, or zero
  bool         is_bass; ///< The line is the bass, otherwise the soprano
  QfVocabulary vocabulary;
  QfProfile    profile;
  size_t       n_best;  ///< How many different chains to find; 0 means one
  size_t       n_apart; ///< In how many chords they differ at least; 0 means one
} QfHarmoniseOptions;

/// One chain of functions with its best writing in four parts
typedef struct {
  int        cost;     ///< Of the chain and its writing; lower is better
  QfLink*    links;    ///< One a note; owned
  QfVoicing* voicings; ///< One a note; owned
} QfHarmony;

typedef struct {
  QfHarmony* harmonies; ///< Best first; owned
  size_t     n_harmonies;
  size_t     n_links;
} QfHarmonies;

/**
   Find chords for a melody or a bass, and write them in four parts.

   Chords and voicings are chosen together: of all chains of the vocabulary and
   all ways to write them with the line kept and no error made, none costs less by
   chord, root motion and cadence, the rules' remarks and the motion of voices.
   Each of the next best is the best of those whose triads differ from every chain
   before it in `n_apart` chords at least; there may be fewer than asked for.

   @param[out] result Set on success; to be cleared.
   @return #QF_OK; #QF_ERR_IMPOSSIBLE with the note no chord fits; #QF_ERR_RANGE;
   #QF_ERR_NO_MEM.
*/
QfStatus
qf_harmonise(const QfGivenNote* notes,
             size_t             n_notes,
             QfHarmoniseOptions options,
             QfHarmonies*       result,
             QfError*           error);

void
qf_harmonies_clear(QfHarmonies* harmonies);

/// "diatonic", "applied", "chromatic"
const char*
qf_vocabulary_name(QfVocabulary vocabulary);

/// #QF_ERR_BAD_TEXT names the vocabularies there are
QfStatus
qf_vocabulary_parse(const char* text, QfVocabulary* result, QfError* error);

#endif // QUINTFALL_HARMONISE_H
