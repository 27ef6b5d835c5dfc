// SPDX-License-Identifier: MIT
#include "score_impl.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

enum {
  MAX_TIME_DENOMINATOR = 1000000, ///< Two such multiply to 10^12, far within 63 bits
  MAX_TIME_WHOLES      = 1000000, ///< Length of 10000 bars of 64/1 and more
};

bool
qf_score_can_hold(const QfTime time)
{
  return time.den >= 1 && time.den <= MAX_TIME_DENOMINATOR && time.num >= 0 &&
         time.num / time.den < MAX_TIME_WHOLES;
}

static bool
is_metre(const QfMetre metre)
{
  QfMetre usual = {0};
  if (qf_metre(metre.numerator, metre.denominator, &usual) || metre.n_groups < 1 ||
      metre.n_groups > QF_METRE_MAX_GROUPS) {
    return false;
  }

  int sum = 0;
  for (int i = 0; i < metre.n_groups; ++i) {
    sum += metre.groups[i];
  }
  return sum == metre.numerator;
}

QfStatus
qf_score_append_bar(QfScore* const score, QfBar bar)
{
  bar.start  = qf_score_get_end(score);
  bar.offset = bar.offset.den ? bar.offset : QF_TIME_ZERO;
  if (score->n_bars == QF_MAX_BARS || !is_metre(bar.metre) || bar.length.num <= 0 ||
      !qf_score_can_hold(bar.length) || !qf_score_can_hold(bar.offset) ||
      !qf_score_can_hold(qf_time_add(bar.start, bar.length))) {
    return QF_ERR_RANGE;
  }

  QfBar* const grown =
    (QfBar*)qf_array_grow(score->bars, &score->bars_capacity, score->n_bars + 1U, sizeof(QfBar));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  score->bars                  = grown;
  score->bars[score->n_bars++] = bar;
  return QF_OK;
}

QfStatus
qf_score_extend_to(QfScore* const score, const QfTime end)
{
  QfBar next = {.number = 1};
  if (score->n_bars) {
    const QfBar* const last = &score->bars[score->n_bars - 1U];
    next.metre              = last->metre;
    next.number             = last->number + 1;
  } else {
    qf_metre(4, 4, &next.metre);
  }
  next.length = qf_metre_bar(next.metre);

  // Count first, so that a call that fails has changed nothing
  const QfTime missing = qf_time_sub(end, qf_score_get_end(score));
  if (missing.num <= 0) {
    return QF_OK;
  }
  const QfTime n_bars = qf_time_div(missing, next.length);
  const size_t count  = (size_t)(n_bars.num / n_bars.den) + (n_bars.num % n_bars.den ? 1U : 0U);
  if (count > QF_MAX_BARS - score->n_bars) {
    return QF_ERR_RANGE;
  }

  const size_t n_before = score->n_bars;
  QfStatus     st       = QF_OK;
  for (size_t i = 0; !st && i < count; ++i) {
    st = qf_score_append_bar(score, next);
    ++next.number;
  }
  score->n_bars = st ? n_before : score->n_bars;
  return st;
}

QfStatus
qf_score_remove_last_bar(QfScore* const score)
{
  if (!score->n_bars) {
    return QF_ERR_RANGE;
  }

  const QfTime start = score->bars[score->n_bars - 1U].start;
  const QfTime end   = qf_score_get_end(score);
  for (size_t i = 0; i < score->n_voices; ++i) {
    const QfStatus st = qf_score_erase(score, i, start, end);
    if (st) {
      return st;
    }
  }

  // The signature of the beginning stays, even for the bars to come
  while (score->n_signatures > 0) {
    const QfTime last = score->signatures[score->n_signatures - 1U].start;
    if (last.num == 0 || qf_time_compare(last, start) < 0) {
      break;
    }
    --score->n_signatures;
  }
  --score->n_bars;
  return QF_OK;
}

size_t
qf_score_n_bars(const QfScore* const score)
{
  return score->n_bars;
}

const QfBar*
qf_score_get_bar(const QfScore* const score, const size_t index)
{
  assert(index < score->n_bars);
  return &score->bars[index];
}

static bool
is_pickup(const QfBar* const bar)
{
  return bar->offset.num > 0 && qf_time_compare(bar->length, qf_metre_bar(bar->metre)) < 0;
}

/// Put repeat signs of the old bars where the new ones have a bar line at the same time
static void
carry_repeats(const QfScore* const from, QfScore* const to)
{
  for (size_t i = 0, j = 0; i < from->n_bars && j < to->n_bars;) {
    const int order = qf_time_compare(from->bars[i].start, to->bars[j].start);
    if (order == 0) {
      to->bars[j].starts_repeat = from->bars[i].starts_repeat;
      if (i > 0 && j > 0) {
        to->bars[j - 1U].ends_repeat = from->bars[i - 1U].ends_repeat;
      }
    }
    i += order <= 0 ? 1U : 0U;
    j += order >= 0 ? 1U : 0U;
  }
  if (from->n_bars && to->n_bars) {
    to->bars[to->n_bars - 1U].ends_repeat = from->bars[from->n_bars - 1U].ends_repeat;
  }
}

QfStatus
qf_score_set_metre(QfScore* const score, const QfMetre metre)
{
  if (!is_metre(metre)) {
    return QF_ERR_RANGE;
  }

  QfScore* const barred = qf_score_new();
  if (!barred) {
    return QF_ERR_NO_MEM;
  }

  const QfTime bar    = qf_metre_bar(metre);
  QfTime       pickup = QF_TIME_ZERO;
  if (score->n_bars && is_pickup(&score->bars[0])) {
    const QfTime length = score->bars[0].length;
    pickup              = qf_time_sub(length, qf_time_floor(length, bar));
  }

  QfStatus st = QF_OK;
  if (pickup.num > 0) {
    st = qf_score_append_bar(
      barred, (QfBar){.length = pickup, .offset = qf_time_sub(bar, pickup), .metre = metre});
  }
  if (!st && score->n_bars > (pickup.num > 0 ? 1U : 0U)) {
    st = qf_score_append_bar(barred, (QfBar){.length = bar, .number = 1, .metre = metre});
  }
  if (!st && barred->n_bars) {
    st = qf_score_extend_to(barred, qf_score_get_end(score));
  }

  if (!st) {
    carry_repeats(score, barred);
    QfBar* const old     = score->bars;
    score->bars          = barred->bars;
    score->n_bars        = barred->n_bars;
    score->bars_capacity = barred->bars_capacity;
    barred->bars         = old;
  }
  qf_score_free(barred);
  return st;
}

size_t
qf_score_bar_at(const QfScore* const score, const QfTime time)
{
  size_t low  = 0;
  size_t high = score->n_bars;
  while (low + 1U < high) {
    const size_t middle = low + (high - low) / 2U;
    if (qf_time_compare(score->bars[middle].start, time) <= 0) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return low;
}

QfTime
qf_score_get_end(const QfScore* const score)
{
  if (!score->n_bars) {
    return QF_TIME_ZERO;
  }
  const QfBar* const last = &score->bars[score->n_bars - 1U];
  return qf_time_add(last->start, last->length);
}

/**
   What RomanText counts as a beat: the dotted note in compound time, otherwise
   the denominator's note.

   Rule: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019.
*/
static QfTime
counted_beat(const QfMetre metre)
{
  bool is_compound = true;
  for (int i = 0; i < metre.n_groups; ++i) {
    is_compound = is_compound && metre.groups[i] == 3;
  }
  return qf_time(is_compound ? 3 : 1, metre.denominator);
}

QfPlace
qf_score_place_of(const QfScore* const score, const QfTime time)
{
  QfBar bar = {.start = QF_TIME_ZERO, .offset = QF_TIME_ZERO};
  qf_metre(4, 4, &bar.metre);

  const size_t index = qf_score_bar_at(score, time);
  if (index < score->n_bars) {
    bar = score->bars[index];
  }

  const QfTime position = qf_time_add(bar.offset, qf_time_sub(time, bar.start));
  const QfTime beats    = qf_time_div(position, counted_beat(bar.metre));
  return (QfPlace){index, qf_time_add(beats, qf_time(1, 1))};
}

/**
   Write a fraction of a beat as decimals: up to four where they are exact (a
   16th of a beat), otherwise the first two.
*/
static void
write_decimals(const QfTime fraction, char* const buffer, const size_t size)
{
  enum { N_DIGITS = 4 };

  const int64_t scale = 10000;
  const int64_t digits =
    scale % fraction.den == 0
      ? fraction.num * (scale / fraction.den)
      : 100 * (int64_t)(qf_time_floor(qf_time_mul(fraction, qf_time(100, 1)), qf_time(1, 1)).num);

  snprintf(buffer, size, ".%04lld", (long long)digits);
  for (int i = N_DIGITS; i > 0 && buffer[i] == '0'; --i) {
    buffer[i] = '\0';
  }
  if (!buffer[1]) {
    buffer[0] = '\0';
  }
}

void
qf_score_write_place(const QfScore* const score,
                     const QfTime         time,
                     char* const          buffer,
                     const size_t         size)
{
  const QfPlace place       = qf_score_place_of(score, time);
  const QfTime  whole       = qf_time_floor(place.beat, qf_time(1, 1));
  const bool    is_barred   = place.bar < score->n_bars;
  const int     number      = is_barred ? score->bars[place.bar].number : 1;
  const char    suffix[2]   = {is_barred ? score->bars[place.bar].suffix : '\0', '\0'};
  char          decimals[8] = "";

  write_decimals(qf_time_sub(place.beat, whole), decimals, sizeof(decimals));
  snprintf(buffer, size, "m%d%s b%lld%s", number, suffix, (long long)whole.num, decimals);
}
