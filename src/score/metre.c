// SPDX-License-Identifier: MIT
#include "quintfall/time.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

enum {
  MAX_NUMERATOR   = 64,
  MAX_DENOMINATOR = 64,
};

static bool
is_compound(const int numerator, const int denominator)
{
  return numerator % 3 == 0 && numerator <= 3 * QF_METRE_MAX_GROUPS &&
         (numerator > 3 || denominator >= 8);
}

/// Units in most beats of a metre that is neither five nor seven
static int
usual_group(const int numerator, const int denominator)
{
  if (is_compound(numerator, denominator)) {
    return 3;
  }
  return (numerator + QF_METRE_MAX_GROUPS - 1) / QF_METRE_MAX_GROUPS;
}

QfStatus
qf_metre(const int numerator, const int denominator, QfMetre* const result)
{
  if (numerator < 1 || numerator > MAX_NUMERATOR || denominator < 1 ||
      denominator > MAX_DENOMINATOR || (denominator & (denominator - 1))) {
    return QF_ERR_RANGE;
  }

  QfMetre metre = {.numerator = (uint8_t)numerator, .denominator = (uint8_t)denominator};
  if (numerator == 5) {
    metre.n_groups = 2;
    memcpy(metre.groups, (const uint8_t[]){3, 2}, 2);
  } else if (numerator == 7) {
    metre.n_groups = 3;
    memcpy(metre.groups, (const uint8_t[]){2, 2, 3}, 3);
  } else {
    const int group = usual_group(numerator, denominator);
    for (int left = numerator; left > 0; left -= group) {
      metre.groups[metre.n_groups++] = (uint8_t)(left < group ? left : group);
    }
  }

  *result = metre;
  return QF_OK;
}

/// Read one number of at most four digits
static bool
read_count(const char** const text, int* const number)
{
  const char* at = *text;
  *number        = 0;
  while (isdigit((unsigned char)*at) && at - *text < 4) {
    *number = *number * 10 + (*at++ - '0');
  }

  const bool found = at > *text;
  *text            = at;
  return found;
}

QfStatus
qf_metre_parse(const char* const text, QfMetre* const result, QfError* const error)
{
  const char* at                          = text;
  int         groups[QF_METRE_MAX_GROUPS] = {0};
  int         n_groups                    = 0;
  int         numerator                   = 0;
  int         denominator                 = 0;
  bool        is_good                     = true;

  do {
    at += n_groups ? 1 : 0;
    is_good = n_groups < QF_METRE_MAX_GROUPS && read_count(&at, &groups[n_groups]);
    if (is_good) {
      numerator += groups[n_groups];
      is_good = groups[n_groups++] > 0;
    }
  } while (is_good && *at == '+');

  if (is_good && *at == '/') {
    ++at;
    is_good = read_count(&at, &denominator) && !*at;
  } else {
    is_good = false;
  }
  if (!is_good) {
    const QfStatus st = qf_error_set(
      error, QF_ERR_BAD_TEXT,
      "\"%.40s\" is not a metre; write beats over a note value such as 3/4 or 3+2/8", text);
    if (error) {
      error->offset = (size_t)(at - text);
    }
    return st;
  }

  QfMetre metre = {0};
  if (qf_metre(numerator, denominator, &metre)) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "no metre %d/%d: the upper number is 1 to %d, the lower 1, 2, 4 ... %d",
                        numerator, denominator, (int)MAX_NUMERATOR, (int)MAX_DENOMINATOR);
  }
  if (n_groups > 1) {
    metre.n_groups = (uint8_t)n_groups;
    for (int i = 0; i < QF_METRE_MAX_GROUPS; ++i) {
      metre.groups[i] = (uint8_t)groups[i];
    }
  }

  *result = metre;
  return QF_OK;
}

void
qf_metre_write(const QfMetre metre, char* const buffer, const size_t size)
{
  QfMetre usual = {0};
  if (!qf_metre(metre.numerator, metre.denominator, &usual) && qf_metre_equals(metre, usual)) {
    snprintf(buffer, size, "%d/%d", metre.numerator, metre.denominator);
    return;
  }

  size_t length = 0;
  for (int i = 0; i < metre.n_groups && length < size; ++i) {
    length +=
      (size_t)snprintf(buffer + length, size - length, "%s%d", i ? "+" : "", metre.groups[i]);
  }
  if (length < size) {
    snprintf(buffer + length, size - length, "/%d", metre.denominator);
  }
}

QfTime
qf_metre_bar(const QfMetre metre)
{
  return qf_time(metre.numerator, metre.denominator);
}

QfTime
qf_metre_beat_start(const QfMetre metre, const int index)
{
  int units = 0;
  for (int i = 0; i < index && i < metre.n_groups; ++i) {
    units += metre.groups[i];
  }
  return qf_time(units, metre.denominator);
}

QfTime
qf_metre_beat(const QfMetre metre)
{
  return qf_time(metre.groups[0], metre.denominator);
}

/// Times a fraction must be halved to become whole; an odd part counts as one division
static int
divisions(int64_t den)
{
  int count = 0;
  while (den % 2 == 0) {
    den /= 2;
    ++count;
  }
  return count + (den > 1 ? 1 : 0);
}

int
qf_metre_level(const QfMetre metre, const QfTime position)
{
  const QfTime bar    = qf_metre_bar(metre);
  const QfTime within = qf_time_sub(position, qf_time_floor(position, bar));
  if (within.num == 0) {
    return 0;
  }

  int beat = 0;
  while (beat + 1 < metre.n_groups &&
         qf_time_compare(qf_metre_beat_start(metre, beat + 1), within) <= 0) {
    ++beat;
  }

  const QfTime past = qf_time_sub(within, qf_metre_beat_start(metre, beat));
  if (past.num == 0) {
    const bool is_half = qf_time_compare(qf_time_mul(within, qf_time(2, 1)), bar) == 0;
    return is_half && metre.n_groups % 2 == 0 ? 1 : 2;
  }

  const QfTime units = qf_time_mul(past, qf_time(metre.denominator, 1));
  return 3 + divisions(units.den) - (metre.groups[beat] == 1 ? 1 : 0);
}

bool
qf_metre_equals(const QfMetre a, const QfMetre b)
{
  return a.numerator == b.numerator && a.denominator == b.denominator && a.n_groups == b.n_groups &&
         !memcmp(a.groups, b.groups, a.n_groups);
}
