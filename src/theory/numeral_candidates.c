// SPDX-License-Identifier: MIT
#include "numeral_rules.h"

#include <string.h>

/// A chord that a mode offers without applying anything
typedef struct {
  int8_t      degree;
  int8_t      alter; ///< Against the natural scale
  QfChordKind kind;
} OwnChord;

// Sources: MT21C "Diatonic Chords", Open Music Theory "Roman numerals and SATB chord construction":
// sevenths as the scale gives them, in minor with the raised seventh degree on V and vii.
static const OwnChord major_diatonic[] = {
  {1, 0, QF_CHORD_MAJOR},      {2, 0, QF_CHORD_MINOR},     {3, 0, QF_CHORD_MINOR},
  {4, 0, QF_CHORD_MAJOR},      {5, 0, QF_CHORD_MAJOR},     {6, 0, QF_CHORD_MINOR},
  {7, 0, QF_CHORD_DIMINISHED}, {1, 0, QF_CHORD_MAJ7},      {2, 0, QF_CHORD_MIN7},
  {3, 0, QF_CHORD_MIN7},       {4, 0, QF_CHORD_MAJ7},      {5, 0, QF_CHORD_DOM7},
  {6, 0, QF_CHORD_MIN7},       {7, 0, QF_CHORD_HALF_DIM7}, {5, 0, QF_CHORD_DOM9},
};

static const OwnChord minor_diatonic[] = {
  {1, 0, QF_CHORD_MINOR},      {2, 0, QF_CHORD_DIMINISHED}, {3, 0, QF_CHORD_MAJOR},
  {4, 0, QF_CHORD_MINOR},      {5, 0, QF_CHORD_MAJOR},      {5, 0, QF_CHORD_MINOR},
  {6, 0, QF_CHORD_MAJOR},      {7, 0, QF_CHORD_MAJOR},      {7, 1, QF_CHORD_DIMINISHED},
  {3, 0, QF_CHORD_AUGMENTED},  {1, 0, QF_CHORD_MIN7},       {1, 0, QF_CHORD_MIN_MAJ7},
  {2, 0, QF_CHORD_HALF_DIM7},  {3, 0, QF_CHORD_MAJ7},       {3, 0, QF_CHORD_AUG_MAJ7},
  {4, 0, QF_CHORD_MIN7},       {5, 0, QF_CHORD_DOM7},       {5, 0, QF_CHORD_MIN7},
  {6, 0, QF_CHORD_MAJ7},       {7, 0, QF_CHORD_DOM7},       {7, 1, QF_CHORD_DIM7},
  {5, 0, QF_CHORD_DOM_MINOR9},
};

// Chords with the raised sixth degree of the ascending minor scale
static const OwnChord minor_melodic[] = {
  {2, 0, QF_CHORD_MINOR}, {4, 0, QF_CHORD_MAJOR},     {6, 1, QF_CHORD_DIMINISHED},
  {2, 0, QF_CHORD_MIN7},  {6, 1, QF_CHORD_HALF_DIM7},
};

static const OwnChord minor_melodic_dominant[] = {
  {4, 0, QF_CHORD_DOM7},
};

// Sources: Open Music Theory, "Modal mixture"; MT21C, "Modal Mixture" (borrowed chords).
static const OwnChord major_mixture[] = {
  {7, 0, QF_CHORD_DIM7},       {1, 0, QF_CHORD_MINOR},  {2, 0, QF_CHORD_DIMINISHED},
  {2, 0, QF_CHORD_HALF_DIM7},  {3, -1, QF_CHORD_MAJOR}, {4, 0, QF_CHORD_MINOR},
  {6, -1, QF_CHORD_MAJOR},     {7, -1, QF_CHORD_MAJOR}, {5, 0, QF_CHORD_MINOR},
  {1, 0, QF_CHORD_MIN7},       {4, 0, QF_CHORD_MIN7},   {3, -1, QF_CHORD_MAJ7},
  {6, -1, QF_CHORD_MAJ7},      {7, -1, QF_CHORD_DOM7},  {5, 0, QF_CHORD_MIN7},
  {5, 0, QF_CHORD_DOM_MINOR9},
};

static const OwnChord minor_mixture[] = {
  {1, 0, QF_CHORD_MAJOR},
};

// Source: MT21C, "Secondary Dominants": every degree with a major or minor triad, never a
// diminished one. The usual ones first.
static const QfTarget major_targets[] = {
  {5, 0, false, false}, {4, 0, false, false}, {2, 0, true, false},
  {6, 0, true, false},  {3, 0, true, false},
};

static const QfTarget minor_targets[] = {
  {5, 0, false, false}, {4, 0, true, false},  {3, 0, false, false},
  {6, 0, false, false}, {7, 0, false, false},
};

static const QfChordKind dominant_kinds[] = {
  QF_CHORD_MAJOR,     QF_CHORD_DOM7, QF_CHORD_DOM9,       QF_CHORD_DOM_MINOR9,
  QF_CHORD_AUGMENTED, QF_CHORD_AUG7, QF_CHORD_DOM7_FLAT5,
};

static const QfChordKind leading_kinds[] = {
  QF_CHORD_DIMINISHED,
  QF_CHORD_DIM7,
  QF_CHORD_HALF_DIM7,
};

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/// What is being asked, and the readings found so far
typedef struct {
  QfChord    chord; ///< Its kind as numerals have it
  QfKey      key;
  QfChange   changes[2]; ///< What turns the numeral's kind into the chord's
  uint8_t    n_changes;
  QfNumeral* result;
  size_t     n_found;
  size_t     max;
} Search;

static bool
is_listed(const Search* const search, const QfNumeral* const numeral)
{
  for (size_t i = 0; i < search->n_found; ++i) {
    if (qf_numeral_equals(&search->result[i], numeral)) {
      return true;
    }
  }
  return false;
}

static void
offer(Search* const search, QfNumeral numeral)
{
  numeral.inversion = search->chord.inversion;
  numeral.n_changes = search->n_changes;
  memcpy(numeral.changes, search->changes, sizeof(search->changes));
  if (search->n_found < search->max && !is_listed(search, &numeral)) {
    search->result[search->n_found++] = numeral;
  }
}

static QfNumeral
roman(const int degree, const int alter, const QfChordKind kind)
{
  return (QfNumeral){
    .form = QF_NUMERAL_ROMAN, .degree = (int8_t)degree, .alter = (int8_t)alter, .kind = kind};
}

static void
offer_own(Search* const search, const OwnChord* const chords, const size_t n_chords)
{
  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(search->key, search->chord.root, &degree, &alter);
  for (size_t i = 0; i < n_chords; ++i) {
    if (chords[i].degree == degree && chords[i].alter == alter &&
        chords[i].kind == search->chord.kind) {
      offer(search, roman(degree, alter, search->chord.kind));
    }
  }
}

static bool
has_kind(const QfChordKind* const kinds, const size_t n_kinds, const QfChordKind kind)
{
  for (size_t i = 0; i < n_kinds; ++i) {
    if (kinds[i] == kind) {
      return true;
    }
  }
  return false;
}

/// Offer V/X and vii/X for the targets given, nearest first
static void
offer_applied_to(Search* const search, const QfTarget* const targets, const uint8_t n_targets)
{
  QfKey     local   = search->key;
  QfNumeral numeral = roman(0, 0, search->chord.kind);
  numeral.n_targets = n_targets;
  memcpy(numeral.targets, targets, n_targets * sizeof(targets[0]));
  if (qf_numeral_target_key(&numeral, search->key, &local)) {
    return;
  }

  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(local, search->chord.root, &degree, &alter);
  const int  leading = local.mode == QF_MINOR ? 1 : 0;
  const bool is_dominant =
    degree == 5 && !alter && has_kind(dominant_kinds, COUNT(dominant_kinds), search->chord.kind);
  const bool is_leading = degree == 7 && alter == leading &&
                          has_kind(leading_kinds, COUNT(leading_kinds), search->chord.kind);
  if (is_dominant || is_leading) {
    numeral.degree = (int8_t)degree;
    numeral.alter  = (int8_t)alter;
    offer(search, numeral);
  }
}

static const QfTarget*
targets_of(const QfMode mode, size_t* const n_targets)
{
  *n_targets = mode == QF_MAJOR ? COUNT(major_targets) : COUNT(minor_targets);
  return mode == QF_MAJOR ? major_targets : minor_targets;
}

static void
offer_applied(Search* const search)
{
  size_t                n_targets = 0;
  const QfTarget* const targets   = targets_of(search->key.mode, &n_targets);
  for (size_t i = 0; i < n_targets; ++i) {
    offer_applied_to(search, &targets[i], 1);
  }
}

/// Offer V/V/X: the dominant of an applied dominant
static void
offer_twice_applied(Search* const search)
{
  size_t                n_targets = 0;
  const QfTarget* const targets   = targets_of(search->key.mode, &n_targets);
  for (size_t i = 0; i < n_targets; ++i) {
    // V/V/IV is the key's own dominant
    if (targets[i].degree == 4) {
      continue;
    }
    const QfTarget chain[2] = {{5, 0, false, false}, targets[i]};
    offer_applied_to(search, chain, 2);
  }
}

static void
offer_neapolitan(Search* const search)
{
  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(search->key, search->chord.root, &degree, &alter);
  if (degree == 2 && alter == -1 &&
      (search->chord.kind == QF_CHORD_MAJOR || search->chord.kind == QF_CHORD_MAJ7)) {
    QfNumeral numeral = roman(2, -1, search->chord.kind);
    numeral.form      = QF_NUMERAL_NEAPOLITAN;
    offer(search, numeral);
  }
}

static bool
is_sixth_kind(const QfChordKind kind, const QfChordKind sixth)
{
  // The French sixth has the notes of a dominant seventh with lowered fifth
  return kind == sixth || (kind == QF_CHORD_DOM7_FLAT5 && sixth == QF_CHORD_FRENCH);
}

static void
offer_sixth_in(Search* const search, const QfKey local, const QfTarget* const target)
{
  static const QfNumeralForm forms[] = {QF_NUMERAL_ITALIAN, QF_NUMERAL_FRENCH, QF_NUMERAL_GERMAN,
                                        QF_NUMERAL_SWISS};

  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(local, search->chord.root, &degree, &alter);
  for (size_t i = 0; i < COUNT(forms); ++i) {
    const QfSixthForm* const sixth = qf_numeral_sixth(forms[i]);
    if (sixth->degree == degree && sixth->alter == alter &&
        is_sixth_kind(search->chord.kind, sixth->kind) && sixth->figures[search->chord.inversion]) {
      QfNumeral numeral = roman(degree, alter, sixth->kind);
      numeral.form      = forms[i];
      numeral.n_targets = target ? 1 : 0;
      if (target) {
        numeral.targets[0] = *target;
      }
      offer(search, numeral);
    }
  }
}

static void
offer_sixths(Search* const search)
{
  offer_sixth_in(search, search->key, NULL);

  size_t                n_targets = 0;
  const QfTarget* const targets   = targets_of(search->key.mode, &n_targets);
  for (size_t i = 0; i < n_targets; ++i) {
    QfKey local = search->key;
    if (!qf_target_key(&targets[i], search->key, &local)) {
      offer_sixth_in(search, local, &targets[i]);
    }
  }
}

static void
offer_plain(Search* const search)
{
  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(search->key, search->chord.root, &degree, &alter);
  if (qf_numeral_quality(search->chord.kind) && alter >= -3 && alter <= 3) {
    offer(search, roman(degree, alter, search->chord.kind));
  }
}

// Numerals write these kinds as a plainer one with brackets
typedef struct {
  QfChordKind kind;
  QfChordKind plain;
  bool        without_third;
  int8_t      step;
  int8_t      semitones;
} Rewritten;

static const Rewritten rewritten[] = {
  {QF_CHORD_SUS2, QF_CHORD_MAJOR, true, 2, 2},     {QF_CHORD_SUS4, QF_CHORD_MAJOR, true, 4, 5},
  {QF_CHORD_DOM7_SUS4, QF_CHORD_DOM7, true, 4, 5}, {QF_CHORD_MAJ6, QF_CHORD_MAJOR, false, 6, 9},
  {QF_CHORD_MIN6, QF_CHORD_MINOR, false, 6, 9},    {QF_CHORD_ADD9, QF_CHORD_MAJOR, false, 9, 14},
};

/// Offer a chord with brackets on its degree in the key
static void
offer_rewritten(Search* const search, const Rewritten* const line)
{
  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(search->key, search->chord.root, &degree, &alter);

  // A suspended chord has no third of its own: take the degree's, but V is major
  const bool is_minor = line->without_third && line->plain == QF_CHORD_MAJOR && degree != 5 &&
                        qf_numeral_diatonic(degree, alter, search->key.mode, 3) == 3;
  const int plain_step = qf_numeral_diatonic(degree, alter, search->key.mode, line->step);

  search->chord.kind = is_minor ? QF_CHORD_MINOR : line->plain;
  search->n_changes  = 0;
  if (line->without_third) {
    search->changes[search->n_changes++] = (QfChange){3, 0, false};
  }
  search->changes[search->n_changes++] =
    (QfChange){line->step, (int8_t)(line->semitones - plain_step), true};
  offer_plain(search);
}

static void
search_all(Search* const search)
{
  const bool is_minor      = search->key.mode == QF_MINOR;
  const bool is_root_tonic = !search->chord.inversion && is_minor;

  offer_own(search, is_minor ? minor_diatonic : major_diatonic,
            is_minor ? COUNT(minor_diatonic) : COUNT(major_diatonic));
  if (is_minor) {
    offer_own(search, minor_melodic, COUNT(minor_melodic));
  }
  if (is_root_tonic) {
    offer_own(search, minor_mixture, COUNT(minor_mixture));
  }
  offer_neapolitan(search);
  offer_sixths(search);
  offer_applied(search);
  if (is_minor) {
    offer_own(search, minor_melodic_dominant, COUNT(minor_melodic_dominant));
    offer_own(search, minor_mixture, COUNT(minor_mixture));
  } else {
    offer_own(search, major_mixture, COUNT(major_mixture));
  }

  if (!search->n_found) {
    offer_twice_applied(search);
    offer_plain(search);
  }
}

size_t
qf_numeral_candidates(const QfChord    chord,
                      const QfKey      key,
                      QfNumeral* const result,
                      const size_t     max)
{
  Search search = {.chord = chord, .key = key, .result = result, .max = max};
  if (chord.kind == QF_CHORD_FRENCH) {
    search.chord.kind = QF_CHORD_DOM7_FLAT5;
  }

  // RomanText has no figures for a ninth in the bass
  if (chord.inversion > 3) {
    return 0;
  }

  for (size_t i = 0; i < COUNT(rewritten); ++i) {
    if (rewritten[i].kind == chord.kind) {
      offer_rewritten(&search, &rewritten[i]);
      return search.n_found;
    }
  }
  search_all(&search);
  return search.n_found;
}
