// SPDX-License-Identifier: MIT
#include "quintfall/practice.h"

#include <math.h>

// Rule: P. A. Wozniak, "Optimization of learning", master's thesis, Poznan, 1990, section 3.2.
static const double first_easiness  = 2.5;
static const double least_easiness  = 1.3;
static const int    first_interval  = 1;
static const int    second_interval = 6;

enum {
  LEAST_REMEMBERED = 3,
  BEST_QUALITY     = 5,
  MAX_INTERVAL     = 36500,
};

const char*
qf_recall_scheme_text(void)
{
  return "What to practise next is scheduled by SM-2, the scheme that P. A. Wozniak published in "
         "1990: what was remembered comes again after one day, six days, and then ever longer.";
}

QfRecall
qf_recall_new(void)
{
  return (QfRecall){.easiness = first_easiness};
}

/// Days until the next repetition; fractions are rounded up
static int
next_interval(const QfRecall recall, const double easiness)
{
  if (recall.repetitions == 0) {
    return first_interval;
  }
  if (recall.repetitions == 1) {
    return second_interval;
  }
  // A product that is whole but for the last bit is whole.
  const double days = ceil(recall.interval_days * easiness - 1e-9);
  return days < MAX_INTERVAL ? (int)days : MAX_INTERVAL;
}

QfRecall
qf_recall_after(const QfRecall recall, const int quality)
{
  const int q = quality < 0 ? 0 : quality > BEST_QUALITY ? BEST_QUALITY : quality;
  if (q < LEAST_REMEMBERED) {
    // From the beginning, with the E-factor as it was
    return (QfRecall){recall.easiness, 0, first_interval};
  }

  const double miss     = BEST_QUALITY - q;
  const double easiness = fmax(recall.easiness + 0.1 - miss * (0.08 + miss * 0.02), least_easiness);
  return (QfRecall){easiness, recall.repetitions + 1, next_interval(recall, easiness)};
}

int
qf_recall_quality(const int64_t right, const int64_t asked)
{
  if (asked <= 0 || right <= 0) {
    return 0;
  }
  return right >= asked            ? 5
         : 10 * right >= 9 * asked ? 4
         : 4 * right >= 3 * asked  ? 3
         : 2 * right >= asked      ? 2
                                   : 1;
}
