// SPDX-License-Identifier: MIT
#include "meter.h"

#include <math.h>

static const double window_s  = 0.1;
static const double lowest_db = -120.0;

void
qf_meter_add(QfMeter* const     meter,
             const float* const left,
             const float* const right,
             const size_t       n_frames,
             const int          rate)
{
  float peak = 0.0F;
  float sum  = 0.0F;
  for (size_t i = 0; i < n_frames; ++i) {
    peak = fmaxf(peak, fmaxf(fabsf(left[i]), fabsf(right[i])));
    sum += left[i] * left[i] + right[i] * right[i];
  }
  if (n_frames == 0) {
    return;
  }

  // Should it be taken just now, the same peak is shown once more.
  if (peak > atomic_load_explicit(&meter->peak, memory_order_relaxed)) {
    atomic_store_explicit(&meter->peak, peak, memory_order_relaxed);
  }

  const float share  = (float)(1.0 - exp(-(double)n_frames / (window_s * rate)));
  const float before = atomic_load_explicit(&meter->mean_square, memory_order_relaxed);
  const float now    = sum / (2.0F * (float)n_frames);
  atomic_store_explicit(&meter->mean_square, before + (now - before) * share, memory_order_relaxed);
}

void
qf_meter_clear(QfMeter* const meter)
{
  atomic_store_explicit(&meter->mean_square, 0.0F, memory_order_relaxed);
}

double
qf_meter_take_peak_db(QfMeter* const meter)
{
  const double peak = (double)atomic_exchange_explicit(&meter->peak, 0.0F, memory_order_relaxed);
  return fmax(20.0 * log10(fmax(peak, 1e-9)), lowest_db);
}

double
qf_meter_get_level_db(const QfMeter* const meter)
{
  const double square = (double)atomic_load_explicit(&meter->mean_square, memory_order_relaxed);
  return fmax(10.0 * log10(fmax(square, 1e-18)), lowest_db);
}
