// SPDX-License-Identifier: MIT
#include "quintfall/status.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

QfStatus
qf_error_set(QfError* const error, const QfStatus status, const char* const format, ...)
{
  if (!error) {
    return status;
  }

  *error = (QfError){.status = status, .measure = -1};

  va_list args;
  va_start(args, format);
  vsnprintf(error->text, sizeof(error->text), format, args);
  va_end(args);
  return status;
}

void
qf_error_place(QfError* const error, const int line, const int measure, const char* const beat)
{
  if (error) {
    error->line    = line;
    error->measure = measure;
    snprintf(error->beat, sizeof(error->beat), "%s", beat ? beat : "");
  }
}

void
qf_error_describe(const QfError* const error,
                  const char* const    name,
                  char* const          buffer,
                  const size_t         size)
{
  char place[64] = "";
  if (error->measure >= 0 && error->beat[0]) {
    snprintf(place, sizeof(place), "%d:%s: ", error->measure, error->beat);
  } else if (error->measure >= 0) {
    snprintf(place, sizeof(place), "%d: ", error->measure);
  } else if (error->line > 0) {
    snprintf(place, sizeof(place), "line %d: ", error->line);
  }

  const bool        is_file = error->status == QF_ERR_IO || error->status == QF_ERR_FULL;
  const char* const text    = error->text[0] ? error->text : qf_status_text(error->status);
  if (!name || (is_file && strstr(text, name))) {
    snprintf(buffer, size, "%s%s", place, text);
  } else {
    snprintf(buffer, size, "%s:%s%s%s", name, place[0] ? "" : " ", place, text);
  }
}

const char*
qf_status_text(const QfStatus status)
{
  static const char* const texts[] = {
    [QF_OK]              = "done",
    [QF_ERR_NO_MEM]      = "out of memory",
    [QF_ERR_BAD_TEXT]    = "text not understood",
    [QF_ERR_RANGE]       = "out of range",
    [QF_ERR_BAD_FILE]    = "malformed file",
    [QF_ERR_IO]          = "file could not be read or written",
    [QF_ERR_UNSUPPORTED] = "not supported",
    [QF_ERR_MISSING]     = "something is missing on this machine",
    [QF_ERR_IMPOSSIBLE]  = "nothing satisfies the givens",
    [QF_ERR_READ_ONLY]   = "read only",
    [QF_ERR_CANCELLED]   = "cancelled",
    [QF_ERR_FULL]        = "the disk is full",
  };

  return (size_t)status < sizeof(texts) / sizeof(texts[0]) ? texts[status] : "unknown status";
}
