// SPDX-License-Identifier: MIT
#ifndef QF_KEYS_H
#define QF_KEYS_H

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// Call a function by a key anywhere in a window
void
qf_keys_add(GtkWidget*      window,
            guint           key,
            GdkModifierType modifiers,
            GtkShortcutFunc function,
            gpointer        data);

/// Close a window that is no document by Escape
void
qf_keys_close_by_escape(GtkWidget* window);

G_END_DECLS

#endif // QF_KEYS_H
