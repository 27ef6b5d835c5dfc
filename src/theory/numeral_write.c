// SPDX-License-Identifier: MIT
#include "accidental.h"
#include "numeral_rules.h"

#include <stdio.h>
#include <string.h>

// By case, then degree
static const char* const romans[2][7] = {
  {"I", "II", "III", "IV", "V", "VI", "VII"},
  {"i", "ii", "iii", "iv", "v", "vi", "vii"},
};

static const char* const triad_figures[]   = {"", "6", "64"};
static const char* const seventh_figures[] = {"7", "65", "43", "42"};

typedef struct {
  const char* half;
  const char* diminished;
  const char* dominant; ///< Minor seventh where the scale has a major one
  bool        unicode;
} Signs;

static const Signs ascii_signs   = {"/o", "o", "d", false};
static const Signs unicode_signs = {"\u00F8", "\u00B0", "dom", true};

void
qf_numeral_append(char* const buffer, const size_t size, const char* const text)
{
  const size_t length = strlen(buffer);
  snprintf(buffer + length, size - length, "%s", text);
}

bool
qf_numeral_has_ninth(const QfChordKind kind)
{
  return kind == QF_CHORD_DOM9 || kind == QF_CHORD_DOM_MINOR9;
}

QfMode
qf_numeral_outer_mode(const QfNumeral* const numeral, const int target, const QfMode mode)
{
  if (target + 1 == numeral->n_targets) {
    return mode;
  }
  return numeral->targets[target + 1].is_minor ? QF_MINOR : QF_MAJOR;
}

static void
append_alter(char* const buffer, const size_t size, const int alter, const bool unicode)
{
  char sign[QF_ACCIDENTAL_SIZE];
  qf_accidental_write(alter, unicode, sign, sizeof(sign));
  qf_numeral_append(buffer, size, sign);
}

static void
append_degree(char* const  buffer,
              const size_t size,
              const int    degree,
              const int    alter,
              const bool   is_lower,
              const QfMode mode,
              const bool   unicode)
{
  append_alter(buffer, size, qf_numeral_alter_shown(degree, is_lower, alter, mode), unicode);
  qf_numeral_append(buffer, size, romans[is_lower ? 1 : 0][degree - 1]);
}

/// The sign between numeral and figures
static void
append_quality(char* const            buffer,
               const size_t           size,
               const QfNumeral* const numeral,
               const QfMode           local,
               const Signs* const     signs)
{
  const QfNumeralQuality* const quality = qf_numeral_quality(numeral->kind);
  if (!quality) {
    return;
  }

  const bool is_diminished = quality->triad == QF_CHORD_DIMINISHED;
  if (is_diminished) {
    qf_numeral_append(buffer, size, quality->seventh == 10 ? signs->half : signs->diminished);
  } else if (quality->triad == QF_CHORD_AUGMENTED) {
    qf_numeral_append(buffer, size, "+");
  }

  const int plain = is_diminished ? 9
                                  : qf_numeral_plain_seventh(numeral->degree, numeral->alter,
                                                             quality->triad, local);
  if (quality->seventh == 11 && plain != 11) {
    qf_numeral_append(buffer, size, "maj");
  } else if (quality->seventh == 10 && plain != 10 && !is_diminished) {
    qf_numeral_append(buffer, size, signs->dominant);
  }
}

static void
append_head(char* const            buffer,
            const size_t           size,
            const QfNumeral* const numeral,
            const QfMode           local,
            const Signs* const     signs)
{
  const QfSixthForm* const sixth = qf_numeral_sixth(numeral->form);
  if (sixth) {
    qf_numeral_append(buffer, size, sixth->name);
  } else if (numeral->form == QF_NUMERAL_CADENTIAL) {
    qf_numeral_append(buffer, size, "Cad");
  } else if (numeral->form == QF_NUMERAL_NEAPOLITAN) {
    qf_numeral_append(buffer, size, "N");
    append_quality(buffer, size, numeral, local, signs);
  } else {
    append_degree(buffer, size, numeral->degree, numeral->alter, qf_numeral_is_lower(numeral->kind),
                  local, signs->unicode);
    append_quality(buffer, size, numeral, local, signs);
  }
}

static const char*
figures_of(const QfNumeral* const numeral)
{
  const int                inversion = numeral->inversion;
  const QfSixthForm* const sixth     = qf_numeral_sixth(numeral->form);
  if (sixth) {
    return inversion < 4 && sixth->figures[inversion] ? sixth->figures[inversion] : "";
  }

  const QfNumeralQuality* const quality = qf_numeral_quality(numeral->kind);
  if (!quality || !quality->seventh) {
    return inversion < 3 ? triad_figures[inversion] : "";
  }
  if (qf_numeral_has_ninth(numeral->kind) && !inversion) {
    return "9";
  }
  return inversion < 4 ? seventh_figures[inversion] : seventh_figures[0];
}

/// Brackets for the ninth or fifth that the kind has and the figures do not show
static void
append_folded(char* const            buffer,
              const size_t           size,
              const QfNumeral* const numeral,
              const QfMode           local,
              const bool             unicode)
{
  const bool is_flat5 = numeral->kind == QF_CHORD_DOM7_FLAT5;
  if (!is_flat5 && !qf_numeral_has_ninth(numeral->kind)) {
    return;
  }

  const int  step   = is_flat5 ? 5 : 9;
  const int  sounds = qf_chord_kind_member(numeral->kind, is_flat5 ? 2 : 4).semitones;
  const int  alter  = sounds - qf_numeral_diatonic(numeral->degree, numeral->alter, local, step);
  const bool is_figured = !is_flat5 && !numeral->inversion;
  if (is_figured && !alter) {
    return;
  }

  qf_numeral_append(buffer, size, is_flat5 || is_figured ? "[" : "[add");
  append_alter(buffer, size, alter, unicode);
  qf_numeral_append(buffer, size, is_flat5 ? "5]" : "9]");
}

static void
append_changes(char* const            buffer,
               const size_t           size,
               const QfNumeral* const numeral,
               const QfMode           local,
               const bool             unicode)
{
  append_folded(buffer, size, numeral, local, unicode);
  for (int i = 0; i < numeral->n_changes; ++i) {
    const QfChange change = numeral->changes[i];
    char           step[8];
    snprintf(step, sizeof(step), "%d]", change.step);
    qf_numeral_append(buffer, size, change.is_added ? "[add" : "[no");
    append_alter(buffer, size, change.alter, unicode);
    qf_numeral_append(buffer, size, step);
  }
}

static void
append_targets(char* const            buffer,
               const size_t           size,
               const QfNumeral* const numeral,
               const QfMode           mode,
               const bool             unicode)
{
  for (int i = 0; i < numeral->n_targets; ++i) {
    const QfTarget target = numeral->targets[i];
    qf_numeral_append(buffer, size, "/");
    if (target.is_neapolitan) {
      qf_numeral_append(buffer, size, "N");
    } else {
      const QfMode outer = qf_numeral_outer_mode(numeral, i, mode);
      append_degree(buffer, size, target.degree, target.alter, target.is_minor, outer, unicode);
    }
  }
}

void
qf_numeral_write(const QfNumeral* const numeral,
                 const QfMode           mode,
                 char* const            buffer,
                 const size_t           size)
{
  if (!size) {
    return;
  }

  const QfMode local = qf_numeral_local_mode(numeral, mode);
  buffer[0]          = '\0';
  append_head(buffer, size, numeral, local, &ascii_signs);
  qf_numeral_append(buffer, size, figures_of(numeral));
  append_changes(buffer, size, numeral, local, false);
  append_targets(buffer, size, numeral, mode, false);
}

void
qf_numeral_parts(const QfNumeral* const numeral, const QfMode mode, QfNumeralParts* const parts)
{
  const QfMode local = qf_numeral_local_mode(numeral, mode);
  *parts             = (QfNumeralParts){0};
  append_head(parts->head, sizeof(parts->head), numeral, local, &unicode_signs);

  size_t length = 0;
  for (const char* c = figures_of(numeral); *c; ++c) {
    if (length) {
      parts->figures[length++] = '\n';
    }
    parts->figures[length++] = *c;
  }

  append_changes(parts->tail, sizeof(parts->tail), numeral, local, true);
  append_targets(parts->tail, sizeof(parts->tail), numeral, mode, true);
}
