// SPDX-License-Identifier: MIT
#include "quintfall/harmonise.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { MAX_NOTES = 12, N_MELODIES = 40, N_BEST = 3 };

static QfHarmoniseOptions
options_of(const char* const key, const QfVocabulary vocabulary)
{
  QfHarmoniseOptions options = {
    .vocabulary = vocabulary, .profile = QF_PROFILE_COMMON, .n_best = N_BEST};
  assert_int_equal(qf_key_parse(key, &options.key, NULL), QF_OK);
  qf_metre(4, 4, &options.metre);
  return options;
}

/// Quarter notes from text such as "C3 F3:6"; gives their number
static size_t
read_notes(const char* const text, QfGivenNote notes[MAX_NOTES])
{
  char   copy[128];
  size_t n = 0;
  snprintf(copy, sizeof(copy), "%s", text);
  for (char* token = strtok(copy, " "); token; token = strtok(NULL, " "), ++n) {
    char* const colon = strchr(token, ':');
    notes[n]          = (QfGivenNote){.start = qf_time((int64_t)n, 4), .duration = qf_time(1, 4)};
    if (colon) {
      *colon              = '\0';
      notes[n].is_figured = true;
      snprintf(notes[n].figures, sizeof(notes[n].figures), "%s", colon + 1);
    }
    assert_int_equal(qf_pitch_parse(token, &notes[n].pitch, NULL), QF_OK);
  }
  return n;
}

static void
write_chain(const QfHarmony* const harmony, const size_t n_links, char* const buffer, size_t size)
{
  buffer[0] = '\0';
  for (size_t i = 0; i < n_links; ++i) {
    char numeral[QF_NUMERAL_TEXT_SIZE];
    qf_numeral_write(&harmony->links[i].numeral, harmony->links[i].key.mode, numeral,
                     sizeof(numeral));
    strncat(buffer, i ? " " : "", size - strlen(buffer) - 1U);
    strncat(buffer, numeral, size - strlen(buffer) - 1U);
  }
}

typedef struct {
  const char* key;
  bool        is_bass;
  const char* notes;
  const char* chain;
} Line;

// Figures leave one chord for each bass (OMT, Introduction to thoroughbass); six-four on the
// fifth degree before five-three is the cadential one (OMT; MT21C). Scale degrees 3-2-1 and
// 1-7-1 close over V-I (all).
static const Line lines[] = {
  {"C major", true, "C3: F3:6 G3:6/4 G3:7 C3:", "I ii6 Cad64 V7 I"},
  {"C major", true, "C3: B2:6/5 C3: F3:6/5 G3:7 C3:", "I V65 I ii65 V7 I"},
  {"A minor", true, "A2: D3: E3:# A2:", "i iv V i"},
  {"A minor", true, "A2: D3:6 G#2:6/5 A2:", "i iio6 V65 i"},
  {"G major", true, "G2: C3: D3:7 G2:", "I IV V7 I"},
};

static void
test_figured_basses_give_their_chords(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(lines) / sizeof(lines[0]); ++i) {
    QfGivenNote        notes[MAX_NOTES];
    QfHarmonies        harmonies = {0};
    QfError            error     = {0};
    char               chain[256];
    QfHarmoniseOptions options = options_of(lines[i].key, QF_VOCABULARY_APPLIED);
    options.is_bass            = lines[i].is_bass;
    const size_t n             = read_notes(lines[i].notes, notes);
    if (qf_harmonise(notes, n, options, &harmonies, &error)) {
      fail_msg("%s: %s", lines[i].notes, error.text);
    }
    write_chain(&harmonies.harmonies[0], n, chain, sizeof(chain));
    if (strcmp(chain, lines[i].chain) != 0) {
      fail_msg("%s: %s, not %s", lines[i].notes, chain, lines[i].chain);
    }
    qf_harmonies_clear(&harmonies);
  }
}

static bool
is_authentic(const QfHarmony* const harmony, const size_t n_links)
{
  const QfNumeral* const before = &harmony->links[n_links - 2U].numeral;
  const QfNumeral* const last   = &harmony->links[n_links - 1U].numeral;
  return before->degree == 5 && !before->n_targets && before->inversion == 0 && last->degree == 1 &&
         last->inversion == 0;
}

static void
test_melodies_close_with_an_authentic_cadence(void** state)
{
  (void)state;
  static const char* const melodies[][2] = {{"C major", "E5 F5 E5 D5 C5"},
                                            {"C major", "G4 A4 C5 B4 C5"},
                                            {"E minor", "B4 C5 B4 F#4 E4"},
                                            {"Bb major", "D5 Eb5 D5 C5 Bb4"}};
  for (size_t i = 0; i < sizeof(melodies) / sizeof(melodies[0]); ++i) {
    for (int v = 0; v < QF_VOCABULARY_N_KINDS; ++v) {
      QfGivenNote  notes[MAX_NOTES];
      QfHarmonies  harmonies = {0};
      const size_t n         = read_notes(melodies[i][1], notes);
      assert_int_equal(
        qf_harmonise(notes, n, options_of(melodies[i][0], (QfVocabulary)v), &harmonies, NULL),
        QF_OK);
      assert_true(is_authentic(&harmonies.harmonies[0], n));
      qf_harmonies_clear(&harmonies);
    }
  }
}

/// Every note belongs to the scale, the raised seventh of minor counted in
static void
check_diatonic(const QfHarmony* const harmony, const size_t n_links, const QfKey key)
{
  for (size_t i = 0; i < n_links; ++i) {
    for (size_t v = 0; v < QF_SATB; ++v) {
      const QfPitch pitch  = harmony->voicings[i].pitch[v];
      const int     raised = key.mode == QF_MINOR && pitch.letter == (key.tonic.letter + 6) % 7;
      const int     off    = pitch.alter - qf_key_alter_of(key, pitch.letter);
      assert_true(off == 0 || (raised && off == 1));
    }
  }
}

static void
check_harmony(const QfHarmony* const   harmony,
              const QfGivenNote* const notes,
              const size_t             n,
              const QfHarmoniseOptions options)
{
  QfFindings     findings = {0};
  QfScore* const score    = qf_score_new_satb(options.key, options.metre, QF_TIME_ZERO, 1);
  assert_int_equal(qf_realise_into(score, harmony->links, n, harmony->voicings), QF_OK);
  for (size_t i = 0; i < n; ++i) {
    const size_t voice = options.is_bass ? 3 : 0;
    assert_true(qf_pitch_equals(harmony->voicings[i].pitch[voice], notes[i].pitch));
  }
  assert_int_equal(qf_check_links(score, harmony->links, n, options.profile, &findings, NULL),
                   QF_OK);
  assert_int_equal(qf_findings_count(&findings, QF_SEVERITY_ERROR), 0);
  if (options.vocabulary == QF_VOCABULARY_DIATONIC) {
    check_diatonic(harmony, n, options.key);
  }
  qf_findings_clear(&findings);
  qf_score_free(score);
}

/// Random stepwise lines: the line is kept, no error is made, chains differ and come in order
static void
test_random_lines_are_kept_without_error(void** state)
{
  (void)state;
  static const char* const keys[] = {"C major", "A minor", "Eb major", "F# minor", "D major"};

  unsigned seed   = 5;
  size_t   n_done = 0;
  for (int round = 0; round < N_MELODIES; ++round) {
    QfHarmoniseOptions options = options_of(keys[round % 5], (QfVocabulary)(round % 3));
    options.profile            = (QfProfile)(round % 2);
    options.is_bass            = round % 4 == 3;
    QfGivenNote notes[MAX_NOTES];
    QfHarmonies harmonies = {0};
    int         step      = 7 * (options.is_bass ? 3 : 4) + 2 + options.key.tonic.letter;
    for (size_t i = 0; i < 7; ++i) {
      const int     letter = step % 7;
      const QfPitch pitch  = qf_pitch_from_step(step, qf_key_alter_of(options.key, letter));
      notes[i] =
        (QfGivenNote){.start = qf_time((int64_t)i, 4), .duration = qf_time(1, 4), .pitch = pitch};
      seed = seed * 1664525U + 1013904223U;
      step += (int)((seed >> 10U) % 3U) - 1;
    }
    if (qf_harmonise(notes, 7, options, &harmonies, NULL)) {
      continue;
    }
    ++n_done;
    for (size_t h = 0; h < harmonies.n_harmonies; ++h) {
      check_harmony(&harmonies.harmonies[h], notes, 7, options);
      for (size_t k = 0; k < h; ++k) {
        char a[256];
        char b[256];
        write_chain(&harmonies.harmonies[h], 7, a, sizeof(a));
        write_chain(&harmonies.harmonies[k], 7, b, sizeof(b));
        assert_string_not_equal(a, b);
        assert_true(harmonies.harmonies[k].cost <= harmonies.harmonies[h].cost);
      }
    }
    qf_harmonies_clear(&harmonies);
  }
  print_message("%zu of %d lines\n", n_done, N_MELODIES);
  assert_true(2U * n_done > N_MELODIES);
}

static void
test_what_fits_no_chord_is_named(void** state)
{
  (void)state;
  QfGivenNote  notes[MAX_NOTES];
  QfHarmonies  harmonies = {0};
  QfError      error     = {0};
  const size_t n         = read_notes("C5 F#4 C5", notes);
  assert_int_equal(
    qf_harmonise(notes, n, options_of("C major", QF_VOCABULARY_DIATONIC), &harmonies, &error),
    QF_ERR_IMPOSSIBLE);
  assert_non_null(strstr(error.text, "note 2 (F#4)"));
  assert_int_equal(
    qf_harmonise(notes, 0, options_of("C major", QF_VOCABULARY_DIATONIC), &harmonies, &error),
    QF_ERR_RANGE);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_figured_basses_give_their_chords),
    cmocka_unit_test(test_melodies_close_with_an_authentic_cadence),
    cmocka_unit_test(test_random_lines_are_kept_without_error),
    cmocka_unit_test(test_what_fits_no_chord_is_named),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
