// SPDX-License-Identifier: MIT
#include "quintfall/sound.h"

#include <fluidsynth.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

// How much the renderer's ramps, limiter and own frames cost over FluidSynth
// alone, which plays the same events with the same settings, in as long runs as
// fit between them. Both run in turn several times and are timed by the
// processor's clock; the quickest of each counts. Then, what memory recordings
// take: of one minute and of many, of one file and of many.

enum {
  RATE       = 44100,
  BLOCK      = 64,
  N_VOICES   = 4,
  N_ROUNDS   = 7,
  LONG_TIMES = 20,
  N_FILES    = 300,
};

static double
now_s(void)
{
  struct timespec now;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/// Block chords, one a second
static QfEvents
make_events(const size_t n_chords)
{
  static const uint8_t keys[][N_VOICES] = {{72, 67, 64, 48}, {72, 69, 65, 41}, {71, 67, 65, 43}};

  QfEvent* const events = (QfEvent*)calloc(n_chords * 2U * N_VOICES + 1U, sizeof(QfEvent));
  size_t         n      = 0;
  for (size_t i = 0; events && i <= n_chords; ++i) {
    for (uint8_t voice = 0; i > 0 && voice < N_VOICES; ++voice) {
      events[n++] = (QfEvent){.at_s    = (double)i,
                              .kind    = QF_EVENT_NOTE_OFF,
                              .channel = voice,
                              .key     = keys[(i - 1U) % 3U][voice]};
    }
    for (uint8_t voice = 0; i < n_chords && voice < N_VOICES; ++voice) {
      events[n++] = (QfEvent){.at_s     = (double)i,
                              .kind     = QF_EVENT_NOTE_ON,
                              .channel  = voice,
                              .key      = keys[i % 3U][voice],
                              .velocity = 80};
    }
  }
  return (QfEvents){
    .events = events, .n_events = n, .length_s = (double)n_chords + 1.5, .level_db = -20.0};
}

static double
time_ours(const QfEvents* const events, const char* const soundfont)
{
  float*       samples  = NULL;
  size_t       n_frames = 0;
  const double start_s  = now_s();
  if (qf_sound_render(events, (QfSoundSettings){.soundfont = soundfont}, RATE, NULL, NULL, &samples,
                      &n_frames, NULL)) {
    exit(1);
  }
  free(samples);
  return now_s() - start_s;
}

/// Frames from here to the next event, in whole blocks
static size_t
run_to(const QfEvents* const events, const size_t next, const size_t frame, const size_t n_frames)
{
  const size_t last =
    next < events->n_events ? (size_t)(events->events[next].at_s * RATE) : n_frames;
  const size_t n = last > frame ? (last - frame) / BLOCK * BLOCK : 0U;
  return n < BLOCK ? BLOCK : n;
}

static double
time_bare(const QfEvents* const events, const char* const soundfont)
{
  const double            start_s  = now_s();
  fluid_settings_t* const settings = new_fluid_settings();
  fluid_settings_setnum(settings, "synth.sample-rate", RATE);
  fluid_settings_setint(settings, "synth.chorus.active", 0);
  fluid_settings_setint(settings, "synth.threadsafe-api", 0);
  fluid_synth_t* const synth = new_fluid_synth(settings);
  if (fluid_synth_sfload(synth, soundfont, 1) == FLUID_FAILED) {
    exit(1);
  }

  const size_t n_frames = (size_t)(events->length_s * RATE);
  float* const samples  = (float*)calloc(n_frames + RATE * 2, 2U * sizeof(float));
  size_t       next     = 0;
  for (size_t frame = 0; samples && frame < n_frames;) {
    for (; next < events->n_events && (size_t)(events->events[next].at_s * RATE) < frame + BLOCK;
         ++next) {
      const QfEvent* const event = &events->events[next];
      if (event->kind == QF_EVENT_NOTE_ON) {
        fluid_synth_noteon(synth, event->channel, event->key, event->velocity);
      } else {
        fluid_synth_noteoff(synth, event->channel, event->key);
      }
    }

    float* const at = samples + 2U * frame;
    const size_t n  = run_to(events, next, frame, n_frames);
    fluid_synth_write_float(synth, (int)n, at, 0, 2, at, 1, 2);
    frame += n;
  }

  free(samples);
  delete_fluid_synth(synth);
  delete_fluid_settings(settings);
  return now_s() - start_s;
}

static void
print_ratio(const char* const soundfont)
{
  QfEvents events = make_events(60);
  double   ours_s = 1e9;
  double   bare_s = 1e9;
  for (int i = 0; i < N_ROUNDS; ++i) {
    ours_s = fmin(ours_s, time_ours(&events, soundfont));
    bare_s = fmin(bare_s, time_bare(&events, soundfont));
  }

  printf("rendering: %.2f times the time of FluidSynth alone, %.0f times faster than heard\n",
         ours_s / bare_s, events.length_s / ours_s);
  qf_events_clear(&events);
}

/// The most memory that was ever used, in MiB
static double
peak_mib(void)
{
  struct rusage usage;
  getrusage(RUSAGE_SELF, &usage);
  return (double)usage.ru_maxrss / 1024.0;
}

static double
record(const QfEvents* const events, const char* const path)
{
  const double start_s = now_s();
  QfError      error   = {0};
  if (qf_sound_render_file(events, (QfSoundSettings){0}, NULL, path, NULL, NULL, &error)) {
    fprintf(stderr, "%s\n", error.text);
    exit(1);
  }
  return now_s() - start_s;
}

static void
print_recordings(const char* const folder)
{
  static const char* const endings[] = {"wav", "flac", "ogg", "opus", "mp3"};
  char                     path[512];
  QfEvents                 minute = make_events(60);
  for (size_t i = 0; i < sizeof(endings) / sizeof(endings[0]); ++i) {
    snprintf(path, sizeof(path), "%s/quintfall-bench.%s", folder, endings[i]);
    const double took_s = record(&minute, path);
    printf("%s of a minute: %.0f times faster than heard, %.1f MiB\n", endings[i],
           minute.length_s / took_s, peak_mib());
    unlink(path);
  }
  qf_events_clear(&minute);

  QfEvents brief = make_events(4);
  snprintf(path, sizeof(path), "%s/quintfall-bench.flac", folder);
  for (int i = 0; i < N_FILES; ++i) {
    record(&brief, path);
  }
  printf("%d more files: %.1f MiB\n", N_FILES, peak_mib());
  qf_events_clear(&brief);

  QfEvents many = make_events(60 * LONG_TIMES);
  record(&many, path);
  printf("one of %d minutes: %.1f MiB\n", LONG_TIMES, peak_mib());
  qf_events_clear(&many);
  unlink(path);
}

int
main(int argc, char** argv)
{
  char* const soundfont = qf_sound_find_soundfont(NULL);
  if (!soundfont) {
    fputs("no SoundFont\n", stderr);
    return 1;
  }

  // Recordings first, as rendering into memory takes more than any of them.
  print_recordings(argc > 1 ? argv[1] : ".");
  print_ratio(soundfont);
  free(soundfont);
  return 0;
}
