// SPDX-License-Identifier: MIT
#include "engine.h"
#include "passage.h"
#include "player.h"

#include <ebur128.h>
#include <math.h>
#include <setjmp.h>
#include <sndfile.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

enum {
  RATE = 44100,
};

// FluidSynth's room hums so softly that 16 bits can't tell it from silence.
static const double silent = 0.5 / 32768.0;

/// A file with a tone that begins and ends at once
typedef struct {
  const char* name;
  int         format;
  int         rate;
  int         n_channels;
  double      seconds;
  double      amplitude;
} Tone;

static const Tone usual = {"tone.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16, RATE, 1, 0.8, 0.1};

static void
write_tone(const Tone* const tone, char path[128])
{
  snprintf(path, 128, "/tmp/quintfall-clip-%ld-%s", (long)getpid(), tone->name);
  SF_INFO info = {.samplerate = tone->rate, .channels = tone->n_channels, .format = tone->format};
  SNDFILE* const file = sf_open(path, SFM_WRITE, &info);
  assert_non_null(file);
  for (int i = 0; i < (int)(tone->seconds * tone->rate); ++i) {
    float frame[2];
    frame[0] = (float)(tone->amplitude * sin(2.0 * M_PI * 1000.0 * i / tone->rate));
    frame[1] = frame[0];
    assert_int_equal(sf_writef_float(file, frame, 1), 1);
  }
  sf_close(file);
}

/// A clip at a time, and nothing else
static QfEvents
clip_at(const char* const path, const double at_s, const double length_s, const double level_db)
{
  QfEvents events = {.n_events = 2, .length_s = length_s, .level_db = level_db, .n_clips = 1};
  events.events   = (QfEvent*)calloc(2, sizeof(QfEvent));
  events.clips    = (char**)calloc(1, sizeof(char*));
  assert_non_null(events.events);
  assert_non_null(events.clips);
  events.events[0] = (QfEvent){.at_s = at_s, .kind = QF_EVENT_CLIP};
  events.events[1] = (QfEvent){.at_s = length_s, .kind = QF_EVENT_END};
  events.clips[0]  = strdup(path);
  return events;
}

static float*
render(const QfEvents* const events, size_t* const n_frames)
{
  float*  samples = NULL;
  QfError error   = {0};
  if (qf_sound_render(events, (QfSoundSettings){0}, RATE, NULL, NULL, &samples, n_frames, &error)) {
    fail_msg("%s", error.text);
  }
  return samples;
}

/// Programme loudness. Source of the measure: EBU R 128 as libebur128 has it
static double
loudness(const float* const samples, const size_t n_frames)
{
  double         lufs  = 0.0;
  ebur128_state* meter = ebur128_init(2, RATE, EBUR128_MODE_I);
  assert_non_null(meter);
  assert_int_equal(ebur128_add_frames_float(meter, samples, n_frames), 0);
  assert_int_equal(ebur128_loudness_global(meter, &lufs), 0);
  ebur128_destroy(&meter);
  return lufs;
}

static void
need_soundfont(void)
{
  if (!passage_has_soundfont()) {
    skip();
  }
}

static void
test_a_clip_plays_at_its_sample(void** state)
{
  (void)state;
  need_soundfont();
  char path[128];
  write_tone(&usual, path);
  static const size_t firsts[] = {5000, 5001, 7777, 11025};
  for (size_t i = 0; i < sizeof(firsts) / sizeof(firsts[0]); ++i) {
    const size_t first    = firsts[i];
    QfEvents     events   = clip_at(path, (double)first / RATE, 1.5, -20.0);
    size_t       n_frames = 0;
    float* const samples  = render(&events, &n_frames);

    // The tone's first sample is zero, its second isn't; behind its end it is silent.
    const size_t last = first + (size_t)(usual.seconds * RATE);
    assert_true(passage_peak(samples, 0, first + 1) < silent);
    assert_true(fabs((double)samples[2 * (first + 1)]) > silent);
    assert_true(passage_peak(samples, last - 20, last) > 0.001);
    assert_true(passage_peak(samples, last, n_frames) < silent);
    free(samples);
    qf_events_clear(&events);
  }
  unlink(path);
}

static void
test_clips_are_as_loud_as_the_music(void** state)
{
  (void)state;
  need_soundfont();
  static const Tone tones[] = {
    {"soft.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16, RATE, 1, 2.0, 0.01},
    {"loud.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16, 48000, 2, 2.0, 0.9},
    {"low.ogg", SF_FORMAT_OGG | SF_FORMAT_VORBIS, 22050, 1, 2.0, 0.2},
  };
  QfEvents     music      = passage_chords(4, 0.5, -20.0);
  size_t       n_frames   = 0;
  float*       samples    = render(&music, &n_frames);
  const double music_lufs = loudness(samples, n_frames);
  free(samples);
  qf_events_clear(&music);

  for (size_t i = 0; i < sizeof(tones) / sizeof(tones[0]); ++i) {
    char   path[128];
    double length_s = 0.0;
    write_tone(&tones[i], path);
    assert_int_equal(qf_sound_clip_length(path, &length_s, NULL), QF_OK);
    assert_true(fabs(length_s - 2.0) < 0.01);
    QfEvents events   = clip_at(path, 0.1, 2.5, -20.0);
    samples           = render(&events, &n_frames);
    const double db   = passage_rms_db(samples, RATE / 4, RATE);
    const double lufs = loudness(samples, n_frames);
    print_message("%s: %.1f LUFS, music %.1f LUFS\n", tones[i].name, lufs, music_lufs);
    assert_true(fabs(lufs - music_lufs) < 1.5);

    events.events[0].gain_db = -10.0;
    free(samples);
    samples = render(&events, &n_frames);
    assert_true(fabs(passage_rms_db(samples, RATE / 4, RATE) - (db - 10.0)) < 0.1);
    free(samples);
    qf_events_clear(&events);
    unlink(path);
  }
}

static void
test_the_player_plays_clips_from_anywhere(void** state)
{
  (void)state;
  need_soundfont();
  char path[128];
  write_tone(&usual, path);
  QfEngine* engine = NULL;
  assert_int_equal(qf_engine_new(NULL, (QfTuning){0}, QF_PLAYER_RATE, &engine, NULL), QF_OK);
  QfPlayer* const player = qf_player_new_with(engine, 0.0, 0.0);
  assert_non_null(player);
  QfEvents events = clip_at(path, 0.5, 2.0, -20.0);
  qf_player_load(player, &events);
  qf_player_seek(player, 1.0); // In the clip's middle: 0.3 s are left
  qf_player_play(player);

  enum { N = QF_PLAYER_RATE };
  float* const left  = (float*)calloc(N, sizeof(float));
  float* const right = (float*)calloc(N, sizeof(float));
  for (int i = 0; i < N; i += 480) {
    qf_player_fill(player, left + i, right + i, 480);
  }
  int last = 0;
  for (int i = 0; i < N; ++i) {
    last = fabs((double)left[i]) > silent ? i : last;
  }
  assert_true(fabs((double)last / N - 0.3) < 0.02);
  free(left);
  free(right);
  qf_player_free(player);
  unlink(path);
}

static void
test_what_is_no_clip_is_told(void** state)
{
  (void)state;
  need_soundfont();
  typedef struct {
    const char* path;
    QfStatus    status;
  } Case;
  char path[128];
  write_tone(&(const Tone){"long.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_U8, 8000, 1, 181.0, 0.1},
             path);
  const Case cases[] = {{QF_TEST_DATA "/no-such.wav", QF_ERR_IO},
                        {QF_SOURCE_ROOT "/meson.build", QF_ERR_UNSUPPORTED},
                        {path, QF_ERR_RANGE}};
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    QfError error    = {0};
    double  length_s = 0.0;
    assert_int_equal(qf_sound_clip_length(cases[i].path, &length_s, &error), cases[i].status);
    assert_non_null(strstr(error.text, cases[i].path));

    QfEvents events   = clip_at(cases[i].path, 0.1, 0.5, -20.0);
    float*   samples  = NULL;
    size_t   n_frames = 0;
    assert_int_equal(
      qf_sound_render(&events, (QfSoundSettings){0}, RATE, NULL, NULL, &samples, &n_frames, &error),
      cases[i].status);

    // Live it goes on, with a notice.
    QfEngine* engine = NULL;
    assert_int_equal(qf_engine_new(NULL, (QfTuning){0}, QF_PLAYER_RATE, &engine, NULL), QF_OK);
    QfPlayer* const player = qf_player_new_with(engine, 0.0, 0.0);
    QfError         notice = {0};
    qf_player_load(player, &events);
    assert_true(qf_player_take_notice(player, &notice));
    assert_non_null(strstr(notice.text, cases[i].path));
    assert_false(qf_player_take_notice(player, &notice));
    qf_player_free(player);
  }
  unlink(path);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_a_clip_plays_at_its_sample),
    cmocka_unit_test(test_clips_are_as_loud_as_the_music),
    cmocka_unit_test(test_the_player_plays_clips_from_anywhere),
    cmocka_unit_test(test_what_is_no_clip_is_told),
  };
  return cmocka_run_group_tests_name("clip", tests, NULL, NULL);
}
