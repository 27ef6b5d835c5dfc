// SPDX-License-Identifier: MIT
#include "quintfall/file.h"
#include "quintfall/formats.h"
#include "quintfall/recordings.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum {
  MAX_CHORDS = 128,
  MAX_STRUCK = 1024,
};

// Source: tests/data/textbooks, progressions by Reger, Tchaikovsky and Rimsky-Korsakov with the
// published human analyses of N. Nápoles López et al. 2020, in the When in Rome corpus (CC BY-SA
// 4.0).
static const char* const pieces[] = {
  "reger-99a",        "reger-99b",        "rimsky-17b",      "rimsky-17d",
  "rimsky-23c",       "rimsky-23e",       "rimsky-23g",      "tchaikovsky-183b",
  "tchaikovsky-183d", "tchaikovsky-185b", "tchaikovsky-189", "tchaikovsky-195",
};

/// A chord as the human reader names it
typedef struct {
  QfTime  start;
  QfPin   pin;
  QfChord chord;
} Human;

typedef struct {
  QfScore* score;
  Human    chords[MAX_CHORDS];
  size_t   n_chords;
} Piece;

static void
read_file(const char* const name, const char* const leaf, void** const data, size_t* const length)
{
  char path[512];
  snprintf(path, sizeof(path), "%s/textbooks/%s/%s", QF_TEST_DATA, name, leaf);
  assert_int_equal(qf_file_read(path, data, length, NULL), QF_OK);
}

static QfTime
time_of(const QfScore* const score, const QfRomanChord* const chord)
{
  for (size_t b = 0; b < qf_score_n_bars(score); ++b) {
    const QfBar* const bar = qf_score_get_bar(score, b);
    if (bar->number == chord->measure) {
      const QfTime beats  = qf_time_sub(chord->beat, qf_time(1, 1));
      const QfTime within = qf_time_mul(beats, qf_metre_beat(bar->metre));
      return qf_time_add(bar->start, qf_time_sub(within, bar->offset));
    }
  }
  fail_msg("no measure %d", chord->measure);
  return QF_TIME_ZERO;
}

static Piece
open_piece(const char* const name)
{
  Piece       piece  = {0};
  QfRomanText roman  = {0};
  void*       data   = NULL;
  size_t      length = 0;
  read_file(name, "score.musicxml", &data, &length);
  assert_int_equal(qf_musicxml_read(data, length, &piece.score, NULL, NULL), QF_OK);
  free(data);
  read_file(name, "analysis.rntxt", &data, &length);
  assert_int_equal(qf_romantext_read((const char*)data, length, &roman, NULL), QF_OK);
  free(data);

  assert_in_range(roman.n_chords, 1, MAX_CHORDS);
  piece.n_chords = roman.n_chords;
  for (size_t i = 0; i < roman.n_chords; ++i) {
    const QfRomanChord* const chord = &roman.chords[i];
    Human* const              human = &piece.chords[i];
    human->start                    = time_of(piece.score, chord);
    human->pin                      = (QfPin){human->start, chord->key, chord->numeral};
    assert_int_equal(qf_numeral_chord(&chord->numeral, chord->key, &human->chord, NULL), QF_OK);
  }
  qf_romantext_clear(&roman);
  return piece;
}

static QfLabels*
human_labels(const Piece* const piece)
{
  QfPin pins[MAX_CHORDS];
  for (size_t i = 0; i < piece->n_chords; ++i) {
    pins[i] = piece->chords[i].pin;
  }
  const QfLabelOptions options = {.has_key      = true,
                                  .key          = pins[0].key,
                                  .may_modulate = true,
                                  .pins         = pins,
                                  .n_pins       = piece->n_chords};
  QfLabels*            labels  = NULL;
  assert_int_equal(qf_labels_new(piece->score, options, &labels, NULL), QF_OK);
  return labels;
}

/// Chords that follow one of another root, quality or bass
static size_t
n_changes(const Piece* const piece)
{
  size_t n = 0;
  for (size_t i = 0; i < piece->n_chords; ++i) {
    const QfChord a       = piece->chords[i ? i - 1 : 0].chord;
    const QfChord b       = piece->chords[i].chord;
    const bool    is_same = i && a.kind == b.kind && a.inversion == b.inversion &&
                         qf_note_name_semitones(a.root) == qf_note_name_semitones(b.root);
    n += !is_same;
  }
  return n;
}

static const Human*
human_at(const Piece* const piece, const QfTime time)
{
  const Human* found = &piece->chords[0];
  for (size_t i = 0; i < piece->n_chords; ++i) {
    found = qf_time_compare(piece->chords[i].start, time) <= 0 ? &piece->chords[i] : found;
  }
  return found;
}

static QfPlan*
quality_plan(const bool is_spread)
{
  QfPlan* const plan  = qf_plan_new("Quality");
  QfPlanStep    step  = qf_plan_step_default(QF_STEP_PASS);
  step.pass.forward   = QF_FORWARD_QUALITY;
  step.pass.is_spread = is_spread;
  assert_non_null(plan);
  assert_int_equal(qf_plan_insert_step(plan, SIZE_MAX, step), QF_OK);
  return plan;
}

static QfPerformance
perform_quality(const QfScore* const score, const QfLabels* const labels, const bool is_spread)
{
  QfPlan* const plan        = quality_plan(is_spread);
  QfPerformance performance = {0};
  assert_int_equal(qf_perform(score, plan,
                              (QfPerformOptions){.labels = labels, .hearing = QF_ALL_HEARINGS},
                              &performance, NULL),
                   QF_OK);
  qf_plan_free(plan);
  return performance;
}

/// Notes struck, in order of time
static size_t
struck_notes(const QfPerformance* const performance, QfEvent struck[MAX_STRUCK])
{
  size_t n = 0;
  for (size_t i = 0; i < performance->events.n_events && n < MAX_STRUCK; ++i) {
    if (performance->events.events[i].kind == QF_EVENT_NOTE_ON) {
      struck[n++] = performance->events.events[i];
    }
  }
  return n;
}

static size_t
n_moments(const QfEvent* const struck, const size_t n_struck)
{
  size_t n = 0;
  for (size_t i = 0; i < n_struck; ++i) {
    n += !i || qf_time_compare(struck[i].score_time, struck[i - 1].score_time) != 0;
  }
  return n;
}

static bool
is_in_chord(const QfChord chord, const uint8_t key)
{
  QfNoteName notes[QF_CHORD_MAX_NOTES];
  int        n_notes = 0;
  assert_int_equal(qf_chord_notes(chord, notes, &n_notes), QF_OK);
  bool is_in = false;
  for (int i = 0; i < n_notes; ++i) {
    is_in = is_in || qf_note_name_semitones(notes[i]) == key % 12;
  }
  return is_in;
}

static void
check_piece(const char* const name)
{
  Piece           piece  = open_piece(name);
  QfLabels* const labels = human_labels(&piece);
  QfPerformance   heard  = perform_quality(piece.score, labels, false);
  QfEvent         struck[MAX_STRUCK];
  const size_t    n_struck = struck_notes(&heard, struck);
  if (n_moments(struck, n_struck) != n_changes(&piece)) {
    fail_msg("%s: %zu strikes for %zu chords", name, n_moments(struck, n_struck),
             n_changes(&piece));
  }
  for (size_t i = 0; i < n_struck; ++i) {
    if (!is_in_chord(human_at(&piece, struck[i].score_time)->chord, struck[i].key)) {
      fail_msg("%s: %d is struck at %ld/%ld of a chord it is not in", name, struck[i].key,
               (long)struck[i].score_time.num, (long)struck[i].score_time.den);
    }
  }
  qf_performance_clear(&heard);
  qf_labels_free(labels);
  qf_score_free(piece.score);
}

static void
test_every_human_chord_is_struck_once(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(pieces) / sizeof(pieces[0]); ++i) {
    check_piece(pieces[i]);
  }
}

/// True if two performances have the same events
static bool
are_same(const QfPerformance* const a, const QfPerformance* const b)
{
  bool is_same = a->events.n_events == b->events.n_events;
  for (size_t i = 0; is_same && i < a->events.n_events; ++i) {
    const QfEvent* const x = &a->events.events[i];
    const QfEvent* const y = &b->events.events[i];
    is_same                = x->at_s == y->at_s && x->kind == y->kind && x->channel == y->channel &&
              x->key == y->key && x->velocity == y->velocity && x->gain_db == y->gain_db;
  }
  return is_same;
}

static QfLesson*
open_lesson(const char* const name)
{
  char      path[512];
  QfLesson* lesson = NULL;
  snprintf(path, sizeof(path), "%s/textbooks/%s/score.musicxml", QF_TEST_DATA, name);
  assert_int_equal(qf_document_open(path, &lesson, NULL, NULL), QF_OK);
  return lesson;
}

/// What is recorded is what the player is given: the events of the same plan and labels
static void
test_recordings_strike_what_is_struck_live(void** state)
{
  (void)state;
  for (int spread = 0; spread < 2; ++spread) {
    for (size_t i = 0; i < sizeof(pieces) / sizeof(pieces[0]); ++i) {
      QfLesson* const       lesson  = open_lesson(pieces[i]);
      const QfScore* const  score   = qf_lesson_get_score(lesson);
      QfPlan* const         plan    = quality_plan(spread);
      const QfRecordOptions options = {.plan = plan};
      QfPerformance         live    = perform_quality(score, qf_lesson_get_labels(lesson), spread);
      QfPerformance         slices  = perform_quality(score, NULL, spread);
      QfPerformance         offline = {0};
      assert_int_equal(qf_document_perform(lesson, options, QF_ALL_HEARINGS, &offline, NULL),
                       QF_OK);
      assert_true(are_same(&live, &offline));
      assert_true(live.events.n_events <= slices.events.n_events);

      qf_performance_clear(&offline);
      qf_performance_clear(&slices);
      qf_performance_clear(&live);
      qf_plan_free(plan);
      qf_lesson_free(lesson);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_every_human_chord_is_struck_once),
    cmocka_unit_test(test_recordings_strike_what_is_struck_live),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
