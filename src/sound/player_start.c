// SPDX-License-Identifier: MIT
#include "player_private.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

// A device is given more time to come to life than to go on: wireless ones and
// idle sound servers take seconds.
static const double startup_s = 4.0;

// One that asked for nothing this much longer is closed, and another opened.
static const double loss_s = 1.5;

static void
retire_cb(const QfEvents* const events, void* const data)
{
  QfPlayer* const self = (QfPlayer*)data;

  // Should the queue be full, they are freed with the player.
  qf_command_queue_push(&self->retired, (QfCommand){.kind = QF_COMMAND_LOAD, .events = events});
}

static void
fill_cb(float* const left, float* const right, const size_t n_frames, void* const data)
{
  QfPlayer* const self = (QfPlayer*)data;
  qf_player_fill(self, left, right, n_frames);
}

QfPlayer*
qf_player_new_with(QfEngine* const engine, const double level_db, const double latency_s)
{
  QfPlayer* const self = (QfPlayer*)calloc(1, sizeof(QfPlayer));
  if (!self) {
    qf_engine_free(engine);
    return NULL;
  }

  self->engine    = engine;
  self->is_mute   = !engine;
  self->latency_s = latency_s;
  qf_performer_init(&self->performer, engine, QF_PLAYER_RATE, level_db);
  self->performer.retire      = retire_cb;
  self->performer.retire_data = self;
  atomic_init(&self->trusted_s, engine ? qf_player_now_s() + QF_PLAYER_STALL_S : -HUGE_VAL);
  atomic_flag_clear(&self->is_busy);
  sem_init(&self->wake, 0, 0);

  if (pthread_create(&self->clock, NULL, qf_player_run_clock, self)) {
    sem_destroy(&self->wake);
    qf_engine_free(engine);
    free(self);
    return NULL;
  }

  return self;
}

static bool
is_lost_cb(const void* const data)
{
  const QfPlayer* const self = (const QfPlayer*)data;
  return qf_player_now_s() > atomic_load(&self->trusted_s) + loss_s;
}

static void
opened_cb(void* const data)
{
  QfPlayer* const self = (QfPlayer*)data;
  atomic_store(&self->trusted_s,
               fmax(atomic_load(&self->trusted_s), qf_player_now_s() + startup_s));
}

QfStatus
qf_player_keep_device(QfPlayer* const    player,
                      const QfDeviceKind kind,
                      const char* const  driver,
                      QfError* const     error)
{
  const QfDeviceUser user = {fill_cb, is_lost_cb, opened_cb, player};
  const QfStatus     st = qf_keeper_new(kind, driver, QF_PLAYER_RATE, user, &player->keeper, error);
  if (st) {
    atomic_store(&player->trusted_s, -HUGE_VAL);
  }
  return st;
}

static double
device_latency_s(const QfEngine* const engine)
{
  const int n_frames = QF_DEVICE_PERIOD * QF_DEVICE_N_PERIODS;
  return engine ? (double)n_frames / qf_engine_get_rate(engine) : 0.0;
}

/// Take up an engine; time stands still, so the clock lets go at once
static void
install(QfPlayer* const self, QfEngine* const engine)
{
  while (atomic_flag_test_and_set(&self->is_busy)) {
    nanosleep(&(const struct timespec){.tv_nsec = 1000000L}, NULL);
  }
  qf_engine_tune(engine, self->tuning); // It may have been changed meanwhile
  qf_intonation_start(qf_engine_get_intonation(engine));
  self->engine           = engine;
  self->performer.engine = engine;
  self->latency_s        = device_latency_s(engine);
  atomic_flag_clear(&self->is_busy);
}

/// Say in whole why nothing is heard
static void
explain_silence(QfError* const missing)
{
  const QfError why = *missing;
  qf_error_set(missing, why.status,
               "there is no sound: %s; everything else works, and the marks still move", why.text);
}

/// Get SoundFont and device ready; both may take long
static void*
run_starter(void* const data)
{
  QfPlayer* const self   = (QfPlayer*)data;
  QfEngine*       engine = NULL;
  QfStatus        st =
    self->make_engine(self->soundfont, (QfTuning){0}, QF_PLAYER_RATE, &engine, &self->missing);
  if (!st) {
    install(self, engine);
  }
  if (!st && !atomic_load(&self->quits)) {
    st = qf_player_keep_device(self, self->kind, self->driver, &self->missing);
  }
  if (st) {
    explain_silence(&self->missing);
  }
  atomic_store(&self->is_starting, false);
  sem_post(&self->wake);
  return NULL;
}

static bool
copy_text(const char* const text, char** const copy)
{
  *copy = text ? strdup(text) : NULL;
  return !text || *copy;
}

QfStatus
qf_player_start(QfPlayer* const       player,
                const QfSoundSettings settings,
                const QfEngineFunc    make_engine,
                const QfDeviceKind    kind)
{
  if (!copy_text(settings.soundfont, &player->soundfont) ||
      !copy_text(settings.driver, &player->driver)) {
    return QF_ERR_NO_MEM;
  }

  player->is_mute     = false;
  player->make_engine = make_engine;
  player->kind        = kind;
  atomic_store(&player->is_starting, true);
  qf_player_set_tuning(player, settings.tuning);
  player->has_starter = !pthread_create(&player->starter, NULL, run_starter, player);
  if (!player->has_starter) {
    run_starter(player);
  }
  return QF_OK;
}

QfPlayer*
qf_player_new(const QfSoundSettings settings)
{
  QfPlayer* const self = qf_player_new_with(NULL, settings.level_db, 0.0);
  if (!self) {
    return NULL;
  }

  // Even where nothing is to be heard, a missing SoundFont is told.
  if (settings.driver && !strcmp(settings.driver, "null")) {
    char* const soundfont = qf_engine_choose_soundfont(settings.soundfont, &self->missing);
    if (!soundfont) {
      explain_silence(&self->missing);
    }
    free(soundfont);
    return self;
  }

  if (qf_player_start(self, settings, qf_engine_new,
                      (QfDeviceKind){qf_device_open, qf_device_close})) {
    qf_player_free(self);
    return NULL;
  }
  return self;
}

void
qf_player_free(QfPlayer* const player)
{
  if (!player) {
    return;
  }

  atomic_store(&player->quits, true);
  if (player->has_starter) {
    pthread_join(player->starter, NULL);
  }
  qf_keeper_free(player->keeper);
  sem_post(&player->wake);
  pthread_join(player->clock, NULL);

  while (player->loaded) {
    QfLoaded* const next = player->loaded->next;
    qf_loaded_free(player->loaded);
    player->loaded = next;
  }

  sem_destroy(&player->wake);
  qf_engine_free(player->engine);
  free(player->soundfont);
  free(player->driver);
  free(player->wanted_driver);
  free(player->marks);
  free(player);
}
