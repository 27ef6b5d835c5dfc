// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_KEYBOARD_IN_H
#define QUINTFALL_KEYBOARD_IN_H

#include "quintfall/status.h"

#include <stdbool.h>
#include <stdint.h>

typedef enum {
  QF_KEYBOARD_KEY_DOWN,
  QF_KEYBOARD_KEY_UP,
  QF_KEYBOARD_CONNECTED, ///< A keyboard was plugged in, or was there at the start
  QF_KEYBOARD_GONE,      ///< It was unplugged; keys it held have been let go of before
} QfKeyboardEventKind;

/// What a MIDI keyboard did
typedef struct {
  QfKeyboardEventKind kind;
  uint8_t             key;      ///< MIDI key
  uint8_t             velocity; ///< 1-127 where a key went down
  double              time_s;   ///< When it came, on the system's steady clock
  char                name[64]; ///< Of the keyboard, where one came or went
} QfKeyboardEvent;

/**
   Listens to every MIDI keyboard of the machine, also to those plugged in later, or to one.

   A thread of its own waits for them; the window asks for what came, and
   neither ever waits for the other.
*/
typedef struct QfKeyboardInImpl QfKeyboardIn;

/**
   Start listening. Having no keyboard yet is no fault.

   @param path NULL for every keyboard, by the ALSA sequencer; else a raw MIDI device
   (/dev/snd/midiC1D0) or a named pipe with MIDI bytes, which may come and go.
   @param[out] result (transfer full)
   @return #QF_ERR_MISSING with what is missing if the machine has no MIDI sequencer.
*/
QfStatus
qf_keyboard_in_new(const char* path, QfKeyboardIn** result, QfError* error);

/// Stop listening; NULL is fine
void
qf_keyboard_in_free(QfKeyboardIn* keyboard);

/// Take the oldest event not yet taken; false if there is none
bool
qf_keyboard_in_poll(QfKeyboardIn* keyboard, QfKeyboardEvent* event);

/// Keyboards connected now
size_t
qf_keyboard_in_n_connected(const QfKeyboardIn* keyboard);

#endif // QUINTFALL_KEYBOARD_IN_H
