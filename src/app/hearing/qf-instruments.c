// SPDX-License-Identifier: MIT
#include "qf-instruments.h"

#include "quintfall/hearing.h"
#include "quintfall/sound.h"

#include <stdlib.h>

QfInstruments*
qf_instruments_new(const char* const soundfont)
{
  QfInstruments* const self          = g_new0(QfInstruments, 1);
  QfInstrument*        instruments   = NULL;
  size_t               n_instruments = 0;

  self->names = gtk_string_list_new(NULL);
  if (!qf_sound_list_instruments(soundfont, &instruments, &n_instruments, NULL)) {
    for (size_t i = 0; i < n_instruments && self->n_programs < G_N_ELEMENTS(self->programs); ++i) {
      if (instruments[i].bank == 0) {
        g_autofree char* name = g_utf8_make_valid(instruments[i].name, -1);
        gtk_string_list_append(self->names, name);
        self->programs[self->n_programs++] = instruments[i].program;
      }
    }
    free(instruments);
  }
  return self;
}

void
qf_instruments_free(QfInstruments* const self)
{
  if (self) {
    g_object_unref(self->names);
    g_free(self);
  }
}

void
qf_instruments_offer(const QfInstruments* const self,
                     AdwComboRow* const         row,
                     const char* const          first)
{
  g_autoptr(GtkStringList) names = gtk_string_list_new((const char*[]){first, NULL});

  for (guint i = 0; i < self->n_programs; ++i) {
    gtk_string_list_append(names, gtk_string_list_get_string(self->names, i));
  }
  adw_combo_row_set_model(row, G_LIST_MODEL(names));
}

/// The line of a program, 0 if it has none
static guint
line_of(const QfInstruments* const self, const int program)
{
  guint line = 0;
  for (guint i = 0; i < self->n_programs; ++i) {
    line = self->programs[i] == program ? i + 1U : line;
  }
  return line;
}

void
qf_instruments_show(const QfInstruments* const self, AdwComboRow* const row, const int program)
{
  adw_combo_row_set_selected(row, line_of(self, program));
}

int
qf_instruments_read(const QfInstruments* const self, AdwComboRow* const row, const int before)
{
  const guint line = adw_combo_row_get_selected(row);
  if (line > 0 && line <= self->n_programs) {
    return self->programs[line - 1U];
  }
  return before == QF_PROGRAM_SAME || line_of(self, before) ? QF_PROGRAM_SAME : before;
}
