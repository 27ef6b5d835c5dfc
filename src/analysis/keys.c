// SPDX-License-Identifier: MIT
#include "stretches.h"
#include "words.h"

#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>

QfKey
qf_links_key(const QfLabelling* const labelling, const QfLabels* const labels)
{
  double lengths[QF_N_KEYS] = {0.0};

  if (labelling->options.has_key) {
    return labelling->options.key;
  }
  if (!labels->n_links) {
    return qf_key_of_index(labelling->givens.signature);
  }

  for (size_t i = 0; i < labels->n_links; ++i) {
    const QfLabel* const label = &labels->labels[i];

    lengths[qf_key_index(label->key)] += qf_time_to_double(qf_time_sub(label->end, label->start));
  }

  // That of the end, unless the beginning lasts longer.
  const QfKey first = labels->labels[0].key;
  const QfKey last  = labels->labels[labels->n_links - 1].key;

  return lengths[qf_key_index(first)] > lengths[qf_key_index(last)] ? first : last;
}

static void
write_reason(const QfLabelling* const labelling,
             const QfLabels* const    labels,
             QfKeySpan* const         span)
{
  const QfScore* const score = labelling->passage.score;
  QfText               text  = {0};
  char                 words[48];

  qf_word_key(span->key, labelling->options.naming, words, sizeof(words));
  qf_text_addf(&text, "%s lasts %.4g beat%s", words, span->beats, span->beats == 1.0 ? "" : "s");
  qf_score_write_place(score, labels->labels[span->first].start, words, sizeof(words));
  qf_text_addf(&text, " from %s", words);

  if (span->cadence != SIZE_MAX) {
    const QfCadence* const cadence = &labels->cadences[span->cadence];

    qf_score_write_place(score, labels->labels[cadence->arrival].start, words, sizeof(words));
    qf_text_addf(&text, "; %s %s at %s confirms it",
                 qf_word_article(qf_cadence_kind_name(cadence->kind)),
                 qf_cadence_kind_name(cadence->kind), words);
  } else {
    qf_text_add(&text, "; no cadence confirms it");
  }
  if (span->returns != SIZE_MAX) {
    const QfKeySpan* const back = &labels->key_spans[span->returns];

    qf_word_key(back->key, labelling->options.naming, words, sizeof(words));
    qf_text_addf(&text, "; %s returns", words);
    qf_score_write_place(score, labels->labels[back->first].start, words, sizeof(words));
    qf_text_addf(&text, " at %s", words);
  }
  // Rule: Open Music Theory, "Modulation": without a cadence it is a tonicization.
  if (!span->is_home && span->cadence == SIZE_MAX && span->returns != SIZE_MAX) {
    qf_text_add(&text, ", so one may hear a tonicization");
  }
  qf_text_add(&text, ".");
  snprintf(span->reason, sizeof(span->reason), "%s", text.data ? text.data : "");
  qf_text_free(&text);
}

static void
find_returns(QfLabels* const labels)
{
  for (size_t s = 0; s < labels->n_key_spans; ++s) {
    QfKeySpan* const span = &labels->key_spans[s];

    span->returns = SIZE_MAX;
    for (size_t next = s + 1; s > 0 && next < labels->n_key_spans; ++next) {
      if (qf_key_equals(labels->key_spans[next].key, span[-1].key)) {
        span->returns = next;
        break;
      }
    }
  }
}

QfStatus
qf_links_find_keys(const QfLabelling* const labelling, QfLabels* const labels)
{
  labels->key_spans = (QfKeySpan*)calloc(labels->n_links + 1, sizeof(QfKeySpan));
  if (!labels->key_spans) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i < labels->n_links;) {
    const QfStretch  stretch = qf_stretch_at(labelling, labels, i);
    QfKeySpan* const span    = &labels->key_spans[labels->n_key_spans++];

    span->first           = stretch.first;
    span->last            = stretch.last;
    span->key             = qf_key_of_index(stretch.key);
    span->beats           = qf_stretch_beats(&stretch);
    span->is_home         = qf_key_equals(span->key, labels->key);
    span->is_tonicization = !span->is_home && !qf_stretch_is_long(&stretch);
    span->cadence         = qf_stretch_cadence(&stretch);
    i                     = stretch.last + 1;
  }

  find_returns(labels);
  for (size_t s = 0; s < labels->n_key_spans; ++s) {
    write_reason(labelling, labels, &labels->key_spans[s]);
  }
  return QF_OK;
}
