// SPDX-License-Identifier: MIT
#include "keeper.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

// How often the device is looked at.
static const double look_s = 0.25;

// How soon another is tried; each failure doubles it.
static const double first_retry_s = 1.0;
static const double last_retry_s  = 30.0;

struct QfKeeperImpl {
  QfDeviceKind    kind;
  QfDeviceUser    user;
  char*           driver; ///< Owned, or NULL
  int             sample_rate;
  QfDevice*       device; ///< Owned; the thread's once it runs
  bool            was_lost;
  pthread_mutex_t lock; ///< Of what follows
  pthread_cond_t  wake;
  bool            quits;
  bool            has_notice;
  QfError         notice;
  pthread_t       thread;
};

static QfStatus
open_device(QfKeeper* const self, QfError* const error)
{
  const QfStatus st = self->kind.open(self->driver, self->sample_rate, self->user.func,
                                      self->user.data, &self->device, error);
  if (!st) {
    self->user.opened(self->user.data);
  }
  return st;
}

static void
set_notice(QfKeeper* const self, const char* const text)
{
  pthread_mutex_lock(&self->lock);
  self->has_notice = true;
  qf_error_set(&self->notice, QF_ERR_MISSING, "%s", text);
  pthread_mutex_unlock(&self->lock);
}

/// Wait; false once it should quit
static bool
wait_for(QfKeeper* const self, const double seconds)
{
  struct timespec until;
  clock_gettime(CLOCK_MONOTONIC, &until);
  const double nanoseconds = (double)until.tv_nsec + fmod(seconds, 1.0) * 1e9;
  until.tv_sec += (time_t)seconds + (time_t)(nanoseconds / 1e9);
  until.tv_nsec = (long)fmod(nanoseconds, 1e9);

  pthread_mutex_lock(&self->lock);
  while (!self->quits && !pthread_cond_timedwait(&self->wake, &self->lock, &until)) {
  }
  const bool quits = self->quits;
  pthread_mutex_unlock(&self->lock);
  return !quits;
}

static void
drop_lost_device(QfKeeper* const self)
{
  set_notice(self, "the sound device stopped; playing goes on unheard until one answers");
  self->kind.close(self->device);
  self->device   = NULL;
  self->was_lost = true;
}

static void*
keep(void* const data)
{
  QfKeeper* const self    = (QfKeeper*)data;
  double          retry_s = first_retry_s;
  while (wait_for(self, self->device ? look_s : retry_s)) {
    if (self->device) {
      if (self->user.is_lost(self->user.data)) {
        drop_lost_device(self);
        retry_s = first_retry_s;
      }
    } else if (open_device(self, NULL)) {
      retry_s = fmin(2.0 * retry_s, last_retry_s);
    } else {
      set_notice(self, self->was_lost ? "the sound device is back"
                                      : "a sound device was found; playing can be heard now");
    }
  }
  return NULL;
}

static void
free_keeper(QfKeeper* const self)
{
  pthread_cond_destroy(&self->wake);
  pthread_mutex_destroy(&self->lock);
  free(self->driver);
  free(self);
}

QfStatus
qf_keeper_new(const QfDeviceKind kind,
              const char* const  driver,
              const int          sample_rate,
              const QfDeviceUser user,
              QfKeeper** const   keeper,
              QfError* const     error)
{
  QfKeeper* const self = (QfKeeper*)calloc(1, sizeof(QfKeeper));
  if (!self) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while opening the sound device");
  }

  pthread_condattr_t attributes;
  pthread_condattr_init(&attributes);
  pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
  pthread_cond_init(&self->wake, &attributes);
  pthread_condattr_destroy(&attributes);
  pthread_mutex_init(&self->lock, NULL);
  self->kind        = kind;
  self->user        = user;
  self->sample_rate = sample_rate;
  self->driver      = driver ? strdup(driver) : NULL;

  const QfStatus st = open_device(self, error);
  if (pthread_create(&self->thread, NULL, keep, self)) {
    self->kind.close(self->device);
    free_keeper(self);
    return qf_error_set(error, QF_ERR_NO_MEM, "the system gave no thread for the sound device");
  }

  *keeper = self;
  return st;
}

void
qf_keeper_free(QfKeeper* const keeper)
{
  if (!keeper) {
    return;
  }

  pthread_mutex_lock(&keeper->lock);
  keeper->quits = true;
  pthread_cond_signal(&keeper->wake);
  pthread_mutex_unlock(&keeper->lock);
  pthread_join(keeper->thread, NULL);

  keeper->kind.close(keeper->device);
  free_keeper(keeper);
}

bool
qf_keeper_take_notice(QfKeeper* const keeper, QfError* const notice)
{
  pthread_mutex_lock(&keeper->lock);
  const bool has_notice = keeper->has_notice;
  keeper->has_notice    = false;
  if (has_notice) {
    *notice = keeper->notice;
  }
  pthread_mutex_unlock(&keeper->lock);
  return has_notice;
}
