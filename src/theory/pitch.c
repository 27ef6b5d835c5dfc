// SPDX-License-Identifier: MIT
#include "quintfall/pitch.h"

#include "accidental.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  N_LETTERS  = 7,
  MAX_OCTAVE = 20, ///< Far beyond hearing; keeps all arithmetic within int8_t and int
};

static const char letters[] = "CDEFGAB";

// Semitones of the natural letters above C, and their places on the line of fifths
static const int8_t letter_semitones[N_LETTERS] = {0, 2, 4, 5, 7, 9, 11};
static const int8_t letter_fifths[N_LETTERS]    = {0, 2, 4, -1, 1, 3, 5};

static int
floor_div(const int a, const int b)
{
  return (a - ((a % b + b) % b)) / b;
}

static int
positive_mod(const int a, const int b)
{
  return (a % b + b) % b;
}

static int
letter_index(const char c)
{
  const char        upper = (char)(c >= 'a' && c <= 'g' ? c - 'a' + 'A' : c);
  const char* const found = upper ? strchr(letters, upper) : NULL;
  return found ? (int)(found - letters) : -1;
}

static QfStatus
read_name(const char* const text, QfNoteName* const result, size_t* const n_read, QfError* error)
{
  const int letter = letter_index(text[0]);
  if (letter < 0) {
    return qf_error_at(
      error, 0,
      qf_error_set(error, QF_ERR_BAD_TEXT,
                   "\"%.20s\" is not a note; expected a letter A to G, then # or b", text));
  }

  int          alter  = 0;
  const size_t n_sign = qf_accidental_read(text + 1, &alter);
  if (abs(alter) > QF_MAX_ALTER) {
    return qf_error_at(error, 1,
                       qf_error_set(error, QF_ERR_RANGE,
                                    "\"%.20s\" has more than %d sharps or flats", text,
                                    QF_MAX_ALTER));
  }

  *result = (QfNoteName){(int8_t)letter, (int8_t)alter};
  *n_read = 1U + n_sign;
  return QF_OK;
}

QfStatus
qf_note_name_parse(const char* const  text,
                   QfNoteName* const  result,
                   const char** const end,
                   QfError* const     error)
{
  QfNoteName     name   = {0, 0};
  size_t         n_read = 0;
  const QfStatus st     = read_name(text, &name, &n_read, error);
  if (st) {
    return st;
  }
  if (!end && text[n_read]) {
    return qf_error_at(
      error, n_read,
      qf_error_set(error, QF_ERR_BAD_TEXT,
                   "\"%.20s\" is not a note; expected nothing after the sharps or flats", text));
  }

  if (end) {
    *end = text + n_read;
  }
  *result = name;
  return QF_OK;
}

QfStatus
qf_pitch_parse(const char* const text, QfPitch* const result, QfError* const error)
{
  QfNoteName     name   = {0, 0};
  size_t         n_read = 0;
  const QfStatus st     = read_name(text, &name, &n_read, error);
  if (st) {
    return st;
  }

  const char* const digits = text + n_read;
  char*             end    = NULL;
  const bool        signs  = digits[0] == '-' && digits[1] >= '0' && digits[1] <= '9';
  const bool        plain  = digits[0] >= '0' && digits[0] <= '9';
  const long        octave = signs || plain ? strtol(digits, &end, 10) : 0;
  if (!end || *end) {
    return qf_error_at(
      error, n_read,
      qf_error_set(error, QF_ERR_BAD_TEXT,
                   "\"%.20s\" is not a pitch; expected a note and an octave, such as F#4", text));
  }
  if (octave < -MAX_OCTAVE || octave > MAX_OCTAVE) {
    return qf_error_at(
      error, n_read,
      qf_error_set(error, QF_ERR_RANGE, "\"%.20s\" is far outside the octaves we hear", text));
  }

  *result = (QfPitch){name.letter, name.alter, (int8_t)octave};
  return QF_OK;
}

void
qf_note_name_write(const QfNoteName name, char* const buffer, const size_t size)
{
  char sign[QF_ACCIDENTAL_SIZE];
  qf_accidental_write(name.alter, false, sign, sizeof(sign));
  snprintf(buffer, size, "%c%s", letters[positive_mod(name.letter, N_LETTERS)], sign);
}

void
qf_pitch_write(const QfPitch pitch, char* const buffer, const size_t size)
{
  char name[QF_ACCIDENTAL_SIZE + 2];
  qf_note_name_write(qf_pitch_name(pitch), name, sizeof(name));
  snprintf(buffer, size, "%s%d", name, pitch.octave);
}

int
qf_note_name_semitones(const QfNoteName name)
{
  return positive_mod(letter_semitones[name.letter] + name.alter, 12);
}

int
qf_note_name_fifths(const QfNoteName name)
{
  return letter_fifths[name.letter] + N_LETTERS * name.alter;
}

QfStatus
qf_note_name_from_fifths(const int fifths, QfNoteName* const result)
{
  // F is the first of the seven naturals, at -1
  const int alter = floor_div(fifths + 1, N_LETTERS);
  if (abs(alter) > QF_MAX_ALTER) {
    return QF_ERR_RANGE;
  }

  result->letter = (int8_t)positive_mod(4 * fifths, N_LETTERS);
  result->alter  = (int8_t)alter;
  return QF_OK;
}

int
qf_pitch_midi(const QfPitch pitch)
{
  return 12 * (pitch.octave + 1) + letter_semitones[pitch.letter] + pitch.alter;
}

double
qf_midi_frequency(const double midi)
{
  return 440.0 * exp2((midi - 69.0) / 12.0);
}

int
qf_pitch_step(const QfPitch pitch)
{
  return N_LETTERS * pitch.octave + pitch.letter;
}

QfPitch
qf_pitch_from_step(const int step, const int alter)
{
  return (QfPitch){(int8_t)positive_mod(step, N_LETTERS), (int8_t)alter,
                   (int8_t)floor_div(step, N_LETTERS)};
}

QfNoteName
qf_pitch_name(const QfPitch pitch)
{
  return (QfNoteName){pitch.letter, pitch.alter};
}

bool
qf_note_name_equals(const QfNoteName a, const QfNoteName b)
{
  return a.letter == b.letter && a.alter == b.alter;
}

bool
qf_pitch_equals(const QfPitch a, const QfPitch b)
{
  return a.letter == b.letter && a.alter == b.alter && a.octave == b.octave;
}

int
qf_pitch_compare(const QfPitch a, const QfPitch b)
{
  const int by_sound = qf_pitch_midi(a) - qf_pitch_midi(b);
  return by_sound ? by_sound : qf_pitch_step(a) - qf_pitch_step(b);
}
