// SPDX-License-Identifier: MIT
#include "labels_impl.h"

#include <string.h>

// Reasons that read the same before and after an edit: all that they speak of is compared

/// The same link before and after an edit
typedef struct {
  const QfEarlier* earlier;
  const QfLabels*  before;
  const QfLabels*  now;
  const QfLink*    then_link;
  const QfLink*    now_link;
  const QfLabel*   then_label;
  const QfLabel*   now_label;
} Twins;

/// True if what begins at a time, or sounds then, is as it was
static bool
is_kept(const QfEarlier* const earlier, const QfTime time)
{
  return !earlier->is_changed || qf_time_compare(time, earlier->changed_from) < 0 ||
         (earlier->changed_to.num > 0 && qf_time_compare(time, earlier->changed_to) >= 0);
}

/// The link before the edit that begins with the same column, or SIZE_MAX
static size_t
twin_of(const QfEarlier* const earlier, const QfLabels* const labels, const size_t index)
{
  const QfLabel* const label    = &labels->labels[index];
  const QfSpan         span     = labels->links[index].span;
  const size_t         n_now    = earlier->now->passage.n_columns;
  const size_t         n_before = earlier->labels->memory->labelling.passage.n_columns;

  if (!earlier->is_changed || qf_time_compare(label->end, earlier->changed_from) <= 0) {
    return qf_link_from(earlier->labels, span.first);
  }
  return is_kept(earlier, label->start) && is_kept(earlier, label->end) &&
             qf_time_compare(label->start, earlier->changed_from) > 0
           ? qf_link_from(earlier->labels, span.first + n_before - n_now)
           : SIZE_MAX;
}

static bool
are_links_equal(const Twins* const twins)
{
  const QfLink* const a = twins->then_link;
  const QfLink* const b = twins->now_link;

  return a->span.key == b->span.key && a->span.entry == b->span.entry &&
         a->span.end - a->span.first == b->span.end - b->span.first &&
         a->inversion == b->inversion && a->root == b->root && a->is_dominant == b->is_dominant &&
         a->target == b->target && a->dominant == b->dominant &&
         a->is_rewritten == b->is_rewritten && a->found_key == b->found_key;
}

static bool
names_equal(const QfNoteName a, const QfNoteName b)
{
  return a.letter == b.letter && a.alter == b.alter;
}

static bool
are_labels_equal(const Twins* const twins)
{
  const QfLabel* const a = twins->then_label;
  const QfLabel* const b = twins->now_label;

  return a->is_known == b->is_known && a->is_pinned == b->is_pinned &&
         a->chord.omitted == b->chord.omitted && qf_key_equals(a->key, b->key) &&
         a->resolution == b->resolution && names_equal(a->expected_root, b->expected_root) &&
         !qf_time_compare(a->start, b->start) && !qf_time_compare(a->end, b->end);
}

/// True if a note is as it was; no note at all counts as well
static bool
is_note_kept(const QfEarlier* const earlier, const uint32_t id)
{
  const QfNote* const note = qf_score_find_note(earlier->now->passage.score, id, NULL);

  return id == QF_NO_NOTE || (note && is_kept(earlier, note->start));
}

static bool
are_foreign_notes_equal(const Twins* const twins)
{
  const QfLabel* const a         = twins->then_label;
  const QfLabel* const b         = twins->now_label;
  bool                 are_equal = a->n_foreign == b->n_foreign;

  for (size_t i = 0; are_equal && i < a->n_foreign; ++i) {
    const QfForeign* const one   = &a->foreign[i];
    const QfForeign* const other = &b->foreign[i];

    are_equal = one->note == other->note && one->kind == other->kind &&
                one->preparation == other->preparation && one->resolution == other->resolution &&
                one->figure == other->figure && one->goal_figure == other->goal_figure &&
                is_note_kept(twins->earlier, other->note) &&
                is_note_kept(twins->earlier, other->preparation) &&
                is_note_kept(twins->earlier, other->resolution);
  }
  return are_equal;
}

/// True if what sounds after each of the link's last notes is what it was
static bool
do_voices_go_on_alike(const Twins* const twins)
{
  const QfPassage* const passage = &twins->earlier->now->passage;
  const size_t           column  = twins->now_link->span.end - 1;
  const QfSlice* const   slice   = &passage->slices.slices[passage->columns[column].slice];
  bool                   is_same = true;

  for (size_t i = 0; is_same && i < slice->n_notes; ++i) {
    is_same = is_kept(twins->earlier, qf_time_add(slice->notes[i].start, slice->notes[i].duration));
  }
  return is_same;
}

/// True if cadence, chain and key are as they were
static bool
is_context_equal(const Twins* const twins)
{
  const QfLabels* const  before   = twins->before;
  const QfLabels* const  now      = twins->now;
  const QfLink* const    a        = twins->then_link;
  const QfLink* const    b        = twins->now_link;
  const QfKeySpan* const then_key = &before->key_spans[a->key_span];
  const QfKeySpan* const now_key  = &now->key_spans[b->key_span];

  if ((a->cadence == SIZE_MAX) != (b->cadence == SIZE_MAX) ||
      (a->chain == SIZE_MAX) != (b->chain == SIZE_MAX) ||
      (a->confirmed == SIZE_MAX) != (b->confirmed == SIZE_MAX)) {
    return false;
  }
  return (a->cadence == SIZE_MAX ||
          !strcmp(before->cadences[a->cadence].reason, now->cadences[b->cadence].reason)) &&
         (a->chain == SIZE_MAX ||
          !strcmp(before->chains[a->chain].name, now->chains[b->chain].name)) &&
         (a->confirmed == SIZE_MAX ||
          !qf_time_compare(before->labels[a->confirmed].start, now->labels[b->confirmed].start)) &&
         (before->n_key_spans > 1) == (now->n_key_spans > 1) &&
         then_key->is_home == now_key->is_home && !strcmp(then_key->reason, now_key->reason);
}

bool
qf_earlier_take_reasons(const QfEarlier* const earlier, QfLabels* const labels, const size_t index)
{
  const bool   is_possible = earlier->has_same_words && earlier->has_same_places;
  const size_t twin        = is_possible ? twin_of(earlier, labels, index) : SIZE_MAX;

  if (twin == SIZE_MAX) {
    return false;
  }

  const Twins twins = {.earlier    = earlier,
                       .before     = earlier->labels,
                       .now        = labels,
                       .then_link  = &earlier->labels->links[twin],
                       .now_link   = &labels->links[index],
                       .then_label = &earlier->labels->labels[twin],
                       .now_label  = &labels->labels[index]};

  if (!are_links_equal(&twins) || !are_labels_equal(&twins) || !are_foreign_notes_equal(&twins) ||
      !do_voices_go_on_alike(&twins) || !is_context_equal(&twins)) {
    return false;
  }

  QfLabel* const label = &labels->labels[index];

  label->n_reasons = twins.then_label->n_reasons;
  memcpy(label->reasons, twins.then_label->reasons, label->n_reasons * sizeof(QfReason));
  return true;
}
