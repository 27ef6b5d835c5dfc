// SPDX-License-Identifier: MIT
#include "note_pitch.h"

#include "engine.h"
#include "mean_pitch.h"

#include "quintfall/tuning.h"

#include <fluidsynth.h>

#include <math.h>
#include <stdlib.h>

enum {
  RATE      = 44100, ///< That of the player; with fewer samples, high partials fold down
  ATTACK    = RATE * 15 / 100,
  N_FRAMES  = RATE * 2,
  VELOCITY  = 80, ///< That of a voice that isn't softened
  MAX_CENTS = 90, ///< Beyond, it would be another key
  MAX_TRIES = 3,
};

// A fundamental more than 30 dB under the whole sound is taken for missing.
static const double least_share = 1e-3;

// Noise has a contrast of a half; steel drums, whose partials lie close, 13 dB.
static const double least_contrast = 10.0;

// Under this power (-120 dB) there is no note.
static const double least_power = 1e-12;

// A partial within this of the middle of the filter is measured well.
static const double near_cents = 2.0;

struct QfNotePitchImpl {
  fluid_settings_t* settings;
  fluid_synth_t*    synth;
  float             frames[2U * (ATTACK + N_FRAMES)];
};

QfStatus
qf_note_pitch_new(const char* const soundfont, QfNotePitch** const result, QfError* const error)
{
  QfNotePitch* const self = (QfNotePitch*)calloc(1, sizeof(QfNotePitch));
  if (!self || !(self->settings = new_fluid_settings())) {
    free(self);
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while tuning instruments");
  }

  // Neither room nor chorus: they would only smear what is measured.
  qf_engine_be_quiet();
  fluid_settings_setnum(self->settings, "synth.sample-rate", RATE);
  fluid_settings_setint(self->settings, "synth.reverb.active", 0);
  fluid_settings_setint(self->settings, "synth.chorus.active", 0);
  fluid_settings_setint(self->settings, "synth.threadsafe-api", 0);
  self->synth = new_fluid_synth(self->settings);
  if (!self->synth || fluid_synth_sfload(self->synth, soundfont, 1) == FLUID_FAILED) {
    qf_note_pitch_free(self);
    return qf_error_set(error, QF_ERR_MISSING, "the SoundFont %s is damaged; install another",
                        soundfont);
  }

  // Rounded as it will be when it is heard
  double cents[QF_N_KEYS];
  for (int key = 0; key < QF_N_KEYS; ++key) {
    cents[key] = 100.0 * key + QF_ENGINE_ROUNDING_CENTS;
  }
  fluid_synth_activate_key_tuning(self->synth, 0, 0, "equal", cents, 0);

  *result = self;
  return QF_OK;
}

void
qf_note_pitch_free(QfNotePitch* const measurer)
{
  if (measurer) {
    delete_fluid_synth(measurer->synth);
    delete_fluid_settings(measurer->settings);
    free(measurer);
  }
}

bool
qf_note_pitch_has(const QfNotePitch* const measurer, const int program)
{
  return fluid_sfont_get_preset(fluid_synth_get_sfont(measurer->synth, 0), 0, program);
}

static void
strike(QfNotePitch* const self, const int program, const int key)
{
  fluid_synth_system_reset(self->synth); // So that nothing before has a say
  fluid_synth_all_sounds_off(self->synth, -1);
  fluid_synth_program_change(self->synth, 0, program);
  fluid_synth_activate_tuning(self->synth, 0, 0, 0, 0);
  fluid_synth_noteon(self->synth, 0, key, VELOCITY);
  fluid_synth_write_float(self->synth, ATTACK + N_FRAMES, self->frames, 0, 2, self->frames, 1, 2);
}

/// Mean square of both sides together, without the attack
static double
power_of(const QfNotePitch* const self)
{
  double sum = 0.0;
  for (size_t i = 2U * ATTACK; i < 2U * (ATTACK + N_FRAMES); ++i) {
    sum += (double)self->frames[i] * (double)self->frames[i];
  }
  return sum / N_FRAMES;
}

static QfPartial
partial_at(const QfNotePitch* const self, const double hz)
{
  QfPartial partial = {0};
  if (hz < 0.2 * RATE) {
    qf_mean_pitch(self->frames + 2U * ATTACK, N_FRAMES, RATE, hz, &partial);
  }
  return partial;
}

/// The frequency, as it should be, of the partial that gives the pitch
static double
choose_hz(const QfNotePitch* const self, const int key, QfPartial* const partial)
{
  static const double octaves[] = {2.0, 0.5, 4.0};

  const double fundamental = qf_tuning_hz((QfTuning){0}, key);
  double       chosen      = fundamental;
  *partial                 = partial_at(self, fundamental);
  if (partial->power < least_share * power_of(self)) {
    for (size_t i = 0; i < sizeof(octaves) / sizeof(octaves[0]); ++i) {
      const QfPartial other = partial_at(self, octaves[i] * fundamental);
      if (other.power > partial->power) {
        *partial = other;
        chosen   = octaves[i] * fundamental;
      }
    }
  }
  return chosen;
}

double
qf_note_pitch_cents(QfNotePitch* const measurer, const int program, const int key)
{
  QfPartial partial = {0};
  strike(measurer, program, key);
  const double hz    = choose_hz(measurer, key, &partial);
  double       cents = partial.cents;

  // What was at the filter's edge is looked at again from nearer.
  for (int i = 1; i < MAX_TRIES && fabs(partial.cents) > near_cents && fabs(cents) < MAX_CENTS;
       ++i) {
    partial = partial_at(measurer, hz * exp2(cents / 1200.0));
    cents += partial.cents;
  }

  const bool is_tone = partial.power > least_power && partial.contrast > least_contrast;
  return is_tone && fabs(cents) < MAX_CENTS ? cents : 0.0;
}
