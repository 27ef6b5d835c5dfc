// SPDX-License-Identifier: MIT
#include "quintfall/sound.h"

#include <fluidsynth.h>

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

// How much the renderer's ramps, limiter and steps cost over FluidSynth alone,
// which plays the same events in the same blocks. Both run in turn several
// times; the quickest of each counts.

enum {
  RATE     = 44100,
  BLOCK    = 64,
  N_CHORDS = 60,
  N_VOICES = 4,
  N_ROUNDS = 5,
};

static double
now_s(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/// Block chords, one a second
static QfEvents
make_events(void)
{
  static const uint8_t keys[][N_VOICES] = {{72, 67, 64, 48}, {72, 69, 65, 41}, {71, 67, 65, 43}};

  QfEvent* const events = (QfEvent*)calloc(N_CHORDS * 2U * N_VOICES + 1U, sizeof(QfEvent));
  size_t         n      = 0;
  for (size_t i = 0; events && i <= N_CHORDS; ++i) {
    for (uint8_t voice = 0; i > 0 && voice < N_VOICES; ++voice) {
      events[n++] = (QfEvent){.at_s    = (double)i,
                              .kind    = QF_EVENT_NOTE_OFF,
                              .channel = voice,
                              .key     = keys[(i - 1U) % 3U][voice]};
    }
    for (uint8_t voice = 0; i < N_CHORDS && voice < N_VOICES; ++voice) {
      events[n++] = (QfEvent){.at_s     = (double)i,
                              .kind     = QF_EVENT_NOTE_ON,
                              .channel  = voice,
                              .key      = keys[i % 3U][voice],
                              .velocity = 80};
    }
  }
  return (QfEvents){events, n, N_CHORDS + 1.5, -20.0};
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

static double
time_bare(const QfEvents* const events, const char* const soundfont)
{
  const double            start_s  = now_s();
  fluid_settings_t* const settings = new_fluid_settings();
  fluid_settings_setnum(settings, "synth.sample-rate", RATE);
  fluid_settings_setint(settings, "synth.chorus.active", 0);
  fluid_synth_t* const synth = new_fluid_synth(settings);
  if (fluid_synth_sfload(synth, soundfont, 1) == FLUID_FAILED) {
    exit(1);
  }

  const size_t n_frames = (size_t)(events->length_s * RATE);
  float* const samples  = (float*)calloc(n_frames + BLOCK, 2U * sizeof(float));
  size_t       next     = 0;
  for (size_t frame = 0; samples && frame < n_frames; frame += BLOCK) {
    const double end_s = (double)(frame + BLOCK / 2U) / RATE;
    for (; next < events->n_events && events->events[next].at_s < end_s; ++next) {
      const QfEvent* const event = &events->events[next];
      if (event->kind == QF_EVENT_NOTE_ON) {
        fluid_synth_noteon(synth, event->channel, event->key, event->velocity);
      } else {
        fluid_synth_noteoff(synth, event->channel, event->key);
      }
    }
    fluid_synth_write_float(synth, BLOCK, samples + 2U * frame, 0, 2, samples + 2U * frame, 1, 2);
  }

  free(samples);
  delete_fluid_synth(synth);
  delete_fluid_settings(settings);
  return now_s() - start_s;
}

int
main(void)
{
  char* const soundfont = qf_sound_find_soundfont(NULL);
  if (!soundfont) {
    fputs("no SoundFont\n", stderr);
    return 1;
  }

  QfEvents events = make_events();
  double   ours_s = 1e9;
  double   bare_s = 1e9;
  for (int i = 0; i < N_ROUNDS; ++i) {
    const double a = time_ours(&events, soundfont);
    const double b = time_bare(&events, soundfont);
    ours_s         = a < ours_s ? a : ours_s;
    bare_s         = b < bare_s ? b : bare_s;
  }

  printf("rendering: %.2f times the time of FluidSynth alone, %.0f times faster than heard\n",
         ours_s / bare_s, events.length_s / ours_s);
  qf_events_clear(&events);
  free(soundfont);
  return 0;
}
