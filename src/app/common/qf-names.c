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

void
qf_figures_write_in_line(const char* const stacked, char* const line, const size_t size)
{
  size_t n = 0;

  for (const char* c = stacked; *c && n + 1 < size; ++c) {
    if (*c != '\n') {
      line[n++] = *c;
    }
  }
  line[n] = '\0';
}
