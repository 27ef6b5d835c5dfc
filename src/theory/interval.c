// SPDX-License-Identifier: MIT
#include "quintfall/interval.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_NUMBER  = 99, ///< Largest interval number read, a fourteen-octave span
  MAX_QUALITY = 9,  ///< Most A or d read and written
};

// Semitones of the major and perfect intervals, by staff steps
static const int8_t major_semitones[7] = {0, 2, 4, 5, 7, 9, 11};

static bool
is_perfect_class(const int steps)
{
  const int simple = steps % 7;
  return simple == 0 || simple == 3 || simple == 4;
}

/// Semitones above the major or perfect interval of the same size
static int
excess(const int steps, const int semitones)
{
  return semitones - 12 * (steps / 7) - major_semitones[steps % 7];
}

static bool
is_falling(const QfInterval interval)
{
  return interval.steps < 0 || (interval.steps == 0 && interval.semitones < 0);
}

static QfInterval
negate(const QfInterval interval)
{
  return (QfInterval){(int16_t)-interval.steps, (int16_t)-interval.semitones};
}

static QfStatus
fault(QfError* const error, const char* const text)
{
  return qf_error_set(error, QF_ERR_BAD_TEXT,
                      "\"%.20s\" is not an interval; expected a quality and a number, such as "
                      "m3, P5, A4 or d7",
                      text);
}

QfStatus
qf_interval_parse(const char* const text, QfInterval* const result, QfError* const error)
{
  const bool  falls = text[0] == '-';
  const char* c     = text + (falls ? 1 : 0);
  const char  head  = *c;
  int         n     = 0;
  while (*c && *c == head && !(head >= '0' && head <= '9')) {
    ++n;
    ++c;
  }

  char*      end    = NULL;
  const long number = *c >= '1' && *c <= '9' ? strtol(c, &end, 10) : 0;
  if (!end || *end || number > MAX_NUMBER || n > MAX_QUALITY) {
    return fault(error, text);
  }

  const int  steps   = (int)number - 1;
  const bool perfect = is_perfect_class(steps);
  int        delta   = 0;
  if (head == 'P' && n == 1 && perfect) {
    delta = 0;
  } else if (head == 'M' && n == 1 && !perfect) {
    delta = 0;
  } else if (head == 'm' && n == 1 && !perfect) {
    delta = -1;
  } else if (head == 'A') {
    delta = n;
  } else if (head == 'd') {
    delta = perfect ? -n : -n - 1;
  } else {
    return fault(error, text);
  }

  const int        semitones = 12 * (steps / 7) + major_semitones[steps % 7] + delta;
  const QfInterval rising    = {(int16_t)steps, (int16_t)semitones};
  *result                    = falls ? negate(rising) : rising;
  return QF_OK;
}

/// Quality letter and how often it is repeated
static char
quality(const QfInterval rising, int* const times)
{
  const int  delta   = excess(rising.steps, rising.semitones);
  const bool perfect = is_perfect_class(rising.steps);

  *times = 1;
  if (!delta) {
    return perfect ? 'P' : 'M';
  }
  if (!perfect && delta == -1) {
    return 'm';
  }
  *times = delta > 0 ? delta : (perfect ? -delta : -delta - 1);
  return delta > 0 ? 'A' : 'd';
}

void
qf_interval_write(const QfInterval interval, char* const buffer, const size_t size)
{
  const bool       falls  = is_falling(interval);
  const QfInterval rising = falls ? negate(interval) : interval;
  int              times  = 1;
  const char       letter = quality(rising, &times);

  char letters[MAX_QUALITY + 1] = "";
  memset(letters, letter, (size_t)(times < MAX_QUALITY ? times : MAX_QUALITY));
  snprintf(buffer, size, "%s%s%d", falls ? "-" : "", letters, rising.steps + 1);
}

void
qf_interval_describe(const QfInterval interval, char* const buffer, const size_t size)
{
  static const char* const sizes[] = {
    "unison", "second", "third",    "fourth",  "fifth",      "sixth",      "seventh",  "octave",
    "ninth",  "tenth",  "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth"};
  static const char* const times_words[] = {"", "", "doubly ", "triply ", "quadruply "};

  const bool        falls  = is_falling(interval);
  const QfInterval  rising = falls ? negate(interval) : interval;
  int               times  = 1;
  const char        letter = quality(rising, &times);
  const char* const word   = letter == 'P'   ? "perfect"
                             : letter == 'M' ? "major"
                             : letter == 'm' ? "minor"
                             : letter == 'A' ? "augmented"
                                             : "diminished";

  const int         n_sizes = (int)(sizeof(sizes) / sizeof(sizes[0]));
  const bool        is_wide = rising.steps >= n_sizes;
  const int         step    = is_wide ? rising.steps % 7 : rising.steps;
  const char* const often   = times <= 4 ? times_words[times] : "many times ";
  snprintf(buffer, size, "%s%s%s%s %s", falls ? "falling " : "", is_wide ? "compound " : "", often,
           word, sizes[is_wide && !step ? 7 : step]);
}

QfInterval
qf_interval_between(const QfPitch from, const QfPitch to)
{
  return (QfInterval){(int16_t)(qf_pitch_step(to) - qf_pitch_step(from)),
                      (int16_t)(qf_pitch_midi(to) - qf_pitch_midi(from))};
}

QfInterval
qf_interval_between_names(const QfNoteName from, const QfNoteName to)
{
  const QfPitch low  = {from.letter, from.alter, 4};
  const QfPitch high = {to.letter, to.alter, (int8_t)(to.letter < from.letter ? 5 : 4)};
  return qf_interval_between(low, high);
}

QfInterval
qf_interval_simple(const QfInterval interval)
{
  if (is_falling(interval)) {
    return negate(qf_interval_simple(negate(interval)));
  }

  const int octaves = interval.steps > 7 ? (interval.steps - 1) / 7 : 0;
  return (QfInterval){(int16_t)(interval.steps - 7 * octaves),
                      (int16_t)(interval.semitones - 12 * octaves)};
}

QfInterval
qf_interval_invert(const QfInterval interval)
{
  if (is_falling(interval)) {
    return negate(qf_interval_invert(negate(interval)));
  }

  const QfInterval simple = qf_interval_simple(interval);
  return (QfInterval){(int16_t)(7 - simple.steps), (int16_t)(12 - simple.semitones)};
}

QfStatus
qf_pitch_transpose(const QfPitch from, const QfInterval interval, QfPitch* const result)
{
  const QfPitch plain = qf_pitch_from_step(qf_pitch_step(from) + interval.steps, 0);
  const int     alter = qf_pitch_midi(from) + interval.semitones - qf_pitch_midi(plain);
  if (abs(alter) > QF_MAX_ALTER) {
    return QF_ERR_RANGE;
  }

  *result       = plain;
  result->alter = (int8_t)alter;
  return QF_OK;
}

QfStatus
qf_note_name_transpose(const QfNoteName from, const QfInterval interval, QfNoteName* const result)
{
  QfPitch        pitch = {from.letter, from.alter, 4};
  const QfStatus st    = qf_pitch_transpose(pitch, qf_interval_simple(interval), &pitch);
  if (!st) {
    *result = qf_pitch_name(pitch);
  }
  return st;
}
