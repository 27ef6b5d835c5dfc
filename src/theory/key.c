// SPDX-License-Identifier: MIT
#include "quintfall/key.h"

#include "accidental.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum {
  MAX_SIGNS   = 7,
  MINOR_SHIFT = 3, ///< A minor key's signature lies three fifths below its tonic
};

static int
ceil_div(const int a, const int b)
{
  const int mod = (a % b + b) % b;
  return (a - mod) / b + (mod ? 1 : 0);
}

static bool
read_mode(const char* const word, QfMode* const mode)
{
  static const struct {
    const char* text;
    QfMode      mode;
  } words[] = {{"major", QF_MAJOR}, {"minor", QF_MINOR}, {"maj", QF_MAJOR}, {"min", QF_MINOR}};

  for (size_t i = 0; i < sizeof(words) / sizeof(words[0]); ++i) {
    if (!strcasecmp(word, words[i].text)) {
      *mode = words[i].mode;
      return true;
    }
  }
  return false;
}

QfStatus
qf_key_parse(const char* const text, QfKey* const result, QfError* const error)
{
  QfNoteName     tonic = {0, 0};
  const char*    rest  = NULL;
  const QfStatus st    = qf_note_name_parse(text, &tonic, &rest, error);
  if (st) {
    return st;
  }

  QfMode mode = text[0] >= 'a' ? QF_MINOR : QF_MAJOR;
  while (*rest == ' ') {
    ++rest;
  }
  const bool is_short = !*rest || !strcmp(rest, ":");
  if (!is_short && !read_mode(rest, &mode)) {
    return qf_error_at(error, (size_t)(rest - text),
                       qf_error_set(error, QF_ERR_BAD_TEXT,
                                    "\"%.24s\" is not a key; expected such as \"Eb major\", "
                                    "\"c# minor\", \"Eb\" or \"c#\"",
                                    text));
  }

  const QfKey key = {tonic, mode};
  if (abs(qf_key_fifths(key)) > MAX_SIGNS) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "the key \"%.24s\" would need %d %s; keys have at most seven", text,
                        abs(qf_key_fifths(key)), qf_key_fifths(key) > 0 ? "sharps" : "flats");
  }

  *result = key;
  return QF_OK;
}

void
qf_key_write(const QfKey key, char* const buffer, const size_t size)
{
  char tonic[12];
  qf_note_name_write(key.tonic, tonic, sizeof(tonic));
  snprintf(buffer, size, "%s %s", tonic, key.mode == QF_MAJOR ? "major" : "minor");
}

void
qf_key_write_short(const QfKey key, char* const buffer, const size_t size)
{
  qf_note_name_write(key.tonic, buffer, size);
  if (size && key.mode == QF_MINOR) {
    buffer[0] = (char)(buffer[0] - 'A' + 'a');
  }
}

int
qf_key_fifths(const QfKey key)
{
  return qf_note_name_fifths(key.tonic) - (key.mode == QF_MINOR ? MINOR_SHIFT : 0);
}

QfStatus
qf_key_from_fifths(const int fifths, const QfMode mode, QfKey* const result)
{
  if (abs(fifths) > MAX_SIGNS) {
    return QF_ERR_RANGE;
  }

  result->mode = mode;
  return qf_note_name_from_fifths(fifths + (mode == QF_MINOR ? MINOR_SHIFT : 0), &result->tonic);
}

int
qf_key_alter_of(const QfKey key, const int letter)
{
  // The signature's seven notes lie next to each other on the line of fifths,
  // from one below the major tonic to five above it.
  const QfNoteName natural = {(int8_t)letter, 0};
  return ceil_div(qf_key_fifths(key) - 1 - qf_note_name_fifths(natural), 7);
}

QfKey
qf_key_relative(const QfKey key)
{
  const QfMode mode  = key.mode == QF_MAJOR ? QF_MINOR : QF_MAJOR;
  const int    shift = mode == QF_MINOR ? MINOR_SHIFT : -MINOR_SHIFT;
  QfKey        other = {key.tonic, mode};
  qf_note_name_from_fifths(qf_note_name_fifths(key.tonic) + shift, &other.tonic);
  return other;
}

QfStatus
qf_key_parallel(const QfKey key, QfKey* const result)
{
  const QfKey other = {key.tonic, key.mode == QF_MAJOR ? QF_MINOR : QF_MAJOR};
  if (abs(qf_key_fifths(other)) > MAX_SIGNS) {
    return QF_ERR_RANGE;
  }

  *result = other;
  return QF_OK;
}

bool
qf_key_equals(const QfKey a, const QfKey b)
{
  return a.mode == b.mode && qf_note_name_equals(a.tonic, b.tonic);
}

QfStatus
qf_key_degree(const QfKey key, const int degree, const int alter, QfNoteName* const result)
{
  if (degree < 1 || degree > 7) {
    return QF_ERR_RANGE;
  }

  const int letter = (key.tonic.letter + degree - 1) % 7;
  const int total  = qf_key_alter_of(key, letter) + alter;
  if (abs(total) > QF_MAX_ALTER) {
    return QF_ERR_RANGE;
  }

  *result = (QfNoteName){(int8_t)letter, (int8_t)total};
  return QF_OK;
}

void
qf_key_degree_of(const QfKey key, const QfNoteName note, int* const degree, int* const alter)
{
  *degree = (note.letter - key.tonic.letter + 7) % 7 + 1;
  *alter  = note.alter - qf_key_alter_of(key, note.letter);
}

QfNoteName
qf_key_spell(const QfKey key, const int midi)
{
  // Least place over the tonic on the line of fifths that is still used
  static const int lowest_fifths[] = {[QF_MAJOR] = -3, [QF_MINOR] = -5};

  const int  lowest = qf_note_name_fifths(key.tonic) + lowest_fifths[key.mode];
  QfNoteName name   = {0, 0};
  for (int fifths = lowest; fifths < lowest + 12; ++fifths) {
    if (!qf_note_name_from_fifths(fifths, &name) &&
        (qf_note_name_semitones(name) - midi) % 12 == 0) {
      break;
    }
  }
  return name;
}

bool
qf_key_has_note(const QfKey key, const QfNoteName note)
{
  return note.alter == qf_key_alter_of(key, note.letter);
}
