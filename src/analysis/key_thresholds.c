// SPDX-License-Identifier: MIT
#include "stretches.h"

#include <stdlib.h>

// From modulation to tonicization

static bool
has_pin(const QfStretch* const stretch)
{
  for (size_t i = stretch->first; i <= stretch->last; ++i) {
    if (stretch->labels->labels[i].is_pinned) {
      return true;
    }
  }
  return false;
}

/// Write a stretch in the key around it: the one on both sides, or else the longer neighbour
static bool
absorb(const QfStretch stretch)
{
  const QfLabels* const labels     = stretch.labels;
  const bool            has_before = stretch.first > 0;
  const bool            has_after  = stretch.last + 1 < labels->n_links;
  QfStretch             before     = stretch;
  QfStretch             after      = stretch;

  if (has_before) {
    before     = qf_stretch_at(stretch.labelling, stretch.labels, stretch.first - 1);
    before.key = labels->links[stretch.first - 1].span.key;
  }
  if (has_after) {
    after = qf_stretch_at(stretch.labelling, stretch.labels, stretch.last + 1);
  }

  const bool is_before_longer =
    has_before && (!has_after || qf_stretch_beats(&before) >= qf_stretch_beats(&after));
  QfStretch to = stretch;

  for (int attempt = 0; attempt < 2; ++attempt) {
    const bool to_before = is_before_longer == (attempt == 0);

    if (to_before ? has_before : has_after) {
      to.key = to_before ? before.key : after.key;
      if (qf_stretch_rewrite(&to)) {
        return true;
      }
    }
  }
  return false;
}

/// Absorb what is too short, the shortest first; true if anything was
static bool
absorb_all(const QfLabelling* const labelling, QfLabels* const labels)
{
  bool* const is_refused = (bool*)calloc(labels->n_links + 1, sizeof(bool));
  bool        is_changed = false;

  while (is_refused) {
    QfStretch shortest = {0};
    double    least    = 0.0;

    for (size_t i = 0; i < labels->n_links;) {
      const QfStretch stretch = qf_stretch_at(labelling, labels, i);
      const double    beats   = qf_stretch_beats(&stretch);

      if (!qf_key_equals(qf_key_of_index(stretch.key), labels->key) && !is_refused[i] &&
          !has_pin(&stretch) && !qf_stretch_is_long(&stretch) &&
          (!shortest.labels || beats < least)) {
        shortest = stretch;
        least    = beats;
      }
      i = stretch.last + 1;
    }
    if (!shortest.labels) {
      break;
    }
    is_refused[shortest.first] = !absorb(shortest);
    is_changed                 = is_changed || !is_refused[shortest.first];
  }

  free(is_refused);
  return is_changed;
}

// From tonicization to modulation

/// True for a chord of the stretch that a degree's dominants tonicize
static bool
serves(const QfLabelling* const labelling, const QfLink* const link, const int target)
{
  const QfEntry* const entry = qf_link_entry(labelling, link);

  if (entry->role == QF_ROLE_APPLIED) {
    return qf_roots_sound_alike(link->target, target);
  }
  return link->span.entry != QF_ENTRY_UNKNOWN && qf_roots_sound_alike(link->root, target) &&
         (entry->kind == QF_CHORD_MAJOR || entry->kind == QF_CHORD_MINOR);
}

/// The stretch of applied chords and their goal from a link on; false if it never arrives
static bool
tonicized_from(const QfLabelling* const labelling,
               QfLabels* const          labels,
               const size_t             first,
               QfStretch* const         stretch)
{
  const QfLink* const from = &labels->links[first];
  size_t              goal = SIZE_MAX;

  *stretch = (QfStretch){labelling, labels, first, first, from->span.key};
  for (size_t i = first; i < labels->n_links; ++i) {
    const QfLink* const link = &labels->links[i];

    if (link->span.key != from->span.key || labels->labels[i].is_pinned || link->is_rewritten ||
        !serves(labelling, link, from->target)) {
      break;
    }
    stretch->last = i;
    goal          = qf_link_entry(labelling, link)->role == QF_ROLE_APPLIED ? goal : i;
  }
  if (goal == SIZE_MAX) {
    return false;
  }

  const QfChord chord = labels->labels[goal].chord;
  const QfMode  mode  = chord.kind == QF_CHORD_MINOR ? QF_MINOR : QF_MAJOR;
  QfKey         key;

  if (qf_key_from_fifths(qf_note_name_fifths(chord.root) - (mode == QF_MINOR ? 3 : 0), mode,
                         &key)) {
    return false;
  }
  stretch->key = qf_key_index(key);
  return true;
}

/// Give long tonicizations a key of their own; true if there were any
static bool
promote_all(const QfLabelling* const labelling, QfLabels* const labels)
{
  bool is_changed = false;

  for (size_t i = 0; i < labels->n_links; ++i) {
    QfStretch stretch;

    if (qf_link_entry(labelling, &labels->links[i])->role == QF_ROLE_APPLIED &&
        !labels->links[i].is_rewritten && tonicized_from(labelling, labels, i, &stretch) &&
        qf_stretch_is_long(&stretch) && qf_stretch_rewrite(&stretch)) {
      is_changed = true;
      i          = stretch.last;
    }
  }
  return is_changed;
}

bool
qf_links_settle_keys(const QfLabelling* const labelling, QfLabels* const labels)
{
  if (labelling->options.thresholds.least_beats <= 0.0 || !labelling->options.may_modulate) {
    return false;
  }

  const bool is_absorbed = absorb_all(labelling, labels);
  const bool is_promoted = promote_all(labelling, labels);

  if (is_absorbed || is_promoted) {
    qf_labelling_weigh(labelling);
  }
  return is_absorbed || is_promoted;
}
