// SPDX-License-Identifier: MIT
#ifndef QF_CHOICES_H
#define QF_CHOICES_H

#include "quintfall/key.h"
#include "quintfall/time.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

enum {
  QF_N_KEYS = 30,
};

/// The key at a place of a list that goes from seven flats to seven sharps, major and minor
QfKey
qf_choice_key(guint index);

guint
qf_choice_of_key(QfKey key);

/// Append the 30 keys by name
void
qf_choices_add_keys(GtkStringList* list);

/// Metres offered by name, ended by NULL
const char* const*
qf_choice_metres(void);

/// Place of a metre in the list, or GTK_INVALID_LIST_POSITION
guint
qf_choice_of_metre(QfMetre metre);

G_END_DECLS

#endif // QF_CHOICES_H
