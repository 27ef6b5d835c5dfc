// SPDX-License-Identifier: MIT
#include "command.h"

#include <locale.h>
#include <stdio.h>
#include <string.h>

typedef struct {
  const char* name;
  const char* summary;
  QfExit (*run)(int argc, char** argv);
} Subcommand;

static const Subcommand subcommands[] = {
  {"label", "functions of a passage", label_command},
  {"check", "what part-writing breaks which rule", check_command},
  {"realise", "write numerals out in four parts", realise_command},
  {"harmonise", "find chords for a melody or a bass", harmonise_command},
  {"explore", "where a chain could go next", explore_command},
  {"sound", "render a hearing to a sound file", sound_command},
  {"sheet", "engrave a student sheet or an answer key", sheet_command},
  {"make", "make a set of exercises", make_command},
  {"drill", "make a short drill", drill_command},
  {"practice", "what was right, and what to practise next", practice_command},
  {"task", "make a task to hand out", task_command},
  {"questions", "questions that lead through a lesson", questions_command},
  {"grade", "grade answers of students", grade_command},
  {"convert", "change a file's format, by the files' endings", convert_command},
};

static const size_t n_subcommands = sizeof(subcommands) / sizeof(subcommands[0]);

static void
print_help(FILE* const stream)
{
  fprintf(stream, "qf: functional harmony without a window\n\n"
                  "Usage: qf SUBCOMMAND ARGUMENTS\n\n");
  for (size_t i = 0; i < n_subcommands; ++i) {
    fprintf(stream, "  %-10s %s\n", subcommands[i].name, subcommands[i].summary);
  }
  fprintf(stream,
          "\nqf SUBCOMMAND --help tells more.\n"
          "A FILE is a lesson, MusicXML, .mxl, MIDI or RomanText file; - is standard input.\n"
          "Exit status: 0 done; 1 findings, or below the pass mark; 2 bad input; 3 the machine\n"
          "lacks something.\n");
}

/// The subcommand of a name, or NULL after a complaint
static const Subcommand*
find(const char* const name)
{
  for (size_t i = 0; i < n_subcommands; ++i) {
    if (!strcmp(name, subcommands[i].name)) {
      return &subcommands[i];
    }
  }

  fprintf(stderr, "qf: there is no subcommand \"%s\"\n\n", name);
  print_help(stderr);
  return NULL;
}

/// All of qf's help, or that of one subcommand
static QfExit
help(char* const name)
{
  if (!name) {
    print_help(stdout);
    return QF_EXIT_DONE;
  }

  char                    option[]   = "--help";
  char*                   argv[]     = {name, option, NULL};
  const Subcommand* const subcommand = find(name);
  return subcommand ? subcommand->run(2, argv) : QF_EXIT_INPUT;
}

int
main(int argc, char** argv)
{
  setlocale(LC_CTYPE, "");

  if (argc < 2) {
    print_help(stderr);
    return QF_EXIT_INPUT;
  }

  if (!strcmp(argv[1], "--help") || !strcmp(argv[1], "-h") || !strcmp(argv[1], "help")) {
    return (int)help(argv[2]);
  }

  if (!strcmp(argv[1], "--version")) {
    printf("qf %s\n", QF_VERSION);
    return QF_EXIT_DONE;
  }

  const Subcommand* const subcommand = find(argv[1]);
  return (int)(subcommand ? subcommand->run(argc - 1, argv + 1) : QF_EXIT_INPUT);
}
