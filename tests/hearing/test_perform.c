// SPDX-License-Identifier: MIT
#include "quintfall/events.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

// Times follow from what a metronome mark means: at 60 a quarter note lasts one
// second (common practice). They are worked out by hand beside each check.

static const double tolerance_s = 1e-9;
static const QfKey  c_major     = {{0, 0}, QF_MAJOR};

static const QfPerformOptions usual = {.key      = {{0, 0}, QF_MAJOR},
                                       .level_db = -20.0,
                                       .hearing  = QF_ALL_HEARINGS};

/// A note as a test writes it: start and duration in quarters
typedef struct {
  size_t      voice;
  int         start;
  int         duration;
  const char* pitch;
} Line;

// One bar of three-four: tenor and bass hold while the others move.
static const Line waltz[] = {
  {0, 0, 1, "E5"}, {0, 1, 2, "D5"}, {1, 0, 1, "C5"},
  {1, 1, 2, "B4"}, {2, 0, 3, "G4"}, {3, 0, 3, "G3"},
};

static QfScore*
new_waltz(const double tempo)
{
  QfMetre metre = {0};
  assert_int_equal(qf_metre(3, 4, &metre), QF_OK);
  QfScore* const score = qf_score_new_satb(c_major, metre, QF_TIME_ZERO, 1);
  assert_non_null(score);
  assert_int_equal(qf_score_set_tempo(score, tempo), QF_OK);
  for (size_t i = 0; i < sizeof(waltz) / sizeof(waltz[0]); ++i) {
    QfPitch pitch = {0};
    assert_int_equal(qf_pitch_parse(waltz[i].pitch, &pitch, NULL), QF_OK);
    assert_int_equal(qf_score_put_note(score, waltz[i].voice, qf_time(waltz[i].start, 4),
                                       qf_time(waltz[i].duration, 4), pitch, QF_NO_NOTE, NULL),
                     QF_OK);
  }
  return score;
}

static void
add(QfPlan* const plan, const QfPlanStep step)
{
  assert_int_equal(qf_plan_insert_step(plan, SIZE_MAX, step), QF_OK);
}

static QfPlanStep
silence(const double amount, const QfLengthUnit unit)
{
  QfPlanStep step     = qf_plan_step_default(QF_STEP_SILENCE);
  step.silence.length = (QfLength){amount, unit};
  return step;
}

static QfPlanStep
pass(const QfForwardKind forward, const uint32_t voices)
{
  QfPlanStep step   = qf_plan_step_default(QF_STEP_PASS);
  step.pass.forward = forward;
  step.pass.voices  = voices;
  return step;
}

static QfPlanStep
title(const char* const text, const char* const audio)
{
  QfPlanStep step = qf_plan_step_default(QF_STEP_TITLE);
  snprintf(step.title.text, sizeof(step.title.text), "%s", text);
  snprintf(step.title.audio, sizeof(step.title.audio), "%s", audio);
  return step;
}

static QfPerformance
perform(const QfScore* const score, const QfPlan* const plan, const QfPerformOptions options)
{
  QfPerformance performance = {0};
  QfError       error       = {0};
  if (qf_perform(score, plan, options, &performance, &error)) {
    fail_msg("%s", error.text);
  }
  return performance;
}

static void
assert_time(const double actual, const double expected)
{
  if (fabs(actual - expected) > tolerance_s) {
    fail_msg("at %.12f s; expected %.12f s", actual, expected);
  }
}

/// Note events of a step, in order
static size_t
notes_of(const QfPerformance* const performance,
         const QfEventKind          kind,
         const size_t               step,
         QfEvent                    found[64])
{
  size_t n_found = 0;
  for (size_t i = 0; i < performance->events.n_events && n_found < 64; ++i) {
    const QfEvent event = performance->events.events[i];
    if (event.kind == kind && event.step == step) {
      found[n_found++] = event;
    }
  }
  return n_found;
}

/// Key, count-in, bass twice, silence; count-in, quality at half speed, sung gap, silence
static QfPlan*
new_dictation(void)
{
  QfPlan* const plan = qf_plan_new("Dictation");
  assert_non_null(plan);
  add(plan, qf_plan_step_default(QF_STEP_PRELUDE));
  add(plan, qf_plan_step_default(QF_STEP_COUNT_IN));
  QfPlanStep bass   = pass(QF_FORWARD_VOICE, QF_VOICE_BIT(QF_VOICE_LOWEST));
  bass.pass.repeats = 2;
  bass.pass.gap     = (QfLength){2.5, QF_UNIT_SECONDS};
  add(plan, bass);
  add(plan, silence(10.0, QF_UNIT_SECONDS));
  add(plan, title("Qualities", ""));
  add(plan, qf_plan_step_default(QF_STEP_COUNT_IN));
  QfPlanStep quality        = pass(QF_FORWARD_QUALITY, 0);
  quality.pass.tempo_factor = 0.5;
  add(plan, quality);
  add(plan, qf_plan_step_default(QF_STEP_SUNG_GAP));
  add(plan, silence(4.0, QF_UNIT_BEATS));
  return plan;
}

// At 60 with a bar of 3 s. The prelude's beat is at most 0.9 s: five beats of chords and one of
// rest. The second count-in and the silence in beats go at half speed, the gap at full.
static const double dictation_starts[] = {0.0, 5.4, 8.4, 16.9, 26.9, 26.9, 32.9, 38.9, 41.9, 49.9};

static void
test_steps_follow_each_other(void** state)
{
  (void)state;
  QfScore* const score       = new_waltz(60.0);
  QfPlan* const  plan        = new_dictation();
  QfPerformance  performance = perform(score, plan, usual);
  assert_int_equal(performance.n_steps, 9);
  for (size_t i = 0; i < 9; ++i) {
    assert_int_equal(performance.steps[i].step, i);
    assert_time(performance.steps[i].start_s, dictation_starts[i]);
    assert_time(performance.steps[i].end_s, dictation_starts[i + 1]);
  }

  assert_int_equal(performance.n_chapters, 2);
  assert_time(performance.chapters[0].start_s, 0.0);
  assert_time(performance.chapters[0].pass_s, 8.4);
  assert_time(performance.chapters[0].end_s, 26.9);
  assert_time(performance.chapters[1].start_s, 26.9);
  assert_time(performance.chapters[1].pass_s, 32.9);
  assert_time(performance.chapters[1].end_s, performance.events.length_s);
  assert_string_equal(performance.chapters[0].title, "Bass forward, 2 times");
  assert_string_equal(performance.chapters[1].title, "Qualities");
  assert_null(performance.remarks);

  qf_performance_clear(&performance);
  qf_plan_free(plan);
  qf_score_free(score);
}

static void
test_moments_are_found(void** state)
{
  (void)state;
  QfScore* const score       = new_waltz(60.0);
  QfPlan* const  plan        = new_dictation();
  QfPerformance  performance = perform(score, plan, usual);

  assert_int_equal(qf_performance_chapter_at(&performance, 0.0), 0);
  assert_int_equal(qf_performance_chapter_at(&performance, 26.8), 0);
  assert_int_equal(qf_performance_chapter_at(&performance, 26.9), 1);
  assert_int_equal(qf_performance_chapter_at(&performance, 1e6), 1);
  assert_int_equal(qf_performance_step_at(&performance, 6.0), 1);
  assert_int_equal(qf_performance_step_at(&performance, 26.9), 5); // The title takes no time

  // Two chords, three times through; the second lies a quarter note later.
  const double chords[] = {8.4, 9.4, 13.9, 14.9, 32.9, 34.9};
  assert_int_equal(performance.n_chords, 6);
  for (size_t i = 0; i < 6; ++i) {
    assert_time(performance.chords[i].at_s, chords[i]);
    assert_int_equal(performance.chords[i].hearing, i / 4);
    assert_int_equal(performance.chords[i].link, i % 2);
  }
  assert_true(qf_performance_chord_at(&performance, 3.0) == SIZE_MAX);
  assert_int_equal(qf_performance_chord_at(&performance, 9.39), 0);
  assert_int_equal(qf_performance_chord_at(&performance, 9.4), 1);
  assert_int_equal(qf_performance_chord_at(&performance, 30.0), 3);

  qf_performance_clear(&performance);
  qf_plan_free(plan);
  qf_score_free(score);
}

static bool
same_event(const QfEvent* const a, const QfEvent* const b, const double later_s)
{
  return fabs(a->at_s - (b->at_s + later_s)) <= tolerance_s && a->kind == b->kind &&
         a->channel == b->channel && a->key == b->key && a->velocity == b->velocity &&
         a->program == b->program && a->gain_db == b->gain_db && a->voice == b->voice &&
         a->step == b->step && !qf_time_compare(a->score_time, b->score_time);
}

static void
test_a_hearing_alone_sounds_as_in_the_whole(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(97.0);
  QfPlan* const  plan  = new_dictation();
  QfPerformance  whole = perform(score, plan, usual);
  size_t         next  = 0;
  for (size_t hearing = 0; hearing < 2; ++hearing) {
    QfPerformOptions options = usual;
    options.hearing          = hearing;
    QfPerformance alone      = perform(score, plan, options);
    const double  start_s    = whole.chapters[hearing].start_s;
    assert_int_equal(alone.n_chapters, 1);
    assert_string_equal(alone.chapters[0].title, whole.chapters[hearing].title);
    for (size_t i = 0; i + 1 < alone.events.n_events; ++i, ++next) { // But for the end
      assert_true(same_event(&whole.events.events[next], &alone.events.events[i], start_s));
    }
    qf_performance_clear(&alone);
  }
  assert_int_equal(next + 1, whole.events.n_events);

  QfPerformOptions options = usual;
  options.hearing          = 2;
  QfError error            = {0};
  assert_int_equal(qf_perform(score, plan, options, &(QfPerformance){0}, &error), QF_ERR_RANGE);
  qf_performance_clear(&whole);
  qf_plan_free(plan);
  qf_score_free(score);
}

static void
test_nothing_adds_up_on_the_way(void** state)
{
  (void)state;
  enum { N_PASSES = 60, N_REPEATS = 20 };
  QfScore* const score = new_waltz(97.0);
  QfPlan* const  plan  = qf_plan_new("Long");
  for (int i = 0; i < N_PASSES; ++i) {
    QfPlanStep step        = pass(QF_FORWARD_ALL, 0);
    step.pass.tempo_factor = 0.85;
    step.pass.repeats      = N_REPEATS;
    step.pass.gap          = (QfLength){0.1, QF_UNIT_SECONDS};
    add(plan, step);
  }
  QfPerformance performance = perform(score, plan, usual);

  // A bar of three quarters at 97 x 17/20 takes 3600/1649 s; the last time through begins after
  // 1199 of them and, within each step, 19 gaps of a tenth of a second: 1140 + 19 - 19 of them.
  const long double expected = 1199.0L * 3600.0L / 1649.0L + (59.0L * 19.0L + 19.0L) / 10.0L;
  const double      found    = performance.chords[performance.n_chords - 2].at_s;
  if (fabsl(found - expected) > 1e-12L * expected) {
    fail_msg("%.15f s; expected %.15Lf s", found, expected);
  }
  qf_performance_clear(&performance);
  qf_plan_free(plan);
  qf_score_free(score);
}

static void
test_forward_voices_lead(void** state)
{
  (void)state;
  QfScore* const score      = new_waltz(60.0);
  QfPlan* const  plan       = qf_plan_new("Outer voices");
  QfPlanStep     step       = pass(QF_FORWARD_VOICE, QF_VOICE_BIT(QF_VOICE_LOWEST) | 1U);
  step.pass.lead_ms         = 30.0;
  step.pass.softening_db    = 12.0;
  step.pass.forward_gain_db = 3.0;
  step.pass.program         = 52;
  step.pass.forward_program = 68;
  add(plan, step);
  QfPerformance performance = perform(score, plan, usual);

  QfEvent      found[64];
  const size_t n_on = notes_of(&performance, QF_EVENT_NOTE_ON, 0, found);
  assert_int_equal(n_on, 6);
  uint8_t channels[4] = {0};
  for (size_t i = 0; i < n_on; ++i) {
    const bool   is_outer = found[i].voice == 0 || found[i].voice == 3;
    const double at_s     = 4.0 * qf_time_to_double(found[i].score_time);
    assert_time(found[i].at_s, is_outer ? at_s : at_s + 0.030);
    channels[found[i].voice] = found[i].channel;
  }
  const size_t n_off = notes_of(&performance, QF_EVENT_NOTE_OFF, 0, found);
  for (size_t i = 0; i < n_off; ++i) { // Every voice ends in time
    assert_time(found[i].at_s, i < 2 ? 1.0 : 3.0);
  }

  QfEvent gains[64];
  QfEvent programs[64];
  assert_int_equal(notes_of(&performance, QF_EVENT_GAIN, 0, gains), 4);
  assert_int_equal(notes_of(&performance, QF_EVENT_PROGRAM, 0, programs), 4);
  for (size_t i = 0; i < 4; ++i) {
    const bool is_outer = gains[i].channel == channels[0] || gains[i].channel == channels[3];
    assert_true(gains[i].gain_db == (is_outer ? 3.0 : -12.0));
    assert_int_equal(programs[i].program,
                     programs[i].channel == channels[0] || programs[i].channel == channels[3] ? 68
                                                                                              : 52);
  }
  qf_performance_clear(&performance);

  // A voice that the lesson does not have is told by its step.
  QfError error    = {0};
  step.pass.voices = QF_VOICE_BIT(7);
  qf_plan_set_step(plan, 0, step);
  assert_int_equal(qf_perform(score, plan, usual, &performance, &error), QF_ERR_RANGE);
  assert_non_null(strstr(error.text, "step 1"));
  qf_plan_free(plan);
  qf_score_free(score);
}

static void
test_blocks_are_spread_upwards(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(60.0);
  QfPlan* const  plan  = qf_plan_new("Spread");
  QfPlanStep     step  = pass(QF_FORWARD_QUALITY, 0);
  step.pass.is_spread  = true;
  step.pass.to         = qf_time(1, 4);
  add(plan, step);
  QfPerformance performance = perform(score, plan, usual);

  // A block of 1 s: struck for half of it, then from the bass up, an eighth of a second apart.
  const uint8_t keys[] = {55, 67, 72, 76}; // G3 G4 C5 E5
  QfEvent       found[64];
  assert_int_equal(notes_of(&performance, QF_EVENT_NOTE_ON, 0, found), 8);
  for (size_t i = 0; i < 4; ++i) {
    assert_time(found[i].at_s, 0.0);
    assert_time(found[4 + i].at_s, 0.5 + 0.125 * (double)i);
    assert_int_equal(found[4 + i].key, keys[i]);
  }
  assert_int_equal(notes_of(&performance, QF_EVENT_NOTE_OFF, 0, found), 8);
  for (size_t i = 0; i < 8; ++i) {
    assert_time(found[i].at_s, i < 4 ? 0.5 : 1.0);
  }
  qf_performance_clear(&performance);
  qf_plan_free(plan);
  qf_score_free(score);
}

static void
test_only_the_first_note_sounds_in_a_sung_gap(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(60.0);
  for (uint8_t voice = 0; voice < 4; ++voice) {
    const uint8_t keys[] = {76, 72, 67, 55}; // E5 C5 G4 G3
    QfPlan* const plan   = qf_plan_new("Sing");
    QfPlanStep    step   = pass(QF_FORWARD_ALL, 0);
    step.pass.to         = qf_time(1, 2);
    add(plan, step);
    QfPlanStep gap            = qf_plan_step_default(QF_STEP_SUNG_GAP);
    gap.sung_gap.voice        = voice == 3 ? QF_VOICE_LOWEST : voice;
    gap.sung_gap.tempo_factor = 0.5;
    add(plan, gap);
    gap.sung_gap.length = (QfLength){3.5, QF_UNIT_SECONDS};
    add(plan, gap);
    gap.sung_gap.length = (QfLength){0.5, QF_UNIT_BEATS};
    add(plan, gap);
    QfPerformance performance = perform(score, plan, usual);

    // What was heard last, two quarters, is sung at half speed: 4 s. Then 3.5 s, then 1 s.
    const double starts[] = {2.0, 6.0, 9.5, 10.5};
    for (size_t i = 0; i < 3; ++i) {
      const QfPerformedStep* const record = &performance.steps[i + 1];
      QfEvent                      found[64];
      assert_time(record->start_s, starts[i]);
      assert_time(record->end_s, starts[i + 1]);
      assert_int_equal(record->voice, voice);
      assert_int_equal(qf_time_compare(record->to, qf_time(1, 2)), 0);
      assert_int_equal(notes_of(&performance, QF_EVENT_NOTE_ON, i + 1, found), 1);
      assert_int_equal(found[0].key, keys[voice]);
      assert_time(found[0].at_s, starts[i]);
      assert_int_equal(found[0].score_time.num, -1);
      assert_int_equal(notes_of(&performance, QF_EVENT_NOTE_OFF, i + 1, found), 1);
      assert_time(found[0].at_s, starts[i] + (i < 2 ? 2.0 : 1.0)); // A beat, or all there is
    }
    qf_performance_clear(&performance);
    qf_plan_free(plan);
  }
  qf_score_free(score);
}

static QfStatus
clip_length(const char* const path, double* const length_s, QfError* const error)
{
  if (strcmp(path, "folder/one.wav") != 0 && strcmp(path, "/two.wav") != 0) {
    return qf_error_set(error, QF_ERR_IO, "%s: no such file", path);
  }
  *length_s = 1.25;
  return QF_OK;
}

static void
test_titles_are_spoken(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(60.0);
  QfPlan* const  plan  = qf_plan_new("Titles");
  add(plan, title("One", "one.wav"));
  add(plan, title("", "/two.wav"));
  add(plan, title("Three", "three.wav"));
  add(plan, pass(QF_FORWARD_ALL, 0));

  QfPerformOptions options  = usual;
  options.folder            = "folder";
  options.clip_length       = clip_length;
  QfPerformance performance = perform(score, plan, options);

  // 1.25 s and a breath of half a second each; the third is missing.
  assert_time(performance.chords[0].at_s, 3.5);
  assert_int_equal(performance.events.n_clips, 2);
  assert_string_equal(performance.events.clips[0], "folder/one.wav");
  assert_string_equal(performance.events.clips[1], "/two.wav");
  QfEvent found[64];
  assert_int_equal(notes_of(&performance, QF_EVENT_CLIP, 1, found), 1);
  assert_time(found[0].at_s, 1.75);
  assert_int_equal(found[0].clip, 1);
  assert_non_null(strstr(performance.remarks, "step 3"));
  assert_non_null(strstr(performance.remarks, "folder/three.wav: no such file"));
  assert_null(strchr(performance.remarks, '\n'));
  assert_string_equal(performance.chapters[0].title, "Three");
  qf_performance_clear(&performance);

  performance = perform(score, plan, usual); // Left out where nobody can play them
  assert_time(performance.chords[0].at_s, 0.0);
  assert_int_equal(performance.events.n_clips, 0);
  qf_performance_clear(&performance);
  qf_plan_free(plan);
  qf_score_free(score);
}

typedef struct {
  const char*   key;
  QfPreludeKind kind;
  const char*   own;
  const char*   notes; ///< In order, as names
} PreludeCase;

// Scales: tests/data/references/scales.tsv, copied by hand; arpeggios of the triads and dominant
// sevenths: tests/data/references/diatonic_chords.tsv, harmonic minor for the dominant.
static const PreludeCase prelude_cases[] = {
  {"Eb major", QF_PRELUDE_SCALE, "", "Eb F G Ab Bb C D Eb D C Bb Ab G F Eb"},
  {"C# minor", QF_PRELUDE_SCALE, "", "C# D# E F# G# A# B# C# B A G# F# E D# C#"},
  {"A major", QF_PRELUDE_ARPEGGIOS, "", "A C# E A D F# A F# E G# B G# A E C# A"},
  {"D minor", QF_PRELUDE_ARPEGGIOS, "", "D F A D G Bb D Bb A C# E C# D A F D"},
  {"F major", QF_PRELUDE_ARPEGGIOS_DOM7, "", "F A C F Bb D F D C E G Bb A F C F"},
  {"B minor", QF_PRELUDE_ARPEGGIOS_DOM7, "", "B D F# B E G B G F# A# C# E D B F# B"},
  {"G major", QF_PRELUDE_OWN, "5 b6 #4 5 | -7 1", "D Eb C# D F# G"},
};

static void
check_prelude(const PreludeCase* const row)
{
  QfScore* const score = new_waltz(60.0);
  QfPlan* const  plan  = qf_plan_new("Key");
  QfPlanStep     step  = qf_plan_step_default(QF_STEP_PRELUDE);
  step.prelude.kind    = row->kind;
  snprintf(step.prelude.pattern, sizeof(step.prelude.pattern), "%s", row->own);
  add(plan, step);
  QfPerformOptions options = usual;
  assert_int_equal(qf_key_parse(row->key, &options.key, NULL), QF_OK);
  QfPerformance performance = perform(score, plan, options);

  QfEvent      found[64];
  const size_t n_on = notes_of(&performance, QF_EVENT_NOTE_ON, 0, found);
  const char*  at   = row->notes;
  for (size_t i = 0; i < n_on; ++i) {
    QfNoteName name = {0, 0};
    assert_int_equal(qf_note_name_parse(at, &name, &at, NULL), QF_OK);
    at += *at == ' ';
    if (found[i].key % 12 != qf_note_name_semitones(name)) {
      fail_msg("%s, %s: note %zu is %d", row->key, qf_prelude_kind_name(row->kind), i + 1,
               found[i].key);
    }
  }
  assert_string_equal(at, "");
  qf_performance_clear(&performance);
  qf_plan_free(plan);
  qf_score_free(score);
}

static void
test_preludes_belong_to_the_key(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(prelude_cases) / sizeof(prelude_cases[0]); ++i) {
    check_prelude(&prelude_cases[i]);
  }
}

static void
test_a_prelude_keeps_its_own_tempo(void** state)
{
  (void)state;
  QfScore* const score          = new_waltz(60.0);
  QfPlan* const  plan           = qf_plan_new("Key");
  QfPlanStep     step           = qf_plan_step_default(QF_STEP_PRELUDE);
  step.prelude.kind             = QF_PRELUDE_OWN;
  step.prelude.beats_per_minute = 90.0;
  step.prelude.program          = 19;
  strcpy(step.prelude.pattern, "1 3:1/2 5:3/2");
  add(plan, step);
  QfPerformance performance = perform(score, plan, usual);
  QfEvent       found[64];
  assert_int_equal(notes_of(&performance, QF_EVENT_NOTE_ON, 0, found), 3);
  assert_time(found[1].at_s, 2.0 / 3.0);
  assert_time(found[2].at_s, 1.0);
  assert_time(performance.steps[0].end_s, 2.0);
  assert_int_equal(notes_of(&performance, QF_EVENT_PROGRAM, 0, found), 1);
  assert_int_equal(found[0].program, 19);
  qf_performance_clear(&performance);

  QfError error = {0};
  strcpy(step.prelude.pattern, "1 H");
  qf_plan_set_step(plan, 0, step);
  assert_int_equal(qf_perform(score, plan, usual, &performance, &error), QF_ERR_BAD_TEXT);
  assert_non_null(strstr(error.text, "step 1"));
  qf_plan_free(plan);
  qf_score_free(score);
}

static void
test_a_count_in_counts_its_bars(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(60.0);
  QfPlan* const  plan  = qf_plan_new("Count");
  QfPlanStep     step  = qf_plan_step_default(QF_STEP_COUNT_IN);
  step.count_in.bars   = 2;
  add(plan, step);
  QfPlanStep later = pass(QF_FORWARD_ALL, 0);
  later.pass.from  = qf_time(1, 4); // The count goes on to the second beat
  add(plan, later);
  QfPerformance performance = perform(score, plan, usual);
  QfEvent       found[64];
  assert_int_equal(notes_of(&performance, QF_EVENT_NOTE_ON, 0, found), 7);
  for (size_t i = 0; i < 7; ++i) {
    assert_time(found[i].at_s, (double)i);
    assert_int_equal(found[i].velocity == found[0].velocity, i % 3 == 0); // Downbeats weigh more
    assert_true(found[i].velocity <= found[0].velocity);
  }
  assert_time(performance.chapters[0].pass_s, 7.0);
  qf_performance_clear(&performance);
  qf_plan_free(plan);
  qf_score_free(score);
}

static void
test_ready_plans_can_be_performed(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(72.0);
  for (size_t i = 0; i < qf_n_ready_plans(); ++i) {
    QfPlan* const plan          = qf_ready_plan_new(i);
    QfPerformance performance   = perform(score, plan, usual);
    int           held[16][128] = {0};
    int           n_sounding    = 0;
    assert_int_equal(performance.n_chapters, qf_plan_n_hearings(plan));
    for (size_t n = 0; n < performance.events.n_events; ++n) {
      const QfEvent event = performance.events.events[n];
      assert_true(event.at_s >= 0.0 && event.at_s <= performance.events.length_s);
      if (event.kind == QF_EVENT_NOTE_ON) {
        assert_int_equal(held[event.channel][event.key]++, 0);
        ++n_sounding;
      } else if (event.kind == QF_EVENT_NOTE_OFF) {
        assert_int_equal(held[event.channel][event.key]--, 1);
        --n_sounding;
      }
    }
    assert_int_equal(n_sounding, 0);
    qf_performance_clear(&performance);
    qf_plan_free(plan);
  }
  qf_score_free(score);
}

static void
test_a_plan_without_a_pass_ends_too(void** state)
{
  (void)state;
  QfScore* const score       = new_waltz(60.0);
  QfPlan* const  plan        = qf_plan_new("Nothing");
  QfPerformance  performance = perform(score, plan, usual);
  assert_int_equal(performance.n_chapters, 0);
  assert_true(performance.events.n_events == 1);
  qf_performance_clear(&performance);

  add(plan, silence(2.0, QF_UNIT_BEATS));
  performance = perform(score, plan, usual);
  assert_int_equal(performance.n_chapters, 1);
  assert_time(performance.steps[0].end_s, 2.0);
  qf_performance_clear(&performance);
  qf_plan_free(plan);
  qf_score_free(score);
}

static void
test_unknown_steps_are_left_out(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(60.0);
  QfPlan* const  plan  = qf_plan_new("Newer");
  QfPlanStep     other = qf_plan_step_default(QF_STEP_OTHER);
  strcpy(other.other.word, "lights");
  add(plan, pass(QF_FORWARD_ALL, 0));
  add(plan, other);
  add(plan, silence(2.0, QF_UNIT_SECONDS));
  QfPerformance performance = perform(score, plan, usual);

  // A bar of 3 s, and at once the silence.
  assert_int_equal(performance.n_steps, 3);
  assert_time(performance.steps[1].end_s, 3.0);
  assert_time(performance.steps[2].end_s, 5.0);
  assert_non_null(strstr(performance.remarks, "step 2"));
  qf_performance_clear(&performance);
  qf_plan_free(plan);
  qf_score_free(score);
}

static void
test_a_chord_is_stepped_through_from_the_bass_up(void** state)
{
  (void)state;
  const char* const names[] = {"C5", "G4", "E4", "C3"};
  QfPitch           pitches[4];
  for (size_t i = 0; i < 4; ++i) {
    assert_int_equal(qf_pitch_parse(names[i], &pitches[i], NULL), QF_OK);
  }
  QfHearing hearing    = qf_hearing_default();
  hearing.softening_db = 12.0;
  QfEvents events      = {0};
  assert_int_equal(qf_events_of_chord_stepped(pitches, 4, hearing, 1.5, &events), QF_OK);

  // The chord for 1.5 s, then C3, E4, G4, C5 for as long, each alone at its level.
  const uint8_t order[]   = {48, 64, 67, 72};
  double        gains[16] = {0};
  size_t        n_on      = 0;
  for (size_t i = 0; i < events.n_events; ++i) {
    const QfEvent event = events.events[i];
    if (event.kind == QF_EVENT_GAIN) {
      gains[event.channel] = event.gain_db;
    } else if (event.kind == QF_EVENT_NOTE_ON && n_on++ >= 4) {
      assert_time(event.at_s, 1.5 * (double)(n_on - 4));
      assert_int_equal(event.key, order[n_on - 5]);
      int n_forward = 0;
      for (size_t n = 0; n < 4; ++n) {
        n_forward += gains[n] == 0.0;
        assert_true(gains[n] == 0.0 || gains[n] == -12.0);
      }
      assert_int_equal(n_forward, 1);
      assert_true(gains[event.channel] == 0.0);
    }
  }
  assert_int_equal(n_on, 8);
  assert_true(events.length_s >= 7.5);
  qf_events_clear(&events);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_steps_follow_each_other),
    cmocka_unit_test(test_moments_are_found),
    cmocka_unit_test(test_a_hearing_alone_sounds_as_in_the_whole),
    cmocka_unit_test(test_nothing_adds_up_on_the_way),
    cmocka_unit_test(test_forward_voices_lead),
    cmocka_unit_test(test_blocks_are_spread_upwards),
    cmocka_unit_test(test_only_the_first_note_sounds_in_a_sung_gap),
    cmocka_unit_test(test_titles_are_spoken),
    cmocka_unit_test(test_preludes_belong_to_the_key),
    cmocka_unit_test(test_a_prelude_keeps_its_own_tempo),
    cmocka_unit_test(test_a_count_in_counts_its_bars),
    cmocka_unit_test(test_ready_plans_can_be_performed),
    cmocka_unit_test(test_a_plan_without_a_pass_ends_too),
    cmocka_unit_test(test_unknown_steps_are_left_out),
    cmocka_unit_test(test_a_chord_is_stepped_through_from_the_bass_up),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
