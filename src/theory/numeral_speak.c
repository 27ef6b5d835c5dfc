// SPDX-License-Identifier: MIT
// A numeral in words, as a screen reader says it.
#include "numeral_rules.h"

#include <stdio.h>

enum { WORD_SIZE = 48 };

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
    qf_numeral_append(buffer, size, signs[shown < 0 ? 1 : 0][n]);
  }
  qf_numeral_append(buffer, size, degree_words[degree - 1]);
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
    qf_numeral_append(buffer, size, "minor ");
  } else if (triad == QF_CHORD_MAJOR && !expects_major) {
    qf_numeral_append(buffer, size, "major ");
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
    qf_numeral_append(buffer, size, quality->seventh == 10 ? " half-diminished" : " diminished");
  } else if (quality->triad == QF_CHORD_AUGMENTED) {
    qf_numeral_append(buffer, size, " augmented");
  }

  const int plain =
    qf_numeral_plain_seventh(numeral->degree, numeral->alter, quality->triad, local);
  if (qf_numeral_has_ninth(numeral->kind)) {
    qf_numeral_append(buffer, size, numeral->kind == QF_CHORD_DOM9 ? " nine" : " minor nine");
  } else if (quality->seventh == 11) {
    qf_numeral_append(buffer, size, " major seven");
  } else if (quality->seventh == 10 && plain == 11) {
    qf_numeral_append(buffer, size, " dominant seven");
  } else if (quality->seventh) {
    qf_numeral_append(buffer, size, " seven");
  }
  if (numeral->kind == QF_CHORD_DOM7_FLAT5) {
    qf_numeral_append(buffer, size, " flat five");
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
    qf_numeral_append(buffer, size, words);
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
    qf_numeral_append(buffer, size, " of ");
    if (target.is_neapolitan) {
      qf_numeral_append(buffer, size, "the Neapolitan");
    } else {
      const QfMode outer = qf_numeral_outer_mode(numeral, i, mode);
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
    qf_numeral_append(buffer, size, sixths[numeral->form]);
  } else if (numeral->form == QF_NUMERAL_CADENTIAL) {
    qf_numeral_append(buffer, size, "cadential six-four");
  } else if (numeral->form == QF_NUMERAL_NEAPOLITAN) {
    qf_numeral_append(buffer, size, "Neapolitan");
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
    qf_numeral_append(buffer, size, inversions[numeral->inversion]);
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
