// SPDX-License-Identifier: MIT
#include "graded.h"
#include "options.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf grade LESSON ANSWER... [OPTIONS]\n\n"
  "Grade answers of students by LESSON and its rubric. An ANSWER is a file, or a folder of "
  "them.\n\n"
  "  --as text|json|csv|class\n"
  "                      text with every reason; csv is a line an answer (as for a folder\n"
  "                      or several answers without --as); class tells what all of them\n"
  "                      together got right, layer by layer and concept by concept\n"
  "  --rubric NAME       another rubric: a file, or the name of one that comes with qf:\n"
  "                      \"Balanced\", \"Outer voices and symbols, 24 points\",\n"
  "                      \"By ear, then by reason\"\n"
  "  --pass P            pass mark in percent, otherwise the rubric's\n"
  "  --attempt N         another attempt than the last\n"
  "  --pdf FOLDER        also write comments, a PDF for each answer: its page with the faults\n"
  "                      marked, the passage, and every reason\n"
  "  --no-solution       comments show neither the passage nor what should stand where\n"
  "  -o OUT              write to a file\n\n"
  "Exit status 1 tells that somebody is below the pass mark.\n";

/// In the order of their words
typedef enum { AS_TEXT, AS_JSON, AS_CSV, AS_CLASS } Form;

typedef struct {
  const char* lesson;
  char**      answers; ///< Not owned
  size_t      n_answers;
  bool        has_form;
  int         form; ///< A #Form
  const char* rubric;
  double      pass;    ///< Negative for the rubric's
  int         attempt; ///< 0 for the last
  const char* pdf_folder;
  bool        is_unsolved;
  const char* output;
} Options;

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  static const char* const forms[] = {"text", "json", "csv", "class", NULL};

  const Option list[] = {
    {"as", take_word, &options->form, &options->has_form, .words = forms},
    {"rubric", take_text, &options->rubric},
    {"pass", take_number, &options->pass, .low = 0.0, .high = 100.0},
    {"attempt", take_whole, &options->attempt, .low = 1.0, .high = QF_MAX_ATTEMPTS},
    {"pdf", take_text, &options->pdf_folder},
    {"no-solution", take_flag, &options->is_unsolved},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early >= 0) {
    return early;
  }
  if (argc - first < 2) {
    return (int)usage_error(usage, "grade takes LESSON and at least one ANSWER");
  }
  options->lesson    = argv[first];
  options->answers   = argv + first + 1;
  options->n_answers = (size_t)(argc - first - 1);
  return -1;
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
        qf_results_takes_file(path)) {
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
    result =
      is_folder(arguments[i]) ? add_folder(paths, arguments[i]) : add_path(paths, arguments[i]);
  }
  if (!result && !paths->n_paths) {
    fprintf(stderr, "%s: no answers are there\n", arguments[0]);
    return QF_EXIT_INPUT;
  }
  return result;
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
    const size_t attempt = (size_t)options->attempt;
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
write_results(const QfResults* const list,
              QfLesson* const        lesson,
              const Options* const   options,
              const bool             is_class)
{
  const Form form   = options->has_form ? (Form)options->form : is_class ? AS_CSV : AS_TEXT;
  QfExit     result = write_text(options->output, form == AS_JSON    ? graded_json(list)
                                                  : form == AS_CSV   ? qf_results_csv(list)
                                                  : form == AS_CLASS ? qf_results_class_text(list)
                                                                     : graded_text(list));
  if (options->pdf_folder) {
    const QfCommentsKind kind  = options->is_unsolved ? QF_COMMENTS_UNSOLVED : QF_COMMENTS_SOLVED;
    QfError              error = {0};
    if (qf_results_write_pdfs(list, lesson, kind, options->pdf_folder, &error)) {
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
  QfExit    result = open_document(options.lesson, &lesson);
  if (!result) {
    result = collect(&paths, options.answers, options.n_answers);
  }
  if (!result) {
    const bool is_class = paths.n_paths > 1;
    result              = grade_all(lesson, &options, &paths, &list);
    if (list.n_items) {
      result = worse(result, write_results(&list, lesson, &options, is_class));
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
