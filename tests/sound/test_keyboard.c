// SPDX-License-Identifier: MIT
#include "keyboard_decoder.h"
#include "quintfall/keyboard_in.h"

#include <alsa/asoundlib.h>
#include <fcntl.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

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
  if (qf_keyboard_in_new(NULL, &keyboard, &error)) {
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

/// A named pipe in a folder of its own
typedef struct {
  char folder[64];
  char path[80];
} Pipe;

static Pipe
new_pipe(void)
{
  Pipe pipe = {.folder = "/tmp/quintfall-midi-XXXXXX"};
  assert_non_null(mkdtemp(pipe.folder));
  snprintf(pipe.path, sizeof(pipe.path), "%s/keys", pipe.folder);
  assert_int_equal(mkfifo(pipe.path, 0600), 0);
  return pipe;
}

static void
free_pipe(const Pipe* const pipe)
{
  unlink(pipe->path);
  rmdir(pipe->folder);
}

static void
send_bytes(const int fd, const char* const bytes, const size_t n_bytes)
{
  assert_int_equal(write(fd, bytes, n_bytes), (ssize_t)n_bytes);
}

static void
expect_key(QfKeyboardIn* const keyboard, const QfKeyboardEventKind kind, const int key)
{
  assert_int_equal(wait_for(keyboard, kind).key, key);
}

// MIDI 1.0 Detailed Specification (from memory): status bytes 8n, 9n, running status, real-time
// messages between the bytes of another, a note struck with velocity 0 is let go of.
static void
test_raw_bytes_are_understood(void** state)
{
  (void)state;
  const Pipe    pipe     = new_pipe();
  QfKeyboardIn* keyboard = NULL;
  assert_int_equal(qf_keyboard_in_new(pipe.path, &keyboard, NULL), QF_OK);
  const int fd = open(pipe.path, O_WRONLY | O_CLOEXEC);
  assert_true(fd >= 0);

  send_bytes(fd, "\x90\x3c\x40", 3);
  assert_string_equal(wait_for(keyboard, QF_KEYBOARD_CONNECTED).name, "keys");
  const QfKeyboardEvent down = wait_for(keyboard, QF_KEYBOARD_KEY_DOWN);
  assert_int_equal(down.key, 60);
  assert_int_equal(down.velocity, 64);
  assert_int_equal(qf_keyboard_in_n_connected(keyboard), 1);

  send_bytes(fd, "\x40\xf8\x50", 3); // Running status, a clock in between
  expect_key(keyboard, QF_KEYBOARD_KEY_DOWN, 64);
  send_bytes(fd, "\xb0\x07\x7f\xf0\x01\x02\x03\xf7\x91\x43", 10); // A message in two parts
  send_bytes(fd, "\x50", 1);
  expect_key(keyboard, QF_KEYBOARD_KEY_DOWN, 67);
  send_bytes(fd, "\x80\x3c\x00\x90\x40\x00", 6);
  expect_key(keyboard, QF_KEYBOARD_KEY_UP, 60);
  expect_key(keyboard, QF_KEYBOARD_KEY_UP, 64);

  close(fd); // What is held is let go of
  expect_key(keyboard, QF_KEYBOARD_KEY_UP, 67);
  wait_for(keyboard, QF_KEYBOARD_GONE);
  assert_int_equal(qf_keyboard_in_n_connected(keyboard), 0);
  qf_keyboard_in_free(keyboard);
  free_pipe(&pipe);
}

static void
test_a_raw_device_comes_and_goes(void** state)
{
  (void)state;
  const Pipe    pipe     = new_pipe();
  QfKeyboardIn* keyboard = NULL;
  unlink(pipe.path); // Not there yet
  assert_int_equal(qf_keyboard_in_new(pipe.path, &keyboard, NULL), QF_OK);
  for (int i = 0; i < 3; ++i) {
    assert_int_equal(mkfifo(pipe.path, 0600), 0);
    const int fd = open(pipe.path, O_WRONLY | O_CLOEXEC);
    assert_true(fd >= 0);
    wait_for(keyboard, QF_KEYBOARD_CONNECTED);
    send_bytes(fd, "\x90\x3c\x40\x90\x3c", 5); // The last message stays unfinished
    expect_key(keyboard, QF_KEYBOARD_KEY_DOWN, 60);
    close(fd);
    unlink(pipe.path);
    expect_key(keyboard, QF_KEYBOARD_KEY_UP, 60);
    wait_for(keyboard, QF_KEYBOARD_GONE);
  }
  qf_keyboard_in_free(keyboard);
  rmdir(pipe.folder);
}

static void
test_any_bytes_do_no_harm(void** state)
{
  (void)state;
  const Pipe    pipe     = new_pipe();
  QfKeyboardIn* keyboard = NULL;
  uint32_t      seed     = 1U;
  assert_int_equal(qf_keyboard_in_new(pipe.path, &keyboard, NULL), QF_OK);
  const int fd = open(pipe.path, O_WRONLY | O_CLOEXEC);
  assert_true(fd >= 0);
  for (int i = 0; i < 2000; ++i) {
    char bytes[50];
    for (size_t n = 0; n < sizeof(bytes); ++n) {
      seed     = seed * 1664525U + 1013904223U;
      bytes[n] = (char)(seed >> 24U);
    }
    send_bytes(fd, bytes, sizeof(bytes));
    for (QfKeyboardEvent event = {0}; qf_keyboard_in_poll(keyboard, &event);) {
      assert_true(event.key < 128 && event.velocity < 128);
    }
  }
  QfKeyboardEvent event = {0};
  for (int n_idle = 0; n_idle < 100;) { // Until nothing more comes
    n_idle = qf_keyboard_in_poll(keyboard, &event) ? 0 : n_idle + 1;
    nanosleep(&(const struct timespec){0, n_idle ? 5000000L : 0L}, NULL);
  }
  send_bytes(fd, "\xff\x90\x15\x40", 4); // A reset, then a key
  expect_key(keyboard, QF_KEYBOARD_KEY_DOWN, 21);
  close(fd);
  qf_keyboard_in_free(keyboard);
  free_pipe(&pipe);
}

static void
test_what_is_no_device_is_waited_for(void** state)
{
  (void)state;
  QfKeyboardIn* keyboard = NULL;
  assert_int_equal(qf_keyboard_in_new("/", &keyboard, NULL), QF_OK); // A folder gives no bytes
  nanosleep(&(const struct timespec){0, 150000000L}, NULL);
  assert_int_equal(qf_keyboard_in_n_connected(keyboard), 0);
  qf_keyboard_in_free(keyboard);
}

#define TEST(func) cmocka_unit_test_setup_teardown(func, make_decoder, free_decoder)

int
main(void)
{
  const struct CMUnitTest tests[] = {
    TEST(test_keys_go_down_and_up),
    TEST(test_other_messages_are_left_out),
    TEST(test_an_unplugged_keyboard_lets_go),
    TEST(test_too_many_keyboards_and_keys_do_no_harm),
    TEST(test_events_cross_threads_in_order),
    cmocka_unit_test(test_a_virtual_keyboard_is_heard),
    cmocka_unit_test(test_raw_bytes_are_understood),
    cmocka_unit_test(test_a_raw_device_comes_and_goes),
    cmocka_unit_test(test_any_bytes_do_no_harm),
    cmocka_unit_test(test_what_is_no_device_is_waited_for),
  };
  return cmocka_run_group_tests_name("keyboard", tests, NULL, NULL);
}
