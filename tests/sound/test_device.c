// SPDX-License-Identifier: MIT
#include "engine.h"
#include "passage.h"
#include "player.h"

#include <math.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

// A device made by the test: it asks for samples in real time, says when the
// first came that can be heard, and can be taken away.

struct QfDeviceImpl {
  QfDeviceFunc func;
  void*        data;
  pthread_t    thread;
  atomic_bool  quits;
};

/// The socket that devices are plugged into; the player opens and closes them from its threads
typedef struct {
  atomic_bool    is_plugged;
  atomic_bool    is_disk_awake;
  atomic_int     n_opened;
  atomic_int     n_open;
  atomic_bool    is_jack; ///< The last one was opened through JACK
  _Atomic double heard_s; ///< When the first audible sample came, or 0
} Socket;

static Socket socket_of_test;

static double
now_s(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static void
sleep_s(const double seconds)
{
  nanosleep(&(const struct timespec){(time_t)seconds, (long)(fmod(seconds, 1.0) * 1e9)}, NULL);
}

static void*
run_device(void* const data)
{
  QfDevice* const self   = (QfDevice*)data;
  double          next_s = now_s();
  while (!atomic_load(&self->quits)) {
    float left[QF_DEVICE_PERIOD];
    float right[QF_DEVICE_PERIOD];
    if (!atomic_load(&socket_of_test.is_plugged)) {
      sleep_s(0.01); // It hangs, and asks for nothing
      continue;
    }
    self->func(left, right, QF_DEVICE_PERIOD, self->data);
    for (size_t i = 0; i < QF_DEVICE_PERIOD; ++i) {
      // 16 bits can't tell less from silence.
      if (atomic_load(&socket_of_test.heard_s) == 0.0 && fabsf(left[i]) > 1.0F / 32768.0F) {
        atomic_store(&socket_of_test.heard_s, now_s() + (double)i / QF_PLAYER_RATE);
      }
    }
    next_s += (double)QF_DEVICE_PERIOD / QF_PLAYER_RATE;
    sleep_s(fmax(next_s - now_s(), 0.0));
  }
  return NULL;
}

static QfStatus
open_test_device(const char* const  driver,
                 const int          sample_rate,
                 const QfDeviceFunc func,
                 void* const        data,
                 QfDevice** const   device,
                 QfError* const     error)
{
  (void)sample_rate;
  if (!atomic_load(&socket_of_test.is_plugged)) {
    return qf_error_set(error, QF_ERR_MISSING, "nothing is plugged in");
  }

  QfDevice* const self = (QfDevice*)calloc(1, sizeof(QfDevice));
  if (!self) {
    return QF_ERR_NO_MEM;
  }
  self->func = func;
  self->data = data;
  atomic_store(&socket_of_test.is_jack, driver && !strcmp(driver, "jack"));
  atomic_fetch_add(&socket_of_test.n_opened, 1);
  atomic_fetch_add(&socket_of_test.n_open, 1);
  *device = self;
  return pthread_create(&self->thread, NULL, run_device, self) ? QF_ERR_NO_MEM : QF_OK;
}

static void
close_test_device(QfDevice* const device)
{
  if (device) {
    atomic_store(&device->quits, true);
    pthread_join(device->thread, NULL);
    free(device);
    atomic_fetch_sub(&socket_of_test.n_open, 1);
  }
}

/// A SoundFont on a disk as slow as the test likes
static QfStatus
make_slow_engine(const char* const soundfont,
                 const QfTuning    tuning,
                 const int         sample_rate,
                 QfEngine** const  engine,
                 QfError* const    error)
{
  while (!atomic_load(&socket_of_test.is_disk_awake)) {
    sleep_s(0.002);
  }
  return qf_engine_new(soundfont, tuning, sample_rate, engine, error);
}

static void
reset_socket(const bool is_plugged)
{
  atomic_store(&socket_of_test.is_plugged, is_plugged);
  atomic_store(&socket_of_test.is_disk_awake, false);
  atomic_store(&socket_of_test.n_opened, 0);
  atomic_store(&socket_of_test.heard_s, 0.0);
}

static QfPlayer*
new_player(const bool is_plugged, const QfStatus expected)
{
  if (!passage_has_soundfont()) {
    skip();
  }
  reset_socket(is_plugged);

  QfEngine* engine = NULL;
  assert_int_equal(qf_engine_new(NULL, (QfTuning){0}, QF_PLAYER_RATE, &engine, NULL), QF_OK);
  QfPlayer* const player = qf_player_new_with(engine, 0.0, 0.02);
  assert_non_null(player);
  const QfDeviceKind kind = {open_test_device, close_test_device};
  assert_int_equal(qf_player_keep_device(player, kind, NULL, NULL), expected);
  return player;
}

static void
load(QfPlayer* const player)
{
  QfEvents events = passage_chords(100, 0.2, -20.0);
  qf_player_load(player, &events);
}

/// True once a condition holds, false if it doesn't for some seconds
static bool
becomes(bool (*condition)(const QfPlayer* player), const QfPlayer* const player)
{
  const double end_s = now_s() + 10.0;
  while (!condition(player) && now_s() < end_s) {
    sleep_s(0.02);
  }
  return condition(player);
}

static bool
is_heard(const QfPlayer* const player)
{
  return qf_player_has_sound(player) && qf_player_get_level_db(player) > -70.0;
}

static bool
is_unheard(const QfPlayer* const player)
{
  return !qf_player_has_sound(player);
}

static bool
is_closed(const QfPlayer* const player)
{
  (void)player;
  return atomic_load(&socket_of_test.n_open) == 0;
}

// The issue's own limit: 50 ms from the key press. The device holds its periods
// back for as long again as they last.
static void
test_it_is_heard_within_50_ms(void** state)
{
  (void)state;
  QfPlayer* const player = new_player(true, QF_OK);
  double          most_s = 0.0;
  double          sum_s  = 0.0;
  enum { N_STARTS = 10 };
  for (int i = 0; i < N_STARTS; ++i) {
    load(player);
    sleep_s(0.1 + 0.0017 * i); // At any place within a period
    atomic_store(&socket_of_test.heard_s, 0.0);
    const double pressed_s = now_s();
    qf_player_play(player);
    while (atomic_load(&socket_of_test.heard_s) == 0.0 && now_s() < pressed_s + 2.0) {
      sleep_s(0.001);
    }
    const double took_s = atomic_load(&socket_of_test.heard_s) - pressed_s;
    assert_true(took_s > 0.0);
    most_s = fmax(most_s, took_s);
    sum_s += took_s;
    qf_player_stop(player);
    sleep_s(0.05);
  }

  const double held_s = (double)QF_DEVICE_PERIOD * QF_DEVICE_N_PERIODS / QF_PLAYER_RATE;
  print_message("first sample after %.1f ms (at most %.1f), and %.1f ms in the device\n",
                1e3 * sum_s / N_STARTS, 1e3 * most_s, 1e3 * held_s);
  assert_true(sum_s / N_STARTS + held_s < 0.05); // A busy machine may delay one of them
  qf_player_free(player);
}

/// One that is still getting ready
static QfPlayer*
new_slow_player(const bool is_plugged)
{
  if (!passage_has_soundfont()) {
    skip();
  }
  reset_socket(is_plugged);
  QfPlayer* const player = qf_player_new_with(NULL, 0.0, 0.0);
  assert_non_null(player);
  assert_int_equal(qf_player_start(player, (QfSoundSettings){0}, make_slow_engine,
                                   (QfDeviceKind){open_test_device, close_test_device}),
                   QF_OK);
  return player;
}

// What comes in which order, however slow the machine is.
static void
test_a_key_pressed_too_early_starts_when_it_is_ready(void** state)
{
  (void)state;
  QfPlayer* const player = new_slow_player(true);
  load(player);
  qf_player_set_tuning(player, (QfTuning){.a4_hz = 415.0});
  qf_player_seek(player, 0.4);
  qf_player_play(player);
  sleep_s(0.3);
  assert_false(qf_player_is_ready(player));
  assert_false(qf_player_has_sound(player));
  assert_int_equal(atomic_load(&socket_of_test.n_opened), 0);
  assert_true(qf_player_is_playing(player));
  assert_true(qf_player_get_position(player) == 0.4); // Time stands still
  assert_true(atomic_load(&socket_of_test.heard_s) == 0.0);

  const double woken_s = now_s();
  atomic_store(&socket_of_test.is_disk_awake, true);
  assert_true(becomes(is_heard, player));
  assert_true(qf_player_is_ready(player));
  assert_true(atomic_load(&socket_of_test.heard_s) > woken_s);
  // From its start: what was asked for has not gone by unheard, whatever that took.
  assert_true(qf_player_get_position(player) - 0.4 <
              now_s() - atomic_load(&socket_of_test.heard_s) + 0.1);
  QfError notice = {0};
  assert_false(qf_player_take_notice(player, &notice));
  qf_player_free(player);
}

static void
test_commands_while_it_gets_ready_do_not_wait(void** state)
{
  (void)state;
  QfPlayer* const player = new_slow_player(false);
  for (int i = 0; i < 2000; ++i) { // Far more than the queue holds
    qf_player_set_speed(player, 0.5 + 0.001 * i);
  }
  load(player);
  qf_player_play(player);
  assert_false(qf_player_is_ready(player));
  qf_player_pause(player);
  assert_false(qf_player_is_playing(player));
  qf_player_play(player);

  atomic_store(&socket_of_test.is_disk_awake, true); // But nothing is plugged in
  for (int i = 0; !qf_player_is_ready(player); ++i) {
    assert_true(i < 1000);
    sleep_s(0.01);
  }
  QfError notice = {0};
  assert_true(qf_player_take_notice(player, &notice));
  assert_non_null(strstr(notice.text, "there is no sound: nothing is plugged in"));
  sleep_s(0.3);
  assert_true(qf_player_get_position(player) > 0.05); // It plays unheard
  qf_player_free(player);
}

static void
test_one_that_is_not_ready_can_be_given_up(void** state)
{
  (void)state;
  QfPlayer* const player = new_slow_player(true);
  load(player);
  qf_player_play(player);
  atomic_store(&socket_of_test.is_disk_awake, true);
  qf_player_free(player);
  assert_int_equal(atomic_load(&socket_of_test.n_open), 0);
}

static void
test_a_lost_device_is_replaced(void** state)
{
  (void)state;
  QfPlayer* const player = new_player(true, QF_OK);
  QfError         notice = {0};
  load(player);
  qf_player_play(player);
  assert_true(becomes(is_heard, player));
  assert_false(qf_player_take_notice(player, &notice));

  atomic_store(&socket_of_test.is_plugged, false);
  assert_true(becomes(is_unheard, player));
  const double position_s = qf_player_get_position(player);
  assert_true(qf_player_is_playing(player));
  assert_true(becomes(is_closed, player));
  assert_true(qf_player_take_notice(player, &notice));
  assert_non_null(strstr(notice.text, "stopped"));
  assert_false(qf_player_take_notice(player, &notice)); // Told once
  assert_true(qf_player_get_position(player) > position_s + 0.5);

  atomic_store(&socket_of_test.is_plugged, true);
  assert_true(becomes(is_heard, player));
  assert_true(qf_player_take_notice(player, &notice));
  assert_non_null(strstr(notice.text, "back"));
  assert_int_equal(atomic_load(&socket_of_test.n_opened), 2);
  qf_player_free(player);
  assert_int_equal(atomic_load(&socket_of_test.n_open), 0);
}

static bool
is_heard_through_jack(const QfPlayer* const player)
{
  return atomic_load(&socket_of_test.is_jack) && is_heard(player);
}

static void
test_the_driver_is_changed_while_it_plays(void** state)
{
  (void)state;
  QfPlayer* const player = new_player(true, QF_OK);
  load(player);
  qf_player_play(player);
  assert_true(becomes(is_heard, player));
  const double position_s = qf_player_get_position(player);

  qf_player_set_driver(player, "jack");
  assert_true(becomes(is_heard_through_jack, player));
  assert_true(qf_player_is_playing(player));
  assert_true(qf_player_get_position(player) > position_s);
  assert_int_equal(atomic_load(&socket_of_test.n_opened), 2);
  assert_int_equal(atomic_load(&socket_of_test.n_open), 1); // The first was closed
  QfError notice = {0};
  assert_false(qf_player_take_notice(player, &notice));

  // One that can't be had is told, and looked for again.
  atomic_store(&socket_of_test.is_plugged, false);
  qf_player_set_driver(player, NULL);
  assert_true(becomes(is_closed, player));
  assert_true(becomes(is_unheard, player));
  assert_true(qf_player_take_notice(player, &notice));
  assert_non_null(strstr(notice.text, "nothing is plugged in"));
  atomic_store(&socket_of_test.is_plugged, true);
  assert_true(becomes(is_heard, player));
  assert_false(atomic_load(&socket_of_test.is_jack));
  qf_player_free(player);
}

static void
test_a_driver_chosen_while_it_gets_ready_is_used(void** state)
{
  (void)state;
  QfPlayer* const player = new_slow_player(true);
  qf_player_set_driver(player, "jack");
  load(player);
  qf_player_play(player);
  atomic_store(&socket_of_test.is_disk_awake, true);
  assert_true(becomes(is_heard, player));
  QfError notice = {0};
  assert_false(qf_player_take_notice(player, &notice)); // Where the window looks, it is handed on
  assert_true(becomes(is_heard_through_jack, player));
  qf_player_free(player);
}

static void
test_a_device_that_comes_late_is_found(void** state)
{
  (void)state;
  QfPlayer* const player = new_player(false, QF_ERR_MISSING);
  load(player);
  qf_player_play(player);
  sleep_s(0.2);
  assert_false(qf_player_has_sound(player));
  assert_true(qf_player_get_position(player) > 0.05);

  atomic_store(&socket_of_test.is_plugged, true);
  assert_true(becomes(is_heard, player));
  QfError notice = {0};
  assert_true(qf_player_take_notice(player, &notice));
  qf_player_free(player);
}

static void
test_instruments_are_listed(void** state)
{
  (void)state;
  if (!passage_has_soundfont()) {
    skip();
  }
  QfInstrument* instruments = NULL;
  size_t        n           = 0;
  assert_int_equal(qf_sound_list_instruments(NULL, &instruments, &n, NULL), QF_OK);

  // A General MIDI font has all 128 programs in bank 0, and percussion in bank 128.
  // Source: General MIDI 1 (RP-003); SoundFont 2.04, 7.2.
  assert_true(n >= 129);
  for (int i = 0; i < 128; ++i) {
    assert_int_equal(instruments[i].bank, 0);
    assert_int_equal(instruments[i].program, i);
    assert_true(instruments[i].name[0]);
  }
  assert_int_equal(instruments[n - 1].bank, 128);
  free(instruments);
}

static void
test_other_files_are_no_soundfonts(void** state)
{
  (void)state;
  QfInstrument* instruments = NULL;
  size_t        n           = 0;
  QfError       error       = {0};
  assert_int_equal(
    qf_sound_list_instruments(QF_SOURCE_ROOT "/meson.build", &instruments, &n, &error),
    QF_ERR_MISSING);
  assert_non_null(strstr(error.text, "not a SoundFont"));
  assert_null(instruments);
}

static void
test_drivers_are_listed(void** state)
{
  (void)state;
  char** const drivers = qf_sound_list_drivers();
  assert_non_null(drivers);
  for (size_t i = 0; drivers[i]; ++i) {
    print_message("driver %s\n", drivers[i]);
    assert_true(!strcmp(drivers[i], "pipewire") || !strcmp(drivers[i], "pulseaudio") ||
                !strcmp(drivers[i], "alsa") || !strcmp(drivers[i], "jack"));
  }
  free(drivers);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_it_is_heard_within_50_ms),
    cmocka_unit_test(test_a_key_pressed_too_early_starts_when_it_is_ready),
    cmocka_unit_test(test_commands_while_it_gets_ready_do_not_wait),
    cmocka_unit_test(test_one_that_is_not_ready_can_be_given_up),
    cmocka_unit_test(test_a_lost_device_is_replaced),
    cmocka_unit_test(test_the_driver_is_changed_while_it_plays),
    cmocka_unit_test(test_a_driver_chosen_while_it_gets_ready_is_used),
    cmocka_unit_test(test_a_device_that_comes_late_is_found),
    cmocka_unit_test(test_instruments_are_listed),
    cmocka_unit_test(test_other_files_are_no_soundfonts),
    cmocka_unit_test(test_drivers_are_listed),
  };
  return cmocka_run_group_tests_name("device", tests, NULL, NULL);
}
