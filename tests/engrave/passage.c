// SPDX-License-Identifier: MIT
#include "passage.h"

#include <stdio.h>
#include <string.h>

QfPitch
pitch_of(const char* const text)
{
  QfPitch pitch = {0};
  if (qf_pitch_parse(text, &pitch, NULL)) {
    fail_msg("not a pitch: %s", text);
  }
  return pitch;
}

QfKey
key_of(const char* const text)
{
  QfKey key = {{0, 0}, QF_MAJOR};
  if (qf_key_parse(text, &key, NULL)) {
    fail_msg("not a key: %s", text);
  }
  return key;
}

QfMetre
metre_of(const char* const text)
{
  QfMetre metre = {0};
  if (qf_metre_parse(text, &metre, NULL)) {
    fail_msg("not a metre: %s", text);
  }
  return metre;
}

QfScore*
new_score(const char* const   key,
          const char* const   metre,
          const size_t        n_bars,
          const QfClef* const clefs,
          const size_t        n_staves,
          const size_t        voices_per_staff)
{
  QfScore* const score = qf_score_new();
  assert_non_null(score);
  for (size_t s = 0; s < n_staves; ++s) {
    assert_int_equal(qf_score_add_staff(score, "", clefs[s]), QF_OK);
    for (size_t v = 0; v < voices_per_staff; ++v) {
      assert_int_equal(qf_score_add_voice(score, "", s), QF_OK);
    }
  }
  for (size_t b = 0; b < n_bars; ++b) {
    QfBar bar  = {.number = (int)b + 1, .metre = metre_of(metre)};
    bar.length = qf_metre_bar(bar.metre);
    bar.offset = QF_TIME_ZERO;
    assert_int_equal(qf_score_append_bar(score, bar), QF_OK);
  }
  assert_int_equal(qf_score_set_signature(score, QF_TIME_ZERO, key_of(key)), QF_OK);
  return score;
}

QfScore*
new_treble(const char* const key,
           const char* const metre,
           const size_t      n_bars,
           const size_t      n_voices)
{
  const QfClef clef = QF_CLEF_TREBLE;
  return new_score(key, metre, n_bars, &clef, 1, n_voices);
}

uint32_t
write_voice(QfScore* const score, const size_t voice, const char* const notes)
{
  char     text[2000];
  uint32_t id    = QF_NO_NOTE;
  QfTime   start = QF_TIME_ZERO;
  char*    state = NULL;
  snprintf(text, sizeof(text), "%s", notes);
  for (char* word = strtok_r(text, " ", &state); word; word = strtok_r(NULL, " ", &state)) {
    char* const length = strchr(word, ':');
    QfTime      time   = QF_TIME_ZERO;
    if (!length || qf_time_parse(length + 1, &time, NULL)) {
      fail_msg("not a note: %s", word);
      return id;
    }
    *length = '\0';
    if (strcmp(word, "r") != 0) {
      assert_int_equal(
        qf_score_put_note(score, voice, start, time, pitch_of(word), QF_NO_NOTE, &id), QF_OK);
    }
    start = qf_time_add(start, time);
  }
  return id;
}

QfScore*
new_rich_passage(void)
{
  QfScore* const score = qf_score_new_satb(key_of("A major"), metre_of("4/4"), qf_time(1, 4), 12);
  assert_non_null(score);
  assert_int_equal(qf_score_set_title(score, "Ferry Bell"), QF_OK);
  write_voice(score, 0,
              "E5:1/4 C#5:1/4 D5:1/8 C#5:1/8 B4:3/8 A4:1/8 A#4:1/4 B4:1/16 C#5:1/16 D5:1/8 E5:1/4 "
              "F#5:3/16 G5:1/16 A5:1/1 A5:1/2 G#5:1/12 F#5:1/12 E5:1/12 D5:1/12 D#5:1/12 E5:1/12 "
              "E5:1/1 C6:1/2 E6:1/2 B4:1/4 B4:1/4 B4:1/2 A4:1/1 A4:3/2 r:1/2 C#5:7/4");
  write_voice(score, 1,
              "E4:1/4 B4:1/4 C#5:1/4 G#4:1/4 A4:1/4 G4:1/4 G#4:1/4 r:1/4 B4:1/8 C#5:1/8 r:1/2 "
              "D5:1/4 C5:1/4 E4:1/1 D#4:1/4 C##5:1/4 D#5:1/4 E#4:1/4 A3:1/8 G3:1/8 F3:1/4 E3:1/2 "
              "B4:1/4 B4:1/2 B4:1/4 G#4:1/1 G#4:3/4");
  write_voice(score, 2,
              "C#4:1/4 E4:3/4 E4:1/4 D4:1/4 E4:1/4 Eb4:1/4 Bbb3:1/4 A3:1/1 F##3:1/4 G#3:1/4 "
              "G3:1/4 F#3:1/4 r:1/1 r:1/2 E3:1/8 r:1/8 D3:1/8 C3:1/8 E4:1/2 F4:1/2 E4:1/1");
  write_voice(score, 3,
              "A3:1/4 A2:1/2 A3:3/8 C#4:1/8 D4:1/4 E3:1/4 F3:1/4 Gb3:1/4 A2:3/4 B2:1/8 C#3:1/8 "
              "D3:1/4 D#3:1/4 E3:1/4 E2:1/4 A2:1/2 C2:1/4 A1:1/4 r:1/1 F3:1/1 E4:1/1 A2:2/1");
  assert_int_equal(qf_score_set_signature(score, qf_time(17, 4), key_of("F major")), QF_OK);
  return score;
}

QfEngraving*
engrave(const QfScore* const score, const QfLabels* const labels, const QfEngraveOptions options)
{
  QfEngraving* engraving = NULL;
  QfError      error     = {0};
  if (qf_engraving_new(score, labels, options, &engraving, &error)) {
    fail_msg("%s", error.text);
  }
  return engraving;
}

void
box_of(const QfEngraving* const engraving, const uint32_t note, double box[4])
{
  if (!qf_engraving_note_box(engraving, note, &box[0], &box[1], &box[2], &box[3])) {
    fail_msg("note %u has no box", note);
  }
}
