// SPDX-License-Identifier: MIT
#include "intonation.h"

#include "intonation_cache.h"
#include "note_pitch.h"

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

enum {
  PERCUSSION          = 9, ///< Channel
  BACKGROUND_NICENESS = 5,
  ROWS_A_SAVE         = 16, ///< So that little is lost when the program ends while it measures
};

struct QfIntonationImpl {
  char*           soundfont;
  char*           path;                ///< Of the cache, or NULL
  QfIntonationRow rows[QF_N_PROGRAMS]; ///< Of whoever measures
  atomic_bool     is_ready[QF_N_PROGRAMS];
  QfNotePitch*    measurer; ///< Made when first needed
  size_t          n_unsaved;

  // Between whoever plays and the thread that measures
  bool        has_thread;
  pthread_t   thread;
  atomic_bool is_wanted[QF_N_PROGRAMS];
  atomic_bool quits;
};

static void
publish(QfIntonation* const self)
{
  for (size_t i = 0; i < QF_N_PROGRAMS; ++i) {
    if (self->rows[i].is_known) {
      atomic_store_explicit(&self->is_ready[i], true, memory_order_release);
    }
  }
}

QfIntonation*
qf_intonation_new(const char* const soundfont)
{
  QfIntonation* const self = (QfIntonation*)calloc(1, sizeof(QfIntonation));
  if (!self || !(self->soundfont = strdup(soundfont))) {
    free(self);
    return NULL;
  }

  self->path = qf_intonation_cache_path(soundfont);
  return self;
}

void
qf_intonation_free(QfIntonation* const intonation)
{
  if (!intonation) {
    return;
  }
  if (intonation->has_thread) {
    atomic_store(&intonation->quits, true);
    pthread_join(intonation->thread, NULL);
  }
  qf_note_pitch_free(intonation->measurer);
  free(intonation->path);
  free(intonation->soundfont);
  free(intonation);
}

const float*
qf_intonation_get(const QfIntonation* const intonation, const int program)
{
  return atomic_load_explicit(&intonation->is_ready[program], memory_order_acquire)
           ? intonation->rows[program].cents
           : NULL;
}

void
qf_intonation_find_programs(const QfEvents* const events, QfPrograms programs)
{
  programs[0] = true; // Of a channel that is told none
  for (size_t i = 0; i < events->n_events; ++i) {
    const QfEvent* const event = &events->events[i];
    if (event->kind == QF_EVENT_PROGRAM && event->channel != PERCUSSION) {
      programs[event->program % QF_N_PROGRAMS] = true;
    }
  }
}

/// Take what the cache knows of some instruments
static void
recall(QfIntonation* const self, const QfPrograms wanted)
{
  if (self->path) {
    qf_intonation_cache_read(self->path, self->soundfont, wanted, self->rows);
    publish(self);
  }
}

static void
recall_all(QfIntonation* const self)
{
  QfPrograms all;
  for (int i = 0; i < QF_N_PROGRAMS; ++i) {
    all[i] = true;
  }
  recall(self, all);
}

/// Save what was measured, with what somebody else saved meanwhile
static void
save(QfIntonation* const self)
{
  if (self->path && self->n_unsaved) {
    recall_all(self);
    qf_intonation_cache_write(self->path, self->soundfont, self->rows);
  }
  self->n_unsaved = 0;
}

static QfStatus
need_measurer(QfIntonation* const self, QfError* const error)
{
  return self->measurer ? QF_OK : qf_note_pitch_new(self->soundfont, &self->measurer, error);
}

/// Measure one instrument, unless it is to quit first
static void
measure_row(QfIntonation* const self, const int program)
{
  QfIntonationRow row     = {.is_known = true};
  int             n_tones = 0;
  if (program && !qf_note_pitch_has(self->measurer, program)) {
    if (!self->rows[0].is_known) {
      measure_row(self, 0);
    }
    self->rows[program] = self->rows[0]; // FluidSynth plays the first in its stead
    ++self->n_unsaved;
    publish(self);
    return;
  }

  for (int key = QF_LOWEST_MEASURED; key <= QF_HIGHEST_MEASURED; ++key) {
    const double cents = qf_note_pitch_cents(self->measurer, program, key);
    row.cents[key]     = (float)lround(cents * QF_CENTS_GRAIN) / QF_CENTS_GRAIN;
    n_tones += cents != 0.0;
    if (atomic_load(&self->quits)) {
      return;
    }
  }

  // Where few keys sound in tune at all the pitch doesn't follow them: drums.
  if (2 * n_tones < QF_HIGHEST_MEASURED - QF_LOWEST_MEASURED) {
    memset(row.cents, 0, sizeof(row.cents));
  }
  for (int key = 0; key < QF_N_KEYS; ++key) {
    const int nearest = key < QF_LOWEST_MEASURED    ? QF_LOWEST_MEASURED
                        : key > QF_HIGHEST_MEASURED ? QF_HIGHEST_MEASURED
                                                    : key;
    row.cents[key]    = row.cents[nearest];
  }

  self->rows[program] = row;
  ++self->n_unsaved;
  publish(self);
}

QfStatus
qf_intonation_measure(QfIntonation* const intonation,
                      const QfPrograms    programs,
                      QfError* const      error)
{
  recall(intonation, programs);
  for (int i = 0; i < QF_N_PROGRAMS; ++i) {
    if (programs[i] && !intonation->rows[i].is_known) {
      const QfStatus st = need_measurer(intonation, error);
      if (st) {
        return st;
      }
      measure_row(intonation, i);
    }
  }
  save(intonation);
  return QF_OK;
}

/// What to measure next: what was asked for, or else any other; -1 if all is known
static int
choose_next(QfIntonation* const self)
{
  int other = -1;
  for (int i = QF_N_PROGRAMS - 1; i >= 0; --i) {
    if (!self->rows[i].is_known) {
      if (atomic_load(&self->is_wanted[i])) {
        return i;
      }
      other = i;
    }
  }
  return other;
}

static void*
run(void* const data)
{
  QfIntonation* const self = (QfIntonation*)data;
  int                 next = 0;
  while (!atomic_load(&self->quits) && (next = choose_next(self)) >= 0 &&
         !need_measurer(self, NULL)) {
    const bool was_wanted = atomic_load(&self->is_wanted[next]);
    if (!was_wanted) {
      setpriority(PRIO_PROCESS, 0, BACKGROUND_NICENESS); // On Linux the thread's own
    }
    measure_row(self, next);
    if (was_wanted || self->n_unsaved >= ROWS_A_SAVE) {
      save(self);
    }
  }
  save(self);
  qf_note_pitch_free(self->measurer);
  self->measurer = NULL;
  return NULL;
}

void
qf_intonation_start(QfIntonation* const intonation)
{
  recall_all(intonation);
  if (!intonation->has_thread && choose_next(intonation) >= 0) {
    intonation->has_thread = !pthread_create(&intonation->thread, NULL, run, intonation);
  }
}

void
qf_intonation_ask(QfIntonation* const intonation, const int program)
{
  atomic_store_explicit(&intonation->is_wanted[program], true, memory_order_relaxed);
}
