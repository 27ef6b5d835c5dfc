// SPDX-License-Identifier: MIT
#include "accidental.h"
#include "numeral_rules.h"

#include <stdio.h>
#include <string.h>

enum {
  WORD_SIZE = 48,
};

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

/// Append to a NUL-terminated string, cut to its size
static void
append(char* const buffer, const size_t size, const char* const text)
{
  const size_t length = strlen(buffer);
  snprintf(buffer + length, size - length, "%s", text);
}

static void
append_alter(char* const buffer, const size_t size, const int alter, const bool unicode)
{
  char sign[QF_ACCIDENTAL_SIZE];
  qf_accidental_write(alter, unicode, sign, sizeof(sign));
  append(buffer, size, sign);
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
  append(buffer, size, romans[is_lower ? 1 : 0][degree - 1]);
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
    append(buffer, size, quality->seventh == 10 ? signs->half : signs->diminished);
  } else if (quality->triad == QF_CHORD_AUGMENTED) {
    append(buffer, size, "+");
  }

  const int plain = is_diminished ? 9
                                  : qf_numeral_plain_seventh(numeral->degree, numeral->alter,
                                                             quality->triad, local);
  if (quality->seventh == 11 && plain != 11) {
    append(buffer, size, "maj");
  } else if (quality->seventh == 10 && plain != 10 && !is_diminished) {
    append(buffer, size, signs->dominant);
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
    append(buffer, size, sixth->name);
  } else if (numeral->form == QF_NUMERAL_CADENTIAL) {
    append(buffer, size, "Cad");
  } else if (numeral->form == QF_NUMERAL_NEAPOLITAN) {
    append(buffer, size, "N");
    append_quality(buffer, size, numeral, local, signs);
  } else {
    append_degree(buffer, size, numeral->degree, numeral->alter, qf_numeral_is_lower(numeral->kind),
                  local, signs->unicode);
    append_quality(buffer, size, numeral, local, signs);
  }
}

static bool
has_ninth(const QfChordKind kind)
{
  return kind == QF_CHORD_DOM9 || kind == QF_CHORD_DOM_MINOR9;
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
  if (has_ninth(numeral->kind) && !inversion) {
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
  if (!is_flat5 && !has_ninth(numeral->kind)) {
    return;
  }

  const int  step   = is_flat5 ? 5 : 9;
  const int  sounds = qf_chord_kind_member(numeral->kind, is_flat5 ? 2 : 4).semitones;
  const int  alter  = sounds - qf_numeral_diatonic(numeral->degree, numeral->alter, local, step);
  const bool is_figured = !is_flat5 && !numeral->inversion;
  if (is_figured && !alter) {
    return;
  }

  append(buffer, size, is_flat5 || is_figured ? "[" : "[add");
  append_alter(buffer, size, alter, unicode);
  append(buffer, size, is_flat5 ? "5]" : "9]");
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
    append(buffer, size, change.is_added ? "[add" : "[no");
    append_alter(buffer, size, change.alter, unicode);
    append(buffer, size, step);
  }
}

/// Mode of the key that a target's degree is counted in
static QfMode
outer_mode(const QfNumeral* const numeral, const int target, const QfMode mode)
{
  if (target + 1 == numeral->n_targets) {
    return mode;
  }
  return numeral->targets[target + 1].is_minor ? QF_MINOR : QF_MAJOR;
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
    append(buffer, size, "/");
    if (target.is_neapolitan) {
      append(buffer, size, "N");
    } else {
      const QfMode outer = outer_mode(numeral, i, mode);
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
  append(buffer, size, figures_of(numeral));
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

static const char* const degree_words[] = {"one", "two", "three", "four", "five", "six", "seven"};

static void
say_degree(char* const  buffer,
           const size_t size,
           const int    degree,
           const int    alter,
           const bool   is_lower,
           const QfMode mode)
{
  static const char* const signs[2][4] = {
    {"", "sharp ", "double sharp ", "triple sharp "},
    {"", "flat ", "double flat ", "triple flat "},
  };

  const int shown = qf_numeral_alter_shown(degree, is_lower, alter, mode);
  const int n     = shown < 0 ? -shown : shown;
  if (n <= 3) {
    append(buffer, size, signs[shown < 0 ? 1 : 0][n]);
  }
  append(buffer, size, degree_words[degree - 1]);
}

/// Say the case of a numeral where the scale does not tell: "minor" for v, "major" for II
static void
say_case(char* const            buffer,
         const size_t           size,
         const QfNumeral* const numeral,
         const QfChordKind      triad,
         const QfMode           local)
{
  // A flat or sharp degree is taken for major: "flat six", but "minor flat six"
  const bool is_lower = triad == QF_CHORD_MINOR;
  const int  shown    = qf_numeral_alter_shown(numeral->degree, is_lower, numeral->alter, local);
  const int  third    = qf_numeral_diatonic(numeral->degree, numeral->alter, local, 3);
  const bool expects_major = shown || numeral->degree == 5 || third == 4;
  if (triad == QF_CHORD_MINOR && expects_major) {
    append(buffer, size, "minor ");
  } else if (triad == QF_CHORD_MAJOR && !expects_major) {
    append(buffer, size, "major ");
  }
}

static void
say_quality(char* const            buffer,
            const size_t           size,
            const QfNumeral* const numeral,
            const QfMode           local)
{
  const QfNumeralQuality* const quality = qf_numeral_quality(numeral->kind);
  if (!quality) {
    return;
  }

  if (quality->triad == QF_CHORD_DIMINISHED) {
    append(buffer, size, quality->seventh == 10 ? " half-diminished" : " diminished");
  } else if (quality->triad == QF_CHORD_AUGMENTED) {
    append(buffer, size, " augmented");
  }

  const int plain =
    qf_numeral_plain_seventh(numeral->degree, numeral->alter, quality->triad, local);
  if (has_ninth(numeral->kind)) {
    append(buffer, size, numeral->kind == QF_CHORD_DOM9 ? " nine" : " minor nine");
  } else if (quality->seventh == 11) {
    append(buffer, size, " major seven");
  } else if (quality->seventh == 10 && plain == 11) {
    append(buffer, size, " dominant seven");
  } else if (quality->seventh) {
    append(buffer, size, " seven");
  }
  if (numeral->kind == QF_CHORD_DOM7_FLAT5) {
    append(buffer, size, " flat five");
  }
}

static void
say_changes(char* const buffer, const size_t size, const QfNumeral* const numeral)
{
  for (int i = 0; i < numeral->n_changes; ++i) {
    const QfChange change = numeral->changes[i];
    char           words[WORD_SIZE];
    snprintf(words, sizeof(words), "%s%s%d", change.is_added ? ", added " : ", without ",
             change.alter > 0   ? "sharp "
             : change.alter < 0 ? "flat "
                                : "",
             change.step);
    append(buffer, size, words);
  }
}

static void
say_targets(char* const            buffer,
            const size_t           size,
            const QfNumeral* const numeral,
            const QfMode           mode)
{
  for (int i = 0; i < numeral->n_targets; ++i) {
    const QfTarget target = numeral->targets[i];
    append(buffer, size, " of ");
    if (target.is_neapolitan) {
      append(buffer, size, "the Neapolitan");
    } else {
      const QfMode outer = outer_mode(numeral, i, mode);
      say_degree(buffer, size, target.degree, target.alter, target.is_minor, outer);
    }
  }
}

/// Say everything before the target
static void
say_head(char* const buffer, const size_t size, const QfNumeral* const numeral, const QfMode local)
{
  static const char* const sixths[] = {
    [QF_NUMERAL_ITALIAN] = "Italian sixth",
    [QF_NUMERAL_FRENCH]  = "French sixth",
    [QF_NUMERAL_GERMAN]  = "German sixth",
    [QF_NUMERAL_SWISS]   = "respelled German sixth",
  };

  const QfNumeralQuality* const quality = qf_numeral_quality(numeral->kind);
  if (qf_numeral_sixth(numeral->form)) {
    append(buffer, size, sixths[numeral->form]);
  } else if (numeral->form == QF_NUMERAL_CADENTIAL) {
    append(buffer, size, "cadential six-four");
  } else if (numeral->form == QF_NUMERAL_NEAPOLITAN) {
    append(buffer, size, "Neapolitan");
    say_quality(buffer, size, numeral, local);
  } else {
    const bool is_lower = qf_numeral_is_lower(numeral->kind);
    say_case(buffer, size, numeral, quality ? quality->triad : QF_CHORD_MAJOR, local);
    say_degree(buffer, size, numeral->degree, numeral->alter, is_lower, local);
    say_quality(buffer, size, numeral, local);
  }
}

/// Say the inversion where the name does not imply it
static void
say_inversion(char* const buffer, const size_t size, const QfNumeral* const numeral)
{
  static const char* const inversions[] = {", root position", ", first inversion",
                                           ", second inversion", ", third inversion",
                                           ", fourth inversion"};

  const QfSixthForm* const sixth        = qf_numeral_sixth(numeral->form);
  const bool               is_cadential = numeral->form == QF_NUMERAL_CADENTIAL;
  const int                implied = sixth ? sixth->usual : is_cadential ? numeral->inversion : 0;
  if (numeral->inversion != implied) {
    append(buffer, size, inversions[numeral->inversion]);
  }
}

void
qf_numeral_speak(const QfNumeral* const numeral,
                 const QfMode           mode,
                 char* const            buffer,
                 const size_t           size)
{
  if (!size) {
    return;
  }

  buffer[0] = '\0';
  say_head(buffer, size, numeral, qf_numeral_local_mode(numeral, mode));
  say_targets(buffer, size, numeral, mode);
  say_changes(buffer, size, numeral);
  say_inversion(buffer, size, numeral);
}
