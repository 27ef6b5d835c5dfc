// SPDX-License-Identifier: MIT
#include "words.h"
#include "vocabulary.h"

#include "quintfall/label.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void
qf_word_note(const QfNoteName   note,
             const QfNamingKind naming,
             char* const        buffer,
             const size_t       size)
{
  qf_note_name_speak(note, naming, buffer, size);
}

void
qf_word_key(const QfKey key, const QfNamingKind naming, char* const buffer, const size_t size)
{
  char tonic[40];

  qf_note_name_speak(key.tonic, naming, tonic, sizeof(tonic));
  snprintf(buffer, size, "%s %s", tonic, key.mode == QF_MINOR ? "minor" : "major");
}

void
qf_word_notes_of_mask(const uint64_t     mask,
                      const QfNamingKind naming,
                      char* const        buffer,
                      const size_t       size)
{
  int    left   = __builtin_popcountll(mask);
  size_t length = 0;

  buffer[0] = '\0';
  for (int bit = 0; bit < 64 && length < size; ++bit) {
    QfNoteName note = {0, 0};
    char       name[40];

    if (!(mask >> (unsigned)bit & 1U)) {
      continue;
    }

    qf_note_name_from_fifths(bit + QF_FIFTHS_OF_LOWEST, &note);
    qf_word_note(note, naming, name, sizeof(name));
    --left;
    length += (size_t)snprintf(buffer + length, size - length, "%s%s", name,
                               left > 1 ? ", " : (left == 1 ? " and " : ""));
  }
}

const char*
qf_word_article(const char* const word)
{
  return strchr("aeiouAEIOU", word[0]) ? "an" : "a";
}

bool
qf_root_motion_is_falling_fifth(const QfInterval motion)
{
  const QfInterval simple = qf_interval_simple(motion);

  return simple.steps == 3 && simple.semitones == 5;
}

void
qf_root_motion_describe(const QfInterval motion, char* const buffer, const size_t size)
{
  // By the ascending interval within an octave; a motion is named by its shorter way.
  static const struct {
    const char* direction;
    const char* size;
  } names[7] = {
    [0] = {"same", "root"},     [1] = {"rising", "step"},  [2] = {"rising", "third"},
    [3] = {"falling", "fifth"}, [4] = {"rising", "fifth"}, [5] = {"falling", "third"},
    [6] = {"falling", "step"},
  };

  const QfInterval simple  = qf_interval_simple(motion);
  const int        steps   = ((simple.steps % 7) + 7) % 7;
  const int        semis   = ((simple.semitones % 12) + 12) % 12;
  const char*      quality = "";

  if ((steps == 3 && semis == 6) || (steps == 4 && semis == 6)) {
    quality = "diminished ";
  } else if ((steps == 4 && semis == 8) || (steps == 3 && semis == 4)) {
    quality = "augmented ";
  }
  if (steps == 0 && semis != 0) {
    snprintf(buffer, size, "%s chromatic semitone", semis < 6 ? "rising" : "falling");
    return;
  }
  snprintf(buffer, size, "%s %s%s", names[steps].direction, quality, names[steps].size);
}

const char*
qf_resolution_name(const QfResolution resolution)
{
  static const char* const names[] = {
    [QF_RESOLUTION_NONE]      = "no resolution asked",
    [QF_RESOLUTION_KEPT]      = "kept",
    [QF_RESOLUTION_CHAINED]   = "kept as another dominant",
    [QF_RESOLUTION_DEFLECTED] = "deflected to another dominant",
    [QF_RESOLUTION_DECEPTIVE] = "deceptive",
    [QF_RESOLUTION_PROLONGED] = "prolonged",
    [QF_RESOLUTION_OPEN]      = "left open",
  };

  return names[resolution];
}

const char*
qf_cadence_kind_name(const QfCadenceKind kind)
{
  static const char* const names[QF_CADENCE_N_KINDS] = {
    [QF_CADENCE_PERFECT]   = "perfect authentic cadence",
    [QF_CADENCE_IMPERFECT] = "imperfect authentic cadence",
    [QF_CADENCE_HALF]      = "half cadence",
    [QF_CADENCE_PHRYGIAN]  = "Phrygian half cadence",
    [QF_CADENCE_PLAGAL]    = "plagal cadence",
    [QF_CADENCE_DECEPTIVE] = "deceptive cadence",
  };

  return names[kind];
}

const char*
qf_foreign_kind_name(const QfForeignKind kind)
{
  static const char* const names[QF_FOREIGN_N_KINDS] = {
    [QF_FOREIGN_PASSING]      = "passing note",
    [QF_FOREIGN_NEIGHBOUR]    = "neighbour note",
    [QF_FOREIGN_SUSPENSION]   = "suspension",
    [QF_FOREIGN_RETARDATION]  = "retardation",
    [QF_FOREIGN_ANTICIPATION] = "anticipation",
    [QF_FOREIGN_APPOGGIATURA] = "appoggiatura",
    [QF_FOREIGN_ESCAPE]       = "escape note",
    [QF_FOREIGN_PEDAL]        = "pedal note",
    [QF_FOREIGN_FREE]         = "free note",
  };

  return names[kind];
}

const char*
qf_foreign_kind_sign(const QfForeignKind kind)
{
  // Common practice.
  static const char* const signs[QF_FOREIGN_N_KINDS] = {
    [QF_FOREIGN_PASSING]      = "PT",
    [QF_FOREIGN_NEIGHBOUR]    = "NT",
    [QF_FOREIGN_SUSPENSION]   = "SUS",
    [QF_FOREIGN_RETARDATION]  = "RET",
    [QF_FOREIGN_ANTICIPATION] = "ANT",
    [QF_FOREIGN_APPOGGIATURA] = "APP",
    [QF_FOREIGN_ESCAPE]       = "ET",
    [QF_FOREIGN_PEDAL]        = "PED",
    [QF_FOREIGN_FREE]         = "",
  };

  return signs[kind];
}

void
qf_label_speak(const QfLabel* const label,
               const size_t         index,
               const QfNamingKind   naming,
               char* const          buffer,
               const size_t         size)
{
  static const char* const inversions[] = {"root position", "first inversion", "second inversion",
                                           "third inversion", "fourth inversion"};

  char numeral[160];
  char root[40];
  char motion[48];

  if (!label->is_known) {
    snprintf(buffer, size, "Link %zu: no chord named", index + 1);
    return;
  }

  // The inversion is said once, with the chord.
  QfNumeral plain = label->numeral;

  if (plain.form == QF_NUMERAL_ROMAN || plain.form == QF_NUMERAL_NEAPOLITAN) {
    plain.inversion = 0;
  }

  qf_numeral_speak(&plain, label->key.mode, numeral, sizeof(numeral));
  qf_word_note(label->chord.root, naming, root, sizeof(root));

  int n = snprintf(buffer, size, "Link %zu: %s, %s %s, %s", index + 1, numeral, root,
                   qf_chord_kind_name(label->chord.kind), inversions[label->chord.inversion]);

  if (label->has_next && n > 0 && (size_t)n < size) {
    qf_root_motion_describe(label->motion, motion, sizeof(motion));
    n += snprintf(buffer + n, size - (size_t)n, "; %s", motion);
  }
  if (label->resolution != QF_RESOLUTION_NONE && n > 0 && (size_t)n < size) {
    snprintf(buffer + n, size - (size_t)n, "; %s", qf_resolution_name(label->resolution));
  }
}
