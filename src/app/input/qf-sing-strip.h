// SPDX-License-Identifier: MIT
#ifndef QF_SING_STRIP_H
#define QF_SING_STRIP_H

#include "quintfall/pitch_in.h"
#include "quintfall/score.h"
#include "quintfall/solfege.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   Singing back: the expected line of one voice, note by note, and how what is
   sung compares with it, in cents.

   The singer sets the pace: a note counts once it has been held, and the next
   one is then asked for. Nothing is recorded or sent. Emits "closed" when it
   is to go, and "finished" (notes in tune, notes asked).
*/
#define QF_TYPE_SING_STRIP (qf_sing_strip_get_type())
G_DECLARE_FINAL_TYPE(QfSingStrip, qf_sing_strip, QF, SING_STRIP, GtkWidget)

/**
   Ask for the notes of a voice and start to listen.

   @param from Start in the score.
   @param to End; a time not after `from` means the score's end.
   @return FALSE with what is missing if there is no microphone.
*/
gboolean
qf_sing_strip_begin(QfSingStrip*   self,
                    const QfScore* score,
                    size_t         voice,
                    QfTime         from,
                    QfTime         to,
                    QfSungOptions  options,
                    QfNamingKind   naming,
                    QfError*       error);

/// Stop listening
void
qf_sing_strip_end(QfSingStrip* self);

/// Stop listening before the end and say how much was in tune; nothing if it doesn't listen
void
qf_sing_strip_conclude(QfSingStrip* self);

/// Listen to samples in place of a microphone, as tests do
QfPitchIn*
qf_sing_strip_get_input(const QfSingStrip* self);

G_END_DECLS

#endif // QF_SING_STRIP_H
