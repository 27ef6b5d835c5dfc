// SPDX-License-Identifier: MIT
#include "answer_impl.h"

#include "quintfall/file.h"

#include <stdlib.h>
#include <string.h>

bool
qf_answer_is_answer(const char* const json, const size_t length)
{
  // Our own writer puts the format first; other writers may order members as they like.
  static const char word[] = "\"" ANSWER_FORMAT "\"";
  return memmem(json, length, word, sizeof(word) - 1U) != NULL;
}

QfStatus
qf_answer_load(const char* const path, QfAnswer** const result, QfError* const error)
{
  void*    data   = NULL;
  size_t   length = 0;
  QfStatus st     = qf_file_read(path, &data, &length, error);
  st              = st ? st : qf_answer_from_json((const char*)data, length, result, error);
  free(data);
  return st;
}

QfStatus
qf_answer_write_journal(const QfAnswer* const answer, const char* const path, QfError* const error)
{
  char*    json = NULL;
  QfStatus st   = qf_answer_to_json(answer, &json, error);
  st            = st ? st : qf_file_write(path, json, strlen(json), error);
  free(json);
  return st;
}

QfStatus
qf_answer_save(QfAnswer* const answer, const char* const path, QfError* const error)
{
  if (qf_answer_is_read_only(answer)) {
    return qf_error_set(error, QF_ERR_READ_ONLY,
                        "this answer was written by a newer version of the program; saving it "
                        "here could lose parts of it");
  }
  const QfStatus st = qf_answer_write_journal(answer, path, error);
  if (!st) {
    answer->saved_revision = answer->revision;
  }
  return st;
}
