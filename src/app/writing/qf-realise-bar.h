// SPDX-License-Identifier: MIT
#ifndef QF_REALISE_BAR_H
#define QF_REALISE_BAR_H

#include "quintfall/score.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

enum {
  QF_MAX_KEEPS = 5, ///< Voices that can be kept, as many as can be written
};

/**
   What is to be written anew, which voices are kept, and the ways there are.

   Its buttons call the window's actions `win.realise`, `win.next-way`,
   `win.previous-way` and `win.keep-voice-0` to `win.keep-voice-4`.
*/
#define QF_TYPE_REALISE_BAR (qf_realise_bar_get_type())
G_DECLARE_FINAL_TYPE(QfRealiseBar, qf_realise_bar, QF, REALISE_BAR, GtkWidget)

/// Show the voices of a score
void
qf_realise_bar_set_voices(QfRealiseBar* self, const QfScore* score);

/// Say what is selected, "3 chords, from bar 1 beat 1"
void
qf_realise_bar_set_span(QfRealiseBar* self, const char* text);

/// Say which way is shown, "2nd of 64 ways", or nothing
void
qf_realise_bar_set_way(QfRealiseBar* self, const char* text);

G_END_DECLS

#endif // QF_REALISE_BAR_H
