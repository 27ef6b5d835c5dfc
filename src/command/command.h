// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_COMMAND_H
#define QUINTFALL_SRC_COMMAND_COMMAND_H

#include "quintfall/document.h"

/// What the command answers to the shell
typedef enum {
  QF_EXIT_DONE     = 0,
  QF_EXIT_FINDINGS = 1, ///< Findings, or a grade below the pass mark
  QF_EXIT_INPUT    = 2, ///< Bad input or usage
  QF_EXIT_MACHINE  = 3, ///< The machine lacks something
} QfExit;

/// Exit status that fits a failure
QfExit
exit_of(QfStatus status);

/// Print a failure as `name:measure:beat: text` on standard error; gives its exit status
QfExit
fail(const QfError* error, const char* name);

/// Print every line of a text as `name: note: line` on standard error; NULL is fine
void
print_remarks(const char* name, const char* remarks);

/// Open FILE and print its remarks on standard error
QfExit
open_document(const char* path, QfLesson** lesson);

/**
   Write a result to a path, or to standard output for NULL or "-".

   Takes nothing; files are written atomically.
*/
QfExit
write_output(const char* path, const void* data, size_t length);

/// Write a made text as write_output() does, and free it; NULL is one that found no memory
QfExit
write_text(const char* path, char* text);

/// True for a path that names a folder
bool
is_folder(const char* path);

/// Find a hearing plan by its name or path (transfer full)
QfStatus
find_plan(const char* name_or_path, QfPlan** plan, QfError* error);

/// As fail(), for a plan that was not found, or whose file is wrong and is named
QfExit
plan_fail(const QfError* error, const char* name_or_path);

/// The worse of two
QfExit
worse(QfExit a, QfExit b);

/// A progress line on standard error while it is a terminal; false after an interrupt
bool
show_progress(double done, void* data);

QfExit
label_command(int argc, char** argv);

QfExit
check_command(int argc, char** argv);

QfExit
realise_command(int argc, char** argv);

QfExit
harmonise_command(int argc, char** argv);

QfExit
explore_command(int argc, char** argv);

QfExit
sound_command(int argc, char** argv);

QfExit
sheet_command(int argc, char** argv);

QfExit
make_command(int argc, char** argv);

QfExit
drill_command(int argc, char** argv);

QfExit
practice_command(int argc, char** argv);

QfExit
task_command(int argc, char** argv);

QfExit
questions_command(int argc, char** argv);

QfExit
grade_command(int argc, char** argv);

QfExit
convert_command(int argc, char** argv);

#endif // QUINTFALL_SRC_COMMAND_COMMAND_H
