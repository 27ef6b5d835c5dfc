// SPDX-License-Identifier: MIT
#ifndef QF_MESSAGE_H
#define QF_MESSAGE_H

#include <adwaita.h>

G_BEGIN_DECLS

/**
   Call a button, and all below a widget, what they say.

   A button made with a mnemonic is named by its label twice over, once with the
   underscore; readers of the screen would speak both.
*/
void
qf_name_buttons(GtkWidget* widget);

/// Show a message dialog whose buttons are called what they say
void
qf_message_present(AdwMessageDialog* dialog);

/// The text of a fault as a sentence, with a capital letter and a full stop (transfer full)
char*
qf_sentence_dup(const char* text);

/// Show a fault or news as a sentence for a while
void
qf_message_toast(AdwToastOverlay* overlay, const char* text);

G_END_DECLS

#endif // QF_MESSAGE_H
