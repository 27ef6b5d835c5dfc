// SPDX-License-Identifier: MIT
#include "quintfall/results.h"

#include "quintfall/document.h"
#include "quintfall/file.h"

#include <ctype.h>
#include <stdlib.h>

/// True for a text that stops before its end, as a file does that was not sent whole
static bool
is_cut_off(const char* const text, size_t length)
{
  while (length && isspace((unsigned char)text[length - 1U])) {
    --length;
  }
  return !length || (text[length - 1U] != '}' && text[length - 1U] != ']');
}

bool
qf_results_takes_file(const char* const path)
{
  void*  data   = NULL;
  size_t length = 0;
  if (qf_file_kind_of_path(path) != QF_FILE_LESSON) {
    return false;
  }
  if (qf_file_read(path, &data, &length, NULL)) {
    return true; // Adding it says why it cannot be read.
  }
  const char* const text   = (const char*)data;
  const bool        result = qf_answer_is_answer(text, length) || is_cut_off(text, length);
  free(data);
  return result;
}
