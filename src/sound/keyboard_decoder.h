// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_KEYBOARD_DECODER_H
#define QF_SOUND_KEYBOARD_DECODER_H

#include "quintfall/keyboard_in.h"

#include <alsa/asoundlib.h>
#include <stdatomic.h>

enum {
  QF_KEYBOARD_QUEUE_SIZE = 1024,
  QF_MAX_KEYBOARDS       = 32,
};

/// From one thread to one other; neither ever waits
typedef struct {
  QfKeyboardEvent events[QF_KEYBOARD_QUEUE_SIZE];
  atomic_uint     n_pushed;
  atomic_uint     n_popped;
} QfKeyboardQueue;

/// Where a keyboard is, and what it holds
typedef struct {
  bool           is_used;
  snd_seq_addr_t address;
  char           name[64];
  bool           held[128];
} QfKeyboard;

/// Makes events of what the sequencer sends
typedef struct {
  QfKeyboard      keyboards[QF_MAX_KEYBOARDS];
  atomic_size_t   n_connected;
  QfKeyboardQueue queue;
} QfKeyboardDecoder;

/// False if the queue is empty
bool
qf_keyboard_queue_pop(QfKeyboardQueue* queue, QfKeyboardEvent* event);

/// A keyboard came; false if it is known already or there is no room
bool
qf_keyboard_decoder_connect(QfKeyboardDecoder* decoder, snd_seq_addr_t address, const char* name);

/// Keyboards at a port went, or all of a client if `port` is negative; their keys are let go of
void
qf_keyboard_decoder_disconnect(QfKeyboardDecoder* decoder, int client, int port);

/// A note of a keyboard; anything else is left out
void
qf_keyboard_decoder_take(QfKeyboardDecoder* decoder, const snd_seq_event_t* event);

#endif // QF_SOUND_KEYBOARD_DECODER_H
