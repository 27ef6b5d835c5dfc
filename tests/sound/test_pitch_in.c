// SPDX-License-Identifier: MIT
#include "quintfall/pitch_in.h"

#include "tsv.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

// Tones are made here from the frequencies of tests/data/references/midi_frequency.tsv
// (twelve-tone equal, A4 = 440 Hz, ISO 16) and a number of cents: 2^(cents/1200).

enum {
  N_SAMPLES  = 44100 / 2,
  MAX_FRAMES = 100,
};

/// Sample of a tone at a phase from 0 to 1
typedef double (*Wave)(double phase);

static double
sine(const double phase)
{
  return sin(2.0 * M_PI * phase);
}

/// The first partials of a sawtooth, as much as stays far under half the sample rate
static double
sawtooth(const double phase)
{
  double sum = 0.0;
  for (int n = 1; n <= 12; ++n) {
    sum += sin(2.0 * M_PI * n * phase) / n;
  }
  return 0.5 * sum;
}

/// A vowel's strong second and third partials, weaker first
static double
vowel(const double phase)
{
  return 0.3 * sin(2.0 * M_PI * phase) + 0.6 * sin(4.0 * M_PI * phase) +
         0.5 * sin(6.0 * M_PI * phase) + 0.2 * sin(8.0 * M_PI * phase);
}

static int
make_ear(void** state)
{
  QfPitchIn* ear = NULL;
  if (qf_pitch_in_new("null", &ear, NULL)) {
    return -1;
  }
  *state = ear;
  return 0;
}

static int
free_ear(void** state)
{
  qf_pitch_in_free((QfPitchIn*)*state);
  return 0;
}

static void
feed(QfPitchIn* const ear, const Wave wave, const double hz, const double amplitude)
{
  float* const samples = (float*)calloc(N_SAMPLES, sizeof(float));
  assert_non_null(samples);
  for (size_t i = 0; i < N_SAMPLES; ++i) {
    const double phase = fmod((double)i * hz / qf_pitch_in_get_rate(ear), 1.0);
    samples[i]         = (float)(amplitude * wave(phase));
  }
  qf_pitch_in_feed(ear, samples, N_SAMPLES);
  free(samples);
}

/// The frames that came, but for those at the start that look at what was before
static size_t
take_frames(QfPitchIn* const ear, QfPitchFrame frames[MAX_FRAMES])
{
  size_t n = 0;
  for (size_t i = 0; n < MAX_FRAMES && qf_pitch_in_poll(ear, &frames[n]); ++i) {
    n += i >= 9;
  }
  return n;
}

static double
published_hz(const Tsv* const tsv, const int key)
{
  return strtod(tsv_cell(tsv, (size_t)key, "freq_hz_a440"), NULL);
}

static void
test_sung_cents_are_found(void** state)
{
  (void)state;
  typedef struct {
    int        key;
    double     cents;
    QfSungKind kind;
  } Case;
  static const Case cases[] = {
    {69, 0.0, QF_SUNG_IN_TUNE},  {69, 15.0, QF_SUNG_IN_TUNE}, {60, -15.0, QF_SUNG_IN_TUNE},
    {57, 30.0, QF_SUNG_SHARP},   {60, -30.0, QF_SUNG_FLAT},   {64, 45.0, QF_SUNG_SHARP},
    {48, -45.0, QF_SUNG_FLAT},   {67, 60.0, QF_SUNG_WRONG},   {67, -100.0, QF_SUNG_WRONG},
    {43, 0.0, QF_SUNG_IN_TUNE},  {40, 25.0, QF_SUNG_SHARP},   {79, -25.0, QF_SUNG_FLAT},
    {76, 1200.0, QF_SUNG_WRONG}, {52, -700.0, QF_SUNG_WRONG}, {81, 0.0, QF_SUNG_IN_TUNE},
  };
  static const Wave waves[] = {sine, sawtooth, vowel};
  Tsv               tsv     = tsv_open("midi_frequency");
  double            worst   = 0.0;
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    for (size_t w = 0; w < sizeof(waves) / sizeof(waves[0]); ++w) {
      void* ear = NULL;
      assert_int_equal(make_ear(&ear), 0);
      feed((QfPitchIn*)ear, waves[w],
           published_hz(&tsv, cases[i].key) * exp2(cases[i].cents / 1200.0), 0.2);
      QfPitchFrame frames[MAX_FRAMES];
      const size_t n = take_frames((QfPitchIn*)ear, frames);
      assert_true(n > 20);
      const QfSung sung =
        qf_sung_judge_note(frames, n, cases[i].key, (QfSungOptions){.tuning = {0}});
      if (sung.kind != cases[i].kind || !(fabs(sung.cents - cases[i].cents) <= 2.0)) {
        fail_msg("key %d %+.0f cents, wave %zu: %s, %+.1f cents", cases[i].key, cases[i].cents, w,
                 qf_sung_kind_text(sung.kind), sung.cents);
      }
      worst = fmax(worst, fabs(sung.cents - cases[i].cents));
      free_ear(&ear);
    }
  }
  print_message("at most %.2f cents off\n", worst);
  tsv_free(&tsv);
}

static void
test_octaves_count_only_where_allowed(void** state)
{
  QfPitchIn* const ear = (QfPitchIn*)*state;
  Tsv              tsv = tsv_open("midi_frequency");
  feed(ear, sawtooth, published_hz(&tsv, 52), 0.2);
  QfPitchFrame frames[MAX_FRAMES];
  const size_t n = take_frames(ear, frames);

  QfSung sung = qf_sung_judge_note(frames, n, 64, (QfSungOptions){0});
  assert_int_equal(sung.kind, QF_SUNG_WRONG);
  assert_int_equal(sung.sung_key, 52);
  assert_true(fabs(sung.cents + 1200.0) < 5.0);

  sung = qf_sung_judge_note(frames, n, 64, (QfSungOptions){.any_octave = true});
  assert_int_equal(sung.kind, QF_SUNG_IN_TUNE);
  assert_true(fabs(sung.cents) < 5.0);

  sung = qf_sung_judge_note(frames, n, 65, (QfSungOptions){.any_octave = true});
  assert_int_equal(sung.kind, QF_SUNG_WRONG);
  tsv_free(&tsv);
}

// 415 Hz lies 101.3 cents under 440 Hz: 1200 log2(415/440). A pure third lies 13.7
// cents under the equal one. Source: Helmholtz/Ellis, appendix XX; from memory.
static void
test_the_tuning_in_use_counts(void** state)
{
  (void)state;
  const QfPitchFrame  low   = {0.0, 415.0, 0.9, -20.0};
  const QfSungOptions usual = {0};
  assert_int_equal(qf_sung_judge(low, 69, usual).kind, QF_SUNG_WRONG);
  assert_int_equal(qf_sung_judge(low, 68, usual).kind, QF_SUNG_IN_TUNE);

  const QfSungOptions baroque = {.tuning = {.a4_hz = 415.0}};
  assert_int_equal(qf_sung_judge(low, 69, baroque).kind, QF_SUNG_IN_TUNE);
  assert_true(fabs(qf_sung_judge(low, 69, baroque).cents) < 1e-9);

  // C sharp over A, pure: 440 * 5/4.
  const QfPitchFrame  third = {0.0, 550.0, 0.9, -20.0};
  const QfSungOptions just  = {.tuning = {.kind = QF_TUNING_JUST, .key = {{5, 0}, QF_MAJOR}},
                               .tolerance_cents = 10.0};
  const QfSungOptions equal = {.tolerance_cents = 10.0};
  assert_int_equal(qf_sung_judge(third, 73, just).kind, QF_SUNG_IN_TUNE);
  assert_int_equal(qf_sung_judge(third, 73, equal).kind, QF_SUNG_FLAT);
  assert_true(fabs(qf_sung_judge(third, 73, equal).cents + 13.686) < 0.01);
}

static void
test_silence_and_noise_are_nothing(void** state)
{
  QfPitchIn* const ear = (QfPitchIn*)*state;
  QfPitchFrame     frames[MAX_FRAMES];
  feed(ear, sine, 220.0, 0.0);
  size_t n = take_frames(ear, frames);
  assert_int_equal(qf_sung_judge_note(frames, n, 57, (QfSungOptions){0}).kind, QF_SUNG_NOTHING);
  assert_true(frames[n - 1].level_db <= -100.0);

  feed(ear, sine, 220.0, 0.0005); // A hum far away
  n = take_frames(ear, frames);
  assert_int_equal(qf_sung_judge_note(frames, n, 57, (QfSungOptions){0}).kind, QF_SUNG_NOTHING);

  // Numbers that look random: a multiplicative hash (Knuth, TAOCP 3, 6.4).
  float* const noise = (float*)calloc(N_SAMPLES, sizeof(float));
  assert_non_null(noise);
  uint32_t x = 1;
  for (size_t i = 0; i < N_SAMPLES; ++i) {
    x        = x * 1664525U + 1013904223U;
    noise[i] = 0.3F * ((float)(x >> 8U) / 8388608.0F - 1.0F);
  }
  qf_pitch_in_feed(ear, noise, N_SAMPLES);
  free(noise);
  n                 = take_frames(ear, frames);
  const QfSung sung = qf_sung_judge_note(frames, n, 57, (QfSungOptions){0});
  double       most = 0.0;
  for (size_t i = 0; i < n; ++i) {
    most = fmax(most, frames[i].confidence);
  }
  print_message("noise: confidence at most %.2f\n", most);
  assert_int_equal(sung.kind, QF_SUNG_NOTHING);
}

static void
test_frames_tell_time_and_level(void** state)
{
  QfPitchIn* const ear = (QfPitchIn*)*state;
  feed(ear, sine, 440.0, 0.5);
  QfPitchFrame frame  = {0};
  double       last_s = -1.0;
  size_t       n      = 0;
  while (qf_pitch_in_poll(ear, &frame)) {
    assert_true(frame.at_s >= last_s);
    last_s = frame.at_s;
    ++n;
  }
  assert_int_equal(n, N_SAMPLES / 512);
  assert_true(last_s > 0.42 && last_s < 0.5);
  // A sine's root mean square lies 3.01 dB under its peak, here -6.02 dBFS.
  assert_true(fabs(frame.level_db + 9.03) < 0.1);
}

static void
test_broken_samples_do_no_harm(void** state)
{
  QfPitchIn* const ear       = (QfPitchIn*)*state;
  float            broken[4] = {NAN, INFINITY, -INFINITY, 1e30F};
  for (int i = 0; i < 4000; ++i) {
    qf_pitch_in_feed(ear, broken, 4);
  }
  QfPitchFrame frame = {0};
  while (qf_pitch_in_poll(ear, &frame)) {
    assert_true(isfinite(frame.hz) && isfinite(frame.confidence) && isfinite(frame.level_db));
    qf_sung_judge(frame, 60, (QfSungOptions){0});
  }
  assert_int_equal(qf_sung_judge_note(NULL, 0, 60, (QfSungOptions){0}).kind, QF_SUNG_NOTHING);
}

static void
test_a_missing_microphone_is_told(void** state)
{
  (void)state;
  QfPitchIn* ear   = NULL;
  QfError    error = {0};
  assert_int_equal(qf_pitch_in_new("no-such-microphone", &ear, &error), QF_ERR_MISSING);
  assert_non_null(strstr(error.text, "microphone"));
  assert_null(ear);
}

// ALSA's own "null" device behind its converter stands in for a microphone; what it gives is
// chance.
static void
test_a_thread_listens(void** state)
{
  (void)state;
  QfPitchIn* ear = NULL;
  if (qf_pitch_in_new("plug:null", &ear, NULL)) {
    print_message("ALSA has no null device here\n");
    skip();
  }

  QfPitchFrame frame = {.level_db = 0.0};
  bool         came  = false;
  for (int i = 0; i < 3000 && !came; ++i) {
    came = qf_pitch_in_poll(ear, &frame);
    nanosleep(&(const struct timespec){0, 1000000L}, NULL);
  }
  assert_true(came);
  assert_true(qf_pitch_in_is_listening(ear));
  qf_pitch_in_free(ear);
}

static void
test_the_system_microphone_opens_or_says_why(void** state)
{
  (void)state;
  QfPitchIn* ear   = NULL;
  QfError    error = {0};
  if (qf_pitch_in_new(NULL, &ear, &error)) {
    assert_int_equal(error.status, QF_ERR_MISSING);
    print_message("no microphone here: %s\n", error.text);
    skip();
  }
  assert_true(qf_pitch_in_is_listening(ear));
  qf_pitch_in_free(ear);
}

#define TEST(func) cmocka_unit_test_setup_teardown(func, make_ear, free_ear)

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_sung_cents_are_found),
    TEST(test_octaves_count_only_where_allowed),
    cmocka_unit_test(test_the_tuning_in_use_counts),
    TEST(test_silence_and_noise_are_nothing),
    TEST(test_frames_tell_time_and_level),
    TEST(test_broken_samples_do_no_harm),
    cmocka_unit_test(test_a_missing_microphone_is_told),
    cmocka_unit_test(test_a_thread_listens),
    cmocka_unit_test(test_the_system_microphone_opens_or_says_why),
  };
  return cmocka_run_group_tests_name("pitch_in", tests, NULL, NULL);
}
