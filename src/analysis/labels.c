// SPDX-License-Identifier: MIT
#include "labels_impl.h"

#include <stdlib.h>
#include <string.h>

/// Column whose slice holds a time, or SIZE_MAX
static size_t
column_at(const QfPassage* const passage, const QfTime time)
{
  for (size_t c = 0; c < passage->n_columns; ++c) {
    const QfSlice* const slice = &passage->slices.slices[passage->columns[c].slice];

    if (qf_time_compare(slice->start, time) <= 0 && qf_time_compare(time, slice->end) < 0) {
      return c;
    }
  }
  return SIZE_MAX;
}

const QfSlice*
qf_passage_slice_at(const QfPassage* const passage, const QfTime time)
{
  size_t low  = 0;
  size_t high = passage->slices.n_slices;

  while (high - low > 1) {
    const size_t middle = low + (high - low) / 2;

    if (qf_time_compare(passage->slices.slices[middle].start, time) <= 0) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return &passage->slices.slices[low];
}

static void
place_pins(const QfLabelling* const labelling, size_t* const keys, size_t* const entries)
{
  for (size_t c = 0; c < labelling->passage.n_columns; ++c) {
    keys[c] = QF_N_KEYS;
  }

  for (size_t p = 0; p < labelling->options.n_pins; ++p) {
    const QfPin* const pin    = &labelling->options.pins[p];
    const size_t       column = column_at(&labelling->passage, pin->start);
    const size_t entry = qf_vocabulary_add(&labelling->vocabularies[pin->key.mode], &pin->numeral);

    if (column != SIZE_MAX && entry != QF_ENTRY_UNKNOWN) {
      keys[column]    = qf_key_index(pin->key);
      entries[column] = entry;
    }
  }
}

static QfSearchGivens
givens_of(const QfLabelling* const labelling, const size_t* const keys, const size_t* const entries)
{
  const QfLabelOptions* const options = &labelling->options;
  const QfKey                 sign = qf_score_signature_at(labelling->passage.score, QF_TIME_ZERO);
  QfSearchGivens              givens = {.vocabularies = labelling->vocabularies};

  givens.home           = options->has_key ? qf_key_index(options->key) : QF_N_KEYS;
  givens.signature      = qf_key_index(sign);
  givens.may_modulate   = options->may_modulate;
  givens.pinned_keys    = keys;
  givens.pinned_entries = entries;

  // With a single key to be found, a pin tells it.
  if (!options->has_key && !options->may_modulate && options->n_pins) {
    givens.home = qf_key_index(options->pins[0].key);
  }
  return givens;
}

void
qf_labelling_weigh(const QfLabelling* const labelling)
{
  const QfPassage* const passage = &labelling->passage;

  qf_vocabulary_weigh(&labelling->vocabularies[QF_MAJOR], passage->weights, passage->texture);
  qf_vocabulary_weigh(&labelling->vocabularies[QF_MINOR], passage->weights, passage->texture);
}

/// Relate the links to one another
static QfStatus
relate(const QfLabelling* const labelling, QfLabels* const labels)
{
  labels->key = qf_links_key(labelling, labels);
  qf_links_resolve(labelling, labels);
  return qf_links_find_cadences(labelling, labels);
}

static QfStatus
label_path(const QfLabelling* const labelling, const QfPath* const path, QfLabels* const labels)
{
  QfStatus st = qf_links_of_path(labelling, path, labels);

  st = st ? st : relate(labelling, labels);
  if (!st && qf_links_settle_keys(labelling, labels)) {
    qf_links_refill(labelling, labels);
    st = relate(labelling, labels);
  }

  qf_links_find_pivots(labelling, labels);
  st = st ? st : qf_links_find_keys(labelling, labels);
  st = st ? st : qf_links_chain(labelling, labels);
  for (size_t i = 0; i < labels->n_links && !st; ++i) {
    qf_link_compare(labelling, labels, i);
    qf_link_find_foreign(labelling, labels, i);
    qf_link_explain(labelling, labels, i);
  }
  return st;
}

static QfStatus
label_passage(QfLabelling* const labelling, QfLabels* const labels)
{
  const size_t  n       = labelling->passage.n_columns + 1;
  size_t* const keys    = (size_t*)calloc(n, sizeof(size_t));
  size_t* const entries = (size_t*)calloc(n, sizeof(size_t));
  QfPath        path    = {0};
  QfStatus      st      = keys && entries ? QF_OK : QF_ERR_NO_MEM;

  if (!st) {
    place_pins(labelling, keys, entries);
    labelling->givens = givens_of(labelling, keys, entries);
    qf_passage_weigh_keys(&labelling->passage, labelling->givens.home);
    qf_labelling_weigh(labelling);
    st = qf_search(&labelling->passage, &labelling->givens, &path);
  }

  st = st ? st : label_path(labelling, &path, labels);
  qf_path_clear(&path);
  free(keys);
  free(entries);
  return st;
}

QfStatus
qf_labels_new(const QfScore* const score,
              const QfLabelOptions options,
              QfLabels** const     result,
              QfError* const       error)
{
  return qf_labels_weighed(score, options, qf_learned_weights(), result, error);
}

QfStatus
qf_labels_weighed(const QfScore* const score,
                  const QfLabelOptions options,
                  const float* const   weights,
                  QfLabels** const     result,
                  QfError* const       error)
{
  QfLabels* const labels    = (QfLabels*)calloc(1, sizeof(QfLabels));
  QfLabelling     labelling = {.options = options};

  labelling.vocabularies = (QfVocabulary*)calloc(2, sizeof(QfVocabulary));

  QfStatus st = labels && labelling.vocabularies ? QF_OK : QF_ERR_NO_MEM;

  if (!st) {
    qf_vocabulary_init(&labelling.vocabularies[QF_MAJOR], QF_MAJOR);
    qf_vocabulary_init(&labelling.vocabularies[QF_MINOR], QF_MINOR);
    st = qf_passage_init(&labelling.passage, score, weights, options.has_key);
  }
  if (!st) {
    st = label_passage(&labelling, labels);
    qf_passage_clear(&labelling.passage);
  }

  free(labelling.vocabularies);
  if (st) {
    qf_labels_free(labels);
    return qf_error_set(error, st, "There is not enough memory to label the passage.");
  }

  *result = labels;
  return QF_OK;
}

void
qf_labels_free(QfLabels* const labels)
{
  if (labels) {
    free(labels->labels);
    free(labels->links);
    free(labels->chains);
    free(labels->cadences);
    free(labels->key_spans);
    free(labels);
  }
}

size_t
qf_labels_n_links(const QfLabels* const labels)
{
  return labels->n_links;
}

const QfLabel*
qf_labels_get_link(const QfLabels* const labels, const size_t index)
{
  return &labels->labels[index];
}

size_t
qf_labels_link_at(const QfLabels* const labels, const QfTime time)
{
  size_t low  = 0;
  size_t high = labels->n_links;

  while (low < high) {
    const size_t         middle = low + (high - low) / 2;
    const QfLabel* const label  = &labels->labels[middle];

    if (qf_time_compare(time, label->start) < 0) {
      high = middle;
    } else if (qf_time_compare(time, label->end) < 0) {
      return middle;
    } else {
      low = middle + 1;
    }
  }
  return SIZE_MAX;
}

size_t
qf_labels_n_chains(const QfLabels* const labels)
{
  return labels->n_chains;
}

const QfChain*
qf_labels_get_chain(const QfLabels* const labels, const size_t index)
{
  return &labels->chains[index];
}

size_t
qf_labels_n_cadences(const QfLabels* const labels)
{
  return labels->n_cadences;
}

const QfCadence*
qf_labels_get_cadence(const QfLabels* const labels, const size_t index)
{
  return &labels->cadences[index];
}

size_t
qf_labels_n_key_spans(const QfLabels* const labels)
{
  return labels->n_key_spans;
}

const QfKeySpan*
qf_labels_get_key_span(const QfLabels* const labels, const size_t index)
{
  return &labels->key_spans[index];
}

QfKey
qf_labels_get_key(const QfLabels* const labels)
{
  return labels->key;
}
