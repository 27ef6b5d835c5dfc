// SPDX-License-Identifier: MIT
#include "labels_impl.h"
#include "words.h"

#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/// Links in one key
typedef struct {
  const QfLabelling* labelling;
  QfLabels*          labels;
  size_t             first;
  size_t             last;
  size_t             key;
} Stretch;

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

/// The stretch around a link
static Stretch
stretch_at(const QfLabelling* const labelling, QfLabels* const labels, const size_t index)
{
  const size_t key     = labels->links[index].span.key;
  Stretch      stretch = {labelling, labels, index, index, key};

  while (stretch.first > 0 && labels->links[stretch.first - 1].span.key == key) {
    --stretch.first;
  }
  while (stretch.last + 1 < labels->n_links && labels->links[stretch.last + 1].span.key == key) {
    ++stretch.last;
  }
  return stretch;
}

static double
beats_of(const Stretch* const stretch)
{
  const QfScore* const score = stretch->labelling->passage.score;
  const QfTime         start = stretch->labels->labels[stretch->first].start;
  const QfTime         end   = stretch->labels->labels[stretch->last].end;
  const QfBar* const   bar   = qf_score_get_bar(score, qf_score_bar_at(score, start));

  return qf_time_to_double(qf_time_sub(end, start)) / qf_time_to_double(qf_metre_beat(bar->metre));
}

/// Index of the first authentic cadence in a key onto a link of the stretch, or SIZE_MAX
static size_t
cadence_in(const Stretch* const stretch)
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

/// True if the stretch is long enough to be a modulation, a cadence counted in
static bool
is_long_enough(const Stretch* const stretch)
{
  const QfKeyThresholds thresholds = stretch->labelling->options.thresholds;
  const double          bonus = cadence_in(stretch) == SIZE_MAX ? 0.0 : thresholds.cadence_beats;

  return beats_of(stretch) + bonus >= thresholds.least_beats;
}

// Writing a chord in another key

static bool
is_dominant_role(const QfEntry* const entry)
{
  return entry->role == QF_ROLE_DOMINANT || entry->role == QF_ROLE_APPLIED;
}

/// True if all notes of a chord lie in a key's signature
static bool
is_diatonic(const QfLink* const link, const QfChordKind kind, const QfKey key)
{
  for (int m = 0; m < qf_chord_kind_size(kind); ++m) {
    QfNoteName note = {0, 0};

    if (qf_note_name_from_fifths(link->root + qf_member_fifths(kind, m), &note) ||
        !qf_key_has_note(key, note)) {
      return false;
    }
  }
  return true;
}

/// A known numeral of the key for the same chord in the same function, or #QF_ENTRY_UNKNOWN
static size_t
known_entry(const Stretch* const to, const QfLink* const link, const QfEntry* const entry)
{
  const QfVocabulary* const vocabulary     = &to->labelling->vocabularies[to->key % 2];
  const int                 tonic          = qf_tonic_of(to->key);
  const QfKey               key            = qf_key_of_index(to->key);
  const QfChordKind         triad          = key.mode == QF_MINOR ? QF_CHORD_MINOR : QF_CHORD_MAJOR;
  const bool                is_tonic_triad = link->root == tonic && entry->kind == triad;

  for (const uint16_t* e = qf_vocabulary_find(vocabulary, link->root - tonic, entry->kind); *e;
       ++e) {
    const QfEntry* const other = &vocabulary->entries[*e];

    // A plain triad on the tonic is the tonic, whatever follows. Rule: IBMT, unit 15a.
    if (is_tonic_triad) {
      if (other->role == QF_ROLE_TONIC) {
        return *e;
      }
    } else if (is_dominant_role(entry)) {
      if (is_dominant_role(other) && qf_roots_sound_alike(tonic + other->target, link->target)) {
        return *e;
      }
    } else if (entry->role < QF_ROLE_CADENTIAL || entry->role == QF_ROLE_OTHER) {
      if (other->numeral.form == QF_NUMERAL_ROMAN && !other->numeral.n_targets &&
          !other->numeral.alter && is_diatonic(link, entry->kind, key)) {
        return *e;
      }
    }
  }
  return QF_ENTRY_UNKNOWN;
}

/// True if the numeral, written and read again in the key, is still the same chord
static bool
can_be_written(const QfNumeral* const numeral,
               const QfKey            key,
               const QfLink* const    link,
               const QfChordKind      kind)
{
  char      text[QF_NUMERAL_TEXT_SIZE];
  QfNumeral again = {0};
  QfChord   chord = {0};

  qf_numeral_write(numeral, key.mode, text, sizeof(text));
  return !qf_numeral_parse(text, key.mode, &again, NULL) &&
         !qf_numeral_chord(&again, key, &chord, NULL) && chord.kind == kind &&
         qf_note_name_fifths(chord.root) == link->root;
}

/// Numeral of the old key, applied to the degree of its tonic in the new one
static size_t
nested_entry(const Stretch* const to, const QfLink* const link, const QfEntry* const entry)
{
  const QfKey old     = qf_key_of_index(link->span.key);
  const QfKey key     = qf_key_of_index(to->key);
  QfNumeral   numeral = entry->numeral;
  int         degree  = 1;
  int         alter   = 0;

  qf_key_degree_of(key, old.tonic, &degree, &alter);
  if (degree == 1 || alter > 0 || alter < -1 || numeral.n_targets == QF_NUMERAL_MAX_TARGETS) {
    return QF_ENTRY_UNKNOWN;
  }

  const QfTarget target = {.degree        = (int8_t)degree,
                           .alter         = (int8_t)alter,
                           .is_minor      = old.mode == QF_MINOR,
                           .is_neapolitan = degree == 2 && alter < 0 && old.mode == QF_MAJOR};

  numeral.targets[numeral.n_targets++] = target;
  return can_be_written(&numeral, key, link, entry->kind)
           ? qf_vocabulary_add(&to->labelling->vocabularies[to->key % 2], &numeral)
           : QF_ENTRY_UNKNOWN;
}

/// Numeral of a target, freed of it in the target's own key
static size_t
freed_entry(const Stretch* const to, const QfLink* const link, const QfEntry* const entry)
{
  QfNumeral numeral = entry->numeral;

  if (!numeral.n_targets) {
    return QF_ENTRY_UNKNOWN;
  }
  --numeral.n_targets;
  memset(&numeral.targets[numeral.n_targets], 0, sizeof(numeral.targets[0]));
  return can_be_written(&numeral, qf_key_of_index(to->key), link, entry->kind)
           ? qf_vocabulary_add(&to->labelling->vocabularies[to->key % 2], &numeral)
           : QF_ENTRY_UNKNOWN;
}

/// Write all links of a stretch in its key; false, and nothing done, if one cannot be
static bool
rewrite(const Stretch* const to)
{
  const size_t  n       = to->last - to->first + 1;
  size_t* const entries = (size_t*)calloc(n, sizeof(size_t));
  bool          is_done = entries != NULL;

  for (size_t i = 0; i < n && is_done; ++i) {
    const QfLink* const  link  = &to->labels->links[to->first + i];
    const QfEntry* const entry = qf_link_entry(to->labelling, link);

    if (link->span.entry == QF_ENTRY_UNKNOWN) {
      continue;
    }
    entries[i] = known_entry(to, link, entry);
    entries[i] = entries[i] ? entries[i] : freed_entry(to, link, entry);
    entries[i] = entries[i] ? entries[i] : nested_entry(to, link, entry);
    is_done    = entries[i] != QF_ENTRY_UNKNOWN;
  }

  for (size_t i = 0; i < n && is_done; ++i) {
    QfLink* const link = &to->labels->links[to->first + i];

    link->found_key    = link->is_rewritten ? link->found_key : link->span.key;
    link->is_rewritten = true;
    link->span.key     = to->key;
    link->span.entry   = entries[i];
  }
  free(entries);
  return is_done;
}

// From modulation to tonicization

static bool
has_pin(const Stretch* const stretch)
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
absorb(const Stretch stretch)
{
  const QfLabels* const labels     = stretch.labels;
  const bool            has_before = stretch.first > 0;
  const bool            has_after  = stretch.last + 1 < labels->n_links;
  Stretch               before     = stretch;
  Stretch               after      = stretch;

  if (has_before) {
    before     = stretch_at(stretch.labelling, stretch.labels, stretch.first - 1);
    before.key = labels->links[stretch.first - 1].span.key;
  }
  if (has_after) {
    after = stretch_at(stretch.labelling, stretch.labels, stretch.last + 1);
  }

  const bool is_before_longer = has_before && (!has_after || beats_of(&before) >= beats_of(&after));
  Stretch    to               = stretch;

  for (int attempt = 0; attempt < 2; ++attempt) {
    const bool to_before = is_before_longer == (attempt == 0);

    if (to_before ? has_before : has_after) {
      to.key = to_before ? before.key : after.key;
      if (rewrite(&to)) {
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
    Stretch shortest = {0};
    double  least    = 0.0;

    for (size_t i = 0; i < labels->n_links;) {
      const Stretch stretch = stretch_at(labelling, labels, i);
      const double  beats   = beats_of(&stretch);

      if (!qf_key_equals(qf_key_of_index(stretch.key), labels->key) && !is_refused[i] &&
          !has_pin(&stretch) && !is_long_enough(&stretch) && (!shortest.labels || beats < least)) {
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
               Stretch* const           stretch)
{
  const QfLink* const from = &labels->links[first];
  size_t              goal = SIZE_MAX;

  *stretch = (Stretch){labelling, labels, first, first, from->span.key};
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
    Stretch stretch;

    if (qf_link_entry(labelling, &labels->links[i])->role == QF_ROLE_APPLIED &&
        !labels->links[i].is_rewritten && tonicized_from(labelling, labels, i, &stretch) &&
        is_long_enough(&stretch) && rewrite(&stretch)) {
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

// Evidence

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
    const Stretch    stretch = stretch_at(labelling, labels, i);
    QfKeySpan* const span    = &labels->key_spans[labels->n_key_spans++];

    span->first           = stretch.first;
    span->last            = stretch.last;
    span->key             = qf_key_of_index(stretch.key);
    span->beats           = beats_of(&stretch);
    span->is_home         = qf_key_equals(span->key, labels->key);
    span->is_tonicization = !span->is_home && !is_long_enough(&stretch);
    span->cadence         = cadence_in(&stretch);
    i                     = stretch.last + 1;
  }

  find_returns(labels);
  for (size_t s = 0; s < labels->n_key_spans; ++s) {
    write_reason(labelling, labels, &labels->key_spans[s]);
  }
  return QF_OK;
}
