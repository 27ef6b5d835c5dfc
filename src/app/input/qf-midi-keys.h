// SPDX-License-Identifier: MIT
#ifndef QF_MIDI_KEYS_H
#define QF_MIDI_KEYS_H

#include <glib-object.h>

G_BEGIN_DECLS

/**
   The MIDI keyboards of the machine, for the window that has the focus.

   Signals: "pressed" (MIDI key, keys held now as #GArray of guint8 from the lowest
   up), "released" (all keys that were held together, once the last one is let
   go of), "told" (a sentence about a keyboard that came or went).
*/
#define QF_TYPE_MIDI_KEYS (qf_midi_keys_get_type())
G_DECLARE_FINAL_TYPE(QfMidiKeys, qf_midi_keys, QF, MIDI_KEYS, GObject)

/// Starts to listen; without a MIDI sequencer it stays silent
QfMidiKeys*
qf_midi_keys_new(void);

/// Take an event as if it had come from a keyboard, as tests do
void
qf_midi_keys_take(QfMidiKeys* self, guint8 key, gboolean is_down);

G_END_DECLS

#endif // QF_MIDI_KEYS_H
