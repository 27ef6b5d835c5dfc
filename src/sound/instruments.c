// SPDX-License-Identifier: MIT
#include "engine.h"

#include <fluidsynth.h>

#include <stdio.h>
#include <stdlib.h>

typedef struct {
  QfInstrument* instruments; ///< Owned
  size_t        n_instruments;
  size_t        capacity;
} List;

static bool
add(List* const list, const QfInstrument instrument)
{
  if (list->n_instruments == list->capacity) {
    const size_t        capacity = list->capacity ? 2U * list->capacity : 256U;
    QfInstrument* const grown =
      (QfInstrument*)realloc(list->instruments, capacity * sizeof(QfInstrument));
    if (!grown) {
      return false;
    }
    list->instruments = grown;
    list->capacity    = capacity;
  }

  list->instruments[list->n_instruments++] = instrument;
  return true;
}

static int
compare(const void* const a, const void* const b)
{
  const QfInstrument* const x = (const QfInstrument*)a;
  const QfInstrument* const y = (const QfInstrument*)b;
  return x->bank != y->bank ? x->bank - y->bank : x->program - y->program;
}

/// List the presets of the last SoundFont loaded; false if out of memory
static bool
list_presets(fluid_synth_t* const synth, List* const list)
{
  fluid_sfont_t* const sfont = fluid_synth_get_sfont(synth, 0);
  bool                 is_ok = true;
  fluid_sfont_iteration_start(sfont);
  for (fluid_preset_t* preset = fluid_sfont_iteration_next(sfont); preset && is_ok;
       preset                 = fluid_sfont_iteration_next(sfont)) {
    QfInstrument instrument = {fluid_preset_get_banknum(preset), fluid_preset_get_num(preset), ""};
    const char* const name  = fluid_preset_get_name(preset);
    snprintf(instrument.name, sizeof(instrument.name), "%s", name ? name : "");
    is_ok = add(list, instrument);
  }
  return is_ok;
}

QfStatus
qf_sound_list_instruments(const char* const    soundfont,
                          QfInstrument** const instruments,
                          size_t* const        n_instruments,
                          QfError* const       error)
{
  qf_engine_be_quiet();
  char* const path = qf_engine_choose_soundfont(soundfont, error);
  if (!path) {
    return QF_ERR_MISSING;
  }

  // Names need no samples.
  fluid_settings_t* const settings = new_fluid_settings();
  fluid_settings_setint(settings, "synth.dynamic-sample-loading", 1);
  fluid_synth_t* const synth = new_fluid_synth(settings);
  List                 list  = {0};
  QfStatus             st    = QF_OK;
  if (!synth) {
    st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading %s", path);
  } else if (fluid_synth_sfload(synth, path, 0) == FLUID_FAILED) {
    st = qf_error_set(error, QF_ERR_MISSING, "the SoundFont %s is damaged; name another", path);
  } else if (!list_presets(synth, &list)) {
    st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading %s", path);
  }

  delete_fluid_synth(synth);
  delete_fluid_settings(settings);
  free(path);
  if (st) {
    free(list.instruments);
    return st;
  }

  if (list.n_instruments) {
    qsort(list.instruments, list.n_instruments, sizeof(QfInstrument), compare);
  }
  *instruments   = list.instruments;
  *n_instruments = list.n_instruments;
  return QF_OK;
}
