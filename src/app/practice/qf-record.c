// SPDX-License-Identifier: MIT
#include "qf-record.h"

#include <stdlib.h>

/// Days are counted where the user is
static int
utc_offset(void)
{
  g_autoptr(GDateTime) now = g_date_time_new_now_local();
  return (int)(g_date_time_get_utc_offset(now) / G_TIME_SPAN_SECOND);
}

int64_t
qf_record_now(void)
{
  return g_get_real_time() / G_USEC_PER_SEC;
}

QfPractice*
qf_record_open(char** const remark, QfError* const error)
{
  g_autofree char* path =
    g_build_filename(g_get_user_data_dir(), "quintfall", "practice.db", NULL);
  QfPractice* practice = NULL;
  char*       told     = NULL;

  *remark = NULL;
  if (qf_practice_open(path, utc_offset(), &practice, &told, error)) {
    return NULL;
  }
  *remark = g_strdup(told);
  free(told);
  return practice;
}

char*
qf_record_attempts(QfAttempt* const attempts, const size_t n_attempts)
{
  char*   remark = NULL;
  QfError error  = {0};

  if (!n_attempts) {
    return NULL;
  }
  for (size_t i = 0; i < n_attempts; ++i) {
    attempts[i].when_s = qf_record_now();
  }

  QfPractice* const practice = qf_record_open(&remark, &error);
  if (!practice || qf_practice_record(practice, attempts, n_attempts, &error)) {
    g_free(remark);
    remark = g_strdup_printf("Practice was not recorded: %s", error.text);
  }
  qf_practice_free(practice);
  return remark;
}
