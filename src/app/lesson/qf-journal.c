// SPDX-License-Identifier: MIT
#include "qf-journal.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <stdlib.h>
#include <unistd.h>

static char*
journal_folder(void)
{
  return g_build_filename(g_get_user_data_dir(), "quintfall", "recovery", NULL);
}

char*
qf_journal_path(void)
{
  g_autofree char* folder = journal_folder();
  g_autofree char* id     = g_uuid_string_random();
  g_autofree char* name   = g_strdup_printf("%ld-%.8s.json", (long)getpid(), id);

  g_mkdir_with_parents(folder, 0700);
  return g_build_filename(folder, name, NULL);
}

/// Whether the process whose number starts a journal's name is gone
static gboolean
is_left_over(const char* const name)
{
  char*      end = NULL;
  const long pid = strtol(name, &end, 10);

  return g_str_has_suffix(name, ".json") && pid > 0 && *end == '-' && kill((pid_t)pid, 0) &&
         errno == ESRCH;
}

char*
qf_journal_find_left_over(void)
{
  g_autofree char* folder = journal_folder();
  GDir*            dir    = g_dir_open(folder, 0, NULL);
  char*            found  = NULL;

  for (const char* name = NULL; dir && !found && (name = g_dir_read_name(dir));) {
    if (is_left_over(name)) {
      found = g_build_filename(folder, name, NULL);
    }
  }

  g_clear_pointer(&dir, g_dir_close);
  return found;
}

void
qf_journal_remove(const char* const path)
{
  g_unlink(path);
}
