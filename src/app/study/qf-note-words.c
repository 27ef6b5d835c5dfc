// SPDX-License-Identifier: MIT
#include "qf-note-words.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/// Find the note a syllable stands for, of those the practice has syllables for
static bool
find_syllable(const char* const text, const QfNoteWordSense sense, QfNoteName* const result)
{
  for (int alter = -2; alter <= 2; ++alter) {
    for (int8_t letter = 0; letter < 7; ++letter) {
      const QfNoteName  name     = {letter, (int8_t)alter};
      const char* const syllable = qf_solfege(name, sense.key, sense.solfege);
      if (syllable[0] != '?' && !strcasecmp(syllable, text)) {
        // Fixed syllables name the letter; the signature gives its accidental.
        *result = sense.solfege == QF_SOLFEGE_FIXED
                    ? (QfNoteName){letter, (int8_t)qf_key_alter_of(sense.key, letter)}
                    : name;
        return true;
      }
    }
  }

  return false;
}

/// Signs, then a digit 1-7, and nothing more
static bool
find_degree(const char* const text, const QfKey key, QfNoteName* const result)
{
  const char* digit = text;
  int         alter = 0;

  while (*digit == '#' || *digit == 'b') {
    alter += *digit++ == '#' ? 1 : -1;
  }
  return digit[0] >= '1' && digit[0] <= '7' && !digit[1] && abs(alter) <= 2 &&
         !qf_key_degree(key, digit[0] - '0', alter, result);
}

QfStatus
qf_note_word_parse(const char* const     text,
                   const QfNoteWordSense sense,
                   QfNoteWord* const     result,
                   QfError* const        error)
{
  const char* end  = NULL;
  QfNoteWord  word = {0};

  if (find_syllable(text, sense, &word.name) || find_degree(text, sense.key, &word.name)) {
    word.is_degree = true;
  } else if (qf_note_name_parse(text, &word.name, &end, NULL) ||
             (end[0] && (end[0] < '0' || end[0] > '9' || end[1]))) {
    return qf_error_set(error, QF_ERR_BAD_TEXT,
                        "“%.24s” is no note; write a letter (F#, Bb3), a degree (5, #4) or a "
                        "syllable (fi)",
                        text);
  } else if (end[0]) {
    word.has_octave = true;
    word.octave     = (int8_t)(end[0] - '0');
  }

  *result = word;
  return QF_OK;
}

QfPitch
qf_note_word_near(const QfNoteWord word, const QfPitch from)
{
  if (word.has_octave) {
    return (QfPitch){word.name.letter, word.name.alter, word.octave};
  }

  const int around = qf_pitch_step(from);
  const int base   = around - ((around % 7) + 7) % 7 + word.name.letter;
  const int step   = base < around - 3 ? base + 7 : base > around + 3 ? base - 7 : base;
  return qf_pitch_from_step(step, word.name.alter);
}
