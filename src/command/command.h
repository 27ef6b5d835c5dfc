// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_COMMAND_H
#define QUINTFALL_SRC_COMMAND_COMMAND_H

#include "quintfall/document.h"

#include <getopt.h>

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

/// Print how a subcommand is called on standard error; gives #QF_EXIT_INPUT
QfExit
usage_error(const char* usage, const char* format, ...) __attribute__((format(printf, 2, 3)));

/// Open FILE and print its remarks on standard error
QfExit
open_document(const char* path, QfLesson** lesson);

/**
   Write a result to a path, or to standard output for NULL or "-".

   Takes nothing; files are written atomically.
*/
QfExit
write_output(const char* path, const void* data, size_t length);

/// The options of a subcommand
typedef struct {
  const char*          letters; ///< As getopt_long() wants them, with "h" for help
  const struct option* table;
  const char*          usage; ///< Printed for --help
} OptionTable;

/**
   Hand every option to `take`, which complains itself about what it refuses.

   Afterwards `optind` is the first argument that is no option.
   @return A negative number to go on, otherwise the exit status to end with.
*/
int
take_options(int         argc,
             char**      argv,
             OptionTable options,
             bool (*take)(int letter, void* data),
             void* data);

/// Read a number within a range; prints what was expected
bool
parse_number(const char* option, const char* text, double low, double high, double* result);

/// Find a hearing plan by its name or path (transfer full)
QfStatus
find_plan(const char* name_or_path, QfPlan** plan, QfError* error);

/// Read what --as takes; says so and gives false if it is neither text nor json
bool
parse_text_or_json(const char* usage, const char* text, bool* is_json);

/// A progress line on standard error while it is a terminal
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
