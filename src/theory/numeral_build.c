// SPDX-License-Identifier: MIT
// A numeral from what its text says: figures, qualities and changes.
#include "numeral_reading.h"
#include "numeral_rules.h"

#include <string.h>

/// One set of figures and what it says
typedef struct {
  const char* figures;
  int8_t      inversion;
  bool        has_seventh;
  int8_t      added; ///< 9, 11 or 13, else 0
} FigureSet;

// Source: "The RomanText Format"; short and full figures are common practice.
static const FigureSet figure_sets[] = {
  {"", 0, false, 0},   {"5", 0, false, 0},   {"3", 0, false, 0},  {"53", 0, false, 0},
  {"8", 0, false, 0},  {"853", 0, false, 0}, {"6", 1, false, 0},  {"63", 1, false, 0},
  {"64", 2, false, 0}, {"7", 0, true, 0},    {"75", 0, true, 0},  {"73", 0, true, 0},
  {"753", 0, true, 0}, {"65", 1, true, 0},   {"653", 1, true, 0}, {"43", 2, true, 0},
  {"643", 2, true, 0}, {"42", 3, true, 0},   {"2", 3, true, 0},   {"642", 3, true, 0},
  {"9", 0, true, 9},   {"97", 0, true, 9},   {"975", 0, true, 9}, {"9753", 0, true, 9},
  {"11", 0, true, 11}, {"13", 0, true, 13},
};

static const FigureSet*
find_figures(const char* const figures)
{
  for (size_t i = 0; i < sizeof(figure_sets) / sizeof(figure_sets[0]); ++i) {
    if (!strcmp(figures, figure_sets[i].figures)) {
      return &figure_sets[i];
    }
  }
  return NULL;
}

static QfStatus
add_change(const NumeralReader* const reader, QfNumeral* const numeral, const QfChange change)
{
  if (numeral->n_changes == QF_NUMERAL_MAX_CHANGES) {
    return qf_numeral_fault(reader, 0, "at most four changes in brackets");
  }
  numeral->changes[numeral->n_changes++] = change;
  return QF_OK;
}

/// A change that makes a plain chord one of the other qualities
typedef struct {
  QfChordKind plain;
  int8_t      step;
  int8_t      semitones;
  bool        must_replace; ///< [#5], not [add#5]
  QfChordKind changed;
} Fold;

static const Fold folds[] = {
  {QF_CHORD_DOM7, 9, 14, false, QF_CHORD_DOM9},
  {QF_CHORD_DOM7, 9, 13, false, QF_CHORD_DOM_MINOR9},
  // In minor the ninth of V is low already and [b9] only says so again
  {QF_CHORD_DOM7, 9, 12, false, QF_CHORD_DOM_MINOR9},
  {QF_CHORD_DOM7, 5, 6, true, QF_CHORD_DOM7_FLAT5},
  {QF_CHORD_DOM7, 5, 8, true, QF_CHORD_AUG7},
  {QF_CHORD_MAJ7, 5, 8, true, QF_CHORD_AUG_MAJ7},
  {QF_CHORD_MAJOR, 5, 8, true, QF_CHORD_AUGMENTED},
};

/// True if the change is now part of the numeral's quality
static bool
fold(QfNumeral* const numeral, const QfChange change, const bool replaces, const QfMode mode)
{
  if (!change.is_added) {
    return false;
  }

  const int semitones =
    qf_numeral_diatonic(numeral->degree, numeral->alter, mode, change.step) + change.alter;
  for (size_t i = 0; i < sizeof(folds) / sizeof(folds[0]); ++i) {
    if (folds[i].plain == numeral->kind && folds[i].step == change.step &&
        folds[i].semitones == semitones && (replaces || !folds[i].must_replace)) {
      numeral->kind = folds[i].changed;
      return true;
    }
  }
  return false;
}

/// Carry the brackets, and a ninth among the figures, over to the numeral
static QfStatus
apply_changes(const NumeralReader* const reader,
              const NumeralBody* const   body,
              const int                  figured,
              const QfMode               mode,
              QfNumeral* const           numeral)
{
  // V9[b9] is one ninth, not two
  bool is_bracketed = false;
  for (int i = 0; i < body->n_changes; ++i) {
    is_bracketed = is_bracketed || (body->changes[i].step == figured && body->replaces[i]);
  }

  const QfChange ninth = {(int8_t)figured, 0, true};
  if (figured && !is_bracketed && !fold(numeral, ninth, false, mode)) {
    const QfStatus st = add_change(reader, numeral, ninth);
    if (st) {
      return st;
    }
  }

  for (int i = 0; i < body->n_changes; ++i) {
    const QfChange change = body->changes[i];
    if (fold(numeral, change, body->replaces[i], mode)) {
      continue;
    }

    // [#5] stands for [no5][add#5]
    const bool is_member = change.step == 3 || change.step == 5;
    QfStatus   st        = QF_OK;
    if (body->replaces[i] && is_member) {
      st = add_change(reader, numeral, (QfChange){change.step, 0, false});
    }
    if (!st) {
      st = add_change(reader, numeral, change);
    }
    if (st) {
      return st;
    }
  }
  return QF_OK;
}

static QfChordKind
triad_of(const NumeralHead* const head, const NumeralBody* const body)
{
  if (body->is_half || body->is_diminished) {
    return QF_CHORD_DIMINISHED;
  }
  if (body->is_augmented) {
    return QF_CHORD_AUGMENTED;
  }
  return head->is_lower ? QF_CHORD_MINOR : QF_CHORD_MAJOR;
}

static int
seventh_of(const QfNumeral* const   numeral,
           const NumeralBody* const body,
           const QfChordKind        triad,
           const QfMode             mode)
{
  if (body->has_major_sign) {
    return 11;
  }
  if (body->is_half || body->has_minor_sign) {
    return 10;
  }
  if (body->is_diminished) {
    return 9;
  }
  return qf_numeral_plain_seventh(numeral->degree, numeral->alter, triad, mode);
}

static QfStatus
build_roman(const NumeralReader* const reader,
            const NumeralHead* const   head,
            const NumeralBody* const   body,
            const QfMode               mode,
            QfNumeral* const           numeral)
{
  const FigureSet* const figures = find_figures(body->figures);
  if (!figures) {
    return qf_numeral_fault(reader, 0, "the figures 6, 64, 7, 65, 43, 42, 2 or 9");
  }

  numeral->form      = head->form;
  numeral->degree    = (int8_t)head->degree;
  numeral->inversion = figures->inversion;
  numeral->alter =
    (int8_t)(head->type == HEAD_NEAPOLITAN
               ? -1
               : qf_numeral_alter_meant(head->degree, head->is_lower, head->signs, mode));

  // The bare half-diminished sign means a seventh chord
  const bool        has_seventh = figures->has_seventh || (body->is_half && !body->n_figures);
  const QfChordKind triad       = triad_of(head, body);
  const int         seventh     = has_seventh ? seventh_of(numeral, body, triad, mode) : 0;
  const QfNumeralQuality* const quality = qf_numeral_quality_find(triad, seventh);
  if (!quality) {
    return qf_numeral_fault(reader, 0, "a seventh that fits the triad");
  }
  numeral->kind = quality->kind;
  return apply_changes(reader, body, figures->added, mode, numeral);
}

static QfStatus
build_cadential(const NumeralReader* const reader,
                const NumeralBody* const   body,
                const QfMode               mode,
                QfNumeral* const           numeral)
{
  const bool is_bare = !body->n_changes && !body->is_half && !body->is_diminished &&
                       !body->is_augmented && !body->has_major_sign && !body->has_minor_sign;
  if (!is_bare || (body->n_figures && strcmp(body->figures, "64") != 0)) {
    return qf_numeral_fault(reader, 0, "Cad64");
  }

  numeral->form      = QF_NUMERAL_CADENTIAL;
  numeral->degree    = 1;
  numeral->inversion = 2;
  numeral->kind      = mode == QF_MINOR ? QF_CHORD_MINOR : QF_CHORD_MAJOR;
  return QF_OK;
}

static int
sixth_inversion(const QfSixthForm* const sixth, const NumeralBody* const body)
{
  if (!body->n_figures) {
    return sixth->usual;
  }

  const FigureSet* const figures = find_figures(body->figures);
  for (int i = 0; figures && i < 4; ++i) {
    const FigureSet* const own = sixth->figures[i] ? find_figures(sixth->figures[i]) : NULL;
    if (own && own->inversion == figures->inversion && own->has_seventh == figures->has_seventh) {
      return i;
    }
  }

  // Ger6 and Fr6 are short for the position with the lowered sixth degree in the bass
  return !strcmp(body->figures, "6") ? sixth->usual : -1;
}

static QfStatus
build_sixth(const NumeralReader* const reader,
            const NumeralHead* const   head,
            const NumeralBody* const   body,
            QfNumeral* const           numeral)
{
  const QfSixthForm* const sixth     = qf_numeral_sixth(head->form);
  const int                inversion = sixth_inversion(sixth, body);
  const bool               is_plain  = !body->n_changes && !body->is_half && !body->is_diminished;
  if (inversion < 0 || !is_plain) {
    return qf_numeral_fault(reader, 0, "It6, Fr43, Ger65, Sw43 or another position of these");
  }

  numeral->form      = sixth->form;
  numeral->degree    = sixth->degree;
  numeral->alter     = sixth->alter;
  numeral->kind      = sixth->kind;
  numeral->inversion = (int8_t)inversion;
  return QF_OK;
}

QfStatus
qf_numeral_build(const NumeralReader* const reader,
                 const NumeralHead* const   head,
                 const NumeralBody* const   body,
                 const QfMode               mode,
                 QfNumeral* const           numeral)
{
  switch (head->type) {
    case HEAD_CADENTIAL:
      return build_cadential(reader, body, mode, numeral);
    case HEAD_SIXTH:
      return build_sixth(reader, head, body, numeral);
    default:
      return build_roman(reader, head, body, mode, numeral);
  }
}
