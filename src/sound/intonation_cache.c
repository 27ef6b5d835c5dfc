// SPDX-License-Identifier: MIT
#include "intonation_cache.h"

#include "quintfall/file.h"
#include "quintfall/text.h"

#include <fluidsynth.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

// A file has a line that says what was measured, and then a line an instrument:
// its program, the cents of all keys in hundredths, and a sum of the line.

enum {
  VERSION    = 1,    ///< Raised when keys are measured otherwise
  MOST_UNITS = 9000, ///< Beyond ninety cents nothing is ever corrected
};

/// Source: the FNV-1a hash, 64 bits, by its published offset and prime; from memory
static uint64_t
hash(const char* const bytes, const size_t n_bytes)
{
  uint64_t value = 0xcbf29ce484222325U;
  for (size_t i = 0; i < n_bytes; ++i) {
    value = (value ^ (unsigned char)bytes[i]) * 0x100000001b3U;
  }
  return value;
}

char*
qf_intonation_cache_path(const char* const soundfont)
{
  const char* const cache = getenv("XDG_CACHE_HOME");
  const char* const home  = getenv("HOME");
  QfText            path  = {0};
  if (cache && cache[0] == '/') { // A relative one is to be ignored
    qf_text_add(&path, cache);
  } else if (home && home[0] == '/') {
    qf_text_addf(&path, "%s/.cache", home);
  } else {
    return NULL;
  }

  qf_text_addf(&path, "/quintfall/intonation-%016llx",
               (unsigned long long)hash(soundfont, strlen(soundfont)));
  return qf_text_take(&path);
}

/// The first line of a SoundFont's file (transfer full), or NULL
static char*
heading_of(const char* const soundfont)
{
  struct stat info;
  if (stat(soundfont, &info)) {
    return NULL;
  }

  QfText text = {0};
  qf_text_addf(&text, "quintfall-intonation %d, FluidSynth %s, %lld bytes of %lld.%09ld, %s\n",
               VERSION, fluid_version_str(), (long long)info.st_size,
               (long long)info.st_mtim.tv_sec, info.st_mtim.tv_nsec, soundfont);
  return qf_text_take(&text);
}

/// Read one line without its end; true if nothing is wrong with it
static bool
read_row(const char* const line, const size_t length, QfIntonationRow* const rows)
{
  char              sum[24];
  const char* const last = memrchr(line, ' ', length);
  if (!last) {
    return false;
  }
  snprintf(sum, sizeof(sum), "%016llx", (unsigned long long)hash(line, (size_t)(last - line)));
  if ((size_t)(line + length - last - 1) != strlen(sum) ||
      memcmp(last + 1, sum, strlen(sum)) != 0) {
    return false;
  }

  char*           at      = NULL;
  QfIntonationRow row     = {.is_known = true};
  const long      program = strtol(line, &at, 10);
  for (size_t key = 0; key < QF_N_KEYS; ++key) {
    const long units = strtol(at, &at, 10);
    if (at >= last + (key + 1U == QF_N_KEYS) || labs(units) > MOST_UNITS) {
      return false;
    }
    row.cents[key] = (float)units / QF_CENTS_GRAIN;
  }
  if (program < 0 || program >= QF_N_PROGRAMS || at != last) {
    return false;
  }
  rows[program] = row;
  return true;
}

void
qf_intonation_cache_read(const char* const      path,
                         const char* const      soundfont,
                         const QfPrograms       wanted,
                         QfIntonationRow* const rows)
{
  char* const heading = heading_of(soundfont);
  void*       data    = NULL;
  size_t      length  = 0;
  if (!heading || qf_file_read(path, &data, &length, NULL)) {
    free(heading);
    return;
  }

  const char* const text = (const char*)data;
  size_t            at   = strlen(heading);
  if (length >= at && !memcmp(text, heading, at)) {
    const char* end = NULL;
    for (; at < length && (end = memchr(text + at, '\n', length - at));
         at = (size_t)(end - text) + 1U) {
      const long program = strtol(text + at, NULL, 10);
      if (program >= 0 && program < QF_N_PROGRAMS && wanted[program] && !rows[program].is_known) {
        read_row(text + at, (size_t)(end - text) - at, rows);
      }
    }
  }
  free(heading);
  free(data);
}

static void
add_row(QfText* const text, const size_t program, const QfIntonationRow* const row)
{
  const size_t start = text->length;
  qf_text_addf(text, "%zu", program);
  for (size_t key = 0; key < QF_N_KEYS; ++key) {
    qf_text_addf(text, " %ld", lround((double)row->cents[key] * QF_CENTS_GRAIN));
  }
  if (!text->failed) {
    const uint64_t sum = hash(text->data + start, text->length - start);
    qf_text_addf(text, " %016llx\n", (unsigned long long)sum);
  }
}

/// Make the folders a path lies in; what goes wrong shows when the file is written
static void
make_folders(const char* const path)
{
  char* const folder = strdup(path);
  for (char* slash = folder ? strchr(folder + 1, '/') : NULL; slash;
       slash       = strchr(slash + 1, '/')) {
    *slash = '\0';
    mkdir(folder, 0700);
    *slash = '/';
  }
  free(folder);
}

void
qf_intonation_cache_write(const char* const            path,
                          const char* const            soundfont,
                          const QfIntonationRow* const rows)
{
  char* const heading = heading_of(soundfont);
  QfText      text    = {0};
  if (heading) {
    qf_text_add(&text, heading);
    for (size_t program = 0; program < QF_N_PROGRAMS; ++program) {
      if (rows[program].is_known) {
        add_row(&text, program, &rows[program]);
      }
    }
    if (!text.failed) {
      make_folders(path);
      qf_file_write(path, text.data, text.length, NULL);
    }
  }
  qf_text_free(&text);
  free(heading);
}
