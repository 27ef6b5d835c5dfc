// SPDX-License-Identifier: MIT
#include "command.h"

#include "quintfall/engrave.h"

#include <string.h>

static const char usage[] =
  "Usage: qf sheet FILE [--kind student|answers] [--rows ROW,...] -o OUT\n\n"
  "Engrave FILE as OUT, a .pdf, .svg or .png file.\n\n"
  "  --kind student   the notes that are given, and places for what the lesson asks\n"
  "  --kind answers   every note and its function (as without --kind)\n"
  "  --rows ROW,...   under an answer key: numerals, keys, figures, symbols, solfege, degrees\n";

typedef struct {
  const char* name;
  QfRow       row;
} RowName;

static const RowName row_names[] = {
  {"numerals", QF_ROW_NUMERALS}, {"keys", QF_ROW_KEYS},       {"figures", QF_ROW_FIGURES},
  {"symbols", QF_ROW_SYMBOLS},   {"solfege", QF_ROW_SOLFEGE}, {"degrees", QF_ROW_DEGREES},
};

typedef struct {
  const char* input;
  const char* output;
  QfSheetKind kind;
  bool        has_rows;
  unsigned    rows;
} Options;

/// Read "numerals,keys"; false if a name is unknown
static bool
parse_rows(const char* text, unsigned* const rows)
{
  const size_t n_names = sizeof(row_names) / sizeof(row_names[0]);

  *rows = 0;
  while (*text) {
    const size_t length = strcspn(text, ",");
    size_t       i      = 0;
    while (i < n_names &&
           (strlen(row_names[i].name) != length || strncmp(text, row_names[i].name, length))) {
      ++i;
    }
    if (i == n_names) {
      return false;
    }

    *rows |= row_names[i].row;
    text += length + (text[length] == ',');
  }

  return true;
}

static bool
take_option(const int c, void* const data)
{
  Options* const options = (Options*)data;
  switch (c) {
    case 'k':
      options->kind = strcmp(optarg, "student") ? QF_SHEET_ANSWERS : QF_SHEET_STUDENT;
      if (strcmp(optarg, "student") && strcmp(optarg, "answers")) {
        usage_error(usage, "--kind takes student or answers, not \"%s\"", optarg);
        return false;
      }
      return true;
    case 'r':
      options->has_rows = parse_rows(optarg, &options->rows);
      if (!options->has_rows) {
        usage_error(usage, "--rows does not know \"%s\"", optarg);
      }
      return options->has_rows;
    case 'o':
      options->output = optarg;
      return true;
    default:
      usage_error(usage, "option not understood");
      return false;
  }
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  static const struct option table[] = {
    {"kind", required_argument, NULL, 'k'},
    {"rows", required_argument, NULL, 'r'},
    {"output", required_argument, NULL, 'o'},
    {"help", no_argument, NULL, 'h'},
    {NULL, 0, NULL, 0},
  };

  const int early =
    take_options(argc, argv, (OptionTable){"k:r:o:h", table, usage}, take_option, options);
  if (early >= 0) {
    return early;
  }

  if (argc - optind != 1 || !options->output) {
    return (int)usage_error(usage, "sheet takes one FILE and -o OUT");
  }

  const QfFileKind kind = qf_file_kind_of_path(options->output);
  if (kind != QF_FILE_PDF && kind != QF_FILE_SVG && kind != QF_FILE_PNG) {
    return (int)usage_error(usage, "OUT must end in .pdf, .svg or .png");
  }

  options->input = argv[optind];
  return -1;
}

QfExit
sheet_command(int argc, char** argv)
{
  Options   options = {0};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfLesson* lesson = NULL;
  QfExit    result = open_document(options.input, &lesson);
  if (result) {
    return result;
  }

  QfError error          = {0};
  QfExportOptions export = qf_export_options(lesson);
  export.sheet           = options.kind;
  if (options.has_rows) {
    export.rows = options.rows;
  }
  if (qf_document_export(lesson, options.output, qf_file_kind_of_path(options.output), export,
                         &error)) {
    result = fail(&error, options.output);
  }

  qf_lesson_free(lesson);
  return result;
}
