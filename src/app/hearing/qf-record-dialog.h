// SPDX-License-Identifier: MIT
#ifndef QF_RECORD_DIALOG_H
#define QF_RECORD_DIALOG_H

#include "quintfall/recordings.h"

#include <adwaita.h>

G_BEGIN_DECLS

/**
   How the hearings are to be recorded.

   Emits "wanted" once the user wants them, and is then hidden; the choices can
   be asked until it is destroyed.
*/
#define QF_TYPE_RECORD_DIALOG (qf_record_dialog_get_type())
G_DECLARE_FINAL_TYPE(QfRecordDialog, qf_record_dialog, QF, RECORD_DIALOG, AdwWindow)

/// @param words What will be recorded: "Plain dictation, 4 hearings"
QfRecordDialog*
qf_record_dialog_new(GtkWindow* parent, const char* words);

QfAudioKind
qf_record_dialog_get_kind(const QfRecordDialog* self);

gboolean
qf_record_dialog_is_split(const QfRecordDialog* self);

gboolean
qf_record_dialog_has_midi(const QfRecordDialog* self);

double
qf_record_dialog_get_loudness(const QfRecordDialog* self);

G_END_DECLS

#endif // QF_RECORD_DIALOG_H
