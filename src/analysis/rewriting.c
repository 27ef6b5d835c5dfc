// SPDX-License-Identifier: MIT
#include "stretches.h"

#include <stdlib.h>
#include <string.h>

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
known_entry(const QfStretch* const to, const QfLink* const link, const QfEntry* const entry)
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
nested_entry(const QfStretch* const to, const QfLink* const link, const QfEntry* const entry)
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
freed_entry(const QfStretch* const to, const QfLink* const link, const QfEntry* const entry)
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

bool
qf_stretch_rewrite(const QfStretch* const to)
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
