// SPDX-License-Identifier: MIT
#ifndef QF_NAMES_H
#define QF_NAMES_H

#include "quintfall/solfege.h"

enum {
  QF_KEY_NAME_SIZE = 40, ///< Bytes that hold any key's name
};

/// A key for reading, with its tonic as the user names notes: "E♭ major"
void
qf_key_spell_out(QfKey key, QfNamingKind naming, char* buffer, size_t size);

/// Stacked figures, one a line, in one line as they are typed: "65"
void
qf_figures_write_in_line(const char* stacked, char* line, size_t size);

#endif // QF_NAMES_H
