// SPDX-License-Identifier: MIT
#include "command.h"
#include "options.h"

#include <stdlib.h>
#include <string.h>

static const char usage[] = "Usage: qf convert IN OUT [--to ENDING]\n\n"
                            "Write IN as OUT, in the format that OUT's ending names:\n"
                            "json, musicxml, mxl, mid, rntxt, wav, flac, ogg, pdf, svg or png.\n\n"
                            "  --to ENDING   the format of OUT where it is - (standard output):\n"
                            "                json, musicxml, mxl, mid or rntxt\n";

typedef struct {
  const char* input;
  const char* output;
  QfFileKind  kind;
} Options;

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  const char*  ending = NULL;
  const Option list[] = {{"to", take_text, &ending}};

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early >= 0) {
    return early;
  }
  if (argc - first != 2) {
    return (int)usage_error(usage, "convert takes IN and OUT");
  }

  options->input  = argv[first];
  options->output = argv[first + 1];
  options->kind   = qf_file_kind_of_path(ending ? ending : options->output);
  if (options->kind == QF_FILE_UNKNOWN) {
    return (int)usage_error(usage, "\"%s\" names no format that can be written%s",
                            ending ? ending : options->output,
                            !strcmp(options->output, "-") && !ending ? "; name it with --to" : "");
  }

  return -1;
}

static QfExit
write_stdout(QfLesson* const lesson, const QfFileKind kind)
{
  QfError error  = {0};
  void*   data   = NULL;
  size_t  length = 0;
  if (qf_document_write(lesson, kind, &data, &length, &error)) {
    return fail(&error, "standard output");
  }

  const QfExit result = write_output(NULL, data, length);
  free(data);
  return result;
}

QfExit
convert_command(int argc, char** argv)
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

  QfError error = {0};
  if (!strcmp(options.output, "-")) {
    result = write_stdout(lesson, options.kind);
  } else if (qf_document_export(lesson, options.output, options.kind, qf_export_options(lesson),
                                &error)) {
    result = fail(&error, options.output);
  }

  qf_lesson_free(lesson);
  return result;
}
