// SPDX-License-Identifier: MIT
#include "quintfall/workbook.h"

#include "index.h"

#include "quintfall/answer.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum {
  MAX_FILES = 5,
  NAME_SIZE = 40,
  PATH_SIZE = 4096,
};

/// A file of an exercise
typedef struct {
  QfWorkbookPart part; ///< 0 for the lesson, which is always written
  const char*    ending;
  QfFileKind     kind;
  QfSheetKind    sheet;
} FileLine;

static const FileLine file_lines[MAX_FILES] = {
  {(QfWorkbookPart)0, "lesson.json", QF_FILE_LESSON, QF_SHEET_ANSWERS},
  {QF_WORKBOOK_SHEETS, "student.pdf", QF_FILE_PDF, QF_SHEET_STUDENT},
  {QF_WORKBOOK_ANSWERS, "answers.pdf", QF_FILE_PDF, QF_SHEET_ANSWERS},
  {QF_WORKBOOK_RECORDINGS, "recording.flac", QF_FILE_FLAC, QF_SHEET_ANSWERS},
  {QF_WORKBOOK_TASKS, "task.json", QF_FILE_UNKNOWN, QF_SHEET_STUDENT},
};

/// A set on its way to a folder
typedef struct {
  const char*              folder;
  const QfWorkbookOptions* options;
  QfExerciseSet*           set;
  Index*                   index;
  QfBooklet*               worksheets; ///< Or NULL
  QfBooklet*               answer_key; ///< Or NULL
  QfWorkbookProgress       progress;
} Work;

QfWorkbookOptions
qf_workbook_options(const QfExerciseOptions exercises)
{
  QfHearing hearing   = qf_hearing_default();
  hearing.has_prelude = true;
  return (QfWorkbookOptions){
    .exercises = exercises,
    .count     = 10,
    .parts     = QF_WORKBOOK_SHEETS | QF_WORKBOOK_ANSWERS | QF_WORKBOOK_RECORDINGS,
    .hearing   = hearing,
    .sound     = {.level_db = hearing.level_db},
  };
}

static bool
may_go_on(const Work* const work)
{
  return !work->options->progress || work->options->progress(work->progress, work->options->data);
}

static bool
go_on_cb(const double done, void* const data)
{
  (void)done;
  return may_go_on((const Work*)data);
}

/// A path in the set's folder; false if it is too long
static bool
path_in(const Work* const work, const char* const name, char path[PATH_SIZE])
{
  return snprintf(path, PATH_SIZE, "%s/%s", work->folder, name) < PATH_SIZE;
}

static QfStatus
write_task(QfLesson* const lesson, const char* const path, QfError* const error)
{
  QfAnswer* task = NULL;
  QfStatus  st   = qf_answer_new(lesson, &task, error);
  if (!st) {
    st = qf_answer_save(task, path, error);
    qf_answer_free(task);
  }
  return st;
}

static QfStatus
write_one_file(Work* const           work,
               QfLesson* const       lesson,
               const FileLine* const line,
               const char* const     name,
               QfError* const        error)
{
  char path[PATH_SIZE];
  work->progress.doing = name;
  if (!may_go_on(work)) {
    return qf_error_set(error, QF_ERR_CANCELLED, "the set was cancelled");
  }
  if (!path_in(work, name, path)) {
    return qf_error_set(error, QF_ERR_IO, "the folder's name is too long");
  }
  if (line->part == QF_WORKBOOK_TASKS) {
    return write_task(lesson, path, error);
  }

  QfExportOptions options = qf_export_options(lesson);
  options.sheet           = line->sheet;
  options.hearing         = work->options->hearing;
  options.sound           = work->options->sound;
  options.progress        = go_on_cb;
  options.progress_data   = work;
  return qf_document_export(lesson, path, line->kind, options, error);
}

/// Take away the files of an exercise that did not become complete
static void
remove_files(const Work* const work, char names[MAX_FILES][NAME_SIZE], const size_t n_files)
{
  for (size_t i = 0; i < n_files; ++i) {
    char path[PATH_SIZE];
    if (path_in(work, names[i], path)) {
      unlink(path);
    }
  }
}

static QfStatus
add_to_booklets(const Work* const work, QfLesson* const lesson, QfError* const error)
{
  QfExportOptions options = qf_export_options(lesson);
  QfStatus        st      = QF_OK;
  if (work->worksheets) {
    options.sheet = QF_SHEET_STUDENT;
    st            = qf_document_add_to_booklet(lesson, options, work->worksheets, error);
  }
  if (!st && work->answer_key) {
    options.sheet = QF_SHEET_ANSWERS;
    st            = qf_document_add_to_booklet(lesson, options, work->answer_key, error);
  }
  return st;
}

static QfStatus
write_files(Work* const work, QfExercise* const exercise, QfError* const error)
{
  char        names[MAX_FILES][NAME_SIZE];
  const char* list[MAX_FILES + 1] = {NULL};
  size_t      n_files             = 0;
  QfStatus    st                  = QF_OK;
  for (size_t i = 0; !st && i < MAX_FILES; ++i) {
    const FileLine* const line = &file_lines[i];
    if (line->part && !(work->options->parts & (unsigned)line->part)) {
      continue;
    }
    snprintf(names[n_files], NAME_SIZE, "%03zu-%s", work->progress.done + 1U, line->ending);
    st = write_one_file(work, exercise->lesson, line, names[n_files], error);
    if (!st) {
      list[n_files] = names[n_files];
      ++n_files;
    }
  }

  st = st ? st : add_to_booklets(work, exercise->lesson, error);
  st = st ? st : index_add(work->index, exercise, list, error);
  if (st) {
    remove_files(work, names, n_files);
  }
  work->progress.doing = "";
  return st;
}

/// Say the number of an exercise in its title
static QfStatus
set_title(QfExercise* const exercise, const size_t number, QfError* const error)
{
  char              title[QF_EXERCISE_TITLE_SIZE + 32];
  const char* const old = qf_score_get_title(qf_lesson_get_score(exercise->lesson));
  snprintf(title, sizeof(title), "%zu. %s", number, old);

  const QfStatus st = qf_lesson_set_title(exercise->lesson, title, error);
  qf_lesson_forget_history(exercise->lesson);
  return st;
}

static QfStatus
write_exercises(Work* const work, QfError* const error)
{
  QfStatus st = QF_OK;
  while (!st && work->progress.done < work->options->count) {
    QfExercise exercise = {0};
    st                  = qf_exercise_set_next(work->set, &exercise, error);
    st                  = st ? st : set_title(&exercise, work->progress.done + 1U, error);
    st                  = st ? st : write_files(work, &exercise, error);
    qf_exercise_clear(&exercise);
    work->progress.done += !st;
  }
  return st;
}

/// What tells of the whole set
static QfStatus
write_ends(const Work* const work, QfError* const error)
{
  char     path[PATH_SIZE];
  QfStatus st = QF_OK;
  if (work->worksheets && path_in(work, "worksheets.pdf", path)) {
    st = qf_booklet_save(work->worksheets, path, error);
  }
  if (!st && work->answer_key && path_in(work, "answer-key.pdf", path)) {
    st = qf_booklet_save(work->answer_key, path, error);
  }
  return st || !path_in(work, "index.json", path) ? st : index_write(work->index, path, error);
}

/// What can be known to fail before anything is written
static QfStatus
check_options(const QfWorkbookOptions* const options, QfError* const error)
{
  if (options->count < 1 || options->count > QF_WORKBOOK_MAX) {
    return qf_error_set(error, QF_ERR_RANGE, "%zu exercises: there can be 1 to %d", options->count,
                        QF_WORKBOOK_MAX);
  }
  if (options->parts & QF_WORKBOOK_RECORDINGS && !options->sound.soundfont) {
    char* const soundfont = qf_sound_find_soundfont(error);
    if (!soundfont) {
      return QF_ERR_MISSING;
    }
    free(soundfont);
  }
  return qf_exercise_options_check(&options->exercises, error);
}

QfStatus
qf_workbook_write(const char* const              folder,
                  const QfWorkbookOptions* const options,
                  size_t* const                  n_done,
                  QfError* const                 error)
{
  QfStatus st = check_options(options, error);
  if (!st && mkdir(folder, 0777) && errno != EEXIST) {
    st = qf_error_set(error, QF_ERR_IO, "%s: %s", folder, strerror(errno));
  }
  if (st) {
    return st;
  }

  const bool has_sheets = options->parts & QF_WORKBOOK_SHEETS;
  const bool has_key    = options->parts & QF_WORKBOOK_ANSWERS;
  Work       work       = {.folder     = folder,
                           .options    = options,
                           .set        = qf_exercise_set_new(options->exercises),
                           .index      = index_new(options),
                           .worksheets = has_sheets ? qf_booklet_new("Worksheets") : NULL,
                           .answer_key = has_key ? qf_booklet_new("Answer key") : NULL,
                           .progress   = {0, options->count, ""}};
  const bool is_ready =
    work.set && work.index && (work.worksheets || !has_sheets) && (work.answer_key || !has_key);
  st =
    is_ready ? write_exercises(&work, error) : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");

  // Booklets and index tell what is there, whatever stopped the work.
  if (is_ready && work.progress.done) {
    const QfStatus ended = write_ends(&work, st ? NULL : error);
    st                   = st ? st : ended;
  }
  if (n_done) {
    *n_done = work.progress.done;
  }
  qf_booklet_free(work.worksheets);
  qf_booklet_free(work.answer_key);
  qf_exercise_set_free(work.set);
  index_free(work.index);
  return st;
}
