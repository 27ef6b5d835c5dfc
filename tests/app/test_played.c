// SPDX-License-Identifier: MIT
#include "input/qf-played.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static QfKey
key_of(const char* const text)
{
  QfKey key = {0};
  assert_int_equal(qf_key_parse(text, &key, NULL), QF_OK);
  return key;
}

// Applied leading tones are raised, minor's sixth and seventh come in both forms, the flat
// second degree is the Neapolitan's: common practice.
static const struct {
  const char* key;
  int         midi;
  const char* pitch;
} spellings[] = {
  {"A major", 63, "D#4"},                                                   // Leading tone of V
  {"A major", 68, "G#4"},  {"A major", 67, "G4"},   {"C minor", 70, "Bb4"}, // Subtonic
  {"C minor", 71, "B4"},                                                    // Leading tone
  {"C minor", 66, "F#4"},                                                   // Leading tone of V
  {"C minor", 61, "Db4"},                           // Root of the Neapolitan
  {"C minor", 68, "Ab4"},  {"C major", 66, "F#4"},  // Leading tone of V
  {"C major", 61, "C#4"},                           // Leading tone of ii
  {"C major", 68, "G#4"},                           // Leading tone of vi
  {"C major", 60, "C4"},   {"C# major", 60, "B#3"}, // Leading tone, under C#4
  {"Gb major", 71, "Cb5"},                          // Fourth degree
};

static void
test_keys_are_spelled(void** const state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(spellings) / sizeof(spellings[0]); ++i) {
    const QfPitch pitch = qf_played_pitch(spellings[i].midi, key_of(spellings[i].key));
    char          seen[16];
    qf_pitch_write(pitch, seen, sizeof(seen));
    if (strcmp(seen, spellings[i].pitch)) {
      fail_msg("%d in %s: %s, not %s", spellings[i].midi, spellings[i].key, seen,
               spellings[i].pitch);
    }
  }
}

static void
test_every_key_sounds_as_played(void** const state)
{
  static const char* const keys[] = {"C major", "F# major", "Gb major",
                                     "A minor", "D# minor", "Eb minor"};

  (void)state;
  for (size_t k = 0; k < sizeof(keys) / sizeof(keys[0]); ++k) {
    for (int midi = 0; midi < 128; ++midi) {
      assert_int_equal(qf_pitch_midi(qf_played_pitch(midi, key_of(keys[k]))), midi);
    }
  }
}

// Chords as a textbook names them: common practice
static const struct {
  const char* key;
  uint8_t     midi[4];
  size_t      n_keys;
  const char* begin;
} chords[] = {
  {"C major", {50, 54, 57, 60}, 4, "V7/V: D"},  {"C major", {55, 59, 62, 65}, 4, "V7: G"},
  {"C minor", {56, 60, 63, 66}, 4, "Ger65: "},  {"C major", {52, 55, 60, 0}, 3, "I6: C"},
  {"A minor", {56, 59, 62, 65}, 4, "viio7: G"}, {"C major", {60, 64, 0, 0}, 2, "C E"},
};

static void
test_chords_are_named(void** const state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(chords) / sizeof(chords[0]); ++i) {
    char seen[QF_PLAYED_NAME_SIZE];
    qf_played_describe(chords[i].midi, chords[i].n_keys, key_of(chords[i].key), QF_NAMING_ENGLISH,
                       seen, sizeof(seen));
    if (strncmp(seen, chords[i].begin, strlen(chords[i].begin)) != 0) {
      fail_msg("in %s: %s, not %s", chords[i].key, seen, chords[i].begin);
    }
  }
}

static void
test_notes_are_shared(void** const state)
{
  static const uint8_t midi[]     = {48, 55, 60, 64, 67};
  const QfKey          key        = key_of("C major");
  QfPitch              pitches[4] = {{0}};
  bool                 is_played[4];

  (void)state;
  qf_played_share(midi, 4, key, 4, pitches, is_played);
  assert_int_equal(qf_pitch_midi(pitches[0]), 64);
  assert_int_equal(qf_pitch_midi(pitches[1]), 60);
  assert_int_equal(qf_pitch_midi(pitches[2]), 55);
  assert_int_equal(qf_pitch_midi(pitches[3]), 48);

  // Two notes: the outer voices
  qf_played_share(midi, 2, key, 4, pitches, is_played);
  assert_true(is_played[0] && !is_played[1] && !is_played[2] && is_played[3]);

  // One too many: an inner one is left out, never an outer one
  qf_played_share(midi, 5, key, 4, pitches, is_played);
  assert_int_equal(qf_pitch_midi(pitches[0]), 67);
  assert_int_equal(qf_pitch_midi(pitches[3]), 48);

  qf_played_share(midi, 0, key, 4, pitches, is_played);
  assert_false(is_played[0] || is_played[1] || is_played[2] || is_played[3]);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_keys_are_spelled),
    cmocka_unit_test(test_every_key_sounds_as_played),
    cmocka_unit_test(test_chords_are_named),
    cmocka_unit_test(test_notes_are_shared),
  };

  return cmocka_run_group_tests(tests, NULL, NULL);
}
