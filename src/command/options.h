// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_OPTIONS_H
#define QUINTFALL_SRC_COMMAND_OPTIONS_H

#include "command.h"

enum {
  MAX_OPTIONS = 24,  ///< Of one subcommand
  MAX_TEXTS   = 256, ///< Of one option
};

typedef struct OptionImpl Option;

/**
   Read what an option was given.

   @param text What was given; NULL for a flag, or if it may be missing and is.
   @return #QF_OK, or a failure with the sentence that says what was expected.
*/
typedef QfStatus (*OptionFunc)(const Option* option, const char* text, QfError* error);

/// An option of a subcommand: its name, and where what it is given goes
struct OptionImpl {
  const char*        name; ///< Without dashes; "output" can be given as -o too
  OptionFunc         take;
  void*              target;      ///< Of the type that `take` names
  bool*              is_given;    ///< Becomes true with the option, or NULL
  double             low;         ///< Least number
  double             high;        ///< Greatest number
  const char* const* words;       ///< For take_word(), NULL after the last
  bool               is_optional; ///< The text may be missing, as in --plan[=PLAN]
};

/// The words of --as where it is text or json, for take_word()
extern const char* const text_or_json[];

/// Texts of an option that can be given several times, not copied
typedef struct {
  const char* texts[MAX_TEXTS];
  size_t      n_texts;
} Texts;

/// Target `bool`; the option has no text
QfStatus
take_flag(const Option* option, const char* text, QfError* error);

/// Target `const char*`
QfStatus
take_text(const Option* option, const char* text, QfError* error);

/// Target `Texts`
QfStatus
take_texts(const Option* option, const char* text, QfError* error);

/// Target `int`, within the bounds
QfStatus
take_whole(const Option* option, const char* text, QfError* error);

/// Target `double`, within the bounds
QfStatus
take_number(const Option* option, const char* text, QfError* error);

/// Target `uint64_t`, any
QfStatus
take_seed(const Option* option, const char* text, QfError* error);

/// Target `int`, the index of one of the words
QfStatus
take_word(const Option* option, const char* text, QfError* error);

/// Target `QfKey`
QfStatus
take_key(const Option* option, const char* text, QfError* error);

/// Target `QfMetre`
QfStatus
take_metre(const Option* option, const char* text, QfError* error);

/// Target `QfProfile`
QfStatus
take_profile(const Option* option, const char* text, QfError* error);

/// How many options an array has
#define N_OPTIONS(array) (sizeof(array) / sizeof((array)[0]))

/// What there is to give a subcommand
typedef struct {
  const char*   usage; ///< Printed for --help, which every subcommand has
  const Option* options;
  size_t        n_options;
} OptionTable;

/**
   Read the options; what is refused is complained about here.

   @param[out] first The first argument that is no option; options are moved before it.
   @return A negative number to go on, otherwise the exit status to end with.
*/
int
read_options(int argc, char** argv, OptionTable table, int* first);

/// Print what is wrong and how the subcommand is called on standard error; gives #QF_EXIT_INPUT
QfExit
usage_error(const char* usage, const char* format, ...) __attribute__((format(printf, 2, 3)));

#endif // QUINTFALL_SRC_COMMAND_OPTIONS_H
