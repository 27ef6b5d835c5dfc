// SPDX-License-Identifier: MIT
#include "quintfall/figured_bass.h"

#include "accidental.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_FIGURE = 9,
};

/// Figures asked for, by number; 0 to 1 unused
typedef struct {
  bool shown[MAX_FIGURE + 1];
  bool is_signed[MAX_FIGURE + 1]; ///< Has an accidental of its own
  int  alter[MAX_FIGURE + 1];     ///< The accidental, or how far to raise
  bool raises[MAX_FIGURE + 1];    ///< Slash or plus: counts from the signature
} Figures;

// Source: Open Music Theory, "Introduction to thoroughbass": full figures and what is left
// unwritten.
typedef struct {
  const char* full;
  const char* brief;
} ShortForm;

static const ShortForm short_forms[] = {
  {"53", ""},    {"63", "6"},   {"64", "64"},  {"753", "7"},
  {"653", "65"}, {"643", "43"}, {"642", "42"}, {"9753", "97"},
};

/// Figures with these numbers as text, from the top
static void
list_numbers(const bool shown[MAX_FIGURE + 1], char text[MAX_FIGURE + 1])
{
  int n = 0;
  for (int figure = MAX_FIGURE; figure >= 2; --figure) {
    if (shown[figure]) {
      text[n++] = (char)('0' + figure);
    }
  }
  text[n] = '\0';
}

static void
shorten(Figures* const figures)
{
  char full[MAX_FIGURE + 1];
  list_numbers(figures->shown, full);
  for (size_t i = 0; i < sizeof(short_forms) / sizeof(short_forms[0]); ++i) {
    if (strcmp(full, short_forms[i].full) != 0) {
      continue;
    }
    for (const char* c = full; *c; ++c) {
      const int figure       = *c - '0';
      figures->shown[figure] = figures->is_signed[figure] || strchr(short_forms[i].brief, *c);
    }
    return;
  }
}

static void
collect(const QfChord chord, const QfNoteName bass, const QfKey key, Figures* const figures)
{
  for (int m = 0; m < qf_chord_kind_size(chord.kind); ++m) {
    QfNoteName note = {0, 0};
    if (m == chord.inversion || qf_chord_member(chord, m, &note)) {
      continue;
    }

    const bool is_ninth    = qf_chord_kind_member(chord.kind, m).steps == 8 && !chord.inversion;
    const int  figure      = is_ninth ? 9 : (note.letter - bass.letter + 7) % 7 + 1;
    const bool is_heard    = !(chord.omitted & (1U << m));
    figures->shown[figure] = true;
    if (is_heard && !qf_key_has_note(key, note)) {
      figures->is_signed[figure] = true;
      figures->alter[figure]     = note.alter;
    }
  }
  figures->shown[1] = false;
}

void
qf_figured_bass_write(const QfChord chord, const QfKey key, char* const buffer, const size_t size)
{
  if (!size) {
    return;
  }

  buffer[0]          = '\0';
  Figures    figures = {0};
  QfNoteName bass    = {0, 0};
  if (qf_chord_bass(chord, &bass)) {
    return;
  }
  collect(chord, bass, key, &figures);
  shorten(&figures);

  size_t length = 0;
  for (int figure = MAX_FIGURE; figure >= 2 && length < size; --figure) {
    if (!figures.shown[figure]) {
      continue;
    }

    char sign[QF_ACCIDENTAL_SIZE] = "";
    if (figures.is_signed[figure]) {
      qf_accidental_write(figures.alter[figure], true, sign, sizeof(sign));
      if (!figures.alter[figure]) {
        snprintf(sign, sizeof(sign), "\u266E");
      }
    }

    // A lone accidental stands for the third
    const bool is_third  = figure == 3 && figures.is_signed[3];
    const char digits[2] = {(char)('0' + figure), '\0'};
    length += (size_t)snprintf(buffer + length, size - length, "%s%s%s", length ? "\n" : "", sign,
                               is_third ? "" : digits);
  }
}

/// Read an accidental, `n` for a natural too; bytes read
static size_t
read_sign(const char* const text, int* const alter)
{
  *alter = 0;
  return *text == 'n' ? 1U : qf_accidental_read(text, alter);
}

/// Read one figure such as "6", "#6", "6+", "#"; 0 bytes if there is none
static size_t
read_figure(const char* const text, Figures* const figures)
{
  int          alter     = 0;
  const bool   plus_lead = text[0] == '+';
  const size_t n_lead    = plus_lead ? 1U : read_sign(text, &alter);
  const char*  c         = text + n_lead;
  const bool   has_digit = *c >= '2' && *c <= '9';
  const int    figure    = has_digit ? *c - '0' : 3;
  c += has_digit ? 1 : 0;
  if (!has_digit && (!n_lead || plus_lead)) {
    return 0;
  }

  bool   raises = plus_lead;
  size_t n_tail = 0;
  if (has_digit && !n_lead) {
    raises = *c == '+' || *c == '\\';
    n_tail = raises ? 1U : read_sign(c, &alter);
  }
  if (abs(alter) > QF_MAX_ALTER || figures->shown[figure]) {
    return 0;
  }

  figures->shown[figure]     = true;
  figures->is_signed[figure] = raises || n_lead || n_tail;
  figures->alter[figure]     = raises ? 1 : alter;
  figures->raises[figure]    = raises;
  return (size_t)(c - text) + n_tail;
}

/// Add the figures that are understood
static void
complete(Figures* const figures)
{
  char written[MAX_FIGURE + 1];
  list_numbers(figures->shown, written);

  const char* full = NULL;
  for (size_t i = 0; i < sizeof(short_forms) / sizeof(short_forms[0]); ++i) {
    full = strcmp(written, short_forms[i].brief) ? full : short_forms[i].full;
  }
  if (!strcmp(written, "2")) {
    full = "642";
  }

  // Source: OMT: no 6 shown means a 5, no 4 or 2 shown means a 3
  if (!full) {
    bool* const shown = figures->shown;
    shown[5]          = shown[5] || !shown[6];
    shown[3]          = shown[3] || (!shown[4] && !shown[2]);
    return;
  }
  for (; *full; ++full) {
    figures->shown[*full - '0'] = true;
  }
}

static QfStatus
figure_note(const QfNoteName bass,
            const QfKey      key,
            const int        figure,
            const Figures*   figures,
            QfNoteName*      result)
{
  const int letter = (bass.letter + figure - 1) % 7;
  const int plain  = qf_key_alter_of(key, letter);
  const int signs  = figures->alter[figure] + (figures->raises[figure] ? plain : 0);
  const int alter  = figures->is_signed[figure] ? signs : plain;
  if (abs(alter) > QF_MAX_ALTER) {
    return QF_ERR_RANGE;
  }

  *result = (QfNoteName){(int8_t)letter, (int8_t)alter};
  return QF_OK;
}

static QfStatus
read_figures(const char* const text, Figures* const figures, QfError* const error)
{
  const char* c = text;
  while (*c) {
    const size_t n_read = read_figure(c, figures);
    const char   after  = n_read ? c[n_read] : '\0';
    if (!n_read || (after && after != '/' && after != '\n')) {
      return qf_error_at(error, (size_t)(c - text),
                         qf_error_set(error, QF_ERR_BAD_TEXT,
                                      "\"%.20s\" are not figures; expected such as 6, 6/5, #, "
                                      "4/2, #6 or 6+",
                                      text));
    }
    c += n_read + (after ? 1U : 0U);
  }
  return QF_OK;
}

QfStatus
qf_figured_bass_notes(const QfNoteName  bass,
                      const char* const figures,
                      const QfKey       key,
                      QfNoteName        result[QF_CHORD_MAX_NOTES],
                      int* const        n_notes,
                      QfError* const    error)
{
  Figures  wanted = {0};
  QfStatus st     = read_figures(figures, &wanted, error);
  if (st) {
    return st;
  }
  complete(&wanted);

  QfNoteName notes[QF_CHORD_MAX_NOTES] = {bass};
  int        n                         = 1;
  for (int figure = 2; figure <= MAX_FIGURE; ++figure) {
    // An octave adds nothing to the chord
    if (!wanted.shown[figure] || figure == 8) {
      continue;
    }
    st =
      n < QF_CHORD_MAX_NOTES ? figure_note(bass, key, figure, &wanted, &notes[n++]) : QF_ERR_RANGE;
    if (st) {
      return qf_error_set(
        error, st, "the figures \"%.20s\" ask for more notes or signs than a chord has", figures);
    }
  }

  memcpy(result, notes, (size_t)n * sizeof(notes[0]));
  *n_notes = n;
  return QF_OK;
}
