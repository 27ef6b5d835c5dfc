// SPDX-License-Identifier: MIT
#ifndef QF_NUMERAL_ENTRY_H
#define QF_NUMERAL_ENTRY_H

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   Where numerals are typed into the chain, with what is wrong under it.

   Signals: "entered" (text) on Return, "left" on Escape.
*/
#define QF_TYPE_NUMERAL_ENTRY (qf_numeral_entry_get_type())
G_DECLARE_FINAL_TYPE(QfNumeralEntry, qf_numeral_entry, QF, NUMERAL_ENTRY, GtkWidget)

/// Where the chord will be written, "Bar 2 beat 1 in A major"
void
qf_numeral_entry_set_place(QfNumeralEntry* self, const char* place);

/// Say what is wrong, or NULL when all is well
void
qf_numeral_entry_set_error(QfNumeralEntry* self, const char* message);

/// Empty the entry, ready for the next numeral
void
qf_numeral_entry_clear(QfNumeralEntry* self);

/// Take the focus; a text replaces what was typed, NULL keeps it
void
qf_numeral_entry_begin(QfNumeralEntry* self, const char* text);

G_END_DECLS

#endif // QF_NUMERAL_ENTRY_H
