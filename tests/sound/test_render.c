// SPDX-License-Identifier: MIT
#include "passage.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

// Levels. Source: references.md, "What an app that cannot know the sound pressure
// may honestly do" and "Check values" (-1 dBFS = 0.891251).
static const double minus_1_dbfs = 0.891251;

enum {
  RATE = 44100,
};

/// A rendering in memory
typedef struct {
  float* samples; ///< Owned
  size_t n_frames;
} Sound;

static Sound
render(const QfEvents* const events, const double level_db)
{
  Sound   sound = {0};
  QfError error = {0};
  if (qf_sound_render(events, (QfSoundSettings){.level_db = level_db}, RATE, NULL, NULL,
                      &sound.samples, &sound.n_frames, &error)) {
    fail_msg("%s", error.text);
  }
  return sound;
}

static void
need_soundfont(void)
{
  if (!passage_has_soundfont()) {
    skip();
  }
}

/// Loudness of one voice alone while it sounds, in decibels of full scale
static double
stem_db(const uint8_t* const keys,
        const size_t         n_keys,
        const QfHearing      hearing,
        const uint8_t        voice)
{
  QfEvents events = passage_chord(keys, n_keys, hearing, 1.0);
  passage_solo(&events, voice); // The first voices have the channels of their number
  const Sound  sound = render(&events, hearing.level_db);
  const double db    = passage_rms_db(sound.samples, 0, RATE);
  free(sound.samples);
  qf_events_clear(&events);
  return db;
}

static void
test_the_forward_voice_is_9_db_over_the_others(void** state)
{
  (void)state;
  need_soundfont();
  typedef struct {
    uint8_t key;
    int     program;
    double  softening_db;
  } Case;
  // Grand piano, church organ, strings, choir. Source: gm_programs.tsv.
  static const Case cases[] = {{60, 0, 9.0},  {84, 0, 9.0},  {40, 0, 9.0},  {69, 0, 14.0},
                               {57, 19, 9.0}, {64, 48, 9.0}, {64, 52, 20.0}};
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    const uint8_t forward = (uint8_t)(i % 4);
    const uint8_t other   = (uint8_t)((i + 1) % 4);
    const uint8_t keys[]  = {cases[i].key, cases[i].key, cases[i].key, cases[i].key};
    QfHearing     hearing = passage_hearing(-20.0);
    hearing.program       = cases[i].program;

    const double balanced_db = stem_db(keys, 4, hearing, forward);
    hearing.softening_db     = cases[i].softening_db;
    hearing.forward          = (QfForward){QF_FORWARD_VOICE, forward};
    const double forward_db  = stem_db(keys, 4, hearing, forward);
    const double other_db    = stem_db(keys, 4, hearing, other);

    print_message("key %d program %d: forward %.1f, other %.1f dBFS, apart %.2f dB\n", cases[i].key,
                  cases[i].program, forward_db, other_db, forward_db - other_db);
    assert_true(forward_db - other_db >= cases[i].softening_db);
    assert_true(forward_db - other_db <= cases[i].softening_db + 3.0);
    assert_true(fabs(forward_db - balanced_db) < 0.1); // The chosen voice is never raised
  }
}

static void
test_it_starts_quietly(void** state)
{
  (void)state;
  need_soundfont();
  QfEvents     events = passage_chords(4, 0.6, qf_hearing_default().level_db);
  const Sound  sound  = render(&events, 0.0); // The events' own level counts when it is lower
  const double rms_db = passage_rms_db(sound.samples, 0, (size_t)(2.4 * RATE));
  const double peak   = passage_peak(sound.samples, 0, sound.n_frames);

  print_message("default level: %.1f dBFS RMS, peak %.1f dBFS\n", rms_db, 20.0 * log10(peak));
  assert_true(rms_db <= -20.0);
  assert_true(rms_db >= -45.0);  // Yet it can be heard
  assert_true(peak <= 0.251189); // -12 dBFS

  // The first millisecond is nearly silent, at any level.
  events.level_db    = 0.0;
  const Sound  loud  = render(&events, 0.0);
  const double whole = passage_peak(loud.samples, 0, loud.n_frames);
  assert_true(passage_peak(loud.samples, 0, 1) < 0.001);
  assert_true(passage_peak(loud.samples, 0, RATE / 1000) < 0.1 * whole);

  free(loud.samples);
  free(sound.samples);
  qf_events_clear(&events);
}

static void
test_levels_are_decibels(void** state)
{
  (void)state;
  need_soundfont();
  QfEvents     events = passage_chords(1, 0.5, -24.0);
  const Sound  loud   = render(&events, -24.0);
  const Sound  soft   = render(&events, -30.0);
  const double apart =
    passage_rms_db(loud.samples, 0, RATE / 2) - passage_rms_db(soft.samples, 0, RATE / 2);
  assert_true(fabs(apart - 6.0) < 0.01);

  free(loud.samples);
  free(soft.samples);
  qf_events_clear(&events);
}

static void
test_peaks_stay_under_minus_1_dbfs(void** state)
{
  (void)state;
  need_soundfont();
  static const int programs[] = {0, 40, 56, 61}; // Piano, violin, trumpet, horns
  for (size_t i = 0; i < sizeof(programs) / sizeof(programs[0]); ++i) {
    uint8_t keys[QF_MAX_VOICES];
    for (uint8_t voice = 0; voice < QF_MAX_VOICES; ++voice) {
      keys[voice] = (uint8_t)(36 + 2 * voice);
    }

    QfHearing hearing = passage_hearing(0.0);
    hearing.program   = programs[i];
    QfEvents events   = passage_chord(keys, QF_MAX_VOICES, hearing, 1.5);
    for (size_t n = 0; n < events.n_events; ++n) {
      if (events.events[n].kind == QF_EVENT_NOTE_ON) {
        events.events[n].velocity = 127;
      }
    }

    const Sound  sound = render(&events, 0.0);
    const double peak  = passage_peak(sound.samples, 0, sound.n_frames);
    print_message("24 voices of program %d: peak %.2f dBFS\n", programs[i], 20.0 * log10(peak));
    assert_true(peak <= minus_1_dbfs);
    assert_true(peak > 0.5); // So loud that the limiter was needed
    free(sound.samples);
    qf_events_clear(&events);
  }
}

static void
test_it_ends_in_silence(void** state)
{
  (void)state;
  need_soundfont();
  QfEvents     events = passage_chords(2, 0.4, -20.0);
  const Sound  sound  = render(&events, -20.0);
  const size_t n_tail = RATE / 200;

  assert_true(sound.n_frames >= (size_t)(events.length_s * RATE));
  assert_true(sound.n_frames <= (size_t)((events.length_s + 0.1) * RATE));
  assert_true(passage_peak(sound.samples, sound.n_frames - n_tail, sound.n_frames) == 0.0);

  // No click where it ends: no sample jumps further than the music's own do.
  for (size_t i = sound.n_frames - RATE / 10; i < sound.n_frames; ++i) {
    assert_true(fabsf(sound.samples[2 * i] - sound.samples[2 * i - 2]) < 0.002F);
  }
  free(sound.samples);
  qf_events_clear(&events);
}

static void
test_two_renderings_are_the_same(void** state)
{
  (void)state;
  need_soundfont();
  QfEvents    events = passage_chords(4, 0.3, -12.0);
  const Sound a      = render(&events, -12.0);
  const Sound b      = render(&events, -12.0);
  assert_int_equal(a.n_frames, b.n_frames);
  assert_memory_equal(a.samples, b.samples, a.n_frames * 2U * sizeof(float));
  free(a.samples);
  free(b.samples);
  qf_events_clear(&events);
}

/// Where in [first, first + reach) the samples match the pattern best; sets how well
static size_t
best_match(const float* const samples,
           const size_t       first,
           const size_t       reach,
           const float* const pattern,
           const size_t       n_frames,
           double* const      likeness)
{
  size_t best = first;
  *likeness   = -2.0;
  for (size_t at = first; at < first + reach; ++at) {
    double sum = 0.0;
    double a   = 0.0;
    double b   = 0.0;
    for (size_t i = 0; i < n_frames; ++i) {
      const double x = (double)samples[2 * (at + i)];
      const double y = (double)pattern[2 * i];
      sum += x * y;
      a += x * x;
      b += y * y;
    }
    if (sum / sqrt(a * b) > *likeness) {
      *likeness = sum / sqrt(a * b);
      best      = at;
    }
  }
  return best;
}

static void
test_notes_begin_at_their_own_sample(void** state)
{
  (void)state;
  need_soundfont();
  enum {
    N_NOTES  = 6, ///< All held, at different frames of FluidSynth's blocks
    N_FRAMES = 4000,
    REACH    = 160,
    EDGE     = 4096, ///< On such a block's edge, after the fade at the start
  };

  QfEvent events[N_NOTES + 1] = {{0}};
  size_t  frames[N_NOTES];
  for (size_t i = 0; i < N_NOTES; ++i) {
    frames[i] = 2000 + i * 9001 + i * i * 13;
    events[i] = (QfEvent){.at_s     = (double)frames[i] / RATE,
                          .channel  = (uint8_t)i,
                          .key      = (uint8_t)(48 + i * 7 % 30),
                          .velocity = 100};
  }
  const double length_s = (double)(frames[N_NOTES - 1] + RATE) / RATE;
  events[N_NOTES]       = (QfEvent){.at_s = length_s, .kind = QF_EVENT_END};

  const QfEvents all = {
    .events = events, .n_events = N_NOTES + 1, .length_s = length_s, .level_db = -30.0};
  const Sound together = render(&all, 0.0);
  for (size_t i = 0; i < N_NOTES; ++i) {
    // What all have that all but this one lack is this one.
    QfEvent  others[N_NOTES + 1];
    QfEvents rest = all;
    memcpy(others, events, sizeof(events));
    others[i].kind    = QF_EVENT_MARK;
    rest.events       = others;
    const Sound apart = render(&rest, 0.0);
    for (size_t n = 0; n < 2 * apart.n_frames; ++n) {
      apart.samples[n] = together.samples[n] - apart.samples[n];
    }

    QfEvent alone[2]   = {events[i], events[N_NOTES]};
    alone[0].at_s      = (double)EDGE / RATE;
    const QfEvents one = {.events = alone, .n_events = 2, .length_s = length_s, .level_db = -30.0};
    const Sound    pattern  = render(&one, 0.0);
    double         likeness = 0.0;
    const size_t   found    = best_match(apart.samples, frames[i] - REACH / 2, REACH,
                                         pattern.samples + (size_t)2 * EDGE, N_FRAMES, &likeness);
    print_message("note at %zu found at %zu, likeness %.5f\n", frames[i], found, likeness);
    assert_int_equal(found, frames[i]);
    assert_true(likeness > 0.99);
    free(apart.samples);
    free(pattern.samples);
  }
  free(together.samples);
}

typedef struct {
  int    n_calls;
  double last;
  double stop_at;
} Watch;

static bool
watch_cb(const double done, void* const data)
{
  Watch* const watch = (Watch*)data;
  assert_true(done >= watch->last && done <= 1.0);
  watch->last = done;
  ++watch->n_calls;
  return done < watch->stop_at;
}

static void
test_progress_is_told_and_can_be_stopped(void** state)
{
  (void)state;
  need_soundfont();
  QfEvents events  = passage_chords(8, 0.5, -20.0);
  float*   samples = NULL;
  size_t   n       = 0;
  Watch    watch   = {.stop_at = 2.0};
  QfError  error   = {0};

  const QfSoundSettings settings = {.level_db = -20.0};
  assert_int_equal(qf_sound_render(&events, settings, RATE, watch_cb, &watch, &samples, &n, &error),
                   QF_OK);
  assert_true(watch.last == 1.0);
  assert_true(watch.n_calls > 5);
  free(samples);

  samples = NULL;
  watch   = (Watch){.stop_at = 0.5};
  assert_int_equal(qf_sound_render(&events, settings, RATE, watch_cb, &watch, &samples, &n, &error),
                   QF_ERR_CANCELLED);
  assert_true(watch.last < 0.7);
  assert_null(samples);
  qf_events_clear(&events);
}

static void
test_impossible_requests_are_refused(void** state)
{
  (void)state;
  QfEvents events  = passage_chords(1, 0.1, -20.0);
  float*   samples = NULL;
  size_t   n       = 0;
  QfError  error   = {0};

  const QfSoundSettings nowhere = {.soundfont = QF_TEST_DATA "/no-such.sf2", .level_db = -20.0};
  assert_int_equal(qf_sound_render(&events, nowhere, RATE, NULL, NULL, &samples, &n, &error),
                   QF_ERR_MISSING);
  assert_non_null(strstr(error.text, "no-such.sf2"));

  const QfSoundSettings usual = {.level_db = -20.0};
  assert_int_equal(qf_sound_render(&events, usual, 1, NULL, NULL, &samples, &n, &error),
                   QF_ERR_RANGE);
  events.length_s = NAN;
  assert_int_equal(qf_sound_render(&events, usual, RATE, NULL, NULL, &samples, &n, &error),
                   QF_ERR_RANGE);
  events.length_s = 1e12;
  assert_int_equal(qf_sound_render(&events, usual, RATE, NULL, NULL, &samples, &n, &error),
                   QF_ERR_RANGE);
  assert_null(samples);
  qf_events_clear(&events);
}

static void
test_a_missing_soundfont_is_told(void** state)
{
  (void)state;
  QfError error = {0};
  setenv("QUINTFALL_SOUNDFONT", QF_SOURCE_ROOT "/meson.build", 1); // A file, but of another kind
  assert_null(qf_sound_find_soundfont(&error));
  assert_int_equal(error.status, QF_ERR_MISSING);
  assert_non_null(strstr(error.text, "meson.build"));
  unsetenv("QUINTFALL_SOUNDFONT");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_the_forward_voice_is_9_db_over_the_others),
    cmocka_unit_test(test_it_starts_quietly),
    cmocka_unit_test(test_levels_are_decibels),
    cmocka_unit_test(test_peaks_stay_under_minus_1_dbfs),
    cmocka_unit_test(test_it_ends_in_silence),
    cmocka_unit_test(test_two_renderings_are_the_same),
    cmocka_unit_test(test_notes_begin_at_their_own_sample),
    cmocka_unit_test(test_progress_is_told_and_can_be_stopped),
    cmocka_unit_test(test_impossible_requests_are_refused),
    cmocka_unit_test(test_a_missing_soundfont_is_told),
  };
  return cmocka_run_group_tests_name("render", tests, NULL, NULL);
}
