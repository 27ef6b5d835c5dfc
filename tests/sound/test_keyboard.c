// SPDX-License-Identifier: MIT
#include "keyboard_decoder.h"
#include "quintfall/keyboard_in.h"

#include <alsa/asoundlib.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

static const snd_seq_addr_t piano = {20, 0};
static const snd_seq_addr_t organ = {20, 1};

static int
make_decoder(void** state)
{
  *state = calloc(1, sizeof(QfKeyboardDecoder));
  return *state ? 0 : -1;
}

static int
free_decoder(void** state)
{
  free(*state);
  return 0;
}

/// An event as the sequencer's library makes it
static snd_seq_event_t
note(const snd_seq_addr_t from, const uint8_t type, const uint8_t key, const uint8_t velocity)
{
  snd_seq_event_t event;
  snd_seq_ev_clear(&event);
  event.type   = type;
  event.source = from;
  snd_seq_ev_set_fixed(&event);
  event.data.note.note     = key;
  event.data.note.velocity = velocity;
  return event;
}

static void
send(QfKeyboardDecoder* const decoder, const snd_seq_event_t event)
{
  qf_keyboard_decoder_take(decoder, &event);
}

static void
expect(QfKeyboardDecoder* const  decoder,
       const QfKeyboardEventKind kind,
       const int                 key,
       const int                 velocity)
{
  QfKeyboardEvent event = {0};
  assert_true(qf_keyboard_queue_pop(&decoder->queue, &event));
  assert_int_equal(event.kind, kind);
  assert_int_equal(event.key, key);
  assert_int_equal(event.velocity, velocity);
  assert_true(event.time_s > 0.0);
}

static void
expect_nothing(QfKeyboardDecoder* const decoder)
{
  QfKeyboardEvent event = {0};
  assert_false(qf_keyboard_queue_pop(&decoder->queue, &event));
}

static void
test_keys_go_down_and_up(void** state)
{
  QfKeyboardDecoder* const decoder = (QfKeyboardDecoder*)*state;
  send(decoder, note(piano, SND_SEQ_EVENT_NOTEON, 60, 90));
  send(decoder, note(piano, SND_SEQ_EVENT_NOTEON, 64, 1));
  send(decoder, note(piano, SND_SEQ_EVENT_NOTEOFF, 60, 64));
  // MIDI 1.0 Detailed Specification: Note On with velocity 0 is a Note Off (from memory).
  send(decoder, note(piano, SND_SEQ_EVENT_NOTEON, 64, 0));

  expect(decoder, QF_KEYBOARD_KEY_DOWN, 60, 90);
  expect(decoder, QF_KEYBOARD_KEY_DOWN, 64, 1);
  expect(decoder, QF_KEYBOARD_KEY_UP, 60, 0);
  expect(decoder, QF_KEYBOARD_KEY_UP, 64, 0);
  expect_nothing(decoder);
}

static void
test_other_messages_are_left_out(void** state)
{
  QfKeyboardDecoder* const decoder = (QfKeyboardDecoder*)*state;
  static const uint8_t     types[] = {SND_SEQ_EVENT_CONTROLLER, SND_SEQ_EVENT_PITCHBEND,
                                      SND_SEQ_EVENT_CLOCK, SND_SEQ_EVENT_SYSEX};
  for (size_t i = 0; i < sizeof(types); ++i) {
    send(decoder, note(piano, types[i], 60, 90));
  }
  send(decoder, note(piano, SND_SEQ_EVENT_NOTEON, 200, 90)); // No key of MIDI
  expect_nothing(decoder);
}

static void
test_an_unplugged_keyboard_lets_go(void** state)
{
  QfKeyboardDecoder* const decoder = (QfKeyboardDecoder*)*state;
  assert_true(qf_keyboard_decoder_connect(decoder, piano, "Piano"));
  assert_false(qf_keyboard_decoder_connect(decoder, piano, "Piano")); // Once is enough
  assert_true(qf_keyboard_decoder_connect(decoder, organ, "Organ"));
  assert_int_equal(atomic_load(&decoder->n_connected), 2);
  expect(decoder, QF_KEYBOARD_CONNECTED, 0, 0);
  expect(decoder, QF_KEYBOARD_CONNECTED, 0, 0);

  send(decoder, note(piano, SND_SEQ_EVENT_NOTEON, 60, 90));
  send(decoder, note(piano, SND_SEQ_EVENT_NOTEON, 67, 90));
  send(decoder, note(organ, SND_SEQ_EVENT_NOTEON, 40, 90));
  for (int i = 0; i < 3; ++i) {
    QfKeyboardEvent event;
    assert_true(qf_keyboard_queue_pop(&decoder->queue, &event));
  }

  qf_keyboard_decoder_disconnect(decoder, piano.client, piano.port);
  expect(decoder, QF_KEYBOARD_KEY_UP, 60, 0);
  expect(decoder, QF_KEYBOARD_KEY_UP, 67, 0);
  QfKeyboardEvent gone = {0};
  assert_true(qf_keyboard_queue_pop(&decoder->queue, &gone));
  assert_int_equal(gone.kind, QF_KEYBOARD_GONE);
  assert_string_equal(gone.name, "Piano");
  expect_nothing(decoder); // The organ holds on
  assert_int_equal(atomic_load(&decoder->n_connected), 1);

  qf_keyboard_decoder_disconnect(decoder, organ.client, -1); // The whole client
  expect(decoder, QF_KEYBOARD_KEY_UP, 40, 0);
  expect(decoder, QF_KEYBOARD_GONE, 0, 0);
  assert_true(qf_keyboard_decoder_connect(decoder, piano, "Piano")); // And back again
}

static void
test_too_many_keyboards_and_keys_do_no_harm(void** state)
{
  QfKeyboardDecoder* const decoder = (QfKeyboardDecoder*)*state;
  for (unsigned char i = 0; i < 200; ++i) {
    qf_keyboard_decoder_connect(decoder, (snd_seq_addr_t){i, 0},
                                "A very long name that goes on "
                                "and on and on and on and on and on");
  }
  for (int i = 0; i < 5000; ++i) {
    send(decoder, note(piano, SND_SEQ_EVENT_NOTEON, (uint8_t)(i % 128), 90));
  }
  int             n = 0;
  QfKeyboardEvent event;
  while (qf_keyboard_queue_pop(&decoder->queue, &event)) {
    ++n;
  }
  assert_int_equal(n, QF_KEYBOARD_QUEUE_SIZE);
}

enum {
  N_CROSSING = 200000,
};

static void*
send_many(void* const data)
{
  QfKeyboardDecoder* const decoder = (QfKeyboardDecoder*)data;
  for (int i = 0; i < N_CROSSING;) {
    const unsigned n_pushed = atomic_load(&decoder->queue.n_pushed);
    send(decoder, note(piano, SND_SEQ_EVENT_NOTEON, (uint8_t)(i % 128), 1));
    i += atomic_load(&decoder->queue.n_pushed) != n_pushed; // Unless the queue was full
  }
  return NULL;
}

static void
test_events_cross_threads_in_order(void** state)
{
  QfKeyboardDecoder* const decoder = (QfKeyboardDecoder*)*state;
  pthread_t                thread;
  assert_int_equal(pthread_create(&thread, NULL, send_many, decoder), 0);
  for (int i = 0; i < N_CROSSING;) {
    QfKeyboardEvent event;
    if (qf_keyboard_queue_pop(&decoder->queue, &event)) {
      assert_int_equal(event.key, i % 128);
      ++i;
    }
  }
  pthread_join(thread, NULL);
  expect_nothing(decoder);
}

/// Wait for an event of a kind, leaving out others; fails after some seconds
static QfKeyboardEvent
wait_for(QfKeyboardIn* const keyboard, const QfKeyboardEventKind kind)
{
  QfKeyboardEvent event = {0};
  for (int i = 0; i < 3000; ++i) {
    while (qf_keyboard_in_poll(keyboard, &event)) {
      if (event.kind == kind) {
        return event;
      }
    }
    nanosleep(&(const struct timespec){0, 1000000L}, NULL);
  }
  fail_msg("no event of kind %d came", (int)kind);
  return event;
}

/// A keyboard made by the test
static int
plug_in(snd_seq_t** const sequencer)
{
  assert_int_equal(snd_seq_open(sequencer, "default", SND_SEQ_OPEN_OUTPUT, 0), 0);
  snd_seq_set_client_name(*sequencer, "Test keyboard");
  return snd_seq_create_simple_port(*sequencer, "Test keys",
                                    SND_SEQ_PORT_CAP_READ | SND_SEQ_PORT_CAP_SUBS_READ,
                                    SND_SEQ_PORT_TYPE_MIDI_GENERIC);
}

static void
test_a_virtual_keyboard_is_heard(void** state)
{
  (void)state;
  QfKeyboardIn* keyboard = NULL;
  QfError       error    = {0};
  if (qf_keyboard_in_new(&keyboard, &error)) {
    // Nothing to listen to here: then it says so.
    assert_int_equal(error.status, QF_ERR_MISSING);
    assert_non_null(strstr(error.text, "ALSA sequencer"));
    assert_null(keyboard);
    print_message("no sequencer here: %s\n", error.text);
    skip();
  }

  for (int i = 0; i < 2; ++i) { // Plugged in, played, pulled out, and once more
    snd_seq_t* sequencer = NULL;
    const int  port      = plug_in(&sequencer);
    assert_string_equal(wait_for(keyboard, QF_KEYBOARD_CONNECTED).name, "Test keys");
    snd_seq_event_t event = note((snd_seq_addr_t){0, 0}, SND_SEQ_EVENT_NOTEON, 66, 77);
    snd_seq_ev_set_source(&event, port);
    snd_seq_ev_set_subs(&event);
    snd_seq_ev_set_direct(&event);
    snd_seq_event_output_direct(sequencer, &event);
    const QfKeyboardEvent down = wait_for(keyboard, QF_KEYBOARD_KEY_DOWN);
    assert_int_equal(down.key, 66);
    assert_int_equal(down.velocity, 77);
    snd_seq_close(sequencer);
    assert_int_equal(wait_for(keyboard, QF_KEYBOARD_KEY_UP).key, 66);
    wait_for(keyboard, QF_KEYBOARD_GONE);
  }
  qf_keyboard_in_free(keyboard);
}

#define TEST(func) cmocka_unit_test_setup_teardown(func, make_decoder, free_decoder)

int
main(void)
{
  const struct CMUnitTest tests[] = {
    TEST(test_keys_go_down_and_up),           TEST(test_other_messages_are_left_out),
    TEST(test_an_unplugged_keyboard_lets_go), TEST(test_too_many_keyboards_and_keys_do_no_harm),
    TEST(test_events_cross_threads_in_order), cmocka_unit_test(test_a_virtual_keyboard_is_heard),
  };
  return cmocka_run_group_tests_name("keyboard", tests, NULL, NULL);
}
