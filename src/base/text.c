// SPDX-License-Identifier: MIT
#include "quintfall/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool
reserve(QfText* const text, const size_t n_more)
{
  if (text->failed) {
    return false;
  }

  const size_t needed = text->length + n_more + 1U;
  if (needed <= text->capacity) {
    return true;
  }

  const size_t capacity = needed < 64U ? 64U : needed + needed / 2U;
  char* const  data     = (char*)realloc(text->data, capacity);
  if (!data) {
    text->failed = true;
    return false;
  }

  text->data     = data;
  text->capacity = capacity;
  return true;
}

void
qf_text_add_bytes(QfText* const text, const char* const bytes, const size_t n_bytes)
{
  if (reserve(text, n_bytes)) {
    if (n_bytes) {
      memcpy(text->data + text->length, bytes, n_bytes);
    }
    text->length += n_bytes;
    text->data[text->length] = '\0';
  }
}

void
qf_text_add(QfText* const text, const char* const string)
{
  qf_text_add_bytes(text, string, strlen(string));
}

void
qf_text_addf(QfText* const text, const char* const format, ...)
{
  va_list args;
  va_start(args, format);
  va_list again;
  va_copy(again, args);

  const int length = vsnprintf(NULL, 0, format, args);
  if (length < 0) {
    text->failed = true;
  } else if (reserve(text, (size_t)length)) {
    vsnprintf(text->data + text->length, (size_t)length + 1U, format, again);
    text->length += (size_t)length;
  }

  va_end(again);
  va_end(args);
}

char*
qf_text_take(QfText* const text)
{
  if (!text->failed && !text->data) {
    reserve(text, 0);
    if (text->data) {
      text->data[0] = '\0';
    }
  }

  char* const data = text->failed ? NULL : text->data;
  if (text->failed) {
    free(text->data);
  }
  *text = (QfText){0};
  return data;
}

void
qf_text_free(QfText* const text)
{
  free(text->data);
  *text = (QfText){0};
}
