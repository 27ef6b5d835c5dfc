// SPDX-License-Identifier: MIT
#include "numeral_rules.h"

#include <stdlib.h>
#include <string.h>

// Triad from case and sign, seventh from sign or scale; ninths stand on their sevenths.
static const QfNumeralQuality qualities[] = {
  {QF_CHORD_MAJOR, QF_CHORD_MAJOR, 0},           {QF_CHORD_MINOR, QF_CHORD_MINOR, 0},
  {QF_CHORD_DIMINISHED, QF_CHORD_DIMINISHED, 0}, {QF_CHORD_AUGMENTED, QF_CHORD_AUGMENTED, 0},
  {QF_CHORD_DOM7, QF_CHORD_MAJOR, 10},           {QF_CHORD_MAJ7, QF_CHORD_MAJOR, 11},
  {QF_CHORD_MIN7, QF_CHORD_MINOR, 10},           {QF_CHORD_MIN_MAJ7, QF_CHORD_MINOR, 11},
  {QF_CHORD_DIM7, QF_CHORD_DIMINISHED, 9},       {QF_CHORD_HALF_DIM7, QF_CHORD_DIMINISHED, 10},
  {QF_CHORD_DIM_MAJ7, QF_CHORD_DIMINISHED, 11},  {QF_CHORD_AUG7, QF_CHORD_AUGMENTED, 10},
  {QF_CHORD_AUG_MAJ7, QF_CHORD_AUGMENTED, 11},   {QF_CHORD_DOM9, QF_CHORD_MAJOR, 10},
  {QF_CHORD_DOM_MINOR9, QF_CHORD_MAJOR, 10},     {QF_CHORD_DOM7_FLAT5, QF_CHORD_MAJOR, 10},
};

// Source: Open Music Theory, "Altered subdominants"; MT21C, "Augmented Sixth Chords".
static const QfSixthForm sixths[] = {
  {QF_NUMERAL_ITALIAN, "It", QF_CHORD_ITALIAN, 4, 1, {"53", "6", "64", NULL}, 1},
  {QF_NUMERAL_FRENCH, "Fr", QF_CHORD_FRENCH, 2, 0, {"7", "65", "43", "42"}, 2},
  {QF_NUMERAL_GERMAN, "Ger", QF_CHORD_GERMAN, 4, 1, {"7", "65", "43", "42"}, 1},
  {QF_NUMERAL_SWISS, "Sw", QF_CHORD_SWISS, 4, 1, {NULL, "43", NULL, NULL}, 1},
};

static const int8_t scale_semitones[2][7] = {
  [QF_MAJOR] = {0, 2, 4, 5, 7, 9, 11},
  [QF_MINOR] = {0, 2, 3, 5, 7, 8, 10},
};

const QfNumeralQuality*
qf_numeral_quality(const QfChordKind kind)
{
  for (size_t i = 0; i < sizeof(qualities) / sizeof(qualities[0]); ++i) {
    if (qualities[i].kind == kind) {
      return &qualities[i];
    }
  }
  return NULL;
}

const QfNumeralQuality*
qf_numeral_quality_find(const QfChordKind triad, const int seventh)
{
  for (size_t i = 0; i < sizeof(qualities) / sizeof(qualities[0]); ++i) {
    if (qualities[i].triad == triad && qualities[i].seventh == seventh) {
      return &qualities[i];
    }
  }
  return NULL;
}

bool
qf_numeral_is_lower(const QfChordKind kind)
{
  const QfNumeralQuality* const quality = qf_numeral_quality(kind);
  return quality && (quality->triad == QF_CHORD_MINOR || quality->triad == QF_CHORD_DIMINISHED);
}

QfMode
qf_numeral_local_mode(const QfNumeral* const numeral, const QfMode mode)
{
  if (!numeral->n_targets) {
    return mode;
  }
  return numeral->targets[0].is_minor ? QF_MINOR : QF_MAJOR;
}

static bool
is_cautionary(const int degree, const QfMode mode)
{
  return mode == QF_MINOR && (degree == 6 || degree == 7);
}

int
qf_numeral_alter_meant(const int degree, const bool is_lower, const int signs, const QfMode mode)
{
  if (!is_cautionary(degree, mode)) {
    return signs;
  }
  if (!signs) {
    return is_lower ? 1 : 0;
  }
  return signs > 0 ? signs : signs + 1;
}

int
qf_numeral_alter_shown(const int degree, const bool is_lower, const int alter, const QfMode mode)
{
  if (!is_cautionary(degree, mode)) {
    return alter;
  }
  if (alter == (is_lower ? 1 : 0)) {
    return 0;
  }
  return alter > 0 ? alter : alter - 1;
}

int
qf_numeral_diatonic(const int degree, const int alter, const QfMode mode, const int step)
{
  const int8_t* const scale = scale_semitones[mode];
  const int           base  = is_cautionary(degree, mode) ? alter : 0;
  const int           index = degree - 1 + step - 1;
  return scale[index % 7] + 12 * (index / 7) - scale[degree - 1] - base;
}

int
qf_numeral_plain_seventh(const int         degree,
                         const int         alter,
                         const QfChordKind triad,
                         const QfMode      mode)
{
  const int seventh = qf_numeral_diatonic(degree, alter, mode, 7);
  return qf_numeral_quality_find(triad, seventh) ? seventh : 10;
}

const QfSixthForm*
qf_numeral_sixth(const QfNumeralForm form)
{
  for (size_t i = 0; i < sizeof(sixths) / sizeof(sixths[0]); ++i) {
    if (sixths[i].form == form) {
      return &sixths[i];
    }
  }
  return NULL;
}

QfStatus
qf_target_key(const QfTarget* const target, const QfKey key, QfKey* const result)
{
  QfKey          other = {{0, 0}, target->is_minor ? QF_MINOR : QF_MAJOR};
  const QfStatus st    = qf_key_degree(key, target->degree, target->alter, &other.tonic);
  if (!st) {
    *result = other;
  }
  return st;
}

QfStatus
qf_numeral_target_key(const QfNumeral* const numeral, const QfKey key, QfKey* const result)
{
  QfKey local = key;
  for (int i = numeral->n_targets - 1; i >= 0; --i) {
    const QfStatus st = qf_target_key(&numeral->targets[i], local, &local);
    if (st) {
      return st;
    }
  }

  *result = local;
  return QF_OK;
}

// A changed triad or seventh that is a chord quality of its own
typedef struct {
  QfChordKind plain;
  bool        without_third;
  int8_t      added_step;
  int8_t      added_semitones;
  QfChordKind changed;
} ChangedKind;

static const ChangedKind changed_kinds[] = {
  {QF_CHORD_MAJOR, true, 4, 5, QF_CHORD_SUS4},     {QF_CHORD_MINOR, true, 4, 5, QF_CHORD_SUS4},
  {QF_CHORD_MAJOR, true, 2, 2, QF_CHORD_SUS2},     {QF_CHORD_MINOR, true, 2, 2, QF_CHORD_SUS2},
  {QF_CHORD_DOM7, true, 4, 5, QF_CHORD_DOM7_SUS4}, {QF_CHORD_MIN7, true, 4, 5, QF_CHORD_DOM7_SUS4},
  {QF_CHORD_MAJOR, false, 6, 9, QF_CHORD_MAJ6},    {QF_CHORD_MINOR, false, 6, 9, QF_CHORD_MIN6},
  {QF_CHORD_MAJOR, false, 9, 14, QF_CHORD_ADD9},
};

static int
change_semitones(const QfNumeral* const numeral, const QfChange change, const QfMode mode)
{
  return qf_numeral_diatonic(numeral->degree, numeral->alter, mode, change.step) + change.alter;
}

/// Members left out: bit m for the member that stands on step 2m + 1
static uint8_t
omitted_members(const QfNumeral* const numeral)
{
  uint8_t omitted = 0;
  for (int i = 0; i < numeral->n_changes; ++i) {
    const QfChange change = numeral->changes[i];
    if (!change.is_added && change.step % 2 && change.step <= 9) {
      omitted = (uint8_t)(omitted | 1U << (change.step / 2));
    }
  }

  const unsigned members = (1U << qf_chord_kind_size(numeral->kind)) - 1U;
  return (uint8_t)(omitted & members);
}

static QfChord
change_kind(const QfNumeral* const numeral, const QfMode mode, QfChord chord)
{
  const bool without_third = (chord.omitted & 2U) != 0;
  for (int i = 0; i < numeral->n_changes; ++i) {
    const QfChange change = numeral->changes[i];
    for (size_t k = 0; change.is_added && k < sizeof(changed_kinds) / sizeof(changed_kinds[0]);
         ++k) {
      const ChangedKind* const line = &changed_kinds[k];
      if (line->plain == chord.kind && line->without_third == without_third &&
          line->added_step == change.step &&
          line->added_semitones == change_semitones(numeral, change, mode)) {
        chord.kind    = line->changed;
        chord.omitted = (uint8_t)(without_third ? chord.omitted & ~2U : chord.omitted);
        return chord;
      }
    }
  }
  return chord;
}

QfStatus
qf_numeral_chord(const QfNumeral* const numeral,
                 const QfKey            key,
                 QfChord* const         result,
                 QfError* const         error)
{
  QfKey    local = key;
  QfChord  chord = {numeral->kind, {0, 0}, numeral->inversion, omitted_members(numeral)};
  QfStatus st    = qf_numeral_target_key(numeral, key, &local);
  if (!st) {
    st = qf_key_degree(local, numeral->degree, numeral->alter, &chord.root);
  }

  chord = change_kind(numeral, local.mode, chord);
  for (int m = 0; !st && m < qf_chord_kind_size(chord.kind); ++m) {
    QfNoteName note = {0, 0};
    st              = qf_chord_member(chord, m, &note);
  }
  if (st) {
    char text[QF_NUMERAL_TEXT_SIZE];
    char name[24];
    qf_numeral_write(numeral, key.mode, text, sizeof(text));
    qf_key_write(key, name, sizeof(name));
    return qf_error_set(error, QF_ERR_RANGE,
                        "%s in %s needs more than %d sharps or flats on a note", text, name,
                        QF_MAX_ALTER);
  }

  *result = chord;
  return QF_OK;
}

QfStatus
qf_numeral_notes(const QfNumeral* const numeral,
                 const QfKey            key,
                 QfNoteName* const      result,
                 int* const             n_notes)
{
  QfKey    local = key;
  QfChord  chord = {numeral->kind, {0, 0}, numeral->inversion, omitted_members(numeral)};
  QfStatus st    = qf_numeral_target_key(numeral, key, &local);
  if (!st) {
    st = qf_key_degree(local, numeral->degree, numeral->alter, &chord.root);
  }

  QfNoteName notes[QF_CHORD_MAX_NOTES + QF_NUMERAL_MAX_CHANGES];
  int        n = 0;
  if (!st) {
    st = qf_chord_notes(chord, notes, &n);
  }
  for (int i = 0; !st && i < numeral->n_changes; ++i) {
    const QfChange change = numeral->changes[i];
    if (change.is_added) {
      const QfInterval up = {(int16_t)(change.step - 1),
                             (int16_t)change_semitones(numeral, change, local.mode)};
      st                  = qf_note_name_transpose(chord.root, up, &notes[n++]);
    }
  }
  if (st) {
    return st;
  }

  memcpy(result, notes, (size_t)n * sizeof(notes[0]));
  *n_notes = n;
  return QF_OK;
}

static bool
target_equals(const QfTarget a, const QfTarget b)
{
  return a.degree == b.degree && a.alter == b.alter && a.is_minor == b.is_minor &&
         a.is_neapolitan == b.is_neapolitan;
}

static bool
change_equals(const QfChange a, const QfChange b)
{
  return a.step == b.step && a.alter == b.alter && a.is_added == b.is_added;
}

bool
qf_numeral_equals(const QfNumeral* const a, const QfNumeral* const b)
{
  if (a->form != b->form || a->degree != b->degree || a->alter != b->alter || a->kind != b->kind ||
      a->inversion != b->inversion || a->n_targets != b->n_targets ||
      a->n_changes != b->n_changes) {
    return false;
  }

  for (int i = 0; i < a->n_targets; ++i) {
    if (!target_equals(a->targets[i], b->targets[i])) {
      return false;
    }
  }
  for (int i = 0; i < a->n_changes; ++i) {
    if (!change_equals(a->changes[i], b->changes[i])) {
      return false;
    }
  }
  return true;
}

static bool
is_dominant_chord(const QfNumeral* const numeral)
{
  if (numeral->form != QF_NUMERAL_ROMAN) {
    return false;
  }
  if (numeral->degree == 5) {
    return !numeral->alter &&
           (numeral->kind == QF_CHORD_MAJOR || numeral->kind == QF_CHORD_AUGMENTED ||
            qf_chord_kind_is_dominant(numeral->kind));
  }
  return numeral->degree == 7 &&
         (numeral->kind == QF_CHORD_DIMINISHED || numeral->kind == QF_CHORD_HALF_DIM7 ||
          numeral->kind == QF_CHORD_DIM7);
}

bool
qf_numeral_is_applied_dominant(const QfNumeral* const numeral)
{
  // A target of degree 1 only changes the mode: V/i in major is the key's own dominant
  const bool is_own =
    numeral->n_targets == 1 && numeral->targets[0].degree == 1 && !numeral->targets[0].alter;
  return numeral->n_targets && !is_own && is_dominant_chord(numeral);
}

QfFunction
qf_numeral_function(const QfNumeral* const numeral)
{
  // Source: Open Music Theory, "Harmonic functions": tonic 1 3 6, predominant 2 4, dominant 5 7.
  static const QfFunction by_degree[7] = {
    QF_FUNCTION_TONIC,    QF_FUNCTION_PREDOMINANT, QF_FUNCTION_TONIC,    QF_FUNCTION_PREDOMINANT,
    QF_FUNCTION_DOMINANT, QF_FUNCTION_TONIC,       QF_FUNCTION_DOMINANT,
  };

  if (numeral->n_targets && (numeral->targets[0].degree != 1 || numeral->targets[0].alter)) {
    return QF_FUNCTION_APPLIED;
  }
  if (numeral->form == QF_NUMERAL_CADENTIAL) {
    return QF_FUNCTION_DOMINANT;
  }
  if (numeral->form != QF_NUMERAL_ROMAN) {
    return QF_FUNCTION_PREDOMINANT;
  }
  return by_degree[numeral->degree - 1];
}

const char*
qf_function_name(const QfFunction function)
{
  static const char* const names[] = {
    [QF_FUNCTION_TONIC]       = "tonic",
    [QF_FUNCTION_PREDOMINANT] = "predominant",
    [QF_FUNCTION_DOMINANT]    = "dominant",
    [QF_FUNCTION_APPLIED]     = "applied",
  };
  return names[function];
}
