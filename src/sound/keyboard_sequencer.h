// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_KEYBOARD_SEQUENCER_H
#define QF_SOUND_KEYBOARD_SEQUENCER_H

#include "keyboard_decoder.h"

/// The ALSA sequencer, through which every MIDI keyboard of the machine is heard
typedef struct QfSequencerImpl QfSequencer;

/// (transfer full) #QF_ERR_MISSING if the machine has none
QfStatus
qf_sequencer_open(QfSequencer** result, QfError* error);

/// NULL is fine
void
qf_sequencer_close(QfSequencer* sequencer);

/// Hand what keyboards send to the decoder until `quit_fd` can be read
void
qf_sequencer_listen(QfSequencer* sequencer, QfKeyboardDecoder* decoder, int quit_fd);

#endif // QF_SOUND_KEYBOARD_SEQUENCER_H
