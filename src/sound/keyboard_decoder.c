// SPDX-License-Identifier: MIT
#include "keyboard_decoder.h"

#include <stdio.h>
#include <time.h>

enum {
  N_KEYS = 128,
};

static double
now_s(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/// Nobody plays a thousand keys before the window looks; what is too much is lost
static void
push(QfKeyboardQueue* const queue, QfKeyboardEvent event)
{
  const unsigned n_pushed = atomic_load_explicit(&queue->n_pushed, memory_order_relaxed);
  const unsigned n_popped = atomic_load_explicit(&queue->n_popped, memory_order_acquire);
  if (n_pushed - n_popped == QF_KEYBOARD_QUEUE_SIZE) {
    return;
  }

  event.time_s                                     = now_s();
  queue->events[n_pushed % QF_KEYBOARD_QUEUE_SIZE] = event;
  atomic_store_explicit(&queue->n_pushed, n_pushed + 1U, memory_order_release);
}

bool
qf_keyboard_queue_pop(QfKeyboardQueue* const queue, QfKeyboardEvent* const event)
{
  const unsigned n_popped = atomic_load_explicit(&queue->n_popped, memory_order_relaxed);
  const unsigned n_pushed = atomic_load_explicit(&queue->n_pushed, memory_order_acquire);
  if (n_popped == n_pushed) {
    return false;
  }

  *event = queue->events[n_popped % QF_KEYBOARD_QUEUE_SIZE];
  atomic_store_explicit(&queue->n_popped, n_popped + 1U, memory_order_release);
  return true;
}

static QfKeyboard*
find(QfKeyboardDecoder* const self, const snd_seq_addr_t address)
{
  for (size_t i = 0; i < QF_MAX_KEYBOARDS; ++i) {
    QfKeyboard* const keyboard = &self->keyboards[i];
    if (keyboard->is_used && keyboard->address.client == address.client &&
        keyboard->address.port == address.port) {
      return keyboard;
    }
  }
  return NULL;
}

static void
push_named(QfKeyboardDecoder* const  self,
           const QfKeyboardEventKind kind,
           const QfKeyboard* const   keyboard)
{
  QfKeyboardEvent event = {.kind = kind};
  snprintf(event.name, sizeof(event.name), "%s", keyboard->name);
  push(&self->queue, event);
}

bool
qf_keyboard_decoder_connect(QfKeyboardDecoder* const decoder,
                            const snd_seq_addr_t     address,
                            const char* const        name)
{
  if (find(decoder, address)) {
    return false;
  }

  for (size_t i = 0; i < QF_MAX_KEYBOARDS; ++i) {
    QfKeyboard* const keyboard = &decoder->keyboards[i];
    if (!keyboard->is_used) {
      *keyboard = (QfKeyboard){.is_used = true, .address = address};
      snprintf(keyboard->name, sizeof(keyboard->name), "%s", name);
      atomic_fetch_add(&decoder->n_connected, 1U);
      push_named(decoder, QF_KEYBOARD_CONNECTED, keyboard);
      return true;
    }
  }
  return false;
}

static void
let_go(QfKeyboardDecoder* const self, QfKeyboard* const keyboard)
{
  for (int key = 0; key < N_KEYS; ++key) {
    if (keyboard->held[key]) {
      keyboard->held[key] = false;
      push(&self->queue, (QfKeyboardEvent){.kind = QF_KEYBOARD_KEY_UP, .key = (uint8_t)key});
    }
  }
}

void
qf_keyboard_decoder_disconnect(QfKeyboardDecoder* const decoder, const int client, const int port)
{
  for (size_t i = 0; i < QF_MAX_KEYBOARDS; ++i) {
    QfKeyboard* const keyboard = &decoder->keyboards[i];
    if (keyboard->is_used && keyboard->address.client == client &&
        (port < 0 || keyboard->address.port == port)) {
      let_go(decoder, keyboard);
      keyboard->is_used = false;
      atomic_fetch_sub(&decoder->n_connected, 1U);
      push_named(decoder, QF_KEYBOARD_GONE, keyboard);
    }
  }
}

void
qf_keyboard_decoder_take(QfKeyboardDecoder* const decoder, const snd_seq_event_t* const event)
{
  const bool is_on = event->type == SND_SEQ_EVENT_NOTEON;
  if (!is_on && event->type != SND_SEQ_EVENT_NOTEOFF) {
    return;
  }

  const snd_seq_ev_note_t note     = event->data.note;
  QfKeyboard* const       keyboard = find(decoder, event->source);
  if (note.note >= N_KEYS) {
    return;
  }

  // MIDI 1.0: a note struck with velocity 0 is let go of.
  const bool is_down = is_on && note.velocity > 0;
  if (keyboard) {
    keyboard->held[note.note] = is_down;
  }
  push(&decoder->queue,
       (QfKeyboardEvent){.kind     = is_down ? QF_KEYBOARD_KEY_DOWN : QF_KEYBOARD_KEY_UP,
                         .key      = note.note,
                         .velocity = is_down ? note.velocity : 0U});
}
