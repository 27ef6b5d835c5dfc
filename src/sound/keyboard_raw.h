// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_KEYBOARD_RAW_H
#define QF_SOUND_KEYBOARD_RAW_H

#include "keyboard_decoder.h"

/**
   Hand the MIDI bytes that a file gives to the decoder until `quit_fd` can be read.

   @param path A raw MIDI device (/dev/snd/midiC1D0) or a named pipe. It need not be there
   yet, may go, and may come back: then it is one keyboard that comes and goes.
*/
void
qf_raw_midi_listen(const char* path, QfKeyboardDecoder* decoder, int quit_fd);

#endif // QF_SOUND_KEYBOARD_RAW_H
