// SPDX-License-Identifier: MIT
#include "alsa_quiet.h"

#include <alsa/asoundlib.h>

static void
say_nothing(const char* const file,
            const int         line,
            const char* const function,
            const int         error,
            const char* const format,
            ...)
{
  (void)file;
  (void)line;
  (void)function;
  (void)error;
  (void)format;
}

void
qf_alsa_be_quiet(void)
{
  snd_lib_error_set_handler(say_nothing);
}
