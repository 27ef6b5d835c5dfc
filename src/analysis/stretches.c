// SPDX-License-Identifier: MIT
#include "stretches.h"

QfStretch
qf_stretch_at(const QfLabelling* const labelling, QfLabels* const labels, const size_t index)
{
  const size_t key     = labels->links[index].span.key;
  QfStretch    stretch = {labelling, labels, index, index, key};

  while (stretch.first > 0 && labels->links[stretch.first - 1].span.key == key) {
    --stretch.first;
  }
  while (stretch.last + 1 < labels->n_links && labels->links[stretch.last + 1].span.key == key) {
    ++stretch.last;
  }
  return stretch;
}

double
qf_stretch_beats(const QfStretch* const stretch)
{
  const QfScore* const score = stretch->labelling->passage.score;
  const QfTime         start = stretch->labels->labels[stretch->first].start;
  const QfTime         end   = stretch->labels->labels[stretch->last].end;
  const QfBar* const   bar   = qf_score_get_bar(score, qf_score_bar_at(score, start));

  return qf_time_to_double(qf_time_sub(end, start)) / qf_time_to_double(qf_metre_beat(bar->metre));
}

size_t
qf_stretch_cadence(const QfStretch* const stretch)
{
  for (size_t i = 0; i < stretch->labels->n_cadences; ++i) {
    const QfCadence* const cadence = &stretch->labels->cadences[i];
    const bool             is_authentic =
      cadence->kind == QF_CADENCE_PERFECT || cadence->kind == QF_CADENCE_IMPERFECT;

    if (is_authentic && stretch->first <= cadence->arrival && cadence->arrival <= stretch->last &&
        qf_key_equals(cadence->key, qf_key_of_index(stretch->key))) {
      return i;
    }
  }
  return SIZE_MAX;
}

bool
qf_stretch_is_long(const QfStretch* const stretch)
{
  const QfKeyThresholds thresholds = stretch->labelling->options.thresholds;
  const double bonus = qf_stretch_cadence(stretch) == SIZE_MAX ? 0.0 : thresholds.cadence_beats;

  return qf_stretch_beats(stretch) + bonus >= thresholds.least_beats;
}
