// SPDX-License-Identifier: MIT
#ifndef QF_COMPARE_KEY_H
#define QF_COMPARE_KEY_H

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// The key to the signs of a comparison, on as many lines as its width asks for
#define QF_TYPE_COMPARE_KEY (qf_compare_key_get_type())
G_DECLARE_FINAL_TYPE(QfCompareKey, qf_compare_key, QF, COMPARE_KEY, GtkWidget)

G_END_DECLS

#endif // QF_COMPARE_KEY_H
