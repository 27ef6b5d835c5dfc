// SPDX-License-Identifier: MIT
#ifndef QF_APPLICATION_H
#define QF_APPLICATION_H

#include "input/qf-midi-keys.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// `quintfall [FILE]`
#define QF_TYPE_APPLICATION (qf_application_get_type())
G_DECLARE_FINAL_TYPE(QfApplication, qf_application, QF, APPLICATION, AdwApplication)

QfApplication*
qf_application_new(void);

/// The MIDI keyboards, shared by all windows
QfMidiKeys*
qf_application_get_midi_keys(GtkApplication* application);

G_END_DECLS

#endif // QF_APPLICATION_H
