// SPDX-License-Identifier: MIT
#include "qf-answer-shelf.h"

#include <string.h>

enum {
  SLUG_SIZE = 40,
};

static char*
dup_folder(void)
{
  return g_build_filename(g_get_user_data_dir(), "quintfall", "answers", NULL);
}

char*
qf_answer_shelf_dup_path(const char* const title)
{
  g_autoptr(GDateTime) now = g_date_time_new_now_local();
  g_autofree char* when    = g_date_time_format(now, "%Y-%m-%d-%H%M%S");
  g_autofree char* ascii   = g_str_to_ascii(title[0] ? title : "dictation", NULL);
  g_autofree char* folder  = dup_folder();

  g_strcanon(ascii, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", '-');
  if (strlen(ascii) > SLUG_SIZE) {
    ascii[SLUG_SIZE] = '\0';
  }
  g_mkdir_with_parents(folder, 0700);

  // Two may begin within a second, and the file is there only once something is written.
  g_autofree char* name =
    g_strdup_printf("%s %s-%03d.json", ascii, when, g_date_time_get_microsecond(now) / 1000);
  return g_build_filename(folder, name, NULL);
}

/// When an answer was last begun anew
static const char*
begun_at(const QfAnswer* const answer)
{
  const size_t n = qf_answer_n_attempts(answer);
  return n ? qf_try_get_time(qf_answer_get_attempt(answer, n - 1)) : "";
}

QfAnswer*
qf_answer_shelf_find(const QfAnswer* const task, char** const path)
{
  g_autofree char* folder = dup_folder();
  g_autoptr(GDir) dir     = g_dir_open(folder, 0, NULL);
  QfAnswer* found         = NULL;

  for (const char* name = NULL; dir && (name = g_dir_read_name(dir));) {
    g_autofree char* there  = g_build_filename(folder, name, NULL);
    QfAnswer*        answer = NULL;
    // What cannot be read is no answer to go on with.
    if (!g_str_has_suffix(name, ".json") || qf_answer_load(there, &answer, NULL)) {
      continue;
    }
    if (qf_answer_n_attempts(answer) && qf_answer_is_same_task(answer, task) &&
        (!found || strcmp(begun_at(found), begun_at(answer)) < 0)) {
      qf_answer_free(found);
      g_free(*path);
      found = answer;
      *path = g_steal_pointer(&there);
    } else {
      qf_answer_free(answer);
    }
  }
  return found;
}
