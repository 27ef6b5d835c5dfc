// SPDX-License-Identifier: MIT
#include "engine.h"

#include <fluidsynth.h>

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

// What the system's administrator chose comes first. Source: Debian's packages
// fluid-soundfont-gm, timgm6mb-soundfont, and the alternatives they provide.
static const char* const usual_places[] = {
  "/usr/share/sounds/sf3/default-GM.sf3",       "/usr/share/sounds/sf2/default-GM.sf2",
  "/usr/share/sounds/sf2/FluidR3_GM.sf2",       "/usr/share/sounds/sf2/TimGM6mb.sf2",
  "/usr/share/soundfonts/default.sf2",          "/usr/share/soundfonts/FluidR3_GM.sf2",
  "/usr/local/share/sounds/sf2/default-GM.sf2",
};

static bool
is_soundfont(const char* const path)
{
  return access(path, R_OK) == 0 && fluid_is_soundfont(path);
}

static char*
dup_path(const char* const path, QfError* const error)
{
  char* const copy = strdup(path);
  if (!copy) {
    qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  return copy;
}

char*
qf_engine_choose_soundfont(const char* const wanted, QfError* const error)
{
  if (!wanted) {
    return qf_sound_find_soundfont(error);
  }
  if (!is_soundfont(wanted)) {
    qf_error_set(error, QF_ERR_MISSING, "%s is not a SoundFont that can be read; name another",
                 wanted);
    return NULL;
  }
  return dup_path(wanted, error);
}

char*
qf_sound_find_soundfont(QfError* const error)
{
  const char* const named = getenv("QUINTFALL_SOUNDFONT");
  if (named && named[0]) {
    if (is_soundfont(named)) {
      return dup_path(named, error);
    }
    qf_error_set(error, QF_ERR_MISSING,
                 "QUINTFALL_SOUNDFONT names %s, which is not a SoundFont that can be read", named);
    return NULL;
  }

  for (size_t i = 0; i < sizeof(usual_places) / sizeof(usual_places[0]); ++i) {
    if (is_soundfont(usual_places[i])) {
      return dup_path(usual_places[i], error);
    }
  }

  qf_error_set(error, QF_ERR_MISSING,
               "there is no SoundFont with instruments to play; install one "
               "(sudo apt install timgm6mb-soundfont) or name one in QUINTFALL_SOUNDFONT");
  return NULL;
}
