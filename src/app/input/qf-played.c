// SPDX-License-Identifier: MIT
#include "qf-played.h"

#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

QfPitch
qf_played_pitch(const int midi, const QfKey key)
{
  const QfNoteName name = qf_key_spell(key, midi);

  // The octave follows the letter, so B sharp 3 sounds as C4 does.
  const int octave = (midi - name.alter + 12) / 12 - 2;
  return (QfPitch){name.letter, name.alter, (int8_t)octave};
}

/// The notes as a score of one chord, or NULL
static QfScore*
score_of(const uint8_t* const midi, const size_t n_keys, const QfKey key)
{
  QfScore* const score = qf_score_new();
  QfMetre        metre = {0};
  bool is_ok = score && !qf_metre(4, 4, &metre) && !qf_score_add_staff(score, "", QF_CLEF_TREBLE) &&
               !qf_score_append_bar(score, (QfBar){.length = qf_time(1, 1), .metre = metre}) &&
               !qf_score_set_signature(score, QF_TIME_ZERO, key);

  for (size_t i = 0; is_ok && i < n_keys; ++i) {
    const QfPitch pitch = qf_played_pitch(midi[n_keys - 1 - i], key);
    is_ok               = !qf_score_add_voice(score, "", 0) &&
            !qf_score_put_note(score, i, QF_TIME_ZERO, qf_time(1, 1), pitch, QF_NO_NOTE, NULL);
  }
  if (!is_ok) {
    qf_score_free(score);
    return NULL;
  }
  return score;
}

static void
describe_notes(const uint8_t* const midi,
               const size_t         n_keys,
               const QfKey          key,
               const QfNamingKind   naming,
               QfText* const        text)
{
  for (size_t i = 0; i < n_keys; ++i) {
    char name[40];
    qf_note_name_spell_out(qf_pitch_name(qf_played_pitch(midi[i], key)), naming, name,
                           sizeof(name));
    qf_text_addf(text, "%s%s", i ? " " : "", name);
  }
}

static void
describe_chord(const QfLabel* const label, const QfNamingKind naming, QfText* const text)
{
  static const char* const positions[] = {"root position", "first inversion", "second inversion",
                                          "third inversion", "fourth inversion"};
  char                     numeral[QF_NUMERAL_TEXT_SIZE];
  char                     root[40];

  qf_numeral_write(&label->numeral, label->key.mode, numeral, sizeof(numeral));
  qf_note_name_spell_out(label->chord.root, naming, root, sizeof(root));
  qf_text_addf(text, "%s: %s %s, %s", numeral, root, qf_chord_kind_name(label->chord.kind),
               positions[label->chord.inversion]);
}

void
qf_played_describe(const uint8_t* const midi,
                   const size_t         n_keys,
                   const QfKey          key,
                   const QfNamingKind   naming,
                   char* const          buffer,
                   const size_t         size)
{
  enum { LEAST_CHORD = 3 };

  const size_t         n       = n_keys < QF_PLAYED_MAX_NOTES ? n_keys : QF_PLAYED_MAX_NOTES;
  const QfLabelOptions options = {.has_key = true, .key = key, .naming = naming};
  QfScore* const       score   = n >= LEAST_CHORD ? score_of(midi, n, key) : NULL;
  QfLabels*            labels  = NULL;
  QfText               text    = {0};

  if (score && !qf_labels_new(score, options, &labels, NULL) && qf_labels_n_links(labels) == 1 &&
      qf_labels_get_link(labels, 0)->is_known) {
    describe_chord(qf_labels_get_link(labels, 0), naming, &text);
  } else {
    describe_notes(midi, n, key, naming, &text);
  }
  snprintf(buffer, size, "%s", text.data ? text.data : "");
  qf_text_free(&text);
  qf_labels_free(labels);
  qf_score_free(score);
}

void
qf_played_share(const uint8_t* const midi,
                const size_t         n_keys,
                const QfKey          key,
                const size_t         n_voices,
                QfPitch* const       pitches,
                bool* const          is_played)
{
  memset(is_played, 0, n_voices * sizeof(*is_played));
  if (!n_keys || !n_voices) {
    return;
  }

  const size_t n_upper = n_keys - 1 < n_voices - 1 ? n_keys - 1 : n_voices - 1;
  for (size_t v = 0; v < n_upper; ++v) {
    pitches[v]   = qf_played_pitch(midi[n_keys - 1 - v], key);
    is_played[v] = true;
  }
  pitches[n_voices - 1]   = qf_played_pitch(midi[0], key);
  is_played[n_voices - 1] = true;
}
