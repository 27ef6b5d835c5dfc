// SPDX-License-Identifier: MIT
#ifndef QF_ROWS_H
#define QF_ROWS_H

#include <adwaita.h>

G_BEGIN_DECLS

/// A new group of rows with a heading, appended to a page
AdwPreferencesGroup*
qf_rows_add_group(AdwPreferencesPage* page, const char* title, const char* description);

/// A row with a switch, appended to a group
GtkSwitch*
qf_rows_add_switch(AdwPreferencesGroup* group,
                   const char*          title,
                   const char*          subtitle,
                   gboolean             is_on);

/// A row with a number, appended to a group
GtkSpinButton*
qf_rows_add_spin(AdwPreferencesGroup* group,
                 const char*          title,
                 const char*          subtitle,
                 double               least,
                 double               most,
                 double               step,
                 double               value);

/// A row with a choice, appended to a group; `choices` ends with NULL
AdwComboRow*
qf_rows_add_choice(AdwPreferencesGroup* group,
                   const char*          title,
                   const char* const*   choices,
                   guint                chosen);

/// A row with a text, appended to a group
GtkEditable*
qf_rows_add_text(AdwPreferencesGroup* group, const char* title, const char* text);

/// A window for rows: pages, and a header with Cancel and a button that applies them
AdwWindow*
qf_rows_window_new(GtkWindow*          parent,
                   const char*         title,
                   const char*         apply,
                   AdwPreferencesPage* page,
                   GCallback           apply_cb,
                   gpointer            data);

G_END_DECLS

#endif // QF_ROWS_H
