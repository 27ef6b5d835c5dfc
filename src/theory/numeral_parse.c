// SPDX-License-Identifier: MIT
#include "accidental.h"
#include "numeral_rules.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_FIGURES      = 8,
  MAX_DEGREE_SIGNS = 3, ///< Most signs before a degree; more cannot be spelled in any key
  MAX_DEPTH        = QF_NUMERAL_MAX_TARGETS,
};

/// Text being read, and where complaints go
typedef struct {
  const char* text;
  size_t      at;
  QfError*    error;
} Reader;

typedef enum { HEAD_ROMAN, HEAD_NEAPOLITAN, HEAD_CADENTIAL, HEAD_SIXTH } HeadType;

typedef struct {
  HeadType      type;
  QfNumeralForm form;
  int           degree;
  bool          is_lower;
  int           signs;
} Head;

/// What stands between a numeral's head and its target
typedef struct {
  bool     is_half;
  bool     is_diminished;
  bool     is_augmented;
  bool     has_major_sign; ///< maj, M
  bool     has_minor_sign; ///< d, dom, m, min
  char     figures[MAX_FIGURES + 1];
  int      n_figures;
  uint8_t  n_changes;
  QfChange changes[QF_NUMERAL_MAX_CHANGES];
  bool     replaces[QF_NUMERAL_MAX_CHANGES]; ///< [b9], [#5]: neither add nor no
} Body;

static QfStatus
fault(const Reader* const reader, const size_t offset, const char* const expected)
{
  return qf_error_at(reader->error, offset,
                     qf_error_set(reader->error, QF_ERR_BAD_TEXT,
                                  "\"%.40s\" is not a numeral at \"%.16s\": expected %s",
                                  reader->text, reader->text + offset, expected));
}

static bool
take(Reader* const reader, const char* const word)
{
  const size_t length = strlen(word);
  if (strncmp(reader->text + reader->at, word, length)) {
    return false;
  }
  reader->at += length;
  return true;
}

/// Read signs; RomanText also writes a flat as a hyphen
static int
read_signs(Reader* const reader)
{
  int          alter  = 0;
  const size_t n_read = qf_accidental_read(reader->text + reader->at, &alter);
  reader->at += n_read;
  while (!n_read && take(reader, "-")) {
    --alter;
  }
  return alter;
}

static QfStatus
read_head(Reader* const reader, Head* const head)
{
  // Longer words first
  static const struct {
    const char* word;
    Head        head;
  } heads[] = {
    {"Cad", {HEAD_CADENTIAL, QF_NUMERAL_CADENTIAL, 1, false, 0}},
    {"Ger", {HEAD_SIXTH, QF_NUMERAL_GERMAN, 4, false, 0}},
    {"It", {HEAD_SIXTH, QF_NUMERAL_ITALIAN, 4, false, 0}},
    {"Fr", {HEAD_SIXTH, QF_NUMERAL_FRENCH, 2, false, 0}},
    {"Sw", {HEAD_SIXTH, QF_NUMERAL_SWISS, 4, false, 0}},
    {"N", {HEAD_NEAPOLITAN, QF_NUMERAL_NEAPOLITAN, 2, false, 0}},
    {"VII", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 7, false, 0}},
    {"VI", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 6, false, 0}},
    {"V", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 5, false, 0}},
    {"IV", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 4, false, 0}},
    {"III", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 3, false, 0}},
    {"II", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 2, false, 0}},
    {"I", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 1, false, 0}},
    {"vii", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 7, true, 0}},
    {"vi", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 6, true, 0}},
    {"v", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 5, true, 0}},
    {"iv", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 4, true, 0}},
    {"iii", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 3, true, 0}},
    {"ii", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 2, true, 0}},
    {"i", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 1, true, 0}},
  };

  const size_t start = reader->at;
  const int    signs = read_signs(reader);
  for (size_t i = 0; i < sizeof(heads) / sizeof(heads[0]); ++i) {
    if (take(reader, heads[i].word)) {
      *head       = heads[i].head;
      head->signs = signs;
      if (signs && head->type != HEAD_ROMAN) {
        return fault(reader, start, "no sharp or flat before this name");
      }
      if (abs(signs) > MAX_DEGREE_SIGNS) {
        return fault(reader, start, "at most three sharps or flats");
      }
      return QF_OK;
    }
  }
  return fault(reader, start, "I to VII, i to vii, N, It, Fr, Ger, Sw or Cad");
}

static bool
read_quality(Reader* const reader, Body* const body)
{
  typedef enum { HALF, DIMINISHED, AUGMENTED, MAJOR_SIGN, MINOR_SIGN } Sign;

  static const struct {
    const char* word;
    Sign        sign;
  } signs[] = {
    {"/o", HALF},        {"/0", HALF},        {"\u00F8", HALF},       {"\u00D8", HALF},
    {"%", HALF},         {"o", DIMINISHED},   {"\u00B0", DIMINISHED}, {"+", AUGMENTED},
    {"maj", MAJOR_SIGN}, {"Maj", MAJOR_SIGN}, {"M", MAJOR_SIGN},      {"min", MINOR_SIGN},
    {"m", MINOR_SIGN},   {"dom", MINOR_SIGN}, {"d", MINOR_SIGN},
  };

  for (size_t i = 0; i < sizeof(signs) / sizeof(signs[0]); ++i) {
    if (take(reader, signs[i].word)) {
      body->is_half        = body->is_half || signs[i].sign == HALF;
      body->is_diminished  = body->is_diminished || signs[i].sign == DIMINISHED;
      body->is_augmented   = body->is_augmented || signs[i].sign == AUGMENTED;
      body->has_major_sign = body->has_major_sign || signs[i].sign == MAJOR_SIGN;
      body->has_minor_sign = body->has_minor_sign || signs[i].sign == MINOR_SIGN;
      return true;
    }
  }
  return false;
}

static bool
is_digit(const char c)
{
  return c >= '0' && c <= '9';
}

/// Read one figure, with the slash that may part it from the one before
static bool
read_figure(Reader* const reader, Body* const body)
{
  const char* c = reader->text + reader->at;
  if (*c == '/' && body->n_figures) {
    ++c;
  }
  if (!is_digit(*c) || body->n_figures == MAX_FIGURES) {
    return false;
  }

  body->figures[body->n_figures++] = *c;
  reader->at                       = (size_t)(c + 1 - reader->text);
  return true;
}

static QfStatus
read_change(Reader* const reader, Body* const body)
{
  const size_t start = reader->at;
  take(reader, "[");

  const bool is_added = take(reader, "add");
  const bool is_no    = !is_added && take(reader, "no");
  int        alter    = read_signs(reader);
  int        step     = 0;
  while (is_digit(reader->text[reader->at]) && step < 100) {
    step = 10 * step + (reader->text[reader->at++] - '0');
  }
  if (!take(reader, "]") || step < 1 || step > 13 || abs(alter) > 2 || (is_no && alter)) {
    return fault(reader, start, "such as [add4], [addb9], [no3] or [b9]");
  }
  if (body->n_changes == QF_NUMERAL_MAX_CHANGES) {
    return fault(reader, start, "at most four changes in brackets");
  }

  body->replaces[body->n_changes]  = !is_added && !is_no;
  body->changes[body->n_changes++] = (QfChange){(int8_t)step, (int8_t)alter, !is_no};
  return QF_OK;
}

static QfStatus
read_body(Reader* const reader, Body* const body)
{
  for (;;) {
    if (reader->text[reader->at] == '[') {
      const QfStatus st = read_change(reader, body);
      if (st) {
        return st;
      }
    } else if (!read_quality(reader, body) && !read_figure(reader, body)) {
      return QF_OK;
    }
  }
}

/// Read the target and all beyond it; nearest first, resolved against the outer ones
static QfStatus
read_targets(Reader* const reader, const QfMode mode, QfTarget* targets, uint8_t* n_targets)
{
  Head    heads[MAX_DEPTH];
  uint8_t n_heads = 0;
  while (take(reader, "/")) {
    const size_t start = reader->at;
    if (n_heads == MAX_DEPTH) {
      return fault(reader, start, "at most four targets after one another");
    }
    const QfStatus st = read_head(reader, &heads[n_heads]);
    if (st) {
      return st;
    }
    if (heads[n_heads].type == HEAD_CADENTIAL || heads[n_heads].type == HEAD_SIXTH) {
      return fault(reader, start, "a degree that can be tonicized, I to VII, i to vii or N");
    }
    ++n_heads;
  }

  QfMode outer = mode;
  *n_targets   = n_heads;
  for (int i = n_heads - 1; i >= 0; --i) {
    const bool is_n = heads[i].type == HEAD_NEAPOLITAN;
    const int  alter =
      is_n ? -1 : qf_numeral_alter_meant(heads[i].degree, heads[i].is_lower, heads[i].signs, outer);
    targets[i] = (QfTarget){(int8_t)heads[i].degree, (int8_t)alter, heads[i].is_lower, is_n};

    // Whatever is applied to the key's own tonic belongs to the key
    const QfMode inner = heads[i].is_lower ? QF_MINOR : QF_MAJOR;
    if (heads[i].degree == 1 && !alter && inner == outer) {
      memmove(&targets[i], &targets[i + 1], (size_t)(*n_targets - 1 - i) * sizeof(targets[0]));
      --*n_targets;
    }
    outer = inner;
  }
  return QF_OK;
}

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
add_change(const Reader* const reader, QfNumeral* const numeral, const QfChange change)
{
  if (numeral->n_changes == QF_NUMERAL_MAX_CHANGES) {
    return fault(reader, 0, "at most four changes in brackets");
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
apply_changes(const Reader* const reader,
              const Body* const   body,
              const int           figured,
              const QfMode        mode,
              QfNumeral* const    numeral)
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
triad_of(const Head* const head, const Body* const body)
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
seventh_of(const QfNumeral* const numeral,
           const Body* const      body,
           const QfChordKind      triad,
           const QfMode           mode)
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
build_roman(const Reader* const reader,
            const Head* const   head,
            const Body* const   body,
            const QfMode        mode,
            QfNumeral* const    numeral)
{
  const FigureSet* const figures = find_figures(body->figures);
  if (!figures) {
    return fault(reader, 0, "the figures 6, 64, 7, 65, 43, 42, 2 or 9");
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
    return fault(reader, 0, "a seventh that fits the triad");
  }
  numeral->kind = quality->kind;
  return apply_changes(reader, body, figures->added, mode, numeral);
}

static QfStatus
build_cadential(const Reader* const reader,
                const Body* const   body,
                const QfMode        mode,
                QfNumeral* const    numeral)
{
  const bool is_bare = !body->n_changes && !body->is_half && !body->is_diminished &&
                       !body->is_augmented && !body->has_major_sign && !body->has_minor_sign;
  if (!is_bare || (body->n_figures && strcmp(body->figures, "64") != 0)) {
    return fault(reader, 0, "Cad64");
  }

  numeral->form      = QF_NUMERAL_CADENTIAL;
  numeral->degree    = 1;
  numeral->inversion = 2;
  numeral->kind      = mode == QF_MINOR ? QF_CHORD_MINOR : QF_CHORD_MAJOR;
  return QF_OK;
}

static int
sixth_inversion(const QfSixthForm* const sixth, const Body* const body)
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
build_sixth(const Reader* const reader,
            const Head* const   head,
            const Body* const   body,
            QfNumeral* const    numeral)
{
  const QfSixthForm* const sixth     = qf_numeral_sixth(head->form);
  const int                inversion = sixth_inversion(sixth, body);
  const bool               is_plain  = !body->n_changes && !body->is_half && !body->is_diminished;
  if (inversion < 0 || !is_plain) {
    return fault(reader, 0, "It6, Fr43, Ger65, Sw43 or another position of these");
  }

  numeral->form      = sixth->form;
  numeral->degree    = sixth->degree;
  numeral->alter     = sixth->alter;
  numeral->kind      = sixth->kind;
  numeral->inversion = (int8_t)inversion;
  return QF_OK;
}

QfStatus
qf_numeral_parse(const char* const text,
                 const QfMode      mode,
                 QfNumeral* const  result,
                 QfError* const    error)
{
  Reader    reader  = {text, 0, error};
  Head      head    = {0};
  Body      body    = {0};
  QfNumeral numeral = {0};

  QfStatus st = read_head(&reader, &head);
  st          = st ? st : read_body(&reader, &body);
  st          = st ? st : read_targets(&reader, mode, numeral.targets, &numeral.n_targets);
  if (!st && text[reader.at]) {
    st = fault(&reader, reader.at, "figures, a quality sign, [add..], [no..] or /target");
  }
  if (st) {
    return st;
  }

  const QfMode local = qf_numeral_local_mode(&numeral, mode);
  switch (head.type) {
    case HEAD_ROMAN:
    case HEAD_NEAPOLITAN:
      st = build_roman(&reader, &head, &body, local, &numeral);
      break;
    case HEAD_CADENTIAL:
      st = build_cadential(&reader, &body, local, &numeral);
      break;
    case HEAD_SIXTH:
      st = build_sixth(&reader, &head, &body, &numeral);
      break;
  }
  if (!st) {
    *result = numeral;
  }
  return st;
}
