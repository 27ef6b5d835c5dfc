// SPDX-License-Identifier: MIT
#include "engine.h"
#include "passage.h"
#include "player.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>
#include <pthread.h>

// The test takes the device's place and asks for samples, so that what would be
// heard can be measured.

enum {
  RATE     = QF_PLAYER_RATE,
  PERIOD   = 441, ///< Not a multiple of FluidSynth's blocks
  MAX_SPAN = 8 * RATE,
};

/// A player with a recorder in place of a device
typedef struct {
  QfPlayer* player;
  float*    samples; ///< Interleaved; owned
  size_t    n_frames;
} Studio;

static int
make_studio(void** state)
{
  if (!passage_has_soundfont()) {
    *state = NULL;
    return 0;
  }

  QfEngine*     engine = NULL;
  Studio* const studio = (Studio*)calloc(1, sizeof(Studio));
  if (!studio || qf_engine_new(NULL, (QfTuning){0}, RATE, &engine, NULL)) {
    return -1;
  }

  // Known before it plays, as it usually is.
  const QfPrograms programs = {[0] = true, [19] = true, [42] = true, [48] = true};
  if (qf_intonation_measure(qf_engine_get_intonation(engine), programs, NULL)) {
    return -1;
  }

  studio->player  = qf_player_new_with(engine, 0.0, 0.02);
  studio->samples = (float*)calloc(MAX_SPAN, 2U * sizeof(float));
  *state          = studio;
  return studio->player && studio->samples ? 0 : -1;
}

static int
close_studio(void** state)
{
  Studio* const studio = (Studio*)*state;
  if (studio) {
    qf_player_free(studio->player);
    free(studio->samples);
    free(studio);
  }
  return 0;
}

static Studio*
studio_of(void** state)
{
  if (!*state) {
    skip();
  }
  return (Studio*)*state;
}

/// Ask for some time's samples at once; returns the first frame of them
static size_t
record(Studio* const studio, const double seconds)
{
  const size_t first = studio->n_frames;
  const size_t last  = first + (size_t)(seconds * RATE);
  assert_true(last <= MAX_SPAN);
  while (studio->n_frames < last) {
    const size_t left_over = last - studio->n_frames;
    const size_t n         = left_over < PERIOD ? left_over : PERIOD;
    float        left[PERIOD];
    float        right[PERIOD];
    qf_player_fill(studio->player, left, right, n);
    for (size_t i = 0; i < n; ++i) {
      studio->samples[2 * (studio->n_frames + i)]     = left[i];
      studio->samples[2 * (studio->n_frames + i) + 1] = right[i];
    }
    studio->n_frames += n;
  }
  return first;
}

static double
rms_db(const Studio* const studio, const size_t first)
{
  return passage_rms_db(studio->samples, first, studio->n_frames);
}

/// Largest step from one sample to the next: a click stands out
static double
roughness(const Studio* const studio, const size_t first, const size_t last)
{
  double highest = 0.0;
  for (size_t i = 2U * first + 2U; i < 2U * last; ++i) {
    highest = fmax(highest, fabs((double)studio->samples[i] - (double)studio->samples[i - 2U]));
  }
  return highest;
}

/// One long note of the strings, whose sound is steady
static QfEvents
long_note(const uint8_t key, const double level_db)
{
  QfHearing hearing = passage_hearing(level_db);
  hearing.program   = 48;
  return passage_chord(&key, 1, hearing, 20.0);
}

static void
test_the_player_sounds_like_the_renderer(void** state)
{
  Studio* const studio  = studio_of(state);
  QfEvents      events  = passage_chords(4, 0.25, -12.0);
  float*        samples = NULL;
  size_t        n       = 0;
  assert_int_equal(qf_sound_render(&events, (QfSoundSettings){.level_db = 0.0}, RATE, NULL, NULL,
                                   &samples, &n, NULL),
                   QF_OK);

  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  record(studio, 1.2);

  // The renderer leaves the limiter's delay of 5 ms out.
  const size_t delay = RATE / 200 - 1;
  assert_memory_equal(studio->samples + 2 * delay, samples,
                      (studio->n_frames - delay) * 2U * sizeof(float));
  free(samples);
}

/// A bar of two chords at 240 quarters a minute
static QfScore*
new_score(void)
{
  static const uint8_t keys[4][2] = {{76, 74}, {72, 71}, {67, 67}, {48, 43}};
  const QfKey          key        = {{0, 0}, QF_MAJOR};
  QfMetre              metre      = {0};
  assert_int_equal(qf_metre(4, 4, &metre), QF_OK);
  QfScore* const score = qf_score_new_satb(key, metre, QF_TIME_ZERO, 1);
  assert_non_null(score);
  assert_int_equal(qf_score_set_tempo(score, 240.0), QF_OK);
  for (size_t v = 0; v < 4; ++v) {
    for (int64_t i = 0; i < 2; ++i) {
      const int     midi  = keys[v][i];
      const QfPitch pitch = {.letter =
                               (int8_t)((int[]){0, 0, 1, 1, 2, 3, 3, 4, 4, 5, 5, 6}[midi % 12]),
                             .octave = (int8_t)(midi / 12 - 1)};
      assert_int_equal(qf_pitch_midi(pitch), midi);
      assert_int_equal(
        qf_score_put_note(score, v, qf_time(i, 2), qf_time(1, 2), pitch, QF_NO_NOTE, NULL), QF_OK);
    }
  }
  return score;
}

/// Key, the bass forward on another instrument, the quality, and a note to sing from
static QfPlan*
new_plan(void)
{
  static const QfStepKind kinds[] = {QF_STEP_PRELUDE, QF_STEP_PASS, QF_STEP_PASS, QF_STEP_SUNG_GAP};
  QfPlan* const           plan    = qf_plan_new("Live");
  assert_non_null(plan);
  for (size_t i = 0; i < sizeof(kinds) / sizeof(kinds[0]); ++i) {
    QfPlanStep step = qf_plan_step_default(kinds[i]);
    if (i == 0) {
      step.prelude.beats_per_minute = 300.0;
    } else if (i == 1) {
      step.pass.forward         = QF_FORWARD_VOICE;
      step.pass.forward_program = 42;
    } else if (i == 2) {
      step.pass.forward   = QF_FORWARD_QUALITY;
      step.pass.is_spread = true;
    }
    assert_int_equal(qf_plan_insert_step(plan, SIZE_MAX, step), QF_OK);
  }
  return plan;
}

static void
test_a_plan_sounds_live_as_it_is_recorded(void** state)
{
  Studio* const  studio      = studio_of(state);
  QfScore* const score       = new_score();
  QfPlan* const  plan        = new_plan();
  QfPerformance  performance = {0};
  QfLabels*      labels      = NULL;
  float*         samples     = NULL;
  size_t         n           = 0;
  assert_int_equal(qf_labels_new(score, (QfLabelOptions){0}, &labels, NULL), QF_OK);
  assert_int_equal(qf_perform(score, plan,
                              (QfPerformOptions){.key      = {{0, 0}, QF_MAJOR},
                                                 .level_db = -12.0,
                                                 .labels   = labels,
                                                 .hearing  = QF_ALL_HEARINGS},
                              &performance, NULL),
                   QF_OK);
  assert_int_equal(qf_sound_render(&performance.events, (QfSoundSettings){.level_db = 0.0}, RATE,
                                   NULL, NULL, &samples, &n, NULL),
                   QF_OK);

  // The same events, each at its own time: 1.2 s of prelude, two passes of 1 s, 1 s to sing. One
  // frame more or less of a single event would differ by far more than rounding does.
  qf_player_load(studio->player, &performance.events);
  qf_player_play(studio->player);
  record(studio, 4.2);
  const size_t delay   = RATE / 200 - 1;
  double       largest = 0.0;
  for (size_t i = 0; i < 2U * (studio->n_frames - delay); ++i) {
    largest = fmax(largest, fabs((double)studio->samples[2U * delay + i] - (double)samples[i]));
  }
  print_message("live and recorded differ by %.2g of full scale at most\n", largest);
  assert_true(largest < 1e-6);
  assert_true(passage_rms_db(samples, 2 * RATE, 3 * RATE) > -90.0); // Not two silences

  free(samples);
  qf_performance_clear(&performance);
  qf_labels_free(labels);
  qf_plan_free(plan);
  qf_score_free(score);
}

// No click: from one sample to the next, the sound never moves further than it does in the steady
// tone by itself, which is what `sox stat` calls the maximum delta. Looked at while it fades, 15 ms
// each time and 5 of the limiter's delay; what comes then is the struck note's own sound.
static void
expect_no_click(const Studio* const studio,
                const char* const   when,
                const size_t        first,
                const size_t        n_fades)
{
  const double steady = roughness(studio, RATE / 2, 5 * RATE / 2);
  const double here =
    roughness(studio, first - (first > 2 ? 2 : 0), first + (5 + 15 * n_fades) * RATE / 1000);
  print_message("%s: largest step %.4f, in the steady tone %.4f\n", when, here, steady);
  assert_true(steady > 1e-4);
  assert_true(here <= 1.05 * steady); // The players of the strings sway by a little more
}

static void
test_starting_and_pausing_do_not_click(void** state)
{
  Studio* const studio = studio_of(state);
  QfEvents      events = long_note(57, -12.0);
  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  record(studio, 2.6);
  expect_no_click(studio, "start", 0, 1);
  assert_true(passage_peak(studio->samples, 0, RATE / 100) <
              0.5 * passage_peak(studio->samples, 0, studio->n_frames));

  qf_player_pause(studio->player);
  const size_t paused = record(studio, 0.4);
  expect_no_click(studio, "pause", paused, 1);
  assert_true(passage_peak(studio->samples, paused, paused + RATE / 100) > 0.001); // Not cut off
  assert_true(passage_peak(studio->samples, paused + RATE / 20, studio->n_frames) == 0.0);

  qf_player_play(studio->player); // The held note is struck again
  const size_t resumed = record(studio, 0.5);
  expect_no_click(studio, "resume", resumed, 1);
  assert_true(rms_db(studio, resumed) > -40.0);
}

static void
test_seeking_does_not_click_and_strikes_held_notes(void** state)
{
  Studio* const studio = studio_of(state);
  QfEvents      events = long_note(57, -12.0);
  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  record(studio, 2.6);
  const double loud = passage_rms_db(studio->samples, RATE / 2, studio->n_frames);

  for (int i = 0; i < 5; ++i) { // At any place within the wave
    qf_player_seek(studio->player, 12.0 + 0.0013 * i);
    const size_t first = record(studio, 0.7);
    expect_no_click(studio, "seek", first, 2);
    assert_true(fabs(passage_rms_db(studio->samples, first + RATE / 2, studio->n_frames) - loud) <
                4.0);
  }

  qf_player_seek(studio->player, 20.5); // After the note's end
  record(studio, 0.1);
  const size_t after = record(studio, 0.3);
  print_message("%.1f dBFS while it sounds, %.1f after\n", loud, rms_db(studio, after));
  assert_true(rms_db(studio, after) < loud - 30.0);
}

static void
test_seeking_restores_levels_and_instruments(void** state)
{
  Studio* const studio  = studio_of(state);
  const uint8_t keys[]  = {57, 57};
  QfHearing     hearing = passage_hearing(-12.0);
  hearing.program       = 48;
  hearing.softening_db  = 20.0;
  hearing.forward       = (QfForward){QF_FORWARD_VOICE, 0};

  double db[2];
  for (uint8_t voice = 0; voice < 2; ++voice) {
    QfEvents events = passage_chord(keys, 2, hearing, 8.0);
    passage_solo(&events, voice);
    qf_player_load(studio->player, &events);
    qf_player_seek(studio->player, 4.0);
    qf_player_play(studio->player);
    record(studio, 0.5);
    db[voice] = rms_db(studio, record(studio, 0.5));
  }
  assert_true(db[0] > -40.0);
  assert_true(fabs(db[0] - db[1] - 20.0) < 3.0);
}

static void
test_levels_glide(void** state)
{
  Studio* const studio = studio_of(state);
  QfEvents      events = long_note(57, -30.0);
  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  record(studio, 0.6);
  const double soft = rms_db(studio, record(studio, 0.3));

  qf_player_set_level(studio->player, -10.0);
  const size_t first = record(studio, 0.02);
  assert_true(rms_db(studio, first) < soft + 17.0); // On its way, not yet there
  record(studio, 0.2);
  const double loud = rms_db(studio, record(studio, 0.3));
  assert_true(fabs(loud - soft - 20.0) < 2.5);
  assert_true(roughness(studio, first - 2, first + RATE / 10) <=
              1.5 * roughness(studio, studio->n_frames - RATE / 4, studio->n_frames));
}

static void
test_it_never_gets_louder_than_was_set(void** state)
{
  Studio* const studio = studio_of(state);
  qf_player_set_level(studio->player, -30.0);
  QfEvents events = long_note(57, 0.0);
  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  record(studio, 0.5);
  const double limited = rms_db(studio, record(studio, 0.3));

  qf_player_stop(studio->player);
  events = long_note(57, -30.0);
  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  record(studio, 0.5);
  assert_true(fabs(rms_db(studio, record(studio, 0.3)) - limited) < 1.0);
}

static void
test_peaks_stay_under_minus_1_dbfs(void** state)
{
  Studio* const studio = studio_of(state);
  uint8_t       keys[QF_MAX_VOICES];
  for (uint8_t voice = 0; voice < QF_MAX_VOICES; ++voice) {
    keys[voice] = (uint8_t)(36 + 2 * voice);
  }

  QfHearing hearing = passage_hearing(0.0);
  hearing.program   = 61;
  QfEvents events   = passage_chord(keys, QF_MAX_VOICES, hearing, 5.0);
  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  for (int i = 0; i < 8; ++i) {
    record(studio, 0.2);
    qf_player_seek(studio->player, 0.3 * i);
  }

  // Source: -1 dBFS = 0.891251 of full scale, references.md "Check values".
  const double peak = passage_peak(studio->samples, 0, studio->n_frames);
  assert_true(peak <= 0.891251);
  assert_true(peak > 0.5);
}

static void
test_stopping_is_silent_for_good(void** state)
{
  Studio* const studio = studio_of(state);
  QfEvents      events = long_note(57, -12.0);
  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  record(studio, 0.5);
  qf_player_stop(studio->player);
  record(studio, 0.05);
  const size_t first = record(studio, 0.5);
  assert_true(passage_peak(studio->samples, first, studio->n_frames) == 0.0);
  assert_true(qf_player_get_position(studio->player) == 0.0);
  assert_true(qf_player_has_sound(studio->player));
}

static void
test_a_dead_device_is_outlived(void** state)
{
  Studio* const studio = studio_of(state);
  QfEvents      events = passage_chords(20, 0.2, -20.0);
  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  record(studio, 0.1);
  assert_true(qf_player_has_sound(studio->player));

  // Nobody asks for samples any more: after 0.7 s the clock takes over.
  nanosleep(&(const struct timespec){1, 300000000L}, NULL);
  const double position_s = qf_player_get_position(studio->player);
  assert_false(qf_player_has_sound(studio->player));
  assert_true(qf_player_is_playing(studio->player));
  nanosleep(&(const struct timespec){0, 200000000L}, NULL);
  assert_true(qf_player_get_position(studio->player) > position_s + 0.1);

  // It comes back, and what should sound sounds.
  const size_t first = record(studio, 0.3);
  assert_true(qf_player_has_sound(studio->player));
  assert_true(rms_db(studio, first) > -50.0);
}

static void
test_a_range_goes_round(void** state)
{
  Studio* const studio = studio_of(state);
  QfEvents      events = passage_chords(10, 0.25, -20.0);
  qf_player_load(studio->player, &events);
  qf_player_set_loop(studio->player, true);
  qf_player_set_loop_range(studio->player, 0.5, 1.0); // The third and fourth chord
  qf_player_seek(studio->player, 0.5);
  qf_player_play(studio->player);

  const size_t start = record(studio, 1.75);
  int          seen  = 0;
  record(studio, 0.06);
  for (int i = 0; i < 20; ++i) {
    const double position_s = qf_player_get_position(studio->player);
    const int    chord      = (int)qf_player_get_score_time(studio->player).num;
    assert_true(position_s >= 0.5 && position_s < 1.0);
    assert_true(chord == 2 || chord == 3);
    seen |= 1 << chord;
    record(studio, 0.08);
  }
  assert_int_equal(seen, 12);

  // Every round sounds: the beat goes on every half second, within one period asked for.
  for (size_t round = 0; round < 3; ++round) {
    const size_t at = start + RATE / 40 + round * RATE / 2;
    assert_true(passage_rms_db(studio->samples, at, at + RATE / 5) > -45.0);
  }
  assert_true(roughness(studio, start + RATE / 20, studio->n_frames) < 0.1); // No click

  qf_player_set_loop_range(studio->player, 0.0, 0.0); // The whole again: it goes on
  record(studio, 0.6);
  assert_true(qf_player_get_position(studio->player) > 1.0);
}

static void
test_a_range_lets_go_of_what_is_held(void** state)
{
  Studio* const studio = studio_of(state);
  QfEvents      events = long_note(57, -12.0); // Twenty seconds of strings
  for (size_t i = 0; i < events.n_events; ++i) {
    if (events.events[i].kind == QF_EVENT_NOTE_ON) {
      events.events[i].at_s = 1.0; // After the range's start, past its end
    }
  }
  qf_player_load(studio->player, &events);
  qf_player_set_loop(studio->player, true);
  qf_player_set_loop_range(studio->player, 0.2, 1.2);
  qf_player_seek(studio->player, 0.9);
  qf_player_play(studio->player);
  record(studio, 0.3); // The note sounds, the range ends
  record(studio, 0.5);
  const size_t rest    = record(studio, 0.2); // Before it comes again
  const double rest_db = rms_db(studio, rest);
  record(studio, 0.1);
  const size_t again = record(studio, 0.15);
  print_message("%.1f dBFS while it rests, %.1f when it comes again\n", rest_db,
                rms_db(studio, again));
  assert_true(rest_db < rms_db(studio, again) - 15.0);
}

/// Frequency of the strongest partial between two bounds, by a window over the last frames
static double
strongest_hz(const Studio* const studio, const double low_hz, const double high_hz)
{
  const size_t n        = RATE / 2;
  const size_t first    = studio->n_frames - n;
  double       best     = 0.0;
  double       strength = 0.0;
  for (double hz = low_hz; hz <= high_hz; hz *= exp2(1.0 / 1200.0)) {
    double real = 0.0;
    double imag = 0.0;
    for (size_t i = 0; i < n; ++i) {
      const double window = 0.5 - 0.5 * cos(2.0 * M_PI * (double)i / (double)n);
      const double phase  = 2.0 * M_PI * hz * (double)i / RATE;
      real += window * (double)studio->samples[2 * (first + i)] * cos(phase);
      imag += window * (double)studio->samples[2 * (first + i)] * sin(phase);
    }
    if (hypot(real, imag) > strength) {
      strength = hypot(real, imag);
      best     = hz;
    }
  }
  return best;
}

static void
test_tuning_changes_what_sounds(void** state)
{
  Studio* const studio  = studio_of(state);
  QfHearing     hearing = passage_hearing(-12.0);
  const uint8_t key     = 69;
  hearing.program       = 19; // Organ: a steady tone
  QfEvents events       = passage_chord(&key, 1, hearing, 20.0);
  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  record(studio, 0.8);
  const double before = strongest_hz(studio, 400.0, 470.0);

  qf_player_set_tuning(studio->player, (QfTuning){.a4_hz = 415.0});
  record(studio, 0.7);
  const double after = strongest_hz(studio, 400.0, 470.0);
  print_message("%.1f Hz, then %.1f Hz\n", before, after);
  assert_true(fabs(1200.0 * log2(after / before) - 1200.0 * log2(415.0 / 440.0)) < 3.0);

  qf_player_seek(studio->player, 5.0); // Which resets the engine, not the tuning
  record(studio, 0.8);
  assert_true(fabs(1200.0 * log2(strongest_hz(studio, 400.0, 470.0) / after)) < 3.0);
}

static void
test_the_meter_shows_what_is_heard(void** state)
{
  Studio* const studio = studio_of(state);
  QfEvents      events = long_note(57, -12.0);
  record(studio, 0.1);
  assert_true(qf_player_get_peak_db(studio->player) == -120.0);
  assert_true(qf_player_get_level_db(studio->player) == -120.0);

  qf_player_load(studio->player, &events);
  qf_player_play(studio->player);
  record(studio, 1.0);
  qf_player_get_peak_db(studio->player);
  const size_t first   = record(studio, 0.5);
  const double peak_db = 20.0 * log10(passage_peak(studio->samples, first, studio->n_frames));
  assert_true(fabs(qf_player_get_peak_db(studio->player) - peak_db) < 0.01);
  assert_true(fabs(qf_player_get_level_db(studio->player) - rms_db(studio, first)) < 2.0);
  assert_true(qf_player_get_peak_db(studio->player) == -120.0); // Taken

  qf_player_pause(studio->player);
  record(studio, 1.0);
  assert_true(qf_player_get_level_db(studio->player) < -60.0);
}

/// A device with a thread of its own, in real time
typedef struct {
  QfPlayer*   player;
  atomic_bool quits;
} Device;

static void*
run_device(void* const data)
{
  Device* const device = (Device*)data;
  while (!atomic_load(&device->quits)) {
    float left[480];
    float right[480];
    qf_player_fill(device->player, left, right, 480);
    nanosleep(&(const struct timespec){0, 9700000L}, NULL);
  }
  return NULL;
}

static void
test_commands_cross_threads(void** state)
{
  Studio* const studio = studio_of(state);
  QfPlayer*     player = studio->player;
  Device        device = {.player = player};
  pthread_t     thread;
  assert_int_equal(pthread_create(&thread, NULL, run_device, &device), 0);

  for (int i = 0; i < 30; ++i) {
    QfEvents events = passage_chords(10, 0.1, -30.0);
    qf_player_load(player, &events);
    qf_player_play(player);
    double last_s = 0.0;
    for (int n = 0; n < 20; ++n) {
      const double position_s = qf_player_get_position(player);
      assert_true(position_s >= last_s); // Never back, though blocks come in jerks
      last_s = position_s;
      nanosleep(&(const struct timespec){0, 1000000L}, NULL);
    }
    qf_player_set_speed(player, 0.5 + 0.1 * i);
    qf_player_set_level(player, -40.0 + i);
    qf_player_seek(player, 0.1 * (i % 10));
    if (i % 3 == 0) {
      qf_player_pause(player);
    }
  }

  qf_player_stop(player);
  nanosleep(&(const struct timespec){0, 60000000L}, NULL);
  assert_true(qf_player_get_position(player) == 0.0);
  atomic_store(&device.quits, true);
  pthread_join(thread, NULL);
}

#define TEST(func) cmocka_unit_test_setup_teardown(func, make_studio, close_studio)

int
main(void)
{
  const struct CMUnitTest tests[] = {
    TEST(test_the_player_sounds_like_the_renderer),
    TEST(test_a_plan_sounds_live_as_it_is_recorded),
    TEST(test_starting_and_pausing_do_not_click),
    TEST(test_seeking_does_not_click_and_strikes_held_notes),
    TEST(test_seeking_restores_levels_and_instruments),
    TEST(test_levels_glide),
    TEST(test_it_never_gets_louder_than_was_set),
    TEST(test_peaks_stay_under_minus_1_dbfs),
    TEST(test_stopping_is_silent_for_good),
    TEST(test_a_range_goes_round),
    TEST(test_a_range_lets_go_of_what_is_held),
    TEST(test_tuning_changes_what_sounds),
    TEST(test_the_meter_shows_what_is_heard),
    TEST(test_a_dead_device_is_outlived),
    TEST(test_commands_cross_threads),
  };
  return cmocka_run_group_tests_name("live", tests, NULL, NULL);
}
