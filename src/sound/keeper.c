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
  int             sample_rate;
  QfDevice*       device; ///< Owned; the thread's once it runs
  bool            was_lost;
  pthread_mutex_t lock; ///< Of what follows
  pthread_cond_t  wake;
  char*           driver;           ///< Owned, or NULL
  bool            has_other_driver; ///< Since the device was opened
  bool            quits;
  bool            has_notice;
  QfError         notice;
  pthread_t       thread;
};

static char*
dup_text(const char* const text)
{
  return text ? strdup(text) : NULL;
}

/// The driver that is now wanted (transfer full)
static char*
take_driver(QfKeeper* const self)
{
  pthread_mutex_lock(&self->lock);
  char* const driver     = dup_text(self->driver);
  self->has_other_driver = false;
  pthread_mutex_unlock(&self->lock);
  return driver;
}

static QfStatus
open_device(QfKeeper* const self, QfError* const error)
{
  char* const    driver = take_driver(self);
  const QfStatus st = self->kind.open(driver, self->sample_rate, self->user.func, self->user.data,
                                      &self->device, error);
  free(driver);
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

/// Wait, or until another driver is wanted; false once it should quit
static bool
wait_for(QfKeeper* const self, const double seconds)
{
  struct timespec until;
  clock_gettime(CLOCK_MONOTONIC, &until);
  const double nanoseconds = (double)until.tv_nsec + fmod(seconds, 1.0) * 1e9;
  until.tv_sec += (time_t)seconds + (time_t)(nanoseconds / 1e9);
  until.tv_nsec = (long)fmod(nanoseconds, 1e9);

  pthread_mutex_lock(&self->lock);
  while (!self->quits && !self->has_other_driver &&
         !pthread_cond_timedwait(&self->wake, &self->lock, &until)) {
  }
  const bool quits = self->quits;
  pthread_mutex_unlock(&self->lock);
  return !quits;
}

static void
drop_lost_device(QfKeeper* const self)
{
  set_notice(self, "the sound device stopped; playing goes on unheard until it is back, so "
                   "plug it in again, or choose another under Sound");
  self->kind.close(self->device);
  self->device   = NULL;
  self->was_lost = true;
}

static bool
has_other_driver(QfKeeper* const self)
{
  pthread_mutex_lock(&self->lock);
  const bool is_so = self->has_other_driver;
  pthread_mutex_unlock(&self->lock);
  return is_so;
}

/// Go over to the driver that is now wanted
static void
change_device(QfKeeper* const self)
{
  QfError error = {0};
  self->kind.close(self->device);
  self->device   = NULL;
  self->was_lost = true;
  if (open_device(self, &error)) {
    set_notice(self, error.text);
  }
}

static void*
keep(void* const data)
{
  QfKeeper* const self    = (QfKeeper*)data;
  double          retry_s = first_retry_s;
  while (wait_for(self, self->device ? look_s : retry_s)) {
    if (has_other_driver(self)) {
      change_device(self);
      retry_s = first_retry_s;
    } else if (self->device) {
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
  self->driver      = dup_text(driver);

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

void
qf_keeper_set_driver(QfKeeper* const keeper, const char* const driver)
{
  pthread_mutex_lock(&keeper->lock);
  free(keeper->driver);
  keeper->driver           = dup_text(driver);
  keeper->has_other_driver = true;
  pthread_cond_signal(&keeper->wake);
  pthread_mutex_unlock(&keeper->lock);
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
