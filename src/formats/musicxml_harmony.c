// SPDX-License-Identifier: MIT
#include "musicxml_harmony.h"

#include <inttypes.h>
#include <string.h>

/// A `kind`, and the one degree that makes up what the kind does not say
typedef struct {
  const char* kind;
  const char* degree_type; ///< NULL if the kind says all
  int         degree;
  int         degree_alter;
} HarmonyKind;

// Source: MusicXML 4.0 documentation, kind-value and degree data types. An added degree is
// counted against a dominant chord, whose seventh is minor.
static const HarmonyKind harmony_kinds[QF_CHORD_N_KINDS] = {
  [QF_CHORD_MAJOR]      = {"major", NULL, 0, 0},
  [QF_CHORD_MINOR]      = {"minor", NULL, 0, 0},
  [QF_CHORD_DIMINISHED] = {"diminished", NULL, 0, 0},
  [QF_CHORD_AUGMENTED]  = {"augmented", NULL, 0, 0},
  [QF_CHORD_SUS2]       = {"suspended-second", NULL, 0, 0},
  [QF_CHORD_SUS4]       = {"suspended-fourth", NULL, 0, 0},
  [QF_CHORD_DOM7]       = {"dominant", NULL, 0, 0},
  [QF_CHORD_MAJ7]       = {"major-seventh", NULL, 0, 0},
  [QF_CHORD_MIN7]       = {"minor-seventh", NULL, 0, 0},
  [QF_CHORD_HALF_DIM7]  = {"half-diminished", NULL, 0, 0},
  [QF_CHORD_DIM7]       = {"diminished-seventh", NULL, 0, 0},
  [QF_CHORD_MIN_MAJ7]   = {"major-minor", NULL, 0, 0},
  [QF_CHORD_AUG_MAJ7]   = {"major-seventh", "alter", 5, 1},
  [QF_CHORD_AUG7]       = {"augmented-seventh", NULL, 0, 0},
  [QF_CHORD_DOM7_SUS4]  = {"suspended-fourth", "add", 7, 0},
  [QF_CHORD_MAJ6]       = {"major-sixth", NULL, 0, 0},
  [QF_CHORD_MIN6]       = {"minor-sixth", NULL, 0, 0},
  [QF_CHORD_ADD9]       = {"major", "add", 9, 0},
  [QF_CHORD_DOM9]       = {"dominant-ninth", NULL, 0, 0},
  [QF_CHORD_DOM_MINOR9] = {"dominant-ninth", "alter", 9, -1},
  [QF_CHORD_ITALIAN]    = {"Italian", NULL, 0, 0},
  [QF_CHORD_FRENCH]     = {"French", NULL, 0, 0},
  [QF_CHORD_GERMAN]     = {"German", NULL, 0, 0},
  [QF_CHORD_SWISS]      = {"German", NULL, 0, 0}, // sounds as one
};

/// Bytes of the UTF-8 character at `string`, or 0 if it is none XML 1.0 allows
static size_t
character_length(const char* const string)
{
  const unsigned char first = (unsigned char)string[0];
  if (first < 0x80U) {
    return first >= 0x20U || first == '\t' || first == '\n' ? 1U : 0U;
  }

  const size_t length = first >= 0xF0U ? 4U : first >= 0xE0U ? 3U : 2U;
  if (first < 0xC2U || first > 0xF4U) {
    return 0U;
  }
  for (size_t i = 1; i < length; ++i) {
    if (((unsigned char)string[i] & 0xC0U) != 0x80U) {
      return 0U;
    }
  }
  const unsigned char second = (unsigned char)string[1];
  const bool is_overlong = (first == 0xE0U && second < 0xA0U) || (first == 0xF0U && second < 0x90U);
  const bool is_surrogate = first == 0xEDU && second >= 0xA0U;
  const bool is_beyond    = first == 0xF4U && second >= 0x90U;
  const bool is_noncharacter =
    first == 0xEFU && second == 0xBFU && (unsigned char)string[2] >= 0xBEU;
  return is_overlong || is_surrogate || is_beyond || is_noncharacter ? 0U : length;
}

void
qf_xml_add_escaped(QfText* const text, const char* string)
{
  while (*string) {
    const size_t length = character_length(string);
    switch (*string) {
      case '&':
        qf_text_add(text, "&amp;");
        break;
      case '<':
        qf_text_add(text, "&lt;");
        break;
      case '>':
        qf_text_add(text, "&gt;");
        break;
      case '"':
        qf_text_add(text, "&quot;");
        break;
      default:
        qf_text_add_bytes(text, length ? string : "?", length ? length : 1U);
    }
    string += length ? length : 1U;
  }
}

/// Alterations are counted against the natural scale, so minor is called natural minor
static void
write_key(QfText* const text, const QfKey key)
{
  qf_text_addf(text,
               "<numeral-key><numeral-fifths>%d</numeral-fifths>"
               "<numeral-mode>%s</numeral-mode></numeral-key>",
               qf_key_fifths(key), key.mode == QF_MINOR ? "natural minor" : "major");
}

static void
write_degree(QfText* const text, const char* const type, const int value, const int alter)
{
  qf_text_addf(text,
               "<degree><degree-value>%d</degree-value><degree-alter>%d</degree-alter>"
               "<degree-type>%s</degree-type></degree>",
               value, alter, type);
}

/// Open a group: the numeral; the last group's counts from the key
static void
write_numeral(QfText* const      text,
              const char* const  shown,
              const int          degree,
              const int          alter,
              const QfKey* const key)
{
  qf_text_add(text, "<numeral><numeral-root text=\"");
  qf_xml_add_escaped(text, shown);
  qf_text_addf(text, "\">%d</numeral-root>", degree);
  if (alter) {
    qf_text_addf(text, "<numeral-alter>%d</numeral-alter>", alter);
  }
  if (key) {
    write_key(text, *key);
  }
  qf_text_add(text, "</numeral>");
}

static void
write_target(QfText* const text, const QfTarget target, const QfKey* const key)
{
  static const char* const upper[7] = {"I", "II", "III", "IV", "V", "VI", "VII"};
  static const char* const lower[7] = {"i", "ii", "iii", "iv", "v", "vi", "vii"};

  const char* const shown = target.is_neapolitan ? "N"
                            : target.is_minor    ? lower[target.degree - 1]
                                                 : upper[target.degree - 1];
  const int         alter = target.is_neapolitan ? -1 : target.alter;
  write_numeral(text, shown, target.is_neapolitan ? 2 : target.degree, alter, key);
  qf_text_addf(text, "<kind>%s</kind>", target.is_minor ? "minor" : "major");
}

static const char*
kind_name(const QfNumeral* const numeral)
{
  return numeral->form == QF_NUMERAL_NEAPOLITAN && numeral->kind == QF_CHORD_MAJOR
           ? "Neapolitan"
           : harmony_kinds[numeral->kind].kind;
}

void
qf_harmony_write(QfText* const text, const QfLabel* const label, const int64_t offset)
{
  const QfNumeral* const numeral = &label->numeral;
  const HarmonyKind      kind    = harmony_kinds[numeral->kind];
  QfNumeralParts         parts;
  qf_numeral_parts(numeral, label->key.mode, &parts);

  qf_text_add(text, "      <harmony>");
  write_numeral(text, parts.head, numeral->degree, numeral->alter,
                numeral->n_targets ? NULL : &label->key);

  qf_text_add(text, "<kind");
  if (parts.figures[0]) {
    qf_text_add(text, " text=\"");
    for (const char* figure = parts.figures; *figure; ++figure) {
      qf_text_add_bytes(text, *figure == '\n' ? "/" : figure, 1U);
    }
    qf_text_add(text, "\"");
  }
  qf_text_addf(text, ">%s</kind>", kind_name(numeral));
  if (numeral->inversion) {
    qf_text_addf(text, "<inversion>%d</inversion>", numeral->inversion);
  }
  if (kind.degree_type) {
    write_degree(text, kind.degree_type, kind.degree, kind.degree_alter);
  }
  for (int i = 0; i < numeral->n_changes; ++i) {
    const QfChange change = numeral->changes[i];
    write_degree(text, change.is_added ? "add" : "subtract", change.step, change.alter);
  }
  for (int i = 0; i < numeral->n_targets; ++i) {
    const bool is_last = i + 1 == numeral->n_targets;
    write_target(text, numeral->targets[i], is_last ? &label->key : NULL);
  }
  if (offset) {
    qf_text_addf(text, "<offset>%" PRId64 "</offset>", offset);
  }
  qf_text_add(text, "</harmony>\n");
}
