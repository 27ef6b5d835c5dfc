// SPDX-License-Identifier: MIT
#include "device.h"

#include "alsa_quiet.h"
#include "engine.h"

#include <errno.h>
#include <fluidsynth.h>
#include <pthread.h>
#include <semaphore.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

// How long a sound server may take to answer.
enum {
  PATIENCE_S = 4,
};

// Tried in this order. JACK isn't, since looking for its server would start one;
// whoever wants it names it.
static const char* const usual_drivers[] = {"pipewire", "pulseaudio", "alsa"};

typedef enum {
  STATE_OPENING,
  STATE_OPEN,
  STATE_FAILED,
  STATE_ABANDONED, ///< Nobody waits any more: the opening thread cleans up
} DeviceState;

struct QfDeviceImpl {
  char                  driver[32]; ///< Tried first; empty for the usual ones
  fluid_settings_t*     settings;   ///< Owned
  fluid_audio_driver_t* output;     ///< Owned
  QfDeviceFunc          func;
  void*                 data;
  atomic_int            state;
  sem_t                 done;
  pthread_t             opener;
};

/// Called by FluidSynth; silent until the opening was taken note of
static int
fill_cb(void* const   data,
        const int     length,
        const int     n_effects,
        float**       effects,
        const int     n_outputs,
        float** const outputs)
{
  (void)n_effects;
  (void)effects;
  QfDevice* const self = (QfDevice*)data;
  if (n_outputs >= 2 && length > 0 && atomic_load(&self->state) == STATE_OPEN) {
    self->func(outputs[0], outputs[1], (size_t)length, self->data);
  }
  return FLUID_OK;
}

/// Look for a name among the drivers that this FluidSynth was built with
typedef struct {
  const char* name;
  bool        is_found;
} DriverSearch;

static void
compare_driver(void* const data, const char* const name, const char* const option)
{
  (void)name;
  DriverSearch* const search = (DriverSearch*)data;
  search->is_found           = search->is_found || !strcmp(search->name, option);
}

static bool
has_driver(fluid_settings_t* const settings, const char* const name)
{
  DriverSearch search = {name, false};
  fluid_settings_foreach_option(settings, "audio.driver", &search, compare_driver);
  return search.is_found;
}

static bool
try_driver(QfDevice* const self, const char* const name)
{
  if (has_driver(self->settings, name)) {
    fluid_settings_setstr(self->settings, "audio.driver", name);
    self->output = new_fluid_audio_driver2(self->settings, fill_cb, self);
  }
  return self->output;
}

static void
free_device(QfDevice* const self)
{
  delete_fluid_audio_driver(self->output);
  delete_fluid_settings(self->settings);
  sem_destroy(&self->done);
  free(self);
}

static void*
open_device(void* const data)
{
  QfDevice* const self = (QfDevice*)data;
  if (!self->driver[0] || !try_driver(self, self->driver)) {
    const size_t n_drivers = sizeof(usual_drivers) / sizeof(usual_drivers[0]);
    for (size_t i = 0; i < n_drivers && !try_driver(self, usual_drivers[i]); ++i) {
    }
  }

  int opening = STATE_OPENING;
  if (atomic_compare_exchange_strong(&self->state, &opening,
                                     self->output ? STATE_OPEN : STATE_FAILED)) {
    sem_post(&self->done);
  } else {
    free_device(self);
  }
  return NULL;
}

static QfDevice*
new_device(const char* const  driver,
           const int          sample_rate,
           const QfDeviceFunc func,
           void* const        data)
{
  QfDevice* const self = (QfDevice*)calloc(1, sizeof(QfDevice));
  if (!self) {
    return NULL;
  }

  self->settings = new_fluid_settings();
  self->func     = func;
  self->data     = data;
  snprintf(self->driver, sizeof(self->driver), "%s", driver ? driver : "");
  atomic_init(&self->state, STATE_OPENING);
  sem_init(&self->done, 0, 0);
  if (!self->settings) {
    free_device(self);
    return NULL;
  }

  fluid_settings_setnum(self->settings, "synth.sample-rate", sample_rate);
  fluid_settings_setint(self->settings, "audio.period-size", QF_DEVICE_PERIOD);
  fluid_settings_setint(self->settings, "audio.periods", QF_DEVICE_N_PERIODS);
  return self;
}

/// Wait until the opener is done; false if it takes too long and was left to itself
static bool
wait_for_opener(QfDevice* const self)
{
  struct timespec deadline;
  clock_gettime(CLOCK_REALTIME, &deadline);
  deadline.tv_sec += PATIENCE_S;

  while (sem_timedwait(&self->done, &deadline)) {
    int opening = STATE_OPENING;
    if (errno == ETIMEDOUT &&
        atomic_compare_exchange_strong(&self->state, &opening, STATE_ABANDONED)) {
      pthread_detach(self->opener);
      return false;
    }
  }

  pthread_join(self->opener, NULL);
  return true;
}

QfStatus
qf_device_open(const char* const  driver,
               const int          sample_rate,
               const QfDeviceFunc func,
               void* const        data,
               QfDevice** const   device,
               QfError* const     error)
{
  qf_alsa_be_quiet();
  QfDevice* const self = new_device(driver, sample_rate, func, data);
  if (!self) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while opening the sound device");
  }

  if (pthread_create(&self->opener, NULL, open_device, self)) {
    free_device(self);
    return qf_error_set(error, QF_ERR_MISSING, "the system gave no thread for the sound device");
  }

  if (!wait_for_opener(self)) {
    return qf_error_set(error, QF_ERR_MISSING,
                        "the sound system does not answer; restart it, and it is found");
  }

  if (atomic_load(&self->state) != STATE_OPEN) {
    free_device(self);
    return qf_error_set(error, QF_ERR_MISSING,
                        "no sound device could be opened%s%s; plug one in or start the sound "
                        "server, and it is found",
                        driver ? " through " : "", driver ? driver : "");
  }

  *device = self;
  return QF_OK;
}

void
qf_device_close(QfDevice* const device)
{
  if (device) {
    free_device(device);
  }
}

char**
qf_sound_list_drivers(void)
{
  static const char* const known[] = {"pipewire", "pulseaudio", "alsa", "jack"};
  enum { N_KNOWN = sizeof(known) / sizeof(known[0]) };

  typedef struct {
    char* names[N_KNOWN + 1];
    char  text[N_KNOWN][16];
  } Drivers;

  qf_engine_be_quiet();
  fluid_settings_t* const settings = new_fluid_settings();
  Drivers* const          drivers  = (Drivers*)calloc(1, sizeof(Drivers));
  for (size_t i = 0, n = 0; settings && drivers && i < N_KNOWN; ++i) {
    if (has_driver(settings, known[i])) {
      snprintf(drivers->text[n], sizeof(drivers->text[n]), "%s", known[i]);
      drivers->names[n] = drivers->text[n];
      ++n;
    }
  }
  delete_fluid_settings(settings);
  return drivers ? drivers->names : NULL;
}
