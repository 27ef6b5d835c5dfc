// SPDX-License-Identifier: MIT
#include "command.h"

#include "quintfall/file.h"
#include "quintfall/plan_shelf.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

QfExit
exit_of(const QfStatus status)
{
  switch (status) {
    case QF_OK:
      return QF_EXIT_DONE;
    case QF_ERR_NO_MEM:
    case QF_ERR_MISSING:
      return QF_EXIT_MACHINE;
    default:
      return QF_EXIT_INPUT;
  }
}

QfExit
fail(const QfError* const error, const char* const name)
{
  char message[640];
  qf_error_describe(error, name, message, sizeof(message));
  fprintf(stderr, "%s\n", message);
  return exit_of(error->status);
}

QfExit
usage_error(const char* const usage, const char* const format, ...)
{
  va_list args;
  va_start(args, format);
  fprintf(stderr, "qf: ");
  vfprintf(stderr, format, args);
  fprintf(stderr, "\n%s", usage);
  va_end(args);
  return QF_EXIT_INPUT;
}

QfExit
open_document(const char* const path, QfLesson** const lesson)
{
  const char* const name    = strcmp(path, "-") ? path : "standard input";
  char*             remarks = NULL;
  QfError           error   = {0};
  if (qf_document_open(path, lesson, &remarks, &error)) {
    return fail(&error, name);
  }

  for (char* line = remarks; line && *line;) {
    const size_t length = strcspn(line, "\n");
    fprintf(stderr, "%s: note: %.*s\n", name, (int)length, line);
    line += length + (line[length] == '\n');
  }

  free(remarks);
  return QF_EXIT_DONE;
}

QfExit
write_output(const char* const path, const void* const data, const size_t length)
{
  if (path && strcmp(path, "-")) {
    QfError error = {0};
    return qf_file_write(path, data, length, &error) ? fail(&error, path) : QF_EXIT_DONE;
  }

  if (fwrite(data, 1, length, stdout) != length || fflush(stdout)) {
    fprintf(stderr, "standard output: %s\n", strerror(errno));
    return QF_EXIT_MACHINE;
  }

  return QF_EXIT_DONE;
}

int
take_options(int               argc,
             char**            argv,
             const OptionTable options,
             bool (*const take)(int letter, void* data),
             void* const data)
{
  for (int c = 0; (c = getopt_long(argc, argv, options.letters, options.table, NULL)) != -1;) {
    if (c == 'h') {
      return (int)write_output(NULL, options.usage, strlen(options.usage));
    }
    if (!take(c, data)) {
      return QF_EXIT_INPUT;
    }
  }

  return -1;
}

QfStatus
find_plan(const char* const name_or_path, QfPlan** const plan, QfError* const error)
{
  char* const    folder = qf_plan_shelf_folder();
  const QfStatus st     = folder ? qf_plan_find(folder, name_or_path, plan, error)
                                 : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  free(folder);
  return st;
}

bool
parse_number(const char* const option,
             const char* const text,
             const double      low,
             const double      high,
             double* const     result)
{
  char*        end   = NULL;
  const double value = strtod(text, &end);
  if (end == text || *end || !(value >= low && value <= high)) {
    fprintf(stderr, "qf: %s takes a number from %g to %g, not \"%s\"\n", option, low, high, text);
    return false;
  }

  *result = value;
  return true;
}

bool
parse_text_or_json(const char* const usage, const char* const text, bool* const is_json)
{
  *is_json = !strcmp(text, "json");
  if (!*is_json && strcmp(text, "text") != 0) {
    usage_error(usage, "--as takes text or json, not \"%s\"", text);
    return false;
  }
  return true;
}

bool
show_progress(const double done, void* const data)
{
  (void)data;
  if (isatty(STDERR_FILENO)) {
    fprintf(stderr, "\rrendering %3.0f %%%s", done * 100.0, done >= 1.0 ? "\n" : "");
  }

  return true;
}
