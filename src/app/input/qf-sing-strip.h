// SPDX-License-Identifier: MIT
#ifndef QF_SING_STRIP_H
#define QF_SING_STRIP_H

#include "quintfall/pitch_in.h"
#include "quintfall/score.h"
#include "quintfall/solfege.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   Singing into the microphone: a line sung back note by note, or one note as the
   answer to a question, and how what is sung lies, in cents.

   The singer sets the pace: a note counts once it has been held, and the next
   one is then asked for. Nothing is recorded or sent. Emits "closed" when it
   is to go, "finished" (notes in tune, notes asked) at the end of a line, and
   "held" (MIDI key, cents over it) for an answer that is clearly one note.
*/
#define QF_TYPE_SING_STRIP (qf_sing_strip_get_type())
G_DECLARE_FINAL_TYPE(QfSingStrip, qf_sing_strip, QF, SING_STRIP, GtkWidget)

/// How a line is asked for
typedef struct {
  QfSungOptions sung;
  QfNamingKind  naming;
  gboolean      hides_names; ///< In a dictation no note but the first is named
} QfSingView;

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
                    QfSingView     view,
                    QfError*       error);

/**
   Ask for one note in any octave, whichever it is, again and again until the end.

   @return FALSE with what is missing if there is no microphone.
*/
gboolean
qf_sing_strip_begin_answer(QfSingStrip* self, QfSungOptions options, QfError* error);

/// True while it listens for an answer, or shows what became of it
gboolean
qf_sing_strip_is_answer(const QfSingStrip* self);

/// Say what became of an answer
void
qf_sing_strip_tell(QfSingStrip* self, const char* text);

/// Stop listening
void
qf_sing_strip_end(QfSingStrip* self);

/// Stop listening before the end and say how much was in tune; nothing if it doesn't listen
void
qf_sing_strip_conclude(QfSingStrip* self);

/// "8 cents flat", "in tune to the cent" (transfer full)
char*
qf_sung_cents_dup(double cents);

/// Listen to samples in place of a microphone, as tests do
QfPitchIn*
qf_sing_strip_get_input(const QfSingStrip* self);

G_END_DECLS

#endif // QF_SING_STRIP_H
