// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_HEARING_H
#define QUINTFALL_HEARING_H

#include "quintfall/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/// What is brought forward in a hearing
typedef enum {
  QF_FORWARD_ALL,     ///< Balanced
  QF_FORWARD_VOICE,   ///< One voice; see `voice`
  QF_FORWARD_QUALITY, ///< Each labelled chord struck once, as a block
} QfForwardKind;

typedef struct {
  QfForwardKind kind;
  uint8_t       voice; ///< Index in the score, 0 the highest
} QfForward;

enum {
  QF_PROGRAM_SAME = -1, ///< The forward voice keeps the others' instrument
};

/// How one hearing is to sound; kept in a lesson
typedef struct {
  QfForward forward;
  bool      is_spread;       ///< For #QF_FORWARD_QUALITY: each block is then spread upwards
  double    tempo_factor;    ///< 0.25-2 of the score's tempo
  bool      has_prelude;     ///< Tonic, subdominant, dominant, tonic before it starts
  bool      has_count_in;    ///< One bar of beats
  int       repeats;         ///< Times heard, 1-20
  double    gap_beats;       ///< Silence between repeats, 0-64
  double    softening_db;    ///< How far the others step back, 9-30
  double    forward_gain_db; ///< What the forward voice gains, 0-9
  double    lead_ms;         ///< How much later the others begin, 0-80
  double    level_db;        ///< Overall level, -40-0; quiet by default
  int       program;         ///< General MIDI program of all voices, 0-127
  int       forward_program; ///< Of the forward voice, or #QF_PROGRAM_SAME
} QfHearing;

/// Humane defaults: balanced, quiet, no prelude, piano
QfHearing
qf_hearing_default(void);

/// Clamp every value to its range
QfHearing
qf_hearing_clamp(QfHearing hearing);

/// Sounds and lasts alike; the overall level does not count
bool
qf_hearing_equals(QfHearing a, QfHearing b);

/// Lasts alike: every moment of the passage comes at the same time
bool
qf_hearing_same_times(QfHearing a, QfHearing b);

/// Read "bass", "tenor", "alto", "soprano", "quality", "all" for a score of so many voices
QfStatus
qf_forward_parse(const char* text, size_t n_voices, QfForward* result, QfError* error);

/// Write what qf_forward_parse() reads ("voice 3" for scores that are not in four parts)
void
qf_forward_write(QfForward forward, size_t n_voices, char* buffer, size_t size);

#endif // QUINTFALL_HEARING_H
