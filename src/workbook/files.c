// SPDX-License-Identifier: MIT
#include "files.h"

#include "quintfall/answer.h"
#include "quintfall/recordings.h"
#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

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

/// Who is asked whether to go on with a file
typedef struct {
  FileFunc    go_on;
  void*       data;
  const char* name;
} Watch;

static bool
is_written(const FileLine* const line, const unsigned parts)
{
  return !line->part || parts & (unsigned)line->part;
}

FileList
files_names(const unsigned parts, const size_t number)
{
  FileList list = {.n_files = 0};
  for (size_t i = 0; i < MAX_FILES; ++i) {
    if (is_written(&file_lines[i], parts)) {
      snprintf(list.names[list.n_files++], NAME_SIZE, "%03zu-%s", number, file_lines[i].ending);
    }
  }
  return list;
}

char*
files_path(const char* const folder, const char* const name)
{
  QfText text = {0};
  qf_text_addf(&text, "%s/%s", folder, name);
  return qf_text_take(&text);
}

static bool
go_on_cb(const double done, void* const data)
{
  const Watch* const watch = (const Watch*)data;
  (void)done;
  return watch->go_on(watch->name, watch->data);
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
write_one(const QfWorkbookOptions* const work,
          const FileLine* const          line,
          const char* const              path,
          QfLesson* const                lesson,
          Watch* const                   watch,
          QfError* const                 error)
{
  if (line->part == QF_WORKBOOK_TASKS) {
    return write_task(lesson, path, error);
  }
  if (line->part == QF_WORKBOOK_RECORDINGS) {
    const QfRecordOptions options = {
      .sound = work->sound, .is_alone = true, .progress = go_on_cb, .progress_data = watch};
    return qf_document_record_whole(lesson, path, options, NULL, error);
  }
  QfExportOptions options = qf_export_options(lesson);
  options.sheet           = line->sheet;
  options.progress        = go_on_cb;
  options.progress_data   = watch;
  return qf_document_export(lesson, path, line->kind, options, error);
}

void
files_remove(const char* const folder, const FileList* const list)
{
  for (size_t i = 0; i < list->n_files; ++i) {
    char* const path = files_path(folder, list->names[i]);
    if (path) {
      unlink(path);
    }
    free(path);
  }
}

QfStatus
files_write(const char* const              folder,
            const QfWorkbookOptions* const options,
            QfLesson* const                lesson,
            const size_t                   number,
            const FileFunc                 go_on,
            void* const                    data,
            QfError* const                 error)
{
  FileList list = files_names(options->parts, number);
  size_t   n    = 0;
  QfStatus st   = QF_OK;
  for (size_t i = 0; !st && i < MAX_FILES; ++i) {
    if (!is_written(&file_lines[i], options->parts)) {
      continue;
    }
    Watch       watch = {go_on, data, list.names[n]};
    char* const path  = files_path(folder, list.names[n]);
    st                = !path ? qf_error_set(error, QF_ERR_NO_MEM, "out of memory")
                        : !go_on(list.names[n], data)
                          ? qf_error_set(error, QF_ERR_CANCELLED, "the set was cancelled")
                          : write_one(options, &file_lines[i], path, lesson, &watch, error);
    free(path);
    n += !st;
  }
  if (st) {
    // What was not reached may be a file of before.
    list.n_files = n;
    files_remove(folder, &list);
  }
  return st;
}
