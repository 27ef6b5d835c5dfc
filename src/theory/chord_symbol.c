// SPDX-License-Identifier: MIT
#include "accidental.h"
#include "chord_shapes.h"

#include <stdio.h>
#include <string.h>

enum {
  SYMBOL_SIZE = 64, ///< Longest symbol read, with room to spare
};

typedef struct {
  const char* text;
  uint8_t     omitted;
} Omission;

static const Omission omissions[] = {
  {"(no3,5)", 1U << 1 | 1U << 2},
  {"(no3)", 1U << 1},
  {"(no5)", 1U << 2},
};

static void
write_ascii(const QfChord chord, char* const buffer, const size_t size)
{
  char root[QF_ACCIDENTAL_SIZE + 2];
  qf_note_name_write(chord.root, root, sizeof(root));

  const char* without = "";
  for (size_t i = 0; i < sizeof(omissions) / sizeof(omissions[0]); ++i) {
    if (omissions[i].omitted == chord.omitted) {
      without = omissions[i].text;
    }
  }

  char       bass[QF_ACCIDENTAL_SIZE + 3] = "";
  QfNoteName low                          = chord.root;
  if (chord.inversion && !qf_chord_bass(chord, &low)) {
    bass[0] = '/';
    qf_note_name_write(low, bass + 1, sizeof(bass) - 1);
  }
  snprintf(buffer, size, "%s%s%s%s", root, qf_chord_shape(chord.kind)->symbol, without, bass);
}

void
qf_chord_write_symbol(const QfChord chord,
                      const bool    unicode,
                      char* const   buffer,
                      const size_t  size)
{
  char ascii[SYMBOL_SIZE];
  write_ascii(chord, ascii, sizeof(ascii));
  if (!unicode) {
    snprintf(buffer, size, "%s", ascii);
    return;
  }

  // No suffix of the table has a `b` that is not a flat
  size_t length = 0;
  if (size) {
    buffer[0] = '\0';
  }
  for (const char* c = ascii; *c && length < size;) {
    int          alter  = 0;
    const size_t n_sign = qf_accidental_read(c, &alter);
    if (n_sign) {
      char sign[QF_ACCIDENTAL_SIZE];
      qf_accidental_write(alter, true, sign, sizeof(sign));
      length += (size_t)snprintf(buffer + length, size - length, "%s", sign);
      c += n_sign;
    } else {
      length += (size_t)snprintf(buffer + length, size - length, "%c", *c);
      ++c;
    }
  }
}

/// Turn Unicode signs into ASCII; false if the text is too long to be a symbol
static bool
to_ascii(const char* text, char* const buffer, const size_t size)
{
  size_t length = 0;
  while (*text) {
    int          alter  = 0;
    const size_t n_sign = qf_accidental_read(text, &alter);
    if (n_sign && (alter > 4 || alter < -4)) {
      return false;
    }

    char piece[QF_ACCIDENTAL_SIZE] = {*text, '\0'};
    if (n_sign) {
      qf_accidental_write(alter, false, piece, sizeof(piece));
    }
    text += n_sign ? n_sign : 1U;
    if (length + strlen(piece) + 1U > size) {
      return false;
    }
    memcpy(buffer + length, piece, strlen(piece));
    length += strlen(piece);
  }
  buffer[length] = '\0';
  return true;
}

/// Longest suffix of the table that the text starts with
static QfChordKind
read_kind(const char* const text, size_t* const n_read)
{
  QfChordKind best = QF_CHORD_MAJOR;
  *n_read          = 0;
  for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
    const char* const suffix = qf_chord_shape((QfChordKind)k)->symbol;
    const size_t      length = strlen(suffix);
    if (length > *n_read && !strncmp(text, suffix, length)) {
      best    = (QfChordKind)k;
      *n_read = length;
    }
  }
  return best;
}

static uint8_t
read_omission(const char* const text, size_t* const n_read)
{
  *n_read = 0;
  for (size_t i = 0; i < sizeof(omissions) / sizeof(omissions[0]); ++i) {
    const size_t length = strlen(omissions[i].text);
    if (!strncmp(text, omissions[i].text, length)) {
      *n_read = length;
      return omissions[i].omitted;
    }
  }
  return 0;
}

/// Read the bass after a slash; negative if it is no member of the chord
static int
read_bass(const char* const text, const QfChord chord)
{
  if (!*text) {
    return 0;
  }

  QfNoteName bass = {0, 0};
  if (text[0] != '/' || qf_note_name_parse(text + 1, &bass, NULL, NULL)) {
    return -1;
  }
  return qf_chord_member_of(chord, bass);
}

QfStatus
qf_chord_parse_symbol(const char* const text, QfChord* const result, QfError* const error)
{
  char        ascii[SYMBOL_SIZE];
  QfNoteName  root  = {0, 0};
  const char* rest  = NULL;
  const bool  fits  = to_ascii(text, ascii, sizeof(ascii));
  const bool  is_ok = fits && !qf_note_name_parse(ascii, &root, &rest, NULL);
  if (!is_ok) {
    return qf_error_set(error, QF_ERR_BAD_TEXT,
                        "\"%.40s\" is not a chord symbol; expected such as Am7, F#m7b5/A or Bb",
                        text);
  }

  size_t  n_kind    = 0;
  size_t  n_omitted = 0;
  QfChord chord     = {read_kind(rest, &n_kind), root, 0, 0};
  chord.omitted     = read_omission(rest + n_kind, &n_omitted);

  const char* const bass   = rest + n_kind + n_omitted;
  const int         member = read_bass(bass, chord);
  if (member < 0 || (chord.omitted & (1U << member))) {
    return qf_error_at(error, (size_t)(bass - ascii),
                       qf_error_set(error, QF_ERR_BAD_TEXT,
                                    "\"%.40s\" is not a chord symbol: \"%.20s\" is neither a known "
                                    "quality nor a bass note of the chord",
                                    text, bass));
  }

  chord.inversion = (int8_t)member;
  *result         = chord;
  return QF_OK;
}
