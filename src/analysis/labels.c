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

static QfStatus
place_pins(QfLabelling* const labelling)
{
  const size_t n = labelling->passage.n_columns;

  labelling->pinned_keys    = (size_t*)calloc(n + 1, sizeof(size_t));
  labelling->pinned_entries = (size_t*)calloc(n + 1, sizeof(size_t));
  if (!labelling->pinned_keys || !labelling->pinned_entries) {
    return QF_ERR_NO_MEM;
  }

  for (size_t c = 0; c < n; ++c) {
    labelling->pinned_keys[c] = QF_N_KEYS;
  }
  for (size_t p = 0; p < labelling->options.n_pins; ++p) {
    const QfPin* const pin    = &labelling->options.pins[p];
    const size_t       column = column_at(&labelling->passage, pin->start);
    const size_t entry = qf_vocabulary_add(&labelling->vocabularies[pin->key.mode], &pin->numeral);

    if (column != SIZE_MAX && entry != QF_ENTRY_UNKNOWN) {
      labelling->pinned_keys[column]    = qf_key_index(pin->key);
      labelling->pinned_entries[column] = entry;
    }
  }
  labelling->n_entries[QF_MAJOR] = labelling->vocabularies[QF_MAJOR].n_entries;
  labelling->n_entries[QF_MINOR] = labelling->vocabularies[QF_MINOR].n_entries;
  return QF_OK;
}

static QfSearchGivens
givens_of(const QfLabelling* const labelling)
{
  const QfLabelOptions* const options = &labelling->options;
  const QfKey                 sign = qf_score_signature_at(labelling->passage.score, QF_TIME_ZERO);
  QfSearchGivens              givens = {.vocabularies = labelling->vocabularies};

  givens.home           = options->has_key ? qf_key_index(options->key) : QF_N_KEYS;
  givens.signature      = qf_key_index(sign);
  givens.may_modulate   = options->may_modulate;
  givens.pinned_keys    = labelling->pinned_keys;
  givens.pinned_entries = labelling->pinned_entries;

  // With a single key to be found, a pin tells it.
  if (!options->has_key && !options->may_modulate && options->n_pins) {
    givens.home = qf_key_index(options->pins[0].key);
  }
  return givens;
}

/// True unless the passage stays in a declared key of the other mode
static bool
is_mode_open(const QfLabelling* const labelling, const size_t mode)
{
  const QfSearchGivens* const givens = &labelling->givens;

  return givens->home == QF_N_KEYS || givens->home % 2 == mode ||
         qf_search_changes_keys(&labelling->passage, givens);
}

void
qf_labelling_weigh(const QfLabelling* const labelling)
{
  const QfPassage* const passage = &labelling->passage;

  for (size_t mode = QF_MAJOR; mode <= QF_MINOR; ++mode) {
    if (is_mode_open(labelling, mode)) {
      qf_vocabulary_weigh(&labelling->vocabularies[mode], passage->weights, passage->texture);
    }
  }
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
label_path(const QfLabelling* const labelling,
           const QfPath* const      path,
           QfEarlier* const         earlier,
           QfLabels* const          labels)
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
  if (!st) {
    qf_links_place(labelling, labels);
    qf_earlier_compare_words(earlier);
  }
  for (size_t i = 0; i < labels->n_links && !st; ++i) {
    if (!qf_earlier_take_readings(earlier, labels, i)) {
      qf_link_compare(labelling, labels, i);
    }
    qf_link_find_foreign(labelling, labels, i);
    if (!qf_earlier_take_reasons(earlier, labels, i)) {
      qf_link_explain(labelling, labels, i);
    }
  }
  return st;
}

/// Label a passage; of earlier labels, which may be NULL, the trellis is used up
static QfStatus
label_passage(QfLabelling* const labelling,
              QfLabels* const    before,
              QfLabels* const    labels,
              QfTrellis* const   trellis)
{
  QfPath   path = {0};
  QfStatus st   = place_pins(labelling);

  if (st) {
    return st;
  }

  labelling->givens = givens_of(labelling);
  qf_passage_set_home(&labelling->passage, labelling->givens.home);
  qf_labelling_weigh(labelling);

  QfEarlier earlier = qf_earlier_of(before, labelling);

  qf_passage_weigh_keys(&labelling->passage, before ? &before->memory->labelling.passage : NULL,
                        earlier.same);
  if (before) {
    *trellis                = before->memory->trellis;
    before->memory->trellis = (QfTrellis){NULL, 0};
  }
  st = qf_search_again(&labelling->passage, &labelling->givens, earlier.same, trellis, &path);
  st = st ? st : label_path(labelling, &path, &earlier, labels);
  qf_path_clear(&path);
  return st;
}

static QfStatus
labelling_init(QfLabelling* const   labelling,
               const QfScore* const score,
               const QfLabelOptions options,
               const float* const   weights)
{
  *labelling              = (QfLabelling){.options = options};
  labelling->vocabularies = (QfVocabulary*)calloc(2, sizeof(QfVocabulary));
  if (!labelling->vocabularies) {
    return QF_ERR_NO_MEM;
  }

  qf_vocabulary_init(&labelling->vocabularies[QF_MAJOR], QF_MAJOR);
  qf_vocabulary_init(&labelling->vocabularies[QF_MINOR], QF_MINOR);
  return qf_passage_init(&labelling->passage, score, weights, options.has_key);
}

static void
memory_free(QfMemory* const memory)
{
  if (memory) {
    qf_trellis_clear(&memory->trellis);
    qf_passage_clear(&memory->labelling.passage);
    free(memory->labelling.vocabularies);
    free(memory->labelling.pinned_keys);
    free(memory->labelling.pinned_entries);
    free(memory->bars);
    free(memory);
  }
}

/// Remember how the score's bars and voices are called; without memory nothing is
static void
remember_places(QfMemory* const memory, const QfScore* const score)
{
  memory->n_bars = qf_score_n_bars(score);
  memory->bars   = (QfBar*)calloc(memory->n_bars + 1, sizeof(QfBar));
  memory->n_bars = memory->bars ? memory->n_bars : 0;
  for (size_t i = 0; i < memory->n_bars; ++i) {
    memory->bars[i] = *qf_score_get_bar(score, i);
  }
  for (size_t i = 0; i < qf_score_n_voices(score); ++i) {
    memory->voices[i] = *qf_score_get_voice(score, i);
  }
}

/// Make labels that keep all they were made from; of those before, the trellis is used up
static QfStatus
labels_make(const QfScore* const score,
            const QfLabelOptions options,
            const float* const   weights,
            QfLabels* const      before,
            QfLabels** const     result,
            QfError* const       error)
{
  QfLabels* const labels = (QfLabels*)calloc(1, sizeof(QfLabels));
  QfMemory* const memory = (QfMemory*)calloc(1, sizeof(QfMemory));
  QfStatus        st     = labels && memory ? QF_OK : QF_ERR_NO_MEM;

  st = st ? st : labelling_init(&memory->labelling, score, options, weights);
  st = st ? st : label_passage(&memory->labelling, before, labels, &memory->trellis);
  if (st) {
    memory_free(memory);
    qf_labels_free(labels);
    return qf_error_set(error, st, "There is not enough memory to label the passage.");
  }

  labels->memory = memory;
  *result        = labels;
  return QF_OK;
}

QfStatus
qf_labels_weighed(const QfScore* const score,
                  const QfLabelOptions options,
                  const float* const   weights,
                  QfLabels** const     result,
                  QfError* const       error)
{
  const QfStatus st = labels_make(score, options, weights, NULL, result, error);

  if (!st) {
    memory_free((*result)->memory);
    (*result)->memory = NULL;
  }
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
qf_labels_update(QfLabels** const     labels,
                 const QfScore* const score,
                 const QfLabelOptions options,
                 QfError* const       error)
{
  QfLabels* const before = *labels && (*labels)->memory ? *labels : NULL;
  QfLabels*       after  = NULL;
  const QfStatus  st     = labels_make(score, options, qf_learned_weights(), before, &after, error);

  if (!st) {
    remember_places(after->memory, score);
  }
  qf_labels_free(*labels);
  *labels = after;
  return st;
}

void
qf_labels_free(QfLabels* const labels)
{
  if (labels) {
    memory_free(labels->memory);
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
