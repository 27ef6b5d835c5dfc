// SPDX-License-Identifier: MIT
#ifndef QF_INSTRUMENTS_H
#define QF_INSTRUMENTS_H

#include <adwaita.h>

G_BEGIN_DECLS

/// The melodic instruments of a SoundFont, by name
typedef struct {
  GtkStringList* names; ///< Owned
  int            programs[128];
  guint          n_programs;
} QfInstruments;

/// A SoundFont that cannot be read gives none; NULL is the system's
QfInstruments*
qf_instruments_new(const char* soundfont);

void
qf_instruments_free(QfInstruments* self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC(QfInstruments, qf_instruments_free)

/// Offer them in a row, after a first line such as "The lesson’s"
void
qf_instruments_offer(const QfInstruments* self, AdwComboRow* row, const char* first);

/// Choose a program in such a row; one that is not there chooses the first line
void
qf_instruments_show(const QfInstruments* self, AdwComboRow* row, int program);

/**
   The program chosen in such a row, #QF_PROGRAM_SAME for the first line.

   One that the SoundFont lacks is kept until another is chosen.
*/
int
qf_instruments_read(const QfInstruments* self, AdwComboRow* row, int before);

G_END_DECLS

#endif // QF_INSTRUMENTS_H
