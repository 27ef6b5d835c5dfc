// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_DRILL_H
#define QUINTFALL_DRILL_H

#include "quintfall/score.h"
#include "quintfall/solfege.h"

/// Short drills: one thing is heard, one question asked, one answer given
typedef enum {
  QF_DRILL_QUALITY,    ///< Name the quality of a chord
  QF_DRILL_FUNCTION,   ///< Name the function of a chord in a key
  QF_DRILL_TARGET,     ///< Find the degree an applied chord is applied to
  QF_DRILL_CIRCLE,     ///< Which chord broke the circle of falling fifths
  QF_DRILL_RESOLUTION, ///< Sing where a tendency tone goes
  QF_DRILL_INVERSION,  ///< Name the chord note in the bass
  QF_DRILL_N_KINDS
} QfDrillKind;

typedef enum {
  QF_DRILL_ANSWER_CHOICE, ///< One of `choices`
  QF_DRILL_ANSWER_PITCH,  ///< A note, in any octave
} QfDrillAnswerForm;

enum {
  QF_DRILL_N_LEVELS      = 5, ///< Levels count from 1
  QF_DRILL_MAX_CHOICES   = 12,
  QF_DRILL_MAX_CONCEPTS  = 3,
  QF_DRILL_CHOICE_SIZE   = 64,
  QF_DRILL_QUESTION_SIZE = 200,
  QF_DRILL_REASON_SIZE   = 640,
  QF_DRILL_CONCEPT_SIZE  = 48,
};

typedef struct {
  QfDrillKind       kind;
  int               level;
  uint64_t          seed;
  QfScore*          score; ///< What is heard, four parts; owned
  QfKey             key;
  bool              has_prelude; ///< The key is to be heard first
  QfTime            asked_from;  ///< Where the chord asked for begins
  QfTime            asked_to;
  char              question[QF_DRILL_QUESTION_SIZE];
  QfDrillAnswerForm form;
  size_t            n_choices;
  char              choices[QF_DRILL_MAX_CHOICES][QF_DRILL_CHOICE_SIZE];
  size_t            right; ///< Index of the right choice
  QfPitch           start; ///< For a pitch: the note that is shown and heard before
  QfPitch           pitch; ///< For a pitch: the answer as written
  char              explanation[QF_DRILL_REASON_SIZE]; ///< To be shown after the answer
  size_t            n_concepts;
  char concepts[QF_DRILL_MAX_CONCEPTS][QF_DRILL_CONCEPT_SIZE]; ///< As practice.h takes them
} QfDrill;

/**
   Make a drill; the same arguments give the same drill on every machine.

   @param level 1-#QF_DRILL_N_LEVELS; others are taken to the nearest.
   @param naming How notes are named in question, choices and explanation.
   @param[out] result Set on success; to be cleared.
   @return #QF_OK, #QF_ERR_RANGE for no such kind, #QF_ERR_NO_MEM.
*/
QfStatus
qf_drill_make(QfDrillKind  kind,
              int          level,
              uint64_t     seed,
              QfNamingKind naming,
              QfDrill*     result,
              QfError*     error);

/**
   Make a drill on one concept, such as "target/ii", for what is due.

   @param level Level to begin with; a higher one is taken where this has no such drill.
   @return As qf_drill_make(); #QF_ERR_IMPOSSIBLE if no drill is about it.
*/
QfStatus
qf_drill_make_on(const char*  concept,
                 int          level,
                 uint64_t     seed,
                 QfNamingKind naming,
                 QfDrill*     result,
                 QfError*     error);

void
qf_drill_clear(QfDrill* drill);

/// True if a written note answers a drill for a pitch: its spelling counts, its octave does not
bool
qf_drill_accepts_pitch(const QfDrill* drill, QfPitch pitch);

/// True if a sung or played note answers it: MIDI key, any octave
bool
qf_drill_accepts_key(const QfDrill* drill, int midi);

/// "Name the quality"
const char*
qf_drill_kind_name(QfDrillKind kind);

/// Short identity for the command and concepts, "quality"
const char*
qf_drill_kind_id(QfDrillKind kind);

/// #QF_ERR_BAD_TEXT names the kinds there are
QfStatus
qf_drill_kind_parse(const char* text, QfDrillKind* result, QfError* error);

#endif // QUINTFALL_DRILL_H
