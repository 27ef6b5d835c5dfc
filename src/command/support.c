// SPDX-License-Identifier: MIT
#include "command.h"
#include "interrupt.h"

#include "quintfall/file.h"
#include "quintfall/plan_shelf.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

QfExit
exit_of(const QfStatus status)
{
  switch (status) {
    case QF_OK:
      return QF_EXIT_DONE;
    case QF_ERR_NO_MEM:
    case QF_ERR_MISSING:
    case QF_ERR_FULL:
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

void
print_remarks(const char* const name, const char* const remarks)
{
  for (const char* line = remarks; line && *line;) {
    const size_t length = strcspn(line, "\n");
    fprintf(stderr, "%s: note: %.*s\n", name, (int)length, line);
    line += length + (line[length] == '\n');
  }
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

  print_remarks(name, remarks);
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

QfExit
write_text(const char* const path, char* const text)
{
  if (!text) {
    fprintf(stderr, "qf: out of memory\n");
    return QF_EXIT_MACHINE;
  }
  const QfExit result = write_output(path, text, strlen(text));
  free(text);
  return result;
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

QfExit
plan_fail(const QfError* const error, const char* const name_or_path)
{
  return fail(error, error->status == QF_ERR_BAD_FILE ? name_or_path : "--plan");
}

bool
is_folder(const char* const path)
{
  struct stat info;
  return !stat(path, &info) && S_ISDIR(info.st_mode);
}

QfExit
worse(const QfExit a, const QfExit b)
{
  return a > b ? a : b;
}

bool
show_progress(const double done, void* const data)
{
  (void)data;
  if (isatty(STDERR_FILENO)) {
    fprintf(stderr, "\rrendering %3.0f %%%s", done * 100.0, done >= 1.0 ? "\n" : "");
  }

  return !is_interrupted();
}
