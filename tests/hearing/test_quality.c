// SPDX-License-Identifier: MIT
#include "quintfall/events.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

enum {
  MAX_NOTES = 24,
  MAX_PINS  = 4,
};

/// A note as a test writes it: start and duration in quarters
typedef struct {
  size_t      voice;
  int         start;
  int         duration;
  const char* pitch;
} Line;

/// A chord named by its numeral in C major, from a quarter on
typedef struct {
  int         start;
  const char* numeral;
} Named;

/// A passage with its chords, and what is to be struck: "0: C3 G3 C4 E4", in quarters
typedef struct {
  const char* label;
  Line        notes[MAX_NOTES];
  Named       chords[MAX_PINS];
  const char* struck;
} Case;

// Rules: common practice. A passing note lies by step between chord tones, a 4-3 suspension holds
// a tone of the chord before over the third; neither belongs to the chord they stand in.
static const Case cases[] = {
  {"a passing note and a suspension are left out",
   {{0, 0, 1, "E4"},
    {0, 1, 1, "F4"},
    {0, 2, 2, "G4"},
    {0, 4, 4, "G4"},
    {1, 0, 3, "C4"},
    {1, 3, 1, "B3"},
    {1, 4, 4, "C4"},
    {2, 0, 2, "G3"},
    {2, 2, 2, "D3"},
    {2, 4, 4, "E3"},
    {3, 0, 2, "C3"},
    {3, 2, 2, "G2"},
    {3, 4, 4, "C3"}},
   {{0, "I"}, {2, "V"}, {4, "I"}},
   "0: C3 G3 C4 E4; 2: G2 D3 B3 G4; 4: C3 E3 C4 G4; "},
  {"a seventh that comes later is struck in its voice",
   {{0, 0, 2, "G4"},
    {0, 2, 2, "F4"},
    {0, 4, 4, "E4"},
    {1, 0, 4, "D4"},
    {1, 4, 4, "C4"},
    {2, 0, 4, "B3"},
    {2, 4, 4, "C4"},
    {3, 0, 4, "G2"},
    {3, 4, 4, "C3"}},
   {{0, "V7"}, {4, "I"}},
   "0: G2 B3 D4 F4; 4: C3 C4 C4 E4; "},
  {"the same chord is struck anew over another bass, and only there",
   {{0, 0, 2, "E4"},
    {0, 2, 2, "G4"},
    {0, 4, 4, "G4"},
    {1, 0, 8, "C4"},
    {2, 0, 8, "G3"},
    {3, 0, 4, "C3"},
    {3, 4, 4, "E3"}},
   {{0, "I"}, {4, "I6"}},
   "0: C3 G3 C4 E4; 4: E3 G3 C4 G4; "},
  {"a broken chord sounds at once",
   {{0, 0, 8, "E4"}, {1, 0, 1, "r"}, {1, 1, 1, "C4"}, {1, 2, 6, "G3"}, {3, 0, 8, "C3"}},
   {{0, "I"}},
   "0: C3 G3 E4; "},
};

static QfScore*
score_of(const Case* const row)
{
  const QfKey key   = {{0, 0}, QF_MAJOR};
  QfMetre     metre = {0};
  assert_int_equal(qf_metre(4, 4, &metre), QF_OK);
  QfScore* const score = qf_score_new_satb(key, metre, QF_TIME_ZERO, 2);
  assert_non_null(score);
  for (size_t i = 0; i < MAX_NOTES && row->notes[i].pitch; ++i) {
    const Line* const note  = &row->notes[i];
    QfPitch           pitch = {0};
    if (strcmp(note->pitch, "r") != 0) {
      assert_int_equal(qf_pitch_parse(note->pitch, &pitch, NULL), QF_OK);
      assert_int_equal(qf_score_put_note(score, note->voice, qf_time(note->start, 4),
                                         qf_time(note->duration, 4), pitch, QF_NO_NOTE, NULL),
                       QF_OK);
    }
  }
  return score;
}

static QfLabels*
labels_of(const Case* const row, const QfScore* const score)
{
  const QfKey key    = {{0, 0}, QF_MAJOR};
  QfLabels*   labels = NULL;
  QfPin       pins[MAX_PINS];
  size_t      n_pins = 0;
  while (n_pins < MAX_PINS && row->chords[n_pins].numeral) {
    const Named* const chord = &row->chords[n_pins];
    pins[n_pins]             = (QfPin){.start = qf_time(chord->start, 4), .key = key};
    assert_int_equal(qf_numeral_parse(chord->numeral, key.mode, &pins[n_pins].numeral, NULL),
                     QF_OK);
    ++n_pins;
  }
  assert_int_equal(
    qf_labels_new(score,
                  (QfLabelOptions){.has_key = true, .key = key, .pins = pins, .n_pins = n_pins},
                  &labels, NULL),
    QF_OK);
  return labels;
}

static QfPerformance
perform(const QfScore* const score, const QfLabels* const labels, const QfPlanStep step)
{
  QfPlan* const plan        = qf_plan_new("Quality");
  QfPerformance performance = {0};
  assert_int_equal(qf_plan_insert_step(plan, 0, step), QF_OK);
  assert_int_equal(qf_perform(score, plan,
                              (QfPerformOptions){.labels = labels, .hearing = QF_ALL_HEARINGS},
                              &performance, NULL),
                   QF_OK);
  qf_plan_free(plan);
  return performance;
}

static QfPlanStep
quality(void)
{
  QfPlanStep step   = qf_plan_step_default(QF_STEP_PASS);
  step.pass.forward = QF_FORWARD_QUALITY;
  return step;
}

/// Keys in order of pitch; they are all without accidentals here
static void
add_name(char* const buffer, const size_t size, const uint8_t key)
{
  static const char* const names[12] = {"C",  "C#", "D",  "D#", "E",  "F",
                                        "F#", "G",  "G#", "A",  "A#", "B"};
  const size_t             length    = strlen(buffer);
  snprintf(buffer + length, size - length, " %s%d", names[key % 12], key / 12 - 1);
}

/// What is struck, as a case writes it
static void
describe(const QfPerformance* const performance, char* const buffer, const size_t size)
{
  buffer[0] = '\0';
  for (int quarter = 0; quarter < 8; ++quarter) {
    bool has_begun = false;
    for (uint8_t key = 0; key < 128; ++key) {
      for (size_t i = 0; i < performance->events.n_events; ++i) {
        const QfEvent* const event = &performance->events.events[i];
        if (event->kind == QF_EVENT_NOTE_ON && event->key == key &&
            !qf_time_compare(event->score_time, qf_time(quarter, 4))) {
          const size_t length = strlen(buffer);
          snprintf(buffer + length, size - length, has_begun ? "" : "%d:", quarter);
          has_begun = true;
          add_name(buffer, size, key);
        }
      }
    }
    if (has_begun) {
      const size_t length = strlen(buffer);
      snprintf(buffer + length, size - length, "; ");
    }
  }
}

static void
test_chords_are_struck_with_their_own_notes(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    QfScore* const  score  = score_of(&cases[i]);
    QfLabels* const labels = labels_of(&cases[i], score);
    QfPerformance   heard  = perform(score, labels, quality());
    char            struck[256];
    describe(&heard, struck, sizeof(struck));
    if (strcmp(struck, cases[i].struck) != 0) {
      fail_msg("%s: %s; expected %s", cases[i].label, struck, cases[i].struck);
    }
    qf_performance_clear(&heard);
    qf_labels_free(labels);
    qf_score_free(score);
  }
}

static void
test_a_part_strikes_what_sounds_in_it(void** state)
{
  (void)state;
  QfScore* const  score  = score_of(&cases[0]);
  QfLabels* const labels = labels_of(&cases[0], score);
  QfPlanStep      step   = quality();
  step.pass.from         = qf_time(3, 4); // After the suspension has resolved
  step.pass.to           = qf_time(5, 4);
  QfPerformance heard    = perform(score, labels, step);
  char          struck[256];
  describe(&heard, struck, sizeof(struck));
  assert_string_equal(struck, "3: G2 D3 B3 G4; 4: C3 E3 C4 G4; ");
  qf_performance_clear(&heard);

  // Without labels there are no chords to go by, and every slice is struck.
  heard = perform(score, NULL, quality());
  describe(&heard, struck, sizeof(struck));
  assert_string_equal(struck, "0: C3 G3 C4 E4; 1: C3 G3 C4 F4; 2: G2 D3 C4 G4; 3: G2 D3 B3 G4; "
                              "4: C3 E3 C4 G4; ");
  qf_performance_clear(&heard);
  qf_labels_free(labels);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_chords_are_struck_with_their_own_notes),
    cmocka_unit_test(test_a_part_strikes_what_sounds_in_it),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
