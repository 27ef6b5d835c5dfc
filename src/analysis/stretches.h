// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_STRETCHES_H
#define QUINTFALL_ANALYSIS_STRETCHES_H

#include "labels_impl.h"

/// Links in one key
typedef struct {
  const QfLabelling* labelling;
  QfLabels*          labels;
  size_t             first;
  size_t             last;
  size_t             key;
} QfStretch;

/// The stretch around a link
QfStretch
qf_stretch_at(const QfLabelling* labelling, QfLabels* labels, size_t index);

double
qf_stretch_beats(const QfStretch* stretch);

/// Index of the first authentic cadence in a key onto a link of the stretch, or SIZE_MAX
size_t
qf_stretch_cadence(const QfStretch* stretch);

/// True if the stretch is long enough to be a modulation, a cadence counted in
bool
qf_stretch_is_long(const QfStretch* stretch);

/// Write all links of a stretch in its key; false, and nothing done, if one cannot be
bool
qf_stretch_rewrite(const QfStretch* to);

#endif // QUINTFALL_ANALYSIS_STRETCHES_H
