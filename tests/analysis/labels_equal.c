// SPDX-License-Identifier: MIT
#include "labels_equal.h"

#include <stdio.h>
#include <string.h>

static bool
times_equal(const QfTime a, const QfTime b)
{
  return qf_time_compare(a, b) == 0;
}

static bool
doubles_equal(const double a, const double b)
{
  return a <= b && a >= b;
}

static bool
chords_equal(const QfChord a, const QfChord b)
{
  return a.kind == b.kind && a.inversion == b.inversion && a.omitted == b.omitted &&
         a.root.letter == b.root.letter && a.root.alter == b.root.alter;
}

static bool
reasons_equal(const QfLabel* const a, const QfLabel* const b)
{
  bool are_equal = a->n_reasons == b->n_reasons;

  for (size_t i = 0; are_equal && i < a->n_reasons; ++i) {
    are_equal =
      a->reasons[i].kind == b->reasons[i].kind && !strcmp(a->reasons[i].text, b->reasons[i].text);
  }
  return are_equal;
}

static bool
readings_equal(const QfLabel* const a, const QfLabel* const b)
{
  bool are_equal = a->n_readings == b->n_readings;

  for (size_t i = 0; are_equal && i < a->n_readings; ++i) {
    const QfReading* const one   = &a->readings[i];
    const QfReading* const other = &b->readings[i];

    are_equal = qf_key_equals(one->key, other->key) &&
                qf_numeral_equals(&one->numeral, &other->numeral) &&
                doubles_equal(one->score, other->score) && !strcmp(one->text, other->text);
  }
  return are_equal;
}

static bool
foreign_equal(const QfLabel* const a, const QfLabel* const b)
{
  bool are_equal = a->n_foreign == b->n_foreign;

  for (size_t i = 0; are_equal && i < a->n_foreign; ++i) {
    const QfForeign* const one   = &a->foreign[i];
    const QfForeign* const other = &b->foreign[i];

    are_equal = one->note == other->note && one->kind == other->kind &&
                one->preparation == other->preparation && one->resolution == other->resolution &&
                one->figure == other->figure && one->goal_figure == other->goal_figure;
  }
  return are_equal;
}

/// The field in which two links differ, or NULL
static const char*
link_difference(const QfLabel* const a, const QfLabel* const b)
{
  const struct {
    const char* field;
    bool        is_equal;
  } fields[] = {
    {"start", times_equal(a->start, b->start)},
    {"end", times_equal(a->end, b->end)},
    {"key", qf_key_equals(a->key, b->key)},
    {"numeral", qf_numeral_equals(&a->numeral, &b->numeral)},
    {"chord", chords_equal(a->chord, b->chord)},
    {"is_known", a->is_known == b->is_known},
    {"is_pivot", a->is_pivot == b->is_pivot},
    {"pivot", !a->is_pivot || qf_numeral_equals(&a->pivot, &b->pivot)},
    {"is_pinned", a->is_pinned == b->is_pinned},
    {"sureness", doubles_equal(a->sureness, b->sureness)},
    {"has_next", a->has_next == b->has_next},
    {"motion", a->motion.steps == b->motion.steps && a->motion.semitones == b->motion.semitones},
    {"resolution", a->resolution == b->resolution},
    {"expected_root", a->expected_root.letter == b->expected_root.letter &&
                        a->expected_root.alter == b->expected_root.alter},
    {"reasons", reasons_equal(a, b)},
    {"readings", readings_equal(a, b)},
    {"foreign", foreign_equal(a, b)},
  };

  for (size_t i = 0; i < sizeof(fields) / sizeof(fields[0]); ++i) {
    if (!fields[i].is_equal) {
      return fields[i].field;
    }
  }
  return NULL;
}

static bool
chains_equal(const QfChain* const a, const QfChain* const b)
{
  return a->kind == b->kind && a->first == b->first && a->last == b->last && a->goal == b->goal &&
         !strcmp(a->name, b->name);
}

static bool
cadences_equal(const QfCadence* const a, const QfCadence* const b)
{
  return a->kind == b->kind && a->from == b->from && a->arrival == b->arrival &&
         qf_key_equals(a->key, b->key) && !strcmp(a->reason, b->reason);
}

static bool
key_spans_equal(const QfKeySpan* const a, const QfKeySpan* const b)
{
  return a->first == b->first && a->last == b->last && qf_key_equals(a->key, b->key) &&
         doubles_equal(a->beats, b->beats) && a->is_home == b->is_home &&
         a->is_tonicization == b->is_tonicization && a->cadence == b->cadence &&
         a->returns == b->returns && !strcmp(a->reason, b->reason);
}

bool
labels_differ(const QfLabels* const a, const QfLabels* const b, char* const what, const size_t size)
{
  if (!qf_key_equals(qf_labels_get_key(a), qf_labels_get_key(b))) {
    snprintf(what, size, "the key");
    return true;
  }
  if (qf_labels_n_links(a) != qf_labels_n_links(b) ||
      qf_labels_n_chains(a) != qf_labels_n_chains(b) ||
      qf_labels_n_cadences(a) != qf_labels_n_cadences(b) ||
      qf_labels_n_key_spans(a) != qf_labels_n_key_spans(b)) {
    snprintf(what, size, "the number of links, chains, cadences or keys");
    return true;
  }
  for (size_t i = 0; i < qf_labels_n_links(a); ++i) {
    const char* const field = link_difference(qf_labels_get_link(a, i), qf_labels_get_link(b, i));

    if (field) {
      snprintf(what, size, "%s of link %zu", field, i);
      return true;
    }
  }
  for (size_t i = 0; i < qf_labels_n_chains(a); ++i) {
    if (!chains_equal(qf_labels_get_chain(a, i), qf_labels_get_chain(b, i))) {
      snprintf(what, size, "chain %zu", i);
      return true;
    }
  }
  for (size_t i = 0; i < qf_labels_n_cadences(a); ++i) {
    if (!cadences_equal(qf_labels_get_cadence(a, i), qf_labels_get_cadence(b, i))) {
      snprintf(what, size, "cadence %zu", i);
      return true;
    }
  }
  for (size_t i = 0; i < qf_labels_n_key_spans(a); ++i) {
    if (!key_spans_equal(qf_labels_get_key_span(a, i), qf_labels_get_key_span(b, i))) {
      snprintf(what, size, "key span %zu", i);
      return true;
    }
  }
  return false;
}
