// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_DIALOG_H
#define QF_SOUND_DIALOG_H

#include "common/qf-preferences.h"

#include <adwaita.h>

G_BEGIN_DECLS

/**
   SoundFont, tuning and reference pitch, the same for every lesson, and advice
   on listening. Changes take effect at once.
*/
#define QF_TYPE_SOUND_DIALOG (qf_sound_dialog_get_type())
G_DECLARE_FINAL_TYPE(QfSoundDialog, qf_sound_dialog, QF, SOUND_DIALOG, AdwWindow)

QfSoundDialog*
qf_sound_dialog_new(GtkWindow* parent, QfPreferences* preferences);

G_END_DECLS

#endif // QF_SOUND_DIALOG_H
