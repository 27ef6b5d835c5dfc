// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_EXERCISE_H
#define QUINTFALL_EXERCISE_H

#include "quintfall/lesson.h"

/**
   The exercise maker: seeded chains of functions, written out in four parts.

   The same options give the same exercise on every machine: all choices are
   drawn with whole numbers from a generator that is part of this layer.
*/

enum {
  QF_EXERCISE_N_LEVELS   = 8, ///< Levels count from 1
  QF_EXERCISE_MAX_CHORDS = 64,
  QF_EXERCISE_MAX_BARS   = 32,
  QF_EXERCISE_MAX_KEYS   = 30,
  QF_EXERCISE_MAX_METRES = 8,
  QF_EXERCISE_TITLE_SIZE = 96,
};

/// What a chain may use beside I, IV and V (i, iv, V) with V7; bits
typedef enum {
  QF_USE_SECONDARY       = 1 << 0, ///< Triads on ii, iii, vi, and V6/4 in passing
  QF_USE_SEVENTHS        = 1 << 1, ///< Diatonic sevenths: ii7, IV7, vi7, Imaj7 ...
  QF_USE_CADENTIAL       = 1 << 2, ///< Cadential six-four
  QF_USE_LEADING_TONE    = 1 << 3, ///< viio6 and leading-tone sevenths of the key
  QF_USE_APPLIED         = 1 << 4, ///< Applied dominants, V7/x
  QF_USE_APPLIED_LEADING = 1 << 5, ///< Applied leading-tone sevenths, viio7/x
  QF_USE_CHAINS          = 1 << 6, ///< Two and more applied dominants, each the next one's dominant
  QF_USE_MIXTURE    = 1 << 7, ///< Chords of the parallel minor; in minor a major tonic at the end
  QF_USE_NEAPOLITAN = 1 << 8,
  QF_USE_AUGMENTED_SIXTHS = 1 << 9,
  QF_USE_N_BITS           = 10,
} QfUse;

/// Inversions a chain may use; bits
typedef enum {
  QF_INVERSION_FIRST  = 1 << 0,
  QF_INVERSION_SECOND = 1 << 1,
  QF_INVERSION_THIRD  = 1 << 2,
} QfInversionBit;

/// Notes outside the chords, put in after the chords are written; bits
typedef enum {
  QF_EXERCISE_PASSING    = 1 << 0,
  QF_EXERCISE_NEIGHBOUR  = 1 << 1,
  QF_EXERCISE_SUSPENSION = 1 << 2,
} QfExerciseForeign;

/// How often the chord changes
typedef enum {
  QF_RHYTHM_BARS,  ///< One chord a bar
  QF_RHYTHM_HALF,  ///< One chord a half-bar, or two beats and one in a bar of three
  QF_RHYTHM_BEATS, ///< One chord a beat
  QF_RHYTHM_MIXED, ///< Drawn bar by bar
  QF_RHYTHM_N_KINDS
} QfHarmonicRhythm;

/// Where the keys of a chain go
typedef enum {
  QF_MODULATION_STAY,   ///< One key
  QF_MODULATION_LEAVE,  ///< Ends in a near key, left over a chord of both
  QF_MODULATION_RETURN, ///< Closes in a near key, and comes home again
  QF_MODULATION_EITHER, ///< Leaves or returns, drawn for each exercise
  QF_MODULATION_N_KINDS
} QfModulation;

/// How often one degree follows another
typedef enum {
  QF_WEIGHTS_COMMON_PRACTICE, ///< The table of usual root progressions in the textbooks
  QF_WEIGHTS_CORPUS,          ///< Counted in the analyses of the open corpus
  QF_WEIGHTS_N_KINDS
} QfWeights;

/// What of the solution is printed on the student's sheet
typedef enum {
  QF_GIVE_OUTER,       ///< Soprano and bass
  QF_GIVE_BASS,        ///< The bass
  QF_GIVE_FIRST_CHORD, ///< The first chord
  QF_GIVE_FIRST_OUTER, ///< The first notes of soprano and bass
  QF_GIVE_NOTHING,
  QF_GIVE_N_KINDS
} QfExerciseGivens;

/// What is asked for; start from qf_exercise_options()
typedef struct {
  uint64_t         seed;
  int              level;    ///< 1-#QF_EXERCISE_N_LEVELS, told in the title
  unsigned         uses;     ///< #QfUse bits that may appear
  unsigned         required; ///< #QfUse bits of which at least one appears, unless none is set
  unsigned         applied_degrees; ///< Bit d: degree d may be tonicized; 0 for all there are
  unsigned         inversions;      ///< #QfInversionBit bits
  size_t           n_chords;        ///< 3-#QF_EXERCISE_MAX_CHORDS, or 0: as many as the bars hold
  size_t           n_bars;          ///< 2-#QF_EXERCISE_MAX_BARS, or 0: as many as the chords need
  QfMetre          metres[QF_EXERCISE_MAX_METRES]; ///< To draw from
  size_t           n_metres;
  unsigned         rhythms;                    ///< To draw from: bits `1U <<` #QfHarmonicRhythm
  QfKey            keys[QF_EXERCISE_MAX_KEYS]; ///< To draw from
  size_t           n_keys;
  unsigned         foreign;   ///< #QfExerciseForeign bits
  size_t           n_foreign; ///< Most notes outside the chords
  QfModulation     modulation;
  QfWeights        weights;
  QfExerciseGivens givens;
  double           tempo; ///< Quarter notes a minute
} QfExerciseOptions;

/// Parts of the difficulty figure
typedef enum {
  QF_DIFFICULTY_LENGTH,     ///< Chords to be heard
  QF_DIFFICULTY_VARIETY,    ///< Different functions among them
  QF_DIFFICULTY_CHROMATIC,  ///< Notes foreign to the key's scales
  QF_DIFFICULTY_APPLIED,    ///< Applied chords, deeper ones more
  QF_DIFFICULTY_SEVENTHS,   ///< Chords of four notes
  QF_DIFFICULTY_INVERSIONS, ///< Chords with another note in the bass
  QF_DIFFICULTY_LEAPS,      ///< Leaps of soprano and bass
  QF_DIFFICULTY_FOREIGN,    ///< Notes outside the chords
  QF_DIFFICULTY_SIGNATURE,  ///< Signs of the key signature, and minor
  QF_DIFFICULTY_MODULATION, ///< Changes of key
  QF_DIFFICULTY_PACE,       ///< Chords in a minute
  QF_DIFFICULTY_GIVENS,     ///< Notes that are not printed
  QF_DIFFICULTY_N_PARTS
} QfDifficultyPart;

/// A difficulty with its reasons
typedef struct {
  double total; ///< Sum of the points
  double points[QF_DIFFICULTY_N_PARTS];
  double counts[QF_DIFFICULTY_N_PARTS]; ///< What was counted, in the part's own unit
} QfDifficulty;

/// An exercise as it was made
typedef struct {
  QfLesson*        lesson; ///< Owned; key and title set, nothing pinned, no history
  QfLink*          links;  ///< The chain that was asked of it; owned
  size_t           n_links;
  QfKey            key; ///< At the beginning
  QfMetre          metre;
  QfHarmonicRhythm rhythm;
  QfModulation     modulation; ///< What it does, never #QF_MODULATION_EITHER
  int              level;
  unsigned         uses;        ///< #QfUse bits that do appear
  uint64_t         fingerprint; ///< Equal for the same functions and rhythm in any key of the mode
  size_t           n_rejected;  ///< Draws thrown away before this one
  QfDifficulty     difficulty;
} QfExercise;

/// Options of a level, 1-#QF_EXERCISE_N_LEVELS (others are taken to the nearest)
QfExerciseOptions
qf_exercise_options(int level, uint64_t seed);

/// One sentence on what a level brings, "Applied dominants of near degrees."
const char*
qf_exercise_level_text(int level);

/// #QF_ERR_RANGE says which option is out of range, or contradicts which other
QfStatus
qf_exercise_options_check(const QfExerciseOptions* options, QfError* error);

/**
   Make an exercise.

   A chain is drawn from a weighted grammar of functions (tonic, predominant,
   dominant, tonic, with a cadence), written by qf_write() in profile common, and
   notes outside the chords are put in where they break nothing. A draw is thrown
   away, and the next one tried, if the labels of the notes are not those of the
   chain, or the part-writing has an error.

   @param[out] result Set on success; to be cleared.
   @return #QF_OK; #QF_ERR_RANGE for options; #QF_ERR_IMPOSSIBLE if no draw would
   do; #QF_ERR_NO_MEM.
*/
QfStatus
qf_exercise_make(const QfExerciseOptions* options, QfExercise* result, QfError* error);

void
qf_exercise_clear(QfExercise* exercise);

/**
   Whether the labels of the lesson are the chain that was asked.

   A chord of both keys may be read in either; chords that are struck again in
   another position are compared each at its own time.
   @param[out] error Says the first place that differs; may be NULL.
*/
bool
qf_exercise_labels_hold(QfExercise* exercise, QfError* error);

/// How hard a lesson is, told from its notes and labels; #QF_ERR_NO_MEM
QfStatus
qf_difficulty_of(QfLesson* lesson, QfDifficulty* result, QfError* error);

/// "chromatic notes"
const char*
qf_difficulty_part_name(QfDifficultyPart part);

/// Short identity for files, "chromatic"
const char*
qf_difficulty_part_id(QfDifficultyPart part);

// ---- sets

/// Exercises of which no two have the same functions in the same rhythm
typedef struct QfExerciseSetImpl QfExerciseSet;

/// (transfer full) NULL if out of memory
QfExerciseSet*
qf_exercise_set_new(QfExerciseOptions options);

void
qf_exercise_set_free(QfExerciseSet* set);

/// Return false to cancel; called before each try, of which one exercise may need many
typedef bool (*QfExerciseFunc)(void* data);

/**
   Make the next exercise of the set; its seed follows from the set's.

   @param go_on Or NULL.
   @return As qf_exercise_make(); #QF_ERR_IMPOSSIBLE as well when no other
   exercise was found, which the text says; #QF_ERR_CANCELLED.
*/
QfStatus
qf_exercise_set_next(QfExerciseSet* set,
                     QfExerciseFunc go_on,
                     void*          data,
                     QfExercise*    result,
                     QfError*       error);

// ---- words

/// "applied dominants"
const char*
qf_use_name(QfUse use);

/// Short identity for the command and files, "applied"
const char*
qf_use_id(QfUse use);

/**
   Read what a chain may use: "applied/V,applied/ii,chains,neapolitan".

   @param[out] uses Bits of all that are named.
   @param[out] degrees Bits of the degrees named after "applied/".
   @return #QF_ERR_BAD_TEXT names what there is.
*/
QfStatus
qf_uses_parse(const char* text, unsigned* uses, unsigned* degrees, QfError* error);

/// "bars", "half", "beats", "mixed"
const char*
qf_harmonic_rhythm_name(QfHarmonicRhythm rhythm);

QfStatus
qf_harmonic_rhythm_parse(const char* text, QfHarmonicRhythm* result, QfError* error);

/// "stay", "leave", "return", "either"
const char*
qf_modulation_name(QfModulation modulation);

/// Read kinds of notes outside the chords, of passing, neighbour and suspension:
/// "passing,neighbour"
QfStatus
qf_exercise_foreign_parse(const char* text, unsigned* kinds, QfError* error);

/// "common-practice", "corpus"
const char*
qf_weights_name(QfWeights weights);

/// Where the weights come from, a sentence
const char*
qf_weights_source(QfWeights weights);

QfStatus
qf_weights_parse(const char* text, QfWeights* result, QfError* error);

/// "outer", "bass", "first-chord", "first-outer", "nothing"
const char*
qf_exercise_givens_name(QfExerciseGivens givens);

QfStatus
qf_exercise_givens_parse(const char* text, QfExerciseGivens* result, QfError* error);

#endif // QUINTFALL_EXERCISE_H
