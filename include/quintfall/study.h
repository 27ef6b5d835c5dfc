// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_STUDY_H
#define QUINTFALL_STUDY_H

#include "quintfall/status.h"

#include <stdbool.h>

/// What a student fills in, in the order the ear usually finds it
typedef enum {
  QF_LAYER_BASS,    ///< The lowest voice
  QF_LAYER_SOPRANO, ///< The highest voice
  QF_LAYER_QUALITY, ///< Chord qualities
  QF_LAYER_NUMERAL, ///< Functions
  QF_LAYER_INNER,   ///< All voices between
  QF_LAYER_N_KINDS
} QfLayer;

enum {
  QF_ALL_LAYERS   = (1 << QF_LAYER_N_KINDS) - 1,
  QF_MAX_HEARINGS = 99,
  QF_MAX_ATTEMPTS = 99,
};

/// How a lesson is set as a task; kept in the lesson
typedef struct {
  unsigned layers;        ///< Asked for: bit `1U << layer`
  int      max_hearings;  ///< 0 sets no limit
  int      max_attempts;  ///< 0 sets no limit
  bool     shows_rhythm;  ///< The student sees when the notes of each voice begin and end
  bool     shows_spans;   ///< The student sees where the chords change
  bool     has_questions; ///< The leading questions may be opened
  bool     shows_result;  ///< The student may see the graded result
} QfStudy;

/// All layers, no limits, everything shown
QfStudy
qf_study_default(void);

/// English name, "chord qualities"
const char*
qf_layer_name(QfLayer layer);

/// Short identity for files and the command: "bass", "soprano", "quality", "numeral", "inner"
const char*
qf_layer_id(QfLayer layer);

/// Read an identity
QfStatus
qf_layer_parse(const char* text, QfLayer* result, QfError* error);

#endif // QUINTFALL_STUDY_H
