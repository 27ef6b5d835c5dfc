// SPDX-License-Identifier: MIT
#include "quintfall/hearing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  FOUR_PARTS   = 4,
  MAX_REPEATS  = 20,
  MAX_PROGRAM  = 127,
  MAX_NUMBERED = 255,
};

static const char* const part_names[FOUR_PARTS] = {"soprano", "alto", "tenor", "bass"};

QfHearing
qf_hearing_default(void)
{
  return (QfHearing){.forward         = {QF_FORWARD_ALL, 0},
                     .tempo_factor    = 1.0,
                     .repeats         = 1,
                     .gap_beats       = 4.0,
                     .softening_db    = 14.0,
                     .lead_ms         = 15.0,
                     .level_db        = -20.0,
                     .program         = 0,
                     .forward_program = QF_PROGRAM_SAME};
}

/// A number that is none becomes the lowest, which for levels is the quietest
static double
clamp(const double value, const double low, const double high)
{
  return isnan(value) || value < low ? low : value > high ? high : value;
}

static int
clamp_int(const int value, const int low, const int high)
{
  return value < low ? low : value > high ? high : value;
}

QfHearing
qf_hearing_clamp(const QfHearing hearing)
{
  QfHearing result       = hearing;
  result.tempo_factor    = clamp(hearing.tempo_factor, 0.25, 2.0);
  result.repeats         = clamp_int(hearing.repeats, 1, MAX_REPEATS);
  result.gap_beats       = clamp(hearing.gap_beats, 0.0, 64.0);
  result.softening_db    = clamp(hearing.softening_db, 9.0, 30.0);
  result.forward_gain_db = clamp(hearing.forward_gain_db, 0.0, 9.0);
  result.lead_ms         = clamp(hearing.lead_ms, 0.0, 80.0);
  result.level_db        = clamp(hearing.level_db, -40.0, 0.0);
  result.program         = clamp_int(hearing.program, 0, MAX_PROGRAM);
  result.forward_program = clamp_int(hearing.forward_program, QF_PROGRAM_SAME, MAX_PROGRAM);
  if (hearing.forward.kind != QF_FORWARD_VOICE && hearing.forward.kind != QF_FORWARD_QUALITY) {
    result.forward = (QfForward){QF_FORWARD_ALL, 0};
  }
  return result;
}

bool
qf_hearing_same_times(const QfHearing a, const QfHearing b)
{
  return a.tempo_factor == b.tempo_factor && a.has_prelude == b.has_prelude &&
         a.has_count_in == b.has_count_in && a.repeats == b.repeats && a.gap_beats == b.gap_beats;
}

bool
qf_hearing_equals(const QfHearing a, const QfHearing b)
{
  const bool is_forward_alike =
    a.forward.kind == b.forward.kind &&
    (a.forward.kind != QF_FORWARD_VOICE || a.forward.voice == b.forward.voice);
  return is_forward_alike && qf_hearing_same_times(a, b) && a.is_spread == b.is_spread &&
         a.softening_db == b.softening_db && a.forward_gain_db == b.forward_gain_db &&
         a.lead_ms == b.lead_ms && a.program == b.program && a.forward_program == b.forward_program;
}

static QfStatus
parse_numbered(const char* const text,
               const size_t      n_voices,
               QfForward* const  result,
               QfError* const    error)
{
  char*      end    = NULL;
  const long number = strtol(text, &end, 10);
  if (end == text || *end || number < 1 || number > MAX_NUMBERED || (size_t)number > n_voices) {
    return qf_error_set(error, QF_ERR_RANGE, "voice \"%.20s\" does not exist; expected 1 to %zu",
                        text, n_voices);
  }
  *result = (QfForward){QF_FORWARD_VOICE, (uint8_t)(number - 1)};
  return QF_OK;
}

QfStatus
qf_forward_parse(const char* const text,
                 const size_t      n_voices,
                 QfForward* const  result,
                 QfError* const    error)
{
  static const char numbered[] = "voice ";

  if (!strcmp(text, "all")) {
    *result = (QfForward){QF_FORWARD_ALL, 0};
    return QF_OK;
  }
  if (!strcmp(text, "quality")) {
    *result = (QfForward){QF_FORWARD_QUALITY, 0};
    return QF_OK;
  }
  if (!strncmp(text, numbered, sizeof(numbered) - 1U)) {
    return parse_numbered(text + sizeof(numbered) - 1U, n_voices, result, error);
  }

  // Outer voices have their names whatever lies between them, inner ones only in four parts.
  for (size_t i = 0; i < FOUR_PARTS; ++i) {
    const bool is_outer = i == 0 || i == FOUR_PARTS - 1U;
    if (!strcmp(text, part_names[i]) && n_voices && (is_outer || n_voices == FOUR_PARTS)) {
      *result = (QfForward){QF_FORWARD_VOICE, (uint8_t)(i == 3 ? n_voices - 1U : i)};
      return QF_OK;
    }
  }
  return qf_error_set(error, QF_ERR_BAD_TEXT,
                      "\"%.40s\" is no voice to bring forward; expected bass, tenor, alto, "
                      "soprano, quality, all, or \"voice 1\" to \"voice %zu\"",
                      text, n_voices);
}

void
qf_forward_write(const QfForward forward,
                 const size_t    n_voices,
                 char* const     buffer,
                 const size_t    size)
{
  if (forward.kind == QF_FORWARD_QUALITY) {
    snprintf(buffer, size, "quality");
  } else if (forward.kind != QF_FORWARD_VOICE) {
    snprintf(buffer, size, "all");
  } else if (n_voices == FOUR_PARTS && forward.voice < FOUR_PARTS) {
    snprintf(buffer, size, "%s", part_names[forward.voice]);
  } else {
    snprintf(buffer, size, "voice %d", forward.voice + 1);
  }
}
