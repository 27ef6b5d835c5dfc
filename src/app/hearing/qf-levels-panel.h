// SPDX-License-Identifier: MIT
#ifndef QF_LEVELS_PANEL_H
#define QF_LEVELS_PANEL_H

#include "quintfall/hearing.h"

#include <adwaita.h>

G_BEGIN_DECLS

/**
   What "forward" means in a quick hearing: levels, lead and instruments, in rows.

   Emits "changed" when the user changed something.
*/
#define QF_TYPE_LEVELS_PANEL (qf_levels_panel_get_type())
G_DECLARE_FINAL_TYPE(QfLevelsPanel, qf_levels_panel, QF, LEVELS_PANEL, AdwBin)

QfLevelsPanel*
qf_levels_panel_new(void);

/// Instruments of this SoundFont are offered from when the panel is next shown; NULL: the system's
void
qf_levels_panel_set_soundfont(QfLevelsPanel* self, const char* path);

/// Emits nothing
void
qf_levels_panel_show(QfLevelsPanel* self, QfHearing hearing);

/// A hearing with what the rows say
QfHearing
qf_levels_panel_read(const QfLevelsPanel* self, QfHearing hearing);

G_END_DECLS

#endif // QF_LEVELS_PANEL_H
