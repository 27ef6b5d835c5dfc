// SPDX-License-Identifier: MIT
#include "command.h"
#include "options.h"

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
  int         kind; ///< A #QfSheetKind
  bool        has_rows;
  unsigned    rows;
} Options;

/// The row a name of this length stands for, or NULL
static const RowName*
find_row(const char* const name, const size_t length)
{
  for (size_t i = 0; i < sizeof(row_names) / sizeof(row_names[0]); ++i) {
    if (strlen(row_names[i].name) == length && !strncmp(name, row_names[i].name, length)) {
      return &row_names[i];
    }
  }
  return NULL;
}

/// Read "numerals,keys"; none at all is fine
static QfStatus
take_rows(const Option* const option, const char* text, QfError* const error)
{
  unsigned rows = 0;
  while (*text) {
    const size_t         length = strcspn(text, ",");
    const RowName* const found  = find_row(text, length);
    if (!found) {
      return qf_error_set(error, QF_ERR_BAD_TEXT,
                          "expected numerals, keys, figures, symbols, solfege or degrees, "
                          "separated by commas, not \"%.40s\"",
                          text);
    }
    rows |= found->row;
    text += length + (text[length] == ',');
  }

  *(unsigned*)option->target = rows;
  return QF_OK;
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  static const char* const kinds[] = {
    [QF_SHEET_ANSWERS] = "answers", [QF_SHEET_STUDENT] = "student", NULL};

  const Option list[] = {
    {"kind", take_word, &options->kind, .words = kinds},
    {"rows", take_rows, &options->rows, &options->has_rows},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early >= 0) {
    return early;
  }
  if (argc - first != 1 || !options->output) {
    return (int)usage_error(usage, "sheet takes one FILE and -o OUT");
  }

  const QfFileKind kind = qf_file_kind_of_path(options->output);
  if (kind != QF_FILE_PDF && kind != QF_FILE_SVG && kind != QF_FILE_PNG) {
    return (int)usage_error(usage, "OUT must end in .pdf, .svg or .png");
  }

  options->input = argv[first];
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
  export.sheet           = (QfSheetKind)options.kind;
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
