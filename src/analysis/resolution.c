// SPDX-License-Identifier: MIT
#include "labels_impl.h"

static bool
expects_dominant(const QfEntry* const entry)
{
  return entry->role == QF_ROLE_CADENTIAL || entry->role == QF_ROLE_AUGMENTED_SIXTH ||
         entry->role == QF_ROLE_NEAPOLITAN;
}

/// Root a link leads one to expect, fifths above C; false if it asks for none
static bool
expected_root(const QfLabelling* const labelling, const QfLink* const link, int* const root)
{
  if (link->span.entry == QF_ENTRY_UNKNOWN) {
    return false;
  }
  if (expects_dominant(qf_link_entry(labelling, link))) {
    *root = qf_tonic_of(link->span.key) + 1;
    return true;
  }

  *root = link->target;
  return link->is_dominant;
}

/// True if the dominant of a key goes on as its cadential six-four, or the other way round
static bool
is_same_function(const QfLabelling* const labelling, const QfLink* const a, const QfLink* const b)
{
  const QfEntry* const second = qf_link_entry(labelling, b);

  if (a->is_dominant && b->is_dominant) {
    return qf_roots_sound_alike(a->target, b->target);
  }
  if (a->is_dominant && second->role == QF_ROLE_CADENTIAL) {
    return qf_roots_sound_alike(a->target, b->root);
  }
  return a->span.key == b->span.key && a->span.entry == b->span.entry;
}

static bool
is_dominant_seventh_like(const QfLabelling* const labelling, const QfLink* const link)
{
  return link->is_dominant && qf_chord_kind_has_seventh(qf_link_entry(labelling, link)->kind);
}

static QfResolution
resolution_of(const QfLabelling* const labelling,
              const QfLink* const      link,
              const QfLink* const      next,
              const int                expected)
{
  if (!next || next->span.entry == QF_ENTRY_UNKNOWN) {
    return QF_RESOLUTION_OPEN;
  }
  if (is_same_function(labelling, link, next)) {
    return QF_RESOLUTION_PROLONGED;
  }

  const QfEntry* const after = qf_link_entry(labelling, next);

  // The cadential six-four stands for the dominant, a fifth above its own root.
  if (after->role == QF_ROLE_CADENTIAL && qf_roots_sound_alike(next->root + 1, expected)) {
    return QF_RESOLUTION_KEPT;
  }
  if (expects_dominant(qf_link_entry(labelling, link)) && next->is_dominant &&
      qf_roots_sound_alike(next->dominant, expected)) {
    return QF_RESOLUTION_KEPT;
  }
  if (is_dominant_seventh_like(labelling, next) && qf_roots_sound_alike(next->dominant, expected)) {
    return QF_RESOLUTION_CHAINED;
  }
  if (qf_roots_sound_alike(next->root, expected)) {
    return QF_RESOLUTION_KEPT;
  }
  return is_dominant_seventh_like(labelling, next) || after->role == QF_ROLE_APPLIED
           ? QF_RESOLUTION_DEFLECTED
           : QF_RESOLUTION_DECEPTIVE;
}

void
qf_links_resolve(const QfLabelling* const labelling, QfLabels* const labels)
{
  for (size_t i = 0; i < labels->n_links; ++i) {
    const QfLink* const link     = &labels->links[i];
    const QfLink* const next     = i + 1 < labels->n_links ? link + 1 : NULL;
    QfLabel* const      label    = &labels->labels[i];
    int                 expected = 0;

    if (next && !next->is_after_rest && label->is_known && labels->labels[i + 1].is_known) {
      label->has_next = true;
      label->motion =
        qf_interval_between_names(label->chord.root, labels->labels[i + 1].chord.root);
    }
    if (expected_root(labelling, link, &expected) &&
        !qf_note_name_from_fifths(expected, &label->expected_root)) {
      label->resolution = resolution_of(labelling, link, next, expected);
    }
  }
}
