// SPDX-License-Identifier: MIT
#include "lesson_impl.h"

#include "quintfall/file.h"

#include <stdlib.h>
#include <string.h>

QfStatus
qf_lesson_load(const char* const path, QfLesson** const result, QfError* const error)
{
  void*    data   = NULL;
  size_t   length = 0;
  QfStatus st     = qf_file_read(path, &data, &length, error);
  if (!st) {
    st = qf_lesson_from_json((const char*)data, length, result, error);
  }
  free(data);
  return st;
}

QfStatus
qf_lesson_write_journal(const QfLesson* const lesson, const char* const path, QfError* const error)
{
  char*    json = NULL;
  QfStatus st   = qf_lesson_to_json(lesson, &json, error);
  if (!st) {
    st = qf_file_write(path, json, strlen(json), error);
  }
  free(json);
  return st;
}

QfStatus
qf_lesson_save(QfLesson* const lesson, const char* const path, QfError* const error)
{
  if (qf_lesson_is_read_only(lesson)) {
    return qf_error_set(error, QF_ERR_READ_ONLY,
                        "this lesson was written by a newer version of the program; saving it "
                        "here could lose parts of it");
  }

  const QfStatus st = qf_lesson_write_journal(lesson, path, error);
  if (!st) {
    lesson->saved_serial = lesson->state->serial;
  }
  return st;
}
