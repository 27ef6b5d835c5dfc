// SPDX-License-Identifier: MIT
// Source: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019, and the syntax
// notes of the When in Rome corpus.
#include "romantext.h"

#include <ctype.h>
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum {
  MAX_BEAT   = 100000,
  MAX_DIGITS = 6,
  MAX_LEVELS = 4, ///< Groups of decimals, each a third of the one before
};

/**
   The fraction a few decimals stand for.

   `.33` and `.66` or `.67` are thirds, `.17` and `.83` sixths; what decimals
   say exactly is taken so.

   Rule: syntax notes of the When in Rome corpus.
*/
static QfTime
fraction_of(const int digits, const int n_digits)
{
  static const int denominators[] = {1, 2, 3, 4, 6, 8, 12, 5, 7, 16, 9, 24, 32};

  const double value = digits / pow(10.0, n_digits);
  const double near  = n_digits > 1 ? 1.0 / 149.0 : 1.0 / 1000.0;
  for (size_t i = 0; i < sizeof(denominators) / sizeof(denominators[0]); ++i) {
    const long num = lround(value * denominators[i]);
    if (fabs((double)num / denominators[i] - value) <= near) {
      return qf_time(num, denominators[i]);
    }
  }
  // One digit written loosely for a third.
  if (n_digits == 1 && (digits == 3 || digits == 6)) {
    return qf_time(digits == 3 ? 1 : 2, 3);
  }
  return qf_time(digits, (int64_t)lround(pow(10.0, n_digits)));
}

bool
qf_roman_beat_parse(const char* const token, QfTime* const result)
{
  if (token[0] != 'b' || !isdigit((unsigned char)token[1])) {
    return false;
  }
  char*      end   = NULL;
  const long whole = strtol(token + 1, &end, 10);
  QfTime     beat  = qf_time(whole, 1);
  QfTime     unit  = qf_time(1, 1);
  for (int level = 0; *end == '.' && level < MAX_LEVELS; ++level) {
    int digits   = 0;
    int n_digits = 0;
    for (++end; isdigit((unsigned char)*end); ++end) {
      if (n_digits < MAX_DIGITS) {
        digits = digits * 10 + (*end - '0');
        ++n_digits;
      }
    }
    if (n_digits) {
      beat = qf_time_add(beat, qf_time_mul(unit, fraction_of(digits, n_digits)));
    }
    unit = qf_time_mul(unit, qf_time(1, 3));
  }
  *result = beat;
  return !*end && whole >= 0 && whole <= MAX_BEAT;
}

/// Add ".33" if some decimals are read as just this fraction
static bool
write_fraction(QfText* const text, const QfTime fraction)
{
  const double value = qf_time_to_double(fraction);
  double       scale = 1.0;
  for (int n_digits = 1; n_digits <= MAX_DIGITS; ++n_digits) {
    scale *= 10.0;
    for (int is_up = 0; is_up <= 1; ++is_up) {
      const int digits = (int)floor(value * scale + 1e-9) + is_up;
      // One digit is read loosely, so it is written only where it is exact
      const QfTime read = n_digits > 1 ? fraction_of(digits, n_digits) : qf_time(digits, 10);
      if (digits < (int)scale && !qf_time_compare(read, fraction)) {
        qf_text_addf(text, ".%0*d", n_digits, digits);
        return true;
      }
    }
  }
  return false;
}

/// The same in groups: thirds, then a part of a third
static bool
write_groups(QfText* const text, const QfTime fraction, const int n_levels)
{
  if (write_fraction(text, fraction)) {
    return true;
  }

  const QfTime third = qf_time(1, 3);
  const QfTime whole = qf_time_floor(fraction, third);
  const QfTime rest  = qf_time_mul(qf_time_sub(fraction, whole), qf_time(3, 1));
  const size_t start = text->length;
  if (n_levels < 2 || !write_fraction(text, whole) || !write_groups(text, rest, n_levels - 1)) {
    text->length = start;
    return false;
  }
  return true;
}

void
qf_roman_beat_write(QfText* const text, const QfTime beat)
{
  const QfTime whole    = qf_time_floor(beat, qf_time(1, 1));
  const QfTime fraction = qf_time_sub(beat, whole);
  qf_text_addf(text, "b%" PRId64, whole.num);
  if (fraction.num && !write_groups(text, fraction, MAX_LEVELS)) {
    qf_text_addf(text, ".%06d", (int)(qf_time_to_double(fraction) * 1e6));
  }
}
