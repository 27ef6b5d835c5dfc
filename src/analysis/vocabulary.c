// SPDX-License-Identifier: MIT
#include "vocabulary.h"
#include "weights.h"

#include <assert.h>
#include <string.h>

typedef struct {
  const char* text;
  float       prior;
} Word;

// Costs follow how usual a chord is in four-part writing (common practice; to be learned).
static const Word major_words[] = {
  {"I", 0.5F},         {"V", 0.7F},         {"V7", 0.9F},        {"IV", 1.2F},
  {"vi", 1.3F},        {"ii", 1.5F},        {"ii7", 1.6F},       {"viio", 1.9F},
  {"Cad64", 0.9F},     {"iii", 2.4F},       {"vii/o7", 2.4F},    {"IV7", 2.5F},
  {"vi7", 2.4F},       {"I7", 2.8F},        {"iii7", 3.0F},      {"viio7", 2.7F},
  {"V/V", 2.4F},       {"V7/V", 2.2F},      {"viio/V", 2.7F},    {"viio7/V", 2.7F},
  {"vii/o7/V", 2.8F},  {"V/vi", 2.5F},      {"V7/vi", 2.4F},     {"viio/vi", 3.0F},
  {"viio7/vi", 2.8F},  {"vii/o7/vi", 4.0F}, {"V/ii", 2.8F},      {"V7/ii", 2.5F},
  {"viio/ii", 3.0F},   {"viio7/ii", 2.8F},  {"vii/o7/ii", 4.0F}, {"V7/IV", 2.4F},
  {"viio/IV", 3.0F},   {"viio7/IV", 3.0F},  {"vii/o7/IV", 3.0F}, {"V/iii", 3.2F},
  {"V7/iii", 3.0F},    {"viio/iii", 3.3F},  {"viio7/iii", 3.2F}, {"vii/o7/iii", 4.2F},
  {"i", 3.0F},         {"iv", 2.8F},        {"iio", 3.2F},       {"ii/o7", 3.0F},
  {"bVI", 3.2F},       {"bIII", 3.6F},      {"bVII", 3.2F},      {"iv7", 3.6F},
  {"N", 3.2F},         {"It6", 3.0F},       {"Fr43", 3.0F},      {"Ger65", 3.0F},
  {"Sw43", 3.2F},      {"V+", 3.6F},        {"I+", 4.0F},        {"V9", 3.0F},
  {"v", 3.8F},         {"bVI7", 4.2F},      {"V7/bIII", 4.4F},   {"V7/bVI", 4.4F},
  {"V7/N", 3.6F},      {"V7/bVII", 3.4F},   {"V/iv", 3.4F},      {"viio7/iv", 3.4F},
  {"ii/V", 3.4F},      {"ii7/V", 3.4F},     {"IV/V", 3.4F},      {"vi/V", 3.4F},
  {"Cad64/V", 5.4F},   {"ii/o7/vi", 3.4F},  {"iv/vi", 3.4F},     {"IV7/vi", 3.4F},
  {"iv/ii", 3.4F},     {"ii/o7/ii", 3.4F},  {"iv/iv", 3.4F},     {"IV/IV", 3.4F},
  {"ii/o7/iii", 3.4F}, {"v7", 3.8F},        {"Ger65/V", 3.6F},   {"It6/V", 3.6F},
  {"Fr43/V", 3.6F},
};

static const Word minor_words[] = {
  {"i", 0.5F},         {"V", 0.7F},          {"V7", 0.9F},         {"iv", 1.3F},
  {"VI", 1.7F},        {"iio", 1.9F},        {"ii/o7", 1.7F},      {"viio", 1.9F},
  {"viio7", 1.9F},     {"Cad64", 0.9F},      {"III", 1.9F},        {"VII", 2.0F},
  {"v", 2.6F},         {"i7", 2.6F},         {"iv7", 2.1F},        {"VI7", 2.5F},
  {"III7", 2.9F},      {"VII7", 2.6F},       {"v7", 3.0F},         {"III+", 3.0F},
  {"ii", 3.0F},        {"IV", 2.5F},         {"IV7", 2.9F},        {"vio", 3.2F},
  {"ii7", 3.2F},       {"I", 2.5F},          {"V7/III", 2.6F},     {"viio7/III", 3.2F},
  {"V/iv", 2.5F},      {"V7/iv", 2.4F},      {"viio/iv", 3.0F},    {"viio7/iv", 2.8F},
  {"vii/o7/iv", 4.0F}, {"V/V", 2.8F},        {"V7/V", 2.5F},       {"viio/V", 2.7F},
  {"viio7/V", 2.5F},   {"vii/o7/V", 3.0F},   {"V7/VI", 2.6F},      {"viio/VI", 3.1F},
  {"viio7/VI", 3.3F},  {"vii/o7/VI", 3.1F},  {"V/VII", 2.7F},      {"V7/VII", 2.6F},
  {"viio/VII", 3.1F},  {"viio7/VII", 3.3F},  {"vii/o7/VII", 3.1F}, {"N", 2.9F},
  {"It6", 2.7F},       {"Fr43", 2.7F},       {"Ger65", 2.7F},      {"V+", 3.8F},
  {"V9", 3.2F},        {"V7/N", 3.6F},       {"V/III", 3.0F},      {"vi/o7", 3.6F},
  {"V/VI", 3.4F},      {"vii/o7/III", 3.8F}, {"V/N", 4.2F},        {"viio/III", 3.3F},
  {"IV/III", 3.4F},    {"iio/III", 3.4F},    {"ii7/III", 3.4F},    {"Cad64/III", 3.4F},
  {"iv/iv", 3.4F},     {"iio/iv", 3.4F},     {"ii/o7/iv", 3.4F},   {"IV/iv", 3.4F},
  {"IV/VI", 3.4F},     {"ii7/VI", 3.4F},     {"ii/VI", 3.4F},      {"IV/V", 3.4F},
  {"ii/o7/V", 3.4F},   {"viio7/v", 3.4F},    {"V/v", 3.4F},        {"V7/v", 3.4F},
  {"ii/o7/v", 3.4F},   {"IV/VII", 3.4F},     {"ii/VII", 3.4F},     {"ii7/VII", 3.4F},
  {"Cad64/V", 5.4F},   {"Cad64/iv", 3.4F},   {"Cad64/v", 3.4F},    {"Ger65/V", 3.6F},
  {"It6/V", 3.6F},     {"Fr43/V", 3.6F},
};

_Static_assert(sizeof(major_words) / sizeof(major_words[0]) < QF_N_WORDS, "room in learned.h");
_Static_assert(sizeof(minor_words) / sizeof(minor_words[0]) < QF_N_WORDS, "room in learned.h");

// A mode's key without signs enough to keep every chord within four accidentals.
static const QfKey sample_keys[] = {
  [QF_MAJOR] = {{0, 0}, QF_MAJOR}, // C major
  [QF_MINOR] = {{5, 0}, QF_MINOR}, // A minor
};

size_t
qf_key_index(const QfKey key)
{
  return (size_t)(2 * (qf_key_fifths(key) + QF_KEY_SIGNS) + (key.mode == QF_MINOR));
}

int
qf_key_twin_shift(const size_t key)
{
  const int signs = qf_key_signs(key);

  return signs > 7 ? -12 : (signs < -7 ? 12 : 0);
}

QfKey
qf_key_of_index(const size_t index)
{
  QfKey key = {{0, 0}, QF_MAJOR};

  qf_key_from_fifths(qf_key_signs(index) + qf_key_twin_shift(index),
                     index % 2 ? QF_MINOR : QF_MAJOR, &key);
  return key;
}

int
qf_member_fifths(const QfChordKind kind, const int member)
{
  const QfInterval interval = qf_chord_kind_member(kind, member);

  // A staff step up is two fifths, less an octave's seven for each semitone it falls short.
  return 7 * interval.semitones - 12 * interval.steps;
}

static bool
has_major_third(const QfChordKind kind)
{
  return qf_member_fifths(kind, 1) == 4;
}

static bool
is_diminished(const QfChordKind kind)
{
  return kind == QF_CHORD_DIMINISHED || kind == QF_CHORD_HALF_DIM7 || kind == QF_CHORD_DIM7;
}

/// Fifths from the tonic of a key to that of a target
static int
target_fifths(const QfTarget target, const QfKey key)
{
  QfNoteName note  = key.tonic;
  const int  minus = target.is_neapolitan ? -5 : 0; // The lowered second degree

  if (minus) {
    return minus;
  }

  qf_key_degree(key, target.degree, target.alter, &note);
  return qf_note_name_fifths(note) - qf_note_name_fifths(key.tonic);
}

static QfRole
role_of(const QfEntry* const entry)
{
  static const QfRole by_form[] = {
    [QF_NUMERAL_ROMAN]      = QF_ROLE_OTHER,
    [QF_NUMERAL_NEAPOLITAN] = QF_ROLE_NEAPOLITAN,
    [QF_NUMERAL_ITALIAN]    = QF_ROLE_AUGMENTED_SIXTH,
    [QF_NUMERAL_FRENCH]     = QF_ROLE_AUGMENTED_SIXTH,
    [QF_NUMERAL_GERMAN]     = QF_ROLE_AUGMENTED_SIXTH,
    [QF_NUMERAL_SWISS]      = QF_ROLE_AUGMENTED_SIXTH,
    [QF_NUMERAL_CADENTIAL]  = QF_ROLE_CADENTIAL,
  };

  const bool is_fifth   = entry->numeral.degree == 5 && has_major_third(entry->kind);
  const bool is_leading = entry->numeral.degree == 7 && is_diminished(entry->kind);

  if (entry->numeral.form != QF_NUMERAL_ROMAN) {
    return by_form[entry->numeral.form];
  }
  if (is_fifth || is_leading) {
    return entry->numeral.n_targets ? QF_ROLE_APPLIED : QF_ROLE_DOMINANT;
  }
  if (entry->numeral.n_targets) {
    return QF_ROLE_OTHER;
  }

  switch (entry->numeral.degree) {
    case 1:
      return QF_ROLE_TONIC;
    case 2:
    case 4:
      return QF_ROLE_PREDOMINANT;
    default:
      return QF_ROLE_OTHER;
  }
}

/// Set what a numeral's chord tells; false if the numeral has no chord
static bool
describe(QfEntry* const entry, const QfMode mode)
{
  const QfKey key   = sample_keys[mode];
  QfChord     chord = {0};

  if (qf_numeral_chord(&entry->numeral, key, &chord, NULL)) {
    return false;
  }

  entry->kind = chord.kind;
  entry->root = qf_note_name_fifths(chord.root) - qf_note_name_fifths(key.tonic);
  entry->role = role_of(entry);

  if (entry->role == QF_ROLE_DOMINANT || entry->role == QF_ROLE_APPLIED) {
    // The leading tone lies a major third, four fifths, above the dominant.
    entry->dominant = is_diminished(entry->kind) ? entry->root - 4 : entry->root;
    entry->target   = entry->dominant - 1;
  }
  if (entry->numeral.n_targets == 1) {
    entry->target = target_fifths(entry->numeral.targets[0], key);
  }

  return entry->root >= -QF_ROOT_SPAN && entry->root <= QF_ROOT_SPAN;
}

static void
enlist(QfVocabulary* const vocabulary, const QfEntry entry)
{
  const size_t    index    = vocabulary->n_entries;
  uint16_t* const homonyms = vocabulary->homonyms[entry.root + QF_ROOT_SPAN][entry.kind];

  vocabulary->has_kind[entry.kind]             = true;
  vocabulary->entries[vocabulary->n_entries++] = entry;
  for (size_t i = 0; i + 1 < QF_MAX_HOMONYMS; ++i) {
    if (!homonyms[i]) {
      homonyms[i] = (uint16_t)index;
      return;
    }
  }
}

size_t
qf_vocabulary_add(QfVocabulary* const vocabulary, const QfNumeral* const numeral)
{
  QfEntry entry = {.numeral = *numeral, .prior = QF_WEIGHT_PINNED_WORD, .word = QF_N_WORDS};

  entry.numeral.inversion = 0;
  for (size_t i = 1; i < vocabulary->n_entries; ++i) {
    if (qf_numeral_equals(&vocabulary->entries[i].numeral, &entry.numeral)) {
      return i;
    }
  }

  if (vocabulary->n_entries == QF_MAX_ENTRIES || !describe(&entry, vocabulary->mode)) {
    return QF_ENTRY_UNKNOWN;
  }

  enlist(vocabulary, entry);
  return vocabulary->n_entries - 1;
}

void
qf_vocabulary_init(QfVocabulary* const vocabulary, const QfMode mode)
{
  const Word* const words   = mode == QF_MINOR ? minor_words : major_words;
  const size_t      n_words = mode == QF_MINOR ? sizeof(minor_words) / sizeof(minor_words[0])
                                               : sizeof(major_words) / sizeof(major_words[0]);

  // What words and steps cost is set by qf_vocabulary_weigh() for as many as there are.
  memset(vocabulary->has_kind, 0, sizeof(vocabulary->has_kind));
  memset(vocabulary->homonyms, 0, sizeof(vocabulary->homonyms));
  vocabulary->mode       = mode;
  vocabulary->texture    = 0.0F;
  vocabulary->n_entries  = 1;
  vocabulary->entries[0] = (QfEntry){.kind = QF_CHORD_N_KINDS};

  for (size_t i = 0; i < n_words; ++i) {
    QfEntry        entry = {.prior = words[i].prior, .word = i + 1};
    const QfStatus st    = qf_numeral_parse(words[i].text, mode, &entry.numeral, NULL);

    assert(!st); // The table above holds RomanText only
    (void)st;
    entry.numeral.inversion = 0;
    if (describe(&entry, mode)) {
      enlist(vocabulary, entry);
    }
  }
}

void
qf_tally_word(QfTally* const tally, const QfVocabulary* const vocabulary, const size_t entry)
{
  const QfEntry* const self = &vocabulary->entries[entry];

  tally->cost += self->prior;
  if (self->word < QF_N_WORDS) {
    const size_t index = vocabulary->mode * (size_t)QF_N_WORDS + self->word;

    qf_tally_add(tally, QF_F_WORD + index, 1.0F);
    qf_tally_add(tally, QF_F_WORD_PLAIN + index, vocabulary->texture);
  }
}

size_t
qf_word_index(const QfVocabulary* const vocabulary, const size_t entry)
{
  const size_t word = vocabulary->entries[entry].word;

  return word < QF_N_WORDS ? vocabulary->mode * (size_t)QF_N_WORDS + word : SIZE_MAX;
}

void
qf_tally_word_of(QfTally* const            tally,
                 const size_t              block,
                 const QfVocabulary* const vocabulary,
                 const size_t              entry,
                 const size_t              width,
                 const size_t              offset)
{
  const size_t index = qf_word_index(vocabulary, entry);

  if (index != SIZE_MAX) {
    qf_tally_add(tally, block + index * width + offset, 1.0F);
  }
}

void
qf_tally_step(QfTally* const            tally,
              const QfVocabulary* const vocabulary,
              const size_t              from,
              const size_t              to)
{
  const QfEntry* const a     = &vocabulary->entries[from];
  const QfEntry* const b     = &vocabulary->entries[to];
  const int            up    = b->root - a->root;
  const size_t         roles = (size_t)a->role * 9U + (size_t)b->role;

  tally->cost += qf_weight_step(a, b);
  if (from != to) {
    const size_t index = roles * 12U + (size_t)((up % 12 + 12) % 12);

    qf_tally_add(tally, QF_F_STEP_ROLE + index, 1.0F);
    qf_tally_add(tally, QF_F_STEP_PLAIN + index, vocabulary->texture);
  }
  if (from != to && a->word < QF_N_WORDS && b->word < QF_N_WORDS) {
    const size_t row = vocabulary->mode * (size_t)QF_N_WORDS + a->word;

    qf_tally_add(tally, QF_F_STEP + row * QF_N_WORDS + b->word, 1.0F);
  }
}

void
qf_vocabulary_weigh(QfVocabulary* const vocabulary, const float* const weights, const float texture)
{
  vocabulary->texture = texture;
  for (size_t from = 0; from < vocabulary->n_entries; ++from) {
    QfTally word = {weights, NULL, 0.0F};

    qf_tally_word(&word, vocabulary, from);
    vocabulary->words[from] = word.cost;
    for (size_t to = 0; to < vocabulary->n_entries; ++to) {
      QfTally step = {weights, NULL, 0.0F};

      qf_tally_step(&step, vocabulary, from, to);
      vocabulary->steps[from][to] = (float)qf_weight_grain(step.cost);
    }
  }
}
