// SPDX-License-Identifier: MIT
#include "graded.h"

#include "quintfall/file.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const char usage[] =
  "Usage: qf grade LESSON ANSWER... [OPTIONS]\n\n"
  "Grade answers of students by LESSON and its rubric. An ANSWER is a file, or a folder of "
  "them.\n\n"
  "  --as text|json|csv  text with every reason; csv is a line an answer (as for a folder\n"
  "                      or several answers without --as)\n"
  "  --rubric NAME       another rubric: a file, or the name of one that comes with qf:\n"
  "                      \"Balanced\", \"Outer voices and symbols, 24 points\",\n"
  "                      \"By ear, then by reason\"\n"
  "  --pass P            pass mark in percent, otherwise the rubric's\n"
  "  --attempt N         another attempt than the last\n"
  "  --pdf FOLDER        also write comments, a PDF for each answer\n"
  "  -o OUT              write to a file\n\n"
  "Exit status 1 tells that somebody is below the pass mark.\n";

typedef enum { AS_UNSET, AS_TEXT, AS_JSON, AS_CSV } Form;

typedef struct {
  Form        form;
  const char* rubric;
  double      pass;    ///< Negative for the rubric's
  double      attempt; ///< 0 for the last
  const char* pdf_folder;
  const char* output;
} Options;

static bool
take_option(const int c, void* const data)
{
  static const char* const forms[] = {
    [AS_UNSET] = "", [AS_TEXT] = "text", [AS_JSON] = "json", [AS_CSV] = "csv"};

  Options* const options = (Options*)data;
  switch (c) {
    case 'a':
      for (int f = AS_TEXT; f <= AS_CSV; ++f) {
        if (!strcmp(optarg, forms[f])) {
          options->form = (Form)f;
          return true;
        }
      }
      usage_error(usage, "--as takes text, json or csv, not \"%s\"", optarg);
      return false;
    case 'r':
      options->rubric = optarg;
      return true;
    case 'p':
      return parse_number("--pass", optarg, 0.0, 100.0, &options->pass);
    case 'n':
      return parse_number("--attempt", optarg, 1.0, QF_MAX_ATTEMPTS, &options->attempt);
    case 'd':
      options->pdf_folder = optarg;
      return true;
    case 'o':
      options->output = optarg;
      return true;
    default:
      usage_error(usage, "option not understood");
      return false;
  }
}

static int
parse_options(int argc, char** argv, Options* const options)
{
  static const struct option table[] = {
    {"as", required_argument, NULL, 'a'},   {"rubric", required_argument, NULL, 'r'},
    {"pass", required_argument, NULL, 'p'}, {"attempt", required_argument, NULL, 'n'},
    {"pdf", required_argument, NULL, 'd'},  {"output", required_argument, NULL, 'o'},
    {"help", no_argument, NULL, 'h'},       {NULL, 0, NULL, 0},
  };

  const int early =
    take_options(argc, argv, (OptionTable){"a:r:p:n:d:o:h", table, usage}, take_option, options);
  if (early >= 0) {
    return early;
  }
  return argc - optind >= 2 ? -1
                            : (int)usage_error(usage, "grade takes LESSON and at least one ANSWER");
}

/// The paths of answers, folders opened
typedef struct {
  char** paths; ///< Owned, each
  size_t n_paths;
} Paths;

static QfExit
add_path(Paths* const paths, const char* const path)
{
  char** const grown = (char**)realloc(paths->paths, (paths->n_paths + 1U) * sizeof(char*));
  char* const  copy  = grown ? strdup(path) : NULL;
  paths->paths       = grown ? grown : paths->paths;
  if (!copy) {
    return QF_EXIT_MACHINE;
  }
  paths->paths[paths->n_paths++] = copy;
  return QF_EXIT_DONE;
}

/// True for a .json file that says that it is an answer
static bool
is_answer(const char* const path)
{
  void*   data   = NULL;
  size_t  length = 0;
  QfError error  = {0};
  if (qf_file_kind_of_path(path) != QF_FILE_LESSON || qf_file_read(path, &data, &length, &error)) {
    return false;
  }
  const bool result = qf_answer_is_answer((const char*)data, length);
  free(data);
  return result;
}

static QfExit
add_folder(Paths* const paths, const char* const folder)
{
  struct dirent** entries   = NULL;
  const int       n_entries = scandir(folder, &entries, NULL, alphasort);
  QfExit          result    = QF_EXIT_DONE;
  if (n_entries < 0) {
    fprintf(stderr, "%s: %s\n", folder, strerror(errno));
    return QF_EXIT_INPUT;
  }
  for (int i = 0; i < n_entries; ++i) {
    char path[PATH_MAX];
    if (!result && entries[i]->d_name[0] != '.' &&
        snprintf(path, sizeof(path), "%s/%s", folder, entries[i]->d_name) < (int)sizeof(path) &&
        is_answer(path)) {
      result = add_path(paths, path);
    }
    free(entries[i]);
  }
  free(entries);
  return result;
}

static QfExit
collect(Paths* const paths, char* const* const arguments, const size_t n_arguments)
{
  QfExit result = QF_EXIT_DONE;
  for (size_t i = 0; !result && i < n_arguments; ++i) {
    struct stat info;
    result = !stat(arguments[i], &info) && S_ISDIR(info.st_mode) ? add_folder(paths, arguments[i])
                                                                 : add_path(paths, arguments[i]);
  }
  if (!result && !paths->n_paths) {
    fprintf(stderr, "%s: no answers are there\n", arguments[0]);
    return QF_EXIT_INPUT;
  }
  return result;
}

static QfExit
worse(const QfExit a, const QfExit b)
{
  return a > b ? a : b;
}

/// Grade all that can be read; gives the worst that happened
static QfExit
grade_all(QfLesson* const      lesson,
          const Options* const options,
          const Paths* const   paths,
          QfResults* const     list)
{
  QfRubric rubric = *qf_lesson_get_rubric(lesson);
  QfError  error  = {0};
  if (options->rubric && qf_rubric_find(options->rubric)) {
    rubric = *qf_rubric_find(options->rubric);
  } else if (options->rubric && qf_rubric_load(options->rubric, &rubric, &error)) {
    return fail(&error, options->rubric);
  }
  list->pass_percent = options->pass >= 0.0 ? options->pass : rubric.pass_percent;

  QfExit result = QF_EXIT_DONE;
  for (size_t i = 0; i < paths->n_paths; ++i) {
    const size_t attempt = options->attempt > 0.0 ? (size_t)options->attempt : 0;
    if (qf_results_add(list, lesson, paths->paths[i], attempt, &rubric, QF_NAMING_ENGLISH,
                       &error)) {
      result = worse(result, fail(&error, paths->paths[i]));
    }
  }
  for (size_t i = 0; i < list->n_items; ++i) {
    if (!qf_result_has_passed(list, &list->items[i])) {
      result = worse(result, QF_EXIT_FINDINGS);
    }
  }
  return result;
}

static QfExit
write_results(const QfResults* const list, const Options* const options, const bool is_class)
{
  const Form  form   = options->form != AS_UNSET ? options->form : is_class ? AS_CSV : AS_TEXT;
  char* const text   = form == AS_JSON  ? graded_json(list)
                       : form == AS_CSV ? qf_results_csv(list)
                                        : graded_text(list);
  QfExit      result = text ? write_output(options->output, text, strlen(text)) : QF_EXIT_MACHINE;
  free(text);
  if (options->pdf_folder) {
    QfError error = {0};
    if (qf_results_write_pdfs(list, options->pdf_folder, &error)) {
      result = worse(result, fail(&error, NULL));
    }
  }
  return result;
}

QfExit
grade_command(int argc, char** argv)
{
  Options   options = {.pass = -1.0};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfLesson* lesson = NULL;
  Paths     paths  = {0};
  QfResults list   = {0};
  QfExit    result = open_document(argv[optind], &lesson);
  if (!result) {
    result = collect(&paths, argv + optind + 1, (size_t)(argc - optind - 1));
  }
  if (!result) {
    const bool is_class = paths.n_paths > 1;
    result              = grade_all(lesson, &options, &paths, &list);
    if (list.n_items) {
      result = worse(result, write_results(&list, &options, is_class));
    }
  }
  qf_results_clear(&list);
  for (size_t i = 0; i < paths.n_paths; ++i) {
    free(paths.paths[i]);
  }
  free(paths.paths);
  qf_lesson_free(lesson);
  return result;
}
