// SPDX-License-Identifier: MIT
#include "passage.h"
#include "player.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

// Positions are checked against the system's own clock. A busy machine may wake
// a test late, so the time that really went by is measured.

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
  const struct timespec span = {(time_t)seconds, (long)(fmod(seconds, 1.0) * 1e9)};
  nanosleep(&span, NULL);
}

/// It gets ready on a thread of its own
static void
wait_until_ready(const QfPlayer* const player)
{
  for (int i = 0; !qf_player_is_ready(player); ++i) {
    assert_true(i < 3000);
    sleep_s(0.01);
  }
}

static QfPlayer*
new_mute_player(void)
{
  QfPlayer* const player = qf_player_new((QfSoundSettings){.driver = "null", .level_db = -20.0});
  assert_non_null(player);
  assert_false(qf_player_has_sound(player));
  return player;
}

static void
load_chords(QfPlayer* const player, const size_t n_chords, const double seconds_each)
{
  QfEvents events = passage_chords(n_chords, seconds_each, -20.0);
  qf_player_load(player, &events);
  assert_null(events.events); // Taken
}

static void
assert_near(const double actual, const double expected, const double tolerance)
{
  if (!(fabs(actual - expected) <= tolerance)) {
    fail_msg("%.4f; expected %.4f +- %.4f", actual, expected, tolerance);
  }
}

static void
test_position_follows_the_clock(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  load_chords(player, 40, 0.05);
  assert_true(qf_player_get_position(player) == 0.0);
  assert_false(qf_player_is_playing(player));

  qf_player_play(player);
  assert_true(qf_player_is_playing(player));
  const double start_s = now_s();
  double       last_s  = 0.0;
  while (now_s() - start_s < 0.5) {
    const double passed_s   = now_s() - start_s;
    const double position_s = qf_player_get_position(player);
    assert_true(position_s >= last_s); // Never back
    assert_near(position_s, passed_s, 0.08);

    // Chord i is marked with i whole notes and begins at i * 0.05 s.
    const QfTime time = qf_player_get_score_time(player);
    assert_near((double)time.num * 0.05, position_s - 0.025, 0.06);
    last_s = position_s;
    sleep_s(0.003);
  }
  qf_player_free(player);
}

static void
test_pause_holds_and_play_goes_on(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  load_chords(player, 10, 0.2);
  qf_player_play(player);
  sleep_s(0.15);
  qf_player_pause(player);
  assert_false(qf_player_is_playing(player));
  sleep_s(0.05);
  const double held_s = qf_player_get_position(player);
  assert_true(held_s > 0.05);
  sleep_s(0.15);
  assert_true(qf_player_get_position(player) == held_s);
  assert_false(qf_player_is_playing(player));

  qf_player_play(player);
  sleep_s(0.15);
  assert_true(qf_player_get_position(player) > held_s + 0.05);
  qf_player_free(player);
}

static void
test_seeking_shows_at_once(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  load_chords(player, 10, 0.2);
  for (int i = 9; i >= 0; --i) {
    const double at_s = 0.2 * i;
    qf_player_seek(player, at_s);
    assert_near(qf_player_get_position(player), at_s, 1e-9);
    assert_int_equal(qf_player_get_score_time(player).num, i);
    sleep_s(0.03); // And stays, once the player has done it
    assert_near(qf_player_get_position(player), at_s, 1e-9);
    assert_int_equal(qf_player_get_score_time(player).num, i);
  }

  qf_player_play(player);
  qf_player_seek(player, 1.4);
  const double start_s = now_s();
  sleep_s(0.1);
  assert_near(qf_player_get_position(player), 1.4 + now_s() - start_s, 0.06);

  qf_player_seek(player, -5.0);
  assert_true(qf_player_get_position(player) < 0.05);
  qf_player_seek(player, 1e9); // No further than the end
  assert_true(qf_player_get_position(player) <= 2.5);
  qf_player_free(player);
}

static void
test_stop_goes_to_the_start(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  load_chords(player, 10, 0.2);
  qf_player_play(player);
  sleep_s(0.1);
  qf_player_stop(player);
  for (int i = 0; i < 2; ++i) {
    assert_false(qf_player_is_playing(player));
    assert_true(qf_player_get_position(player) == 0.0);
    sleep_s(0.06);
  }
  qf_player_free(player);
}

static void
test_it_ends_and_begins_again(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  load_chords(player, 2, 0.1); // 0.2 s and 0.5 s to die away
  qf_player_play(player);
  sleep_s(0.9);
  assert_false(qf_player_is_playing(player));
  assert_near(qf_player_get_position(player), 0.7, 1e-9);
  assert_int_equal(qf_player_get_score_time(player).num, 1);

  qf_player_play(player);
  assert_true(qf_player_is_playing(player));
  sleep_s(0.05);
  assert_true(qf_player_get_position(player) < 0.3);
  qf_player_free(player);
}

static void
test_a_loop_goes_round(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  load_chords(player, 2, 0.1);
  qf_player_set_loop(player, true);
  const double start_s = now_s();
  qf_player_play(player);
  sleep_s(0.85);
  assert_true(qf_player_is_playing(player));
  assert_near(qf_player_get_position(player), fmod(now_s() - start_s, 0.7), 0.1);

  qf_player_set_loop(player, false);
  sleep_s(0.75);
  assert_false(qf_player_is_playing(player));
  qf_player_free(player);
}

static void
test_speed_changes_on_the_way(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  load_chords(player, 20, 0.2);
  qf_player_play(player);
  sleep_s(0.1);
  const double before_s = qf_player_get_position(player);
  const double start_s  = now_s();
  qf_player_set_speed(player, 4.0);
  sleep_s(0.3);
  assert_near(qf_player_get_position(player), before_s + 4.0 * (now_s() - start_s), 0.25);
  qf_player_set_speed(player, NAN); // Taken for the slowest
  assert_true(qf_player_is_playing(player));
  qf_player_free(player);
}

static void
test_loading_while_it_plays_goes_on_from_the_start(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  load_chords(player, 10, 0.2);
  qf_player_play(player);
  sleep_s(0.3);
  for (size_t i = 0; i < 5; ++i) {
    load_chords(player, 5, 0.4);
    assert_true(qf_player_get_position(player) == 0.0);
    assert_true(qf_player_is_playing(player));
  }
  const double start_s = now_s();
  sleep_s(0.2);
  assert_near(qf_player_get_position(player), now_s() - start_s, 0.08);
  assert_int_equal(qf_player_get_score_time(player).num, 0);
  qf_player_free(player);
}

static void
test_before_the_first_mark_it_is_at_the_start(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  assert_int_equal(qf_player_get_score_time(player).num, 0);
  qf_player_play(player); // With nothing loaded there is nothing to play
  sleep_s(0.05);
  assert_false(qf_player_is_playing(player));

  const uint8_t key    = 60;
  QfEvents      events = passage_chord(&key, 1, passage_hearing(-20.0), 0.5);
  qf_player_load(player, &events);
  assert_int_equal(qf_player_get_score_time(player).num, -1); // A chord outside the score
  qf_player_free(player);
}

static void
test_what_lies_behind_a_loop_is_never_shown(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  load_chords(player, 10, 0.1);
  qf_player_set_loop(player, true);
  qf_player_set_loop_range(player, 0.2, 0.4);
  qf_player_seek(player, 0.2);
  qf_player_play(player);
  int          n_rounds = 0;
  double       last_s   = 0.0;
  const double end_s    = now_s() + 1.5;
  while (now_s() < end_s) { // Also between one performing and the next
    const double  position_s = qf_player_get_position(player);
    const int64_t chord      = qf_player_get_score_time(player).num;
    assert_true(position_s >= 0.2 && position_s < 0.4);
    assert_true(chord == 2 || chord == 3);
    n_rounds += position_s < last_s;
    last_s = position_s;
  }
  assert_true(n_rounds >= 3);
  qf_player_free(player);
}

static void
test_without_a_soundfont_it_still_keeps_time(void** state)
{
  (void)state;
  static const char* const drivers[] = {"null", NULL};
  for (size_t i = 0; i < 2; ++i) {
    QfError         error = {0};
    QfPlayer* const player =
      qf_player_new((QfSoundSettings){QF_TEST_DATA "/no-such.sf2", drivers[i], -20.0});
    assert_non_null(player);
    wait_until_ready(player);
    assert_true(qf_player_take_notice(player, &error));
    assert_int_equal(error.status, QF_ERR_MISSING);
    assert_non_null(strstr(error.text, "no-such.sf2"));
    assert_false(qf_player_has_sound(player));

    load_chords(player, 10, 0.1);
    qf_player_play(player);
    sleep_s(0.2);
    assert_true(qf_player_get_position(player) > 0.1);
    qf_player_free(player);
  }
}

static void
test_without_a_device_it_still_keeps_time(void** state)
{
  (void)state;
  if (!passage_has_soundfont()) {
    skip();
  }
  QfError         error  = {0};
  const double    begin  = now_s();
  QfPlayer* const player = qf_player_new((QfSoundSettings){NULL, "no-such-driver", -20.0});
  assert_non_null(player);
  wait_until_ready(player);
  assert_true(now_s() - begin < 6.0);
  assert_true(qf_player_take_notice(player, &error));
  assert_false(qf_player_take_notice(player, &error)); // Told once
  assert_int_equal(error.status, QF_ERR_MISSING);
  assert_non_null(strstr(error.text, "no-such-driver"));
  assert_false(qf_player_has_sound(player));

  load_chords(player, 10, 0.1);
  qf_player_play(player);
  sleep_s(0.2);
  assert_true(qf_player_get_position(player) > 0.1);
  qf_player_free(player);
}

static void
test_many_commands_do_no_harm(void** state)
{
  (void)state;
  QfPlayer* const player = new_mute_player();
  load_chords(player, 5, 0.2);
  for (unsigned i = 0; i < 3000; ++i) {
    switch (i * 2654435761U >> 29U) {
      case 0:
        qf_player_play(player);
        break;
      case 1:
        qf_player_pause(player);
        break;
      case 2:
        qf_player_seek(player, (double)(i % 15) * 0.1);
        break;
      case 3:
        load_chords(player, 1 + i % 7, 0.1);
        break;
      case 4:
        qf_player_set_level(player, -(double)(i % 50));
        break;
      case 5:
        qf_player_set_speed(player, 0.5 + (double)(i % 5));
        break;
      case 6:
        qf_player_set_loop(player, i % 2);
        break;
      default:
        qf_player_stop(player);
        break;
    }
  }

  qf_player_stop(player);
  sleep_s(0.05);
  assert_false(qf_player_is_playing(player));
  assert_true(qf_player_get_position(player) == 0.0);
  qf_player_free(player);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_position_follows_the_clock),
    cmocka_unit_test(test_pause_holds_and_play_goes_on),
    cmocka_unit_test(test_seeking_shows_at_once),
    cmocka_unit_test(test_stop_goes_to_the_start),
    cmocka_unit_test(test_it_ends_and_begins_again),
    cmocka_unit_test(test_a_loop_goes_round),
    cmocka_unit_test(test_what_lies_behind_a_loop_is_never_shown),
    cmocka_unit_test(test_speed_changes_on_the_way),
    cmocka_unit_test(test_loading_while_it_plays_goes_on_from_the_start),
    cmocka_unit_test(test_before_the_first_mark_it_is_at_the_start),
    cmocka_unit_test(test_without_a_soundfont_it_still_keeps_time),
    cmocka_unit_test(test_without_a_device_it_still_keeps_time),
    cmocka_unit_test(test_many_commands_do_no_harm),
  };
  return cmocka_run_group_tests_name("player", tests, NULL, NULL);
}
