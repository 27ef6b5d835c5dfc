// SPDX-License-Identifier: MIT
#include "engine.h"

#include <fluidsynth.h>

#include <math.h>
#include <stdlib.h>

struct QfEngineImpl {
  fluid_settings_t* settings;
  fluid_synth_t*    synth;
  int               sample_rate;
};

enum {
  N_CHANNELS       = 16,
  MIN_RATE         = 8000,
  MAX_RATE         = 96000,
  MAX_SOFTENING_CB = 1440, ///< SoundFont 2.04, 8.1.3, generator 48: attenuation in centibels
};

/// A setting of FluidSynth
typedef struct {
  const char* name;
  double      value;
} Number;

// The gain leaves headroom before the limiter. The chorus is off because it
// bends the pitch, which nobody who trains the ear wants; the room is small.
static const Number numbers[] = {
  {"synth.gain", 0.2},        {"synth.reverb.level", 0.3}, {"synth.reverb.room-size", 0.35},
  {"synth.reverb.damp", 0.4}, {"synth.reverb.width", 0.5},
};

static fluid_settings_t*
new_settings(const int sample_rate)
{
  fluid_settings_t* const settings = new_fluid_settings();
  if (settings) {
    for (size_t i = 0; i < sizeof(numbers) / sizeof(numbers[0]); ++i) {
      fluid_settings_setnum(settings, numbers[i].name, numbers[i].value);
    }

    fluid_settings_setnum(settings, "synth.sample-rate", sample_rate);
    fluid_settings_setint(settings, "synth.reverb.active", 1);
    fluid_settings_setint(settings, "synth.chorus.active", 0);
    fluid_settings_setint(settings, "synth.midi-channels", N_CHANNELS);
    fluid_settings_setint(settings, "synth.polyphony", 256);
    fluid_settings_setint(settings, "synth.cpu-cores", 1);

    // Whoever renders holds the engine alone, so it need not lock.
    fluid_settings_setint(settings, "synth.threadsafe-api", 0);
  }

  return settings;
}

static void
be_quiet(void)
{
  // A library doesn't write to the terminal; its callers get messages.
  for (int level = FLUID_PANIC; level < LAST_LOG_LEVEL; ++level) {
    fluid_set_log_function(level, NULL, NULL);
  }
}

QfStatus
qf_engine_new(const char* const soundfont,
              const int         sample_rate,
              QfEngine** const  engine,
              QfError* const    error)
{
  if (sample_rate < MIN_RATE || sample_rate > MAX_RATE) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "%d samples a second can't be rendered; expected %d to %d", sample_rate,
                        MIN_RATE, MAX_RATE);
  }

  be_quiet();
  char* const path = qf_engine_choose_soundfont(soundfont, error);
  if (!path) {
    return QF_ERR_MISSING;
  }

  QfEngine* const self = (QfEngine*)calloc(1, sizeof(QfEngine));
  QfStatus        st   = QF_OK;
  if (!self || !(self->settings = new_settings(sample_rate)) ||
      !(self->synth = new_fluid_synth(self->settings))) {
    st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory while starting the synthesizer");
  } else if (fluid_synth_sfload(self->synth, path, 1) == FLUID_FAILED) {
    st = qf_error_set(error, QF_ERR_MISSING, "the SoundFont %s is damaged; install another", path);
  }

  free(path);
  if (st) {
    qf_engine_free(self);
    return st;
  }

  self->sample_rate = sample_rate;
  *engine           = self;
  return QF_OK;
}

void
qf_engine_free(QfEngine* const engine)
{
  if (engine) {
    delete_fluid_synth(engine->synth);
    delete_fluid_settings(engine->settings);
    free(engine);
  }
}

int
qf_engine_get_rate(const QfEngine* const engine)
{
  return engine->sample_rate;
}

/// The generator is offset, not a controller, so that the level is exact in every SoundFont
static void
set_gain(QfEngine* const engine, const int channel, const double gain_db)
{
  const double softening = fmin(fmax(-10.0 * gain_db, -MAX_SOFTENING_CB), MAX_SOFTENING_CB);
  fluid_synth_set_gen(engine->synth, channel, GEN_ATTENUATION, (float)softening);
}

void
qf_engine_apply(QfEngine* const engine, const QfEvent* const event)
{
  switch (event->kind) {
    case QF_EVENT_NOTE_ON:
      fluid_synth_noteon(engine->synth, event->channel, event->key, event->velocity);
      break;
    case QF_EVENT_NOTE_OFF:
      fluid_synth_noteoff(engine->synth, event->channel, event->key);
      break;
    case QF_EVENT_PROGRAM:
      fluid_synth_program_change(engine->synth, event->channel, event->program);
      break;
    case QF_EVENT_GAIN:
      set_gain(engine, event->channel, event->gain_db);
      break;
    case QF_EVENT_MARK:
    case QF_EVENT_CLIP:
    case QF_EVENT_END:
      break;
  }
}

void
qf_engine_hush(QfEngine* const engine)
{
  // The reset clears the room the notes rang in but only lets go of them, and
  // would do so again to silenced ones, so it comes first.
  fluid_synth_system_reset(engine->synth);
  fluid_synth_all_sounds_off(engine->synth, -1);
}

void
qf_engine_render(QfEngine* const engine, float* const frames)
{
  fluid_synth_write_float(engine->synth, QF_ENGINE_BLOCK, frames, 0, 2, frames, 1, 2);
}
