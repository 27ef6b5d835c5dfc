// SPDX-License-Identifier: MIT
#include "labels_impl.h"

#include <stdlib.h>
#include <string.h>

const QfEntry*
qf_link_entry(const QfLabelling* const labelling, const QfLink* const link)
{
  return &labelling->vocabularies[link->span.key % 2].entries[link->span.entry];
}

bool
qf_roots_sound_alike(const int a, const int b)
{
  return (a - b) % 12 == 0;
}

static bool
is_pinned_at(const QfLabelling* const labelling, const size_t column)
{
  return labelling->givens.pinned_keys[column] != QF_N_KEYS;
}

static int
member_at_bass(const QfLabelling* const labelling, const QfLink* const link, const size_t column)
{
  const QfEntry* const entry = qf_link_entry(labelling, link);
  const int            bass  = labelling->passage.columns[column].bass;

  if (link->span.entry == QF_ENTRY_UNKNOWN) {
    return -1;
  }
  for (int m = 0; m < qf_chord_kind_size(entry->kind); ++m) {
    if (link->root + qf_member_fifths(entry->kind, m) == bass) {
      return m;
    }
  }
  return -1;
}

/// Inversion of a link that begins at a column: the first bass that belongs to the chord
static int
inversion_from(const QfLabelling* const labelling, const QfLink* const link)
{
  for (size_t c = link->span.first; c < link->span.end; ++c) {
    const int member = member_at_bass(labelling, link, c);

    if (member >= 0) {
      return member;
    }
  }
  return 0;
}

static bool
may_join(const QfLink* const a, const QfLink* const b)
{
  return a->span.key == b->span.key && a->span.entry == b->span.entry &&
         (a->inversion == b->inversion || a->span.entry == QF_ENTRY_UNKNOWN) && !b->is_after_rest;
}

/// The plain chord under a seventh or ninth, #QF_CHORD_N_KINDS if it has none
static QfChordKind
plain_kind(const QfChordKind kind)
{
  static const struct {
    QfChordKind kind;
    QfChordKind plain;
  } table[] = {
    {QF_CHORD_DOM7, QF_CHORD_MAJOR},
    {QF_CHORD_MAJ7, QF_CHORD_MAJOR},
    {QF_CHORD_MIN7, QF_CHORD_MINOR},
    {QF_CHORD_MIN_MAJ7, QF_CHORD_MINOR},
    {QF_CHORD_HALF_DIM7, QF_CHORD_DIMINISHED},
    {QF_CHORD_DIM7, QF_CHORD_DIMINISHED},
    {QF_CHORD_DOM9, QF_CHORD_DOM7},
    {QF_CHORD_DOM_MINOR9, QF_CHORD_DOM7},
  };

  for (size_t i = 0; i < sizeof(table) / sizeof(table[0]); ++i) {
    if (table[i].kind == kind) {
      return table[i].plain;
    }
  }
  return QF_CHORD_N_KINDS;
}

/// Where a bass turn cuts off a part without the seventh, that part is the plain chord
static void
drop_silent_seventh(const QfLabelling* const labelling, QfLink* const link)
{
  const QfVocabulary* const vocabulary = &labelling->vocabularies[link->span.key % 2];
  const QfEntry* const      entry      = qf_link_entry(labelling, link);
  const QfChordKind         kind       = plain_kind(entry->kind);

  if (link->span.entry == QF_ENTRY_UNKNOWN || kind == QF_CHORD_N_KINDS ||
      is_pinned_at(labelling, link->span.first)) {
    return;
  }

  const QfFit fit =
    qf_fit_of(&labelling->passage, link->span.first, link->span.end, link->root, entry->kind);
  const unsigned  upper = 1U << (unsigned)(qf_chord_kind_size(entry->kind) - 1);
  const uint16_t* e     = qf_vocabulary_find(vocabulary, entry->root, kind);

  for (; *e && !(fit.present & upper); ++e) {
    link->span.entry = *e;
    if (vocabulary->entries[*e].role == entry->role) {
      return;
    }
  }
}

static void
append(const QfLabelling* const labelling, QfLabels* const labels, QfLink link)
{
  QfLink* const last = labels->n_links ? &labels->links[labels->n_links - 1] : NULL;

  drop_silent_seventh(labelling, &link);
  link.inversion = inversion_from(labelling, &link);
  if (last && !is_pinned_at(labelling, link.span.first) && may_join(last, &link)) {
    last->span.end = link.span.end;
  } else {
    labels->links[labels->n_links++] = link;
  }
}

/// Cut one span wherever the bass goes to another member, or a rest comes between
static void
append_span(const QfLabelling* const labelling, QfLabels* const labels, const QfSpan span)
{
  const QfColumn* const columns = labelling->passage.columns;
  QfLink                link    = {.span = span};

  link.root =
    qf_tonic_of(span.key) + labelling->vocabularies[span.key % 2].entries[span.entry].root;
  link.is_after_rest = columns[span.first].is_after_rest;
  link.inversion     = inversion_from(labelling, &link);

  for (size_t c = span.first + 1; c < span.end; ++c) {
    const int  member    = member_at_bass(labelling, &link, c);
    const bool is_turned = member >= 0 && member != link.inversion;

    if (is_turned || columns[c].is_after_rest) {
      QfLink head = link;

      head.span.end = c;
      append(labelling, labels, head);
      link.span.first    = c;
      link.inversion     = member >= 0 ? member : link.inversion;
      link.is_after_rest = columns[c].is_after_rest;
    }
  }

  append(labelling, labels, link);
}

static int
level_of(const QfLabelling* const labelling, const QfLink* const link)
{
  return labelling->passage.levels[labelling->passage.columns[link->span.first].slice];
}

/// Entry of the same chord with another role, or #QF_ENTRY_UNKNOWN
static size_t
homonym_with_role(const QfLabelling* const labelling, const QfLink* const link, const QfRole role)
{
  const QfVocabulary* const vocabulary = &labelling->vocabularies[link->span.key % 2];
  const QfEntry* const      entry      = &vocabulary->entries[link->span.entry];

  for (const uint16_t* e = qf_vocabulary_find(vocabulary, entry->root, entry->kind); *e; ++e) {
    if (vocabulary->entries[*e].role == role) {
      return *e;
    }
  }
  return QF_ENTRY_UNKNOWN;
}

/**
   Decide between the tonic's six-four and the cadential one.

   A tonic six-four that leads to the dominant in root position from a place
   not weaker than the dominant's is cadential. Rule: common practice.
*/
static void
settle_six_four(const QfLabelling* const labelling, QfLabels* const labels, const size_t i)
{
  QfLink* const        link  = &labels->links[i];
  const QfLink* const  next  = i + 1 < labels->n_links ? link + 1 : NULL;
  const QfEntry* const entry = qf_link_entry(labelling, link);
  const QfEntry* const after = next ? qf_link_entry(labelling, next) : NULL;

  const bool is_dominant_next = next && !next->is_after_rest && next->span.key == link->span.key &&
                                after->role == QF_ROLE_DOMINANT && after->root == 1 &&
                                next->inversion == 0;
  const bool is_cadential =
    is_dominant_next && level_of(labelling, link) <= level_of(labelling, next);

  const bool is_tonic = entry->role == QF_ROLE_TONIC && link->inversion == 2;

  if (is_pinned_at(labelling, link->span.first) ||
      (!is_tonic && entry->role != QF_ROLE_CADENTIAL) ||
      is_cadential == (entry->role == QF_ROLE_CADENTIAL)) {
    return;
  }

  const size_t other =
    homonym_with_role(labelling, link, is_cadential ? QF_ROLE_CADENTIAL : QF_ROLE_TONIC);

  link->span.entry = other == QF_ENTRY_UNKNOWN ? link->span.entry : other;
}

static void
describe_function(const QfLabelling* const labelling, QfLink* const link)
{
  const QfEntry* const entry = qf_link_entry(labelling, link);
  const int            tonic = qf_tonic_of(link->span.key);

  link->is_dominant = false;
  link->dominant    = 0;
  link->target      = 0;
  switch (entry->role) {
    case QF_ROLE_UNKNOWN:
      return;
    case QF_ROLE_DOMINANT:
    case QF_ROLE_APPLIED:
      link->is_dominant = true;
      link->dominant    = tonic + entry->dominant;
      link->target      = tonic + entry->target;
      return;
    default:
      link->is_dominant = qf_chord_kind_is_dominant(entry->kind);
      link->dominant    = link->root;
      link->target      = link->root - 1;
  }
}

static unsigned
omitted_members(const QfLabelling* const labelling, const QfLink* const link)
{
  const QfEntry* const entry = qf_link_entry(labelling, link);
  const QfFit          fit =
    qf_fit_of(&labelling->passage, link->span.first, link->span.end, link->root, entry->kind);
  const unsigned all = (1U << (unsigned)qf_chord_kind_size(entry->kind)) - 1U;

  return all & ~fit.present;
}

/// The pin that stands in the first slice of a link, or NULL
static const QfPin*
pin_of(const QfLabelling* const labelling, const QfLink* const link)
{
  const QfPassage* const passage = &labelling->passage;
  const QfSlice* const   slice = &passage->slices.slices[passage->columns[link->span.first].slice];

  for (size_t i = 0; i < labelling->options.n_pins; ++i) {
    const QfPin* const pin = &labelling->options.pins[i];

    if (qf_time_compare(slice->start, pin->start) <= 0 &&
        qf_time_compare(pin->start, slice->end) < 0) {
      return pin;
    }
  }
  return NULL;
}

static void
fill_label(const QfLabelling* const labelling, const QfLink* const link, QfLabel* const label)
{
  const QfPassage* const passage = &labelling->passage;
  const QfEntry* const   entry   = qf_link_entry(labelling, link);
  const size_t           first   = passage->columns[link->span.first].slice;
  const size_t           last    = passage->columns[link->span.end - 1].slice;

  label->start     = passage->slices.slices[first].start;
  label->end       = passage->slices.slices[last].end;
  label->key       = qf_key_of_index(link->span.key);
  label->is_known  = link->span.entry != QF_ENTRY_UNKNOWN;
  label->is_pinned = label->is_known && is_pinned_at(labelling, link->span.first);
  if (!label->is_known) {
    return;
  }

  label->numeral           = entry->numeral;
  label->numeral.inversion = (int8_t)link->inversion;
  label->chord.kind        = entry->kind;
  label->chord.inversion   = (int8_t)link->inversion;
  label->chord.omitted     = (uint8_t)omitted_members(labelling, link);
  qf_note_name_from_fifths(link->root + qf_key_twin_shift(link->span.key), &label->chord.root);

  const QfPin* const pin = label->is_pinned ? pin_of(labelling, link) : NULL;

  label->numeral = pin ? pin->numeral : label->numeral;
}

static void
fill_labels(const QfLabelling* const labelling, QfLabels* const labels)
{
  for (size_t i = 0; i < labels->n_links; ++i) {
    describe_function(labelling, &labels->links[i]);
    fill_label(labelling, &labels->links[i], &labels->labels[i]);
  }
}

void
qf_links_refill(const QfLabelling* const labelling, QfLabels* const labels)
{
  const size_t n = labels->n_links;

  labels->n_links = 0;
  for (size_t i = 0; i < n; ++i) {
    QfLink* const last = labels->n_links ? &labels->links[labels->n_links - 1] : NULL;
    const QfLink  link = labels->links[i];

    if (last && !is_pinned_at(labelling, link.span.first) && may_join(last, &link)) {
      last->span.end     = link.span.end;
      last->is_rewritten = last->is_rewritten || link.is_rewritten;
    } else {
      labels->links[labels->n_links++] = link;
    }
  }
  memset(labels->labels, 0, labels->n_links * sizeof(QfLabel));
  fill_labels(labelling, labels);
}

QfStatus
qf_links_of_path(const QfLabelling* const labelling,
                 const QfPath* const      path,
                 QfLabels* const          labels)
{
  const size_t n = labelling->passage.n_columns + 1;

  labels->links = (QfLink*)calloc(n, sizeof(QfLink));
  if (!labels->links) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i < path->n_spans; ++i) {
    append_span(labelling, labels, path->spans[i]);
  }

  labels->labels = (QfLabel*)calloc(labels->n_links + 1, sizeof(QfLabel));
  if (!labels->labels) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = labels->n_links; i > 0; --i) {
    settle_six_four(labelling, labels, i - 1);
  }
  fill_labels(labelling, labels);
  return QF_OK;
}

/// Index of the first dominant that resolves to the tonic within a stretch, or SIZE_MAX
static size_t
confirmation_of(const QfLabelling* const labelling,
                const QfLabels* const    labels,
                const QfKeySpan* const   stretch)
{
  for (size_t i = stretch->first; i < stretch->last; ++i) {
    if (qf_link_entry(labelling, &labels->links[i])->role == QF_ROLE_DOMINANT &&
        qf_link_entry(labelling, &labels->links[i + 1])->role == QF_ROLE_TONIC) {
      return i;
    }
  }
  return SIZE_MAX;
}

void
qf_links_place(const QfLabelling* const labelling, QfLabels* const labels)
{
  for (size_t i = 0; i < labels->n_links; ++i) {
    labels->links[i].cadence = SIZE_MAX;
    labels->links[i].chain   = SIZE_MAX;
  }
  for (size_t i = 0; i < labels->n_cadences; ++i) {
    labels->links[labels->cadences[i].arrival].cadence = i;
  }
  for (size_t i = labels->n_chains; i > 0; --i) {
    for (size_t at = labels->chains[i - 1].first; at <= labels->chains[i - 1].goal; ++at) {
      labels->links[at].chain = i - 1;
    }
  }
  for (size_t i = 0; i < labels->n_key_spans; ++i) {
    const QfKeySpan* const stretch   = &labels->key_spans[i];
    const size_t           confirmed = confirmation_of(labelling, labels, stretch);

    for (size_t at = stretch->first; at <= stretch->last; ++at) {
      labels->links[at].key_span  = i;
      labels->links[at].confirmed = confirmed;
    }
  }
}

size_t
qf_link_from(const QfLabels* const labels, const size_t column)
{
  size_t low  = 0;
  size_t high = labels->n_links;

  while (low < high) {
    const size_t middle = low + (high - low) / 2;

    if (labels->links[middle].span.first < column) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low < labels->n_links && labels->links[low].span.first == column ? low : SIZE_MAX;
}
