// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_INTONATION_H
#define QF_SOUND_INTONATION_H

#include "quintfall/events.h"

enum {
  QF_N_PROGRAMS = 128,
  QF_N_KEYS     = 128,
};

/**
   How far the instruments of a SoundFont are out of tune, key by key.

   Instruments are measured when they are first used, and what was measured is
   kept in the user's cache: a fifth of a second an instrument, once. Measuring
   always gives the same, so it makes no difference whether there is a cache.
*/
typedef struct QfIntonationImpl QfIntonation;

/// A set of programs, by number
typedef bool QfPrograms[QF_N_PROGRAMS];

/// Nothing is known at first; a cache that can't be read or is damaged counts for nothing
QfIntonation*
qf_intonation_new(const char* soundfont);

/// Wait for the thread that measures, if any, to notice; NULL is fine
void
qf_intonation_free(QfIntonation* intonation);

/**
   Cents by which each key of an instrument sounds too high (transfer none).

   @return NULL while it isn't known. May be asked by any thread at any time,
   and never waits; what was returned once stays.
*/
const float*
qf_intonation_get(const QfIntonation* intonation, int program);

/// Add the programs events are played with
void
qf_intonation_find_programs(const QfEvents* events, QfPrograms programs);

/// Know these: take them from the cache, or measure them now
QfStatus
qf_intonation_measure(QfIntonation* intonation, const QfPrograms programs, QfError* error);

/**
   Take all the cache knows, and begin to measure the other instruments in a thread.

   What is asked for comes first.

   From then on nobody may call qf_intonation_measure().
*/
void
qf_intonation_start(QfIntonation* intonation);

/// Ask for an instrument to be measured next; any thread may, at any time, and never waits
void
qf_intonation_ask(QfIntonation* intonation, int program);

#endif // QF_SOUND_INTONATION_H
