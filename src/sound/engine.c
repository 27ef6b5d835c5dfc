// SPDX-License-Identifier: MIT
#include "engine.h"

#include <fluidsynth.h>

#include <assert.h>
#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

enum {
  N_CHANNELS       = 16,
  N_KEYS           = 128,
  N_SLOTS          = 6, ///< Each costs FluidSynth buffers to clear; six cost about 3 %
  NO_SLOT          = -1,
  PERCUSSION       = 9,
  PERCUSSION_BANK  = 128, ///< SoundFont 2.04, 7.2
  POLYPHONY        = 256,
  LONGEST          = QF_ENGINE_MAX_RUN + QF_ENGINE_BLOCK,
  MIN_RATE         = 8000,
  MAX_RATE         = 96000,
  MAX_SOFTENING_CB = 1440, ///< SoundFont 2.04, 8.1.3, generator 48: attenuation in centibels
};

/// Channels of FluidSynth with an output of their own
typedef struct {
  bool   is_active; ///< May be sounding
  size_t delay;     ///< Frames
} Slot;

/// What FluidSynth has for the keys of an instrument
typedef enum {
  SCALE_NONE,
  SCALE_PLAIN, ///< The tuning alone, while the instrument isn't measured
  SCALE_CORRECTED,
} Scale;

struct QfEngineImpl {
  fluid_settings_t* settings;
  fluid_synth_t*    synth;
  int               sample_rate;
  QfTuning          tuning;
  QfIntonation*     intonation;
  Scale             scales[QF_N_PROGRAMS];
  uint8_t           programs[N_CHANNELS];
  bool              is_corrected[N_CHANNELS]; ///< As far as its instrument ever is
  Slot              slots[N_SLOTS];
  int8_t            held[N_CHANNELS][N_KEYS]; ///< Slot of a sounding key, or #NO_SLOT
  fluid_voice_t*    voices[POLYPHONY];        ///< Only used while looking at them
  float             sides[2][LONGEST];        ///< Left and right; what the delays carry over first
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
    fluid_settings_setint(settings, "synth.midi-channels", N_CHANNELS * N_SLOTS);
    fluid_settings_setint(settings, "synth.audio-channels", N_SLOTS);
    fluid_settings_setint(settings, "synth.audio-groups", N_SLOTS);
    fluid_settings_setint(settings, "synth.polyphony", POLYPHONY);
    fluid_settings_setint(settings, "synth.cpu-cores", 1);

    // Whoever renders holds the engine alone, so it need not lock.
    fluid_settings_setint(settings, "synth.threadsafe-api", 0);
  }

  return settings;
}

void
qf_engine_be_quiet(void)
{
  // A library doesn't write to the terminal; its callers get messages.
  for (int level = FLUID_PANIC; level < LAST_LOG_LEVEL; ++level) {
    fluid_set_log_function(level, NULL, NULL);
  }
}

/// Channel of FluidSynth for a channel of ours: the remainder is its output
static int
channel_in(const int channel, const int slot)
{
  return channel * N_SLOTS + slot;
}

/**
   The pitch to ask for so that another one sounds, both in cents from the key 0.

   FluidSynth plays the sample of the key next to the pitch it is asked for, which
   need not be the key struck, and each key's sample has its own fault. So it is
   asked for as much as corrects the sample it will take, or at least for the
   pitch nearest to that with which it takes it.
*/
static double
pitch_to_ask_for(const float* const sharp, const double wanted)
{
  const int middle = (int)lround(wanted / 100.0);
  double    best   = wanted;
  double    least  = HUGE_VAL;
  for (int key = middle - 1; key <= middle + 1; ++key) {
    if (key >= 0 && key < N_KEYS) {
      const double exact = wanted - (double)sharp[key];
      const double taken = fmin(fmax(exact, 100.0 * key - 49.0), 100.0 * key + 49.0);
      if (fabs(exact - taken) < least) {
        least = fabs(exact - taken);
        best  = taken;
      }
    }
  }
  return best;
}

/// Give FluidSynth the pitch of each key of an instrument
static void
make_scale(QfEngine* const self, const int program)
{
  // FluidSynth's cents count from the key 0 at 440 Hz, A4 being 6900 of them.
  const float* const sharp = qf_intonation_get(self->intonation, program);
  const double       shift = 1200.0 * log2(qf_tuning_a4(self->tuning) / QF_TUNING_USUAL_A4);
  double             cents[N_KEYS];
  for (int key = 0; key < N_KEYS; ++key) {
    const double wanted = 100.0 * key + qf_tuning_cents(self->tuning, key) + shift;
    cents[key] = (sharp ? pitch_to_ask_for(sharp, wanted) : wanted) + QF_ENGINE_ROUNDING_CENTS;
  }

  fluid_synth_activate_key_tuning(self->synth, 0, program, "lesson", cents, 1);
  self->scales[program] = sharp ? SCALE_CORRECTED : SCALE_PLAIN;
}

/// Give a channel the keys of its instrument, by choice also what sounds there
static void
tune_channel(QfEngine* const self, const int channel, const bool is_at_once)
{
  const int   program = self->programs[channel];
  const Scale best = qf_intonation_get(self->intonation, program) ? SCALE_CORRECTED : SCALE_PLAIN;
  if (self->scales[program] < best) {
    make_scale(self, program);
  }

  self->is_corrected[channel] = self->scales[program] == SCALE_CORRECTED;
  for (int slot = 0; slot < N_SLOTS && channel != PERCUSSION; ++slot) {
    fluid_synth_activate_tuning(self->synth, channel_in(channel, slot), 0, program, is_at_once);
  }
}

/// What a reset of FluidSynth leaves to be done
static void
set_up_channels(QfEngine* const self)
{
  memset(self->held, NO_SLOT, sizeof(self->held));
  for (int i = 0; i < N_CHANNELS * N_SLOTS; ++i) {
    const bool is_percussion = i / N_SLOTS == PERCUSSION;
    if (is_percussion || i == PERCUSSION) { // Which FluidSynth takes for the percussion
      fluid_synth_set_channel_type(self->synth, i,
                                   is_percussion ? CHANNEL_TYPE_DRUM : CHANNEL_TYPE_MELODIC);
      fluid_synth_bank_select(self->synth, i, is_percussion ? PERCUSSION_BANK : 0);
      fluid_synth_program_change(self->synth, i, 0);
    }
  }
  memset(self->programs, 0, sizeof(self->programs));
  for (int channel = 0; channel < N_CHANNELS; ++channel) {
    tune_channel(self, channel, true);
  }
}

/// FluidSynth sets itself up with its first synthesizer, which must be one at a time
static fluid_synth_t*
new_synth(fluid_settings_t* const settings)
{
  static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;

  pthread_mutex_lock(&lock);
  fluid_synth_t* const synth = new_fluid_synth(settings);
  pthread_mutex_unlock(&lock);
  return synth;
}

QfStatus
qf_engine_new(const char* const soundfont,
              const QfTuning    tuning,
              const int         sample_rate,
              QfEngine** const  engine,
              QfError* const    error)
{
  if (sample_rate < MIN_RATE || sample_rate > MAX_RATE) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "%d samples a second can't be rendered; expected %d to %d", sample_rate,
                        MIN_RATE, MAX_RATE);
  }

  qf_engine_be_quiet();
  char* const path = qf_engine_choose_soundfont(soundfont, error);
  if (!path) {
    return QF_ERR_MISSING;
  }

  QfEngine* const self = (QfEngine*)calloc(1, sizeof(QfEngine));
  QfStatus        st   = QF_OK;
  if (!self || !(self->settings = new_settings(sample_rate)) ||
      !(self->synth = new_synth(self->settings))) {
    st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory while starting the synthesizer");
  } else if (fluid_synth_sfload(self->synth, path, 1) == FLUID_FAILED) {
    st = qf_error_set(error, QF_ERR_MISSING, "the SoundFont %s is damaged; install another", path);
  }

  if (!st && !(self->intonation = qf_intonation_new(path))) {
    st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory while starting the synthesizer");
  }
  free(path);
  if (st) {
    qf_engine_free(self);
    return st;
  }

  self->sample_rate = sample_rate;
  self->tuning      = tuning;
  set_up_channels(self);
  *engine = self;
  return QF_OK;
}

void
qf_engine_free(QfEngine* const engine)
{
  if (engine) {
    delete_fluid_synth(engine->synth);
    delete_fluid_settings(engine->settings);
    qf_intonation_free(engine->intonation);
    free(engine);
  }
}

QfIntonation*
qf_engine_get_intonation(QfEngine* const engine)
{
  return engine->intonation;
}

int
qf_engine_get_rate(const QfEngine* const engine)
{
  return engine->sample_rate;
}

/// Which slots still sound
static void
look_at_slots(QfEngine* const self)
{
  for (int i = 0; i < N_SLOTS; ++i) {
    self->slots[i].is_active = false;
  }

  memset(self->voices, 0, sizeof(self->voices));
  fluid_synth_get_voicelist(self->synth, self->voices, POLYPHONY, -1);
  for (size_t i = 0; i < POLYPHONY && self->voices[i]; ++i) {
    self->slots[fluid_voice_get_channel(self->voices[i]) % N_SLOTS].is_active = true;
  }
}

static int
find_idle_slot(const QfEngine* const self)
{
  for (int i = 0; i < N_SLOTS; ++i) {
    if (!self->slots[i].is_active) {
      return i;
    }
  }
  return NO_SLOT;
}

static int
find_nearest_slot(const QfEngine* const self, const size_t delay)
{
  int nearest = 0;
  int least   = QF_ENGINE_BLOCK;
  for (int i = 0; i < N_SLOTS; ++i) {
    const int distance = abs((int)self->slots[i].delay - (int)delay);
    if (self->slots[i].is_active && distance < least) {
      nearest = i;
      least   = distance;
    }
  }
  return least < QF_ENGINE_BLOCK ? nearest : NO_SLOT;
}

/// The slot for a note that begins so many frames after an edge
static int
choose_slot(QfEngine* const self, const size_t delay)
{
  const int nearest = find_nearest_slot(self, delay);
  if (nearest != NO_SLOT && self->slots[nearest].delay == delay) {
    return nearest;
  }

  int idle = find_idle_slot(self);
  if (idle == NO_SLOT) {
    look_at_slots(self);
    idle = find_idle_slot(self);
  }
  if (idle == NO_SLOT) {
    return nearest;
  }

  self->slots[idle] = (Slot){true, delay};
  return idle;
}

static void
end_note(QfEngine* const self, const int channel, const int key)
{
  const int slot = self->held[channel][key];
  if (slot != NO_SLOT) {
    self->held[channel][key] = NO_SLOT;
    fluid_synth_noteoff(self->synth, channel_in(channel, slot), key);
  }
}

static void
begin_note(QfEngine* const self, const QfEvent* const event, const size_t frame)
{
  const int channel = event->channel % N_CHANNELS;
  const int key     = event->key % N_KEYS;
  const int slot    = choose_slot(self, frame);

  if (!self->is_corrected[channel]) {
    tune_channel(self, channel, false);
  }
  end_note(self, channel, key); // As FluidSynth does within a channel
  fluid_synth_noteon(self->synth, channel_in(channel, slot), key, event->velocity);
  self->held[channel][key] = (int8_t)slot;
}

static void
set_program(QfEngine* const self, const int channel, const int program)
{
  for (int slot = 0; slot < N_SLOTS; ++slot) {
    fluid_synth_program_change(self->synth, channel_in(channel, slot), program);
  }
  self->programs[channel] = (uint8_t)(program % QF_N_PROGRAMS);
  tune_channel(self, channel, false);
}

/// The generator is offset, not a controller, so that the level is exact in every SoundFont
static void
set_gain(QfEngine* const self, const int channel, const double gain_db)
{
  const double softening = fmin(fmax(-10.0 * gain_db, -MAX_SOFTENING_CB), MAX_SOFTENING_CB);
  for (int slot = 0; slot < N_SLOTS; ++slot) {
    fluid_synth_set_gen(self->synth, channel_in(channel, slot), GEN_ATTENUATION, (float)softening);
  }
}

void
qf_engine_apply(QfEngine* const engine, const QfEvent* const event, const size_t frame)
{
  assert(frame < QF_ENGINE_BLOCK);
  switch (event->kind) {
    case QF_EVENT_NOTE_ON:
      begin_note(engine, event, frame);
      break;
    case QF_EVENT_NOTE_OFF:
      end_note(engine, event->channel % N_CHANNELS, event->key % N_KEYS);
      break;
    case QF_EVENT_PROGRAM:
      set_program(engine, event->channel % N_CHANNELS, event->program);
      break;
    case QF_EVENT_GAIN:
      set_gain(engine, event->channel % N_CHANNELS, event->gain_db);
      break;
    case QF_EVENT_MARK:
    case QF_EVENT_CLIP:
    case QF_EVENT_END:
      break;
  }
}

void
qf_engine_tune(QfEngine* const engine, const QfTuning tuning)
{
  engine->tuning = tuning;
  memset(engine->scales, SCALE_NONE, sizeof(engine->scales));
  for (int channel = 0; channel < N_CHANNELS; ++channel) {
    tune_channel(engine, channel, true);
  }
}

void
qf_engine_release(QfEngine* const engine)
{
  memset(engine->held, NO_SLOT, sizeof(engine->held));
  fluid_synth_all_notes_off(engine->synth, -1);
}

void
qf_engine_hush(QfEngine* const engine)
{
  // The reset clears the room the notes rang in but only lets go of them, and
  // would do so again to silenced ones, so it comes first.
  fluid_synth_system_reset(engine->synth);
  fluid_synth_all_sounds_off(engine->synth, -1);
  set_up_channels(engine);
  memset(engine->sides, 0, sizeof(engine->sides));
}

void
qf_engine_render(QfEngine* const engine, float* const frames, const size_t n_frames)
{
  assert(n_frames % QF_ENGINE_BLOCK == 0 && n_frames <= QF_ENGINE_MAX_RUN);
  float* const left  = engine->sides[0];
  float* const right = engine->sides[1];

  // FluidSynth adds to what is there, and leaves out where it finds NULL. The
  // room is diffuse: nobody hears that its sound isn't delayed.
  float* room[4]           = {left, right, NULL, NULL};
  float* outs[2 * N_SLOTS] = {NULL};
  for (int i = 0; i < N_SLOTS; ++i) {
    if (engine->slots[i].is_active) {
      outs[2 * i]     = left + engine->slots[i].delay;
      outs[2 * i + 1] = right + engine->slots[i].delay;
    }
  }
  fluid_synth_process(engine->synth, (int)n_frames, 4, room, 2 * N_SLOTS, outs);

  for (size_t i = 0; i < n_frames; ++i) {
    frames[2U * i]      = left[i];
    frames[2U * i + 1U] = right[i];
  }
  for (size_t side = 0; side < 2; ++side) {
    float* const samples = engine->sides[side];
    memcpy(samples, samples + n_frames, QF_ENGINE_BLOCK * sizeof(float));
    memset(samples + QF_ENGINE_BLOCK, 0, n_frames * sizeof(float));
  }
}
