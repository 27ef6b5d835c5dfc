// SPDX-License-Identifier: MIT
#include "labels_impl.h"

#include <string.h>

// What labels before an edit have in common with those after it

static bool
floats_equal(const float a, const float b)
{
  return a <= b && a >= b;
}

static bool
entries_equal(const QfVocabulary* const a, const QfVocabulary* const b, const size_t n_entries)
{
  bool are_equal = true;

  for (size_t i = 0; are_equal && i < n_entries; ++i) {
    are_equal = qf_numeral_equals(&a->entries[i].numeral, &b->entries[i].numeral);
  }
  return are_equal;
}

/// True if the same columns cost the same
static bool
are_weighed_alike(const QfLabelling* const a, const QfLabelling* const b)
{
  bool is_same = a->options.has_key == b->options.has_key && a->givens.home == b->givens.home &&
                 a->givens.signature == b->givens.signature &&
                 a->givens.may_modulate == b->givens.may_modulate &&
                 qf_search_changes_keys(&a->passage, &a->givens) ==
                   qf_search_changes_keys(&b->passage, &b->givens) &&
                 a->passage.signature == b->passage.signature &&
                 a->passage.first_bass == b->passage.first_bass &&
                 a->passage.final_bass == b->passage.final_bass &&
                 floats_equal(a->passage.texture, b->passage.texture);

  for (int mode = QF_MAJOR; is_same && mode <= QF_MINOR; ++mode) {
    is_same = a->n_entries[mode] == b->n_entries[mode] &&
              entries_equal(&a->vocabularies[mode], &b->vocabularies[mode], a->n_entries[mode]);
  }
  return is_same;
}

static bool
is_same_column(const QfLabelling* const a,
               const size_t             in_a,
               const QfLabelling* const b,
               size_t                   in_b)
{
  return a->pinned_keys[in_a] == b->pinned_keys[in_b] &&
         (a->pinned_keys[in_a] == QF_N_KEYS ||
          a->pinned_entries[in_a] == b->pinned_entries[in_b]) &&
         qf_columns_equal(&a->passage.columns[in_a], &b->passage.columns[in_b]);
}

QfEarlier
qf_earlier_of(const QfLabels* const labels, const QfLabelling* const now)
{
  QfEarlier earlier = {.labels = labels, .now = now};

  if (!labels || !are_weighed_alike(&labels->memory->labelling, now)) {
    return earlier;
  }

  const QfLabelling* const before   = &labels->memory->labelling;
  const size_t             n_before = before->passage.n_columns;
  const size_t             n_now    = now->passage.n_columns;
  const size_t             n        = n_before < n_now ? n_before : n_now;
  QfSameColumns* const     same     = &earlier.same;

  while (same->n_first < n && is_same_column(before, same->n_first, now, same->n_first)) {
    ++same->n_first;
  }
  while (same->n_last < n - same->n_first &&
         is_same_column(before, n_before - 1 - same->n_last, now, n_now - 1 - same->n_last)) {
    ++same->n_last;
  }
  return earlier;
}

static void
compare_words(QfEarlier* const earlier)
{
  const QfLabelling* const a = &earlier->labels->memory->labelling;
  const QfLabelling* const b = earlier->now;

  earlier->has_same_words = a->options.naming == b->options.naming;
  for (int mode = QF_MAJOR; earlier->has_same_words && mode <= QF_MINOR; ++mode) {
    const size_t n = a->vocabularies[mode].n_entries;

    earlier->has_same_words = n == b->vocabularies[mode].n_entries &&
                              entries_equal(&a->vocabularies[mode], &b->vocabularies[mode], n);
  }
}

// What sounds and where

static bool
times_equal(const QfTime a, const QfTime b)
{
  return a.num == b.num && a.den == b.den;
}

static bool
soundings_equal(const QfSounding* const a, const QfSounding* const b)
{
  return a->id == b->id && a->voice == b->voice && a->is_struck == b->is_struck &&
         qf_pitch_equals(a->pitch, b->pitch) && times_equal(a->start, b->start) &&
         times_equal(a->duration, b->duration);
}

static bool
slices_equal(const QfSlice* const a, const QfSlice* const b)
{
  bool are_equal =
    a->n_notes == b->n_notes && times_equal(a->start, b->start) && times_equal(a->end, b->end);

  for (size_t i = 0; are_equal && i < a->n_notes; ++i) {
    are_equal = soundings_equal(&a->notes[i], &b->notes[i]);
  }
  return are_equal;
}

static void
compare_slices(QfEarlier* const earlier)
{
  const QfSlices* const a     = &earlier->labels->memory->labelling.passage.slices;
  const QfSlices* const b     = &earlier->now->passage.slices;
  const size_t          n     = a->n_slices < b->n_slices ? a->n_slices : b->n_slices;
  size_t                first = 0;
  size_t                last  = 0;

  while (first < n && slices_equal(&a->slices[first], &b->slices[first])) {
    ++first;
  }
  while (last < n - first &&
         slices_equal(&a->slices[a->n_slices - 1 - last], &b->slices[b->n_slices - 1 - last])) {
    ++last;
  }

  earlier->is_changed   = first < a->n_slices || first < b->n_slices;
  earlier->changed_from = first ? b->slices[first - 1].end : QF_TIME_ZERO;
  earlier->changed_to   = last ? b->slices[b->n_slices - last].start : QF_TIME_ZERO;
}

static bool
bars_equal(const QfBar* const a, const QfBar* const b)
{
  return a->number == b->number && a->suffix == b->suffix && times_equal(a->start, b->start) &&
         times_equal(a->length, b->length) && times_equal(a->offset, b->offset) &&
         qf_metre_equals(a->metre, b->metre);
}

/// Compare what bars and voices are called, and the words for notes
static void
compare_places(QfEarlier* const earlier)
{
  const QfMemory* const    before  = earlier->labels->memory;
  const QfLabelling* const now     = earlier->now;
  const QfScore* const     score   = now->passage.score;
  bool                     is_same = before->n_bars == qf_score_n_bars(score) &&
                 before->labelling.options.naming == now->options.naming &&
                 before->labelling.options.has_key == now->options.has_key;

  for (size_t i = 0; is_same && i < before->n_bars; ++i) {
    is_same = bars_equal(&before->bars[i], qf_score_get_bar(score, i));
  }
  for (size_t i = 0; is_same && i < qf_score_n_voices(score); ++i) {
    is_same = !strcmp(before->voices[i].name, qf_score_get_voice(score, i)->name);
  }
  earlier->has_same_places = is_same;
}

void
qf_earlier_compare_words(QfEarlier* const earlier)
{
  if (earlier->same.n_first || earlier->same.n_last) {
    compare_words(earlier);
    compare_slices(earlier);
    compare_places(earlier);
  }
}

static bool
is_same_chord(const QfLink* const a, const QfLink* const b)
{
  return a->span.key == b->span.key && a->span.entry == b->span.entry && a->root == b->root;
}

/// The same link before the edit: with the same columns in it and beside it, or SIZE_MAX
static size_t
twin_of(const QfEarlier* const earlier, const QfLabels* const labels, const size_t index)
{
  const QfSpan span     = labels->links[index].span;
  const size_t n_now    = earlier->now->passage.n_columns;
  const size_t n_before = earlier->labels->memory->labelling.passage.n_columns;
  const bool   is_last  = index + 1 == labels->n_links;

  if (span.end + (is_last ? 0 : 1) <= earlier->same.n_first) {
    return qf_link_from(earlier->labels, span.first);
  }
  if (span.first && span.first - 1 + earlier->same.n_last >= n_now) {
    return qf_link_from(earlier->labels, span.first + n_before - n_now);
  }
  return SIZE_MAX;
}

bool
qf_earlier_take_readings(const QfEarlier* const earlier, QfLabels* const labels, const size_t index)
{
  const size_t twin = earlier->has_same_words ? twin_of(earlier, labels, index) : SIZE_MAX;

  if (twin == SIZE_MAX) {
    return false;
  }

  const QfLabels* const before  = earlier->labels;
  const QfLink* const   then    = &before->links[twin];
  const QfLink* const   now     = &labels->links[index];
  const bool            is_last = index + 1 == labels->n_links;

  if (!is_same_chord(then, now) ||
      then->span.end - then->span.first != now->span.end - now->span.first ||
      is_last != (twin + 1 == before->n_links) || !index != !twin ||
      (index && !is_same_chord(then - 1, now - 1)) ||
      (!is_last && !is_same_chord(then + 1, now + 1))) {
    return false;
  }

  const QfLabel* const from = &before->labels[twin];
  QfLabel* const       to   = &labels->labels[index];

  to->sureness   = from->sureness;
  to->n_readings = from->n_readings;
  memcpy(to->readings, from->readings, from->n_readings * sizeof(QfReading));
  return true;
}
