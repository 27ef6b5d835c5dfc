// SPDX-License-Identifier: MIT
#include "qf-names.h"

#include <stdio.h>

void
qf_key_spell_out(const QfKey key, const QfNamingKind naming, char* const buffer, const size_t size)
{
  char tonic[24];

  qf_note_name_spell_out(key.tonic, naming, tonic, sizeof(tonic));
  snprintf(buffer, size, "%s %s", tonic, key.mode == QF_MINOR ? "minor" : "major");
}
