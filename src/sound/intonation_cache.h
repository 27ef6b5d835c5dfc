// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_INTONATION_CACHE_H
#define QF_SOUND_INTONATION_CACHE_H

#include "intonation.h"

enum {
  QF_CENTS_GRAIN = 100, ///< Cents are kept in hundredths
};

/// What is known of one instrument
typedef struct {
  bool  is_known;
  float cents[QF_N_KEYS];
} QfIntonationRow;

/**
   Where a SoundFont's intonation is kept (transfer full), or NULL if there is nowhere.

   Source of the folder: XDG Base Directory Specification, XDG_CACHE_HOME.
*/
char*
qf_intonation_cache_path(const char* soundfont);

/**
   Fill in those rows wanted that a file has and that aren't known yet.

   A file of another SoundFont, of this one before it changed, of another way to
   measure or another FluidSynth counts for nothing, and so does a damaged row.
*/
void
qf_intonation_cache_read(const char*      path,
                         const char*      soundfont,
                         const QfPrograms wanted,
                         QfIntonationRow* rows);

/// Write the rows that are known, or leave it if that isn't possible
void
qf_intonation_cache_write(const char* path, const char* soundfont, const QfIntonationRow* rows);

#endif // QF_SOUND_INTONATION_CACHE_H
