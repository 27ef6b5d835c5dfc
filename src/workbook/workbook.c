// SPDX-License-Identifier: MIT
#include "quintfall/workbook.h"

#include "crew.h"
#include "files.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char* const worksheets_name = "worksheets.pdf";
static const char* const answer_key_name = "answer-key.pdf";
static const char* const index_name      = "index.json";

QfWorkbookOptions
qf_workbook_options(const QfExerciseOptions exercises)
{
  return (QfWorkbookOptions){
    .exercises = exercises,
    .count     = 10,
    .parts     = QF_WORKBOOK_SHEETS | QF_WORKBOOK_ANSWERS | QF_WORKBOOK_RECORDINGS,
    .sound     = {.level_db = qf_hearing_default().level_db},
  };
}

static size_t
is_there(const char* const folder, const char* const name)
{
  char* const  path   = files_path(folder, name);
  const size_t result = path && !access(path, F_OK);
  free(path);
  return result;
}

size_t
qf_workbook_count_existing(const char* const folder, const QfWorkbookOptions* const options)
{
  size_t n = is_there(folder, index_name);
  n += options->parts & QF_WORKBOOK_SHEETS ? is_there(folder, worksheets_name) : 0;
  n += options->parts & QF_WORKBOOK_ANSWERS ? is_there(folder, answer_key_name) : 0;
  for (size_t number = 1; number <= options->count; ++number) {
    const FileList list = files_names(options->parts, number);
    for (size_t i = 0; i < list.n_files; ++i) {
      n += is_there(folder, list.names[i]);
    }
  }
  return n;
}

static QfStatus
save_booklet(QfBooklet* const  booklet,
             const char* const folder,
             const char* const name,
             QfError* const    error)
{
  char* const    path = files_path(folder, name);
  const QfStatus st   = path ? qf_booklet_save(booklet, path, error)
                             : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  free(path);
  return st;
}

static QfStatus
save_index(const Index* const index, const char* const folder, QfError* const error)
{
  char* const    path = files_path(folder, index_name);
  const QfStatus st =
    path ? index_write(index, path, error) : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  free(path);
  return st;
}

/// Write what tells of the whole set; the index also where a booklet fails
static QfStatus
write_ends(const Ends* const ends, const char* const folder, QfError* const error)
{
  QfStatus st = save_index(ends->index, folder, error);
  if (!st && ends->worksheets) {
    st = save_booklet(ends->worksheets, folder, worksheets_name, error);
  }
  if (!st && ends->answer_key) {
    st = save_booklet(ends->answer_key, folder, answer_key_name, error);
  }
  return st;
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
  const Ends ends       = {.index      = index_new(options),
                           .worksheets = has_sheets ? qf_booklet_new("Worksheets") : NULL,
                           .answer_key = has_key ? qf_booklet_new("Answer key") : NULL};
  const bool is_ready =
    ends.index && (ends.worksheets || !has_sheets) && (ends.answer_key || !has_key);
  size_t n = 0;
  st       = is_ready ? crew_write(folder, options, &ends, &n, error)
                      : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");

  // Booklets and index tell what is there, whatever stopped the work.
  if (n) {
    const QfStatus ended = write_ends(&ends, folder, st ? NULL : error);
    st                   = st ? st : ended;
  }
  if (n_done) {
    *n_done = n;
  }
  qf_booklet_free(ends.worksheets);
  qf_booklet_free(ends.answer_key);
  index_free(ends.index);
  return st;
}
