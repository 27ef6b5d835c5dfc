// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_RULES_H
#define QUINTFALL_PARTWRITING_RULES_H

#include "passage.h"
#include "sounds.h"

#include "quintfall/rules.h"

/// A rule in its plain case or one of its exceptions; each is a line of a table in grades.c
typedef enum {
  GRADE_NONE,
  GRADE_RANGE,
  GRADE_SPACING,
  GRADE_SPACING_BRIEF,
  GRADE_CROSSING,
  GRADE_CROSSING_BRIEF,
  GRADE_CROSSING_OTHER,
  GRADE_UNISON,
  GRADE_OVERLAP,
  GRADE_PARALLEL_FIFTHS,
  GRADE_PARALLEL_FIFTHS_GERMAN,
  GRADE_PARALLEL_OCTAVES,
  GRADE_CONTRARY_FIFTHS,
  GRADE_CONTRARY_FIFTHS_OUTER,
  GRADE_CONTRARY_OCTAVES,
  GRADE_CONTRARY_OCTAVES_OUTER,
  GRADE_DIRECT_FIFTHS,
  GRADE_DIRECT_OCTAVES,
  GRADE_UNEQUAL_FIFTHS_BASS,
  GRADE_UNEQUAL_FIFTHS_UPPER,
  GRADE_LEADING_TONE_DOUBLED,
  GRADE_LEADING_TONE_DOUBLED_PASSING,
  GRADE_LEADING_TONE_OUTER,
  GRADE_LEADING_TONE_INNER,
  GRADE_LEADING_TONE_FALLS_THIRD,
  GRADE_LEADING_TONE_DESCENDS,
  GRADE_SEVENTH_DOUBLED,
  GRADE_SEVENTH_RESOLUTION,
  GRADE_SEVENTH_ABANDONED,
  GRADE_SEVENTH_TENTHS,
  GRADE_SEVENTH_TO_BASS,
  GRADE_SEVENTH_WITHOUT_GOAL,
  GRADE_AUGMENTED_SECOND,
  GRADE_AUGMENTED_FOURTH,
  GRADE_AUGMENTED_LEAP,
  GRADE_DIMINISHED_LEAP,
  GRADE_LARGE_LEAP,
  GRADE_LEAP_RECOVERY,
  GRADE_COMPOUND_LEAP,
  GRADE_CROSS_RELATION,
  GRADE_CROSS_RELATION_NEAPOLITAN,
  GRADE_CROSS_RELATION_BASS,
  GRADE_MISSING_THIRD,
  GRADE_MISSING_FIFTH,
  GRADE_MISSING_FIFTH_INVERTED,
  GRADE_MISSING_ROOT,
  GRADE_MISSING_SEVENTH,
  GRADE_DOUBLED_THIRD,
  GRADE_DOUBLED_THIRD_FORCED,
  GRADE_DOUBLED_THIRD_IN_BASS,
  GRADE_DOUBLED_THIRD_IN_BASS_FIXED,
  GRADE_ALTERED_DOUBLED,
  GRADE_SIX_FOUR_DOUBLING,
  GRADE_SIX_FOUR_USE,
  GRADE_CADENTIAL_RESOLUTION,
  GRADE_AUGMENTED_SIXTH_RESOLUTION,
  GRADE_NEAPOLITAN_RESOLUTION,
  GRADE_BASS_OVER_BAR,
  GRADE_N_KINDS
} Grade;

/// What a grade means
typedef struct {
  QfRule      rule;
  QfSeverity  severity[QF_PROFILE_N_KINDS];
  int         price;  ///< Of breaking it when writing, where it is no error
  const char* clause; ///< What the voices do, "move in parallel fifths"
} GradeText;

const GradeText*
grade_get(Grade grade);

/// A grade found, and the voices it concerns as bits
typedef struct {
  Grade    grade;
  uint32_t voices;
} Remark;

/// Receiver of remarks
typedef struct Sink Sink;
struct Sink {
  void (*take)(Sink* sink, Remark remark);
};

/// A chord to be judged
typedef struct {
  const Sonority* sonority; ///< NULL if unknown
  const Sounds*   sounds;
  const Passage*  next;     ///< To the chord after it, or NULL
  bool            is_first; ///< Nothing is connected before it
} ChordView;

/// A move from one moment to the next
typedef struct {
  const Passage* passage; ///< NULL if a chord is unknown or the harmony stays
  const Sounds*  from;
  const Sounds*  to;
  const Sounds*  goal;     ///< As `to`, but each voice where it settles in the chord
  const int8_t*  arrivals; ///< Steps by which each voice came to `from`, or NULL
} Join;

/// How one voice moves, and how it came there
typedef struct {
  size_t voice;
  size_t n_voices;
  bool   has_before;
  int    before_steps; ///< The move before this one
  int    before_semitones;
  int    steps;
  int    semitones;
} VoiceMotion;

/// Ranges, spacing, crossing and unisons: whatever the harmony
void
judge_placing(const Sounds* sounds, Sink* sink);

/// Doubling and omission
void
judge_content(const ChordView* chord, Sink* sink);

/// Consecutive intervals, overlap, cross relations
void
judge_motion(const Join* join, Sink* sink);

/// Melodic intervals of one voice
void
judge_melody(const VoiceMotion* motion, Sink* sink);

/// Leading tones, sevenths, altered tones, and doubling that depends on the chord before
void
judge_resolution(const Join* join, Sink* sink);

/// The bass repeated over a bar line under another chord
void
judge_bass(const Join* join, Sink* sink);

/// How the bass comes to a six-four that must cadence, pass or stand over a held bass
typedef enum {
  SIX_FOUR_NONE, ///< It is no such chord, or belongs to a broken one
  SIX_FOUR_BY_STEP,
  SIX_FOUR_BY_LEAP,
} SixFourEntry;

SixFourEntry
six_four_entry(const Passage* passage, int bass_steps);

/// Has such a chord no business where it stands? `passage` and steps are those out of it
bool
six_four_is_stray(SixFourEntry entry, const Passage* passage, int bass_steps);

/// Voices on the doubled third of a plain triad in root position, as bits
uint32_t
doubled_third_voices(const Sonority* sonority, const Sounds* sounds);

/// The doubled bass of a plain triad in first inversion, `before` being NULL at the start
Remark
doubled_bass_third_rule(const Sonority* before, const Sonority* sonority, const Sounds* sounds);

/// Range of a voice among so many; false if there is none
bool
voice_range(size_t n_voices, size_t voice, bool is_wide, int* low, int* high);

#endif // QUINTFALL_PARTWRITING_RULES_H
