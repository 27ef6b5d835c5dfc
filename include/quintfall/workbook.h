// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_WORKBOOK_H
#define QUINTFALL_WORKBOOK_H

#include "quintfall/document.h"
#include "quintfall/exercise.h"

/// What is written of every exercise beside its lesson file; bits
typedef enum {
  QF_WORKBOOK_SHEETS     = 1 << 0, ///< The student's worksheet, PDF
  QF_WORKBOOK_ANSWERS    = 1 << 1, ///< The answer key, PDF
  QF_WORKBOOK_RECORDINGS = 1 << 2, ///< FLAC
  QF_WORKBOOK_TASKS      = 1 << 3, ///< An answer file without attempts, to hand out
} QfWorkbookPart;

enum {
  QF_WORKBOOK_MAX      = 10000,
  QF_WORKBOOK_MAX_JOBS = 64,
};

/// Where the work stands
typedef struct {
  size_t      done; ///< Exercises complete
  size_t      count;
  const char* doing; ///< File that is being written, or empty
} QfWorkbookProgress;

/// Return false to cancel; called before each try and file and during recordings, never by two
/// threads at once, but by other threads than the caller's
typedef bool (*QfWorkbookFunc)(QfWorkbookProgress progress, void* data);

typedef struct {
  QfExerciseOptions exercises;
  size_t            count;  ///< 1-#QF_WORKBOOK_MAX
  unsigned          parts;  ///< #QfWorkbookPart bits
  size_t            n_jobs; ///< Exercises written at a time, 0 for one each processor
  const QfPlan*     plan;   ///< Hearing plan of every exercise, or NULL for one by its level
  QfSoundSettings   sound;
  QfWorkbookFunc    progress; ///< Or NULL
  void*             data;
} QfWorkbookOptions;

/// All parts, ten exercises, quiet recordings
QfWorkbookOptions
qf_workbook_options(QfExerciseOptions exercises);

/**
   Write a set of exercises into a folder, which is made if it is missing.

   `001-lesson.json`, `001-student.pdf`, `001-answers.pdf`, `001-recording.flac`,
   `001-task.json` and so on, and at the end `worksheets.pdf` and `answer-key.pdf`
   with all of them one below the other, and `index.json` with the title, key,
   functions and difficulty of each. A recording has all hearings of the plan that
   its lesson carries. Every file appears whole or not at all.
   Files of the same names are replaced. When it is cancelled, or fails, the
   exercises that are complete stay, and index and booklets tell them; files of those
   that are not are taken away. How many are written at a time changes no byte of them.

   Without a SoundFont recordings are #QF_ERR_MISSING before anything is written.
   @param[out] n_done Exercises complete, if not NULL.
   @return #QF_OK, #QF_ERR_CANCELLED, or as qf_exercise_make() and qf_document_export().
*/
QfStatus
qf_workbook_write(const char*              folder,
                  const QfWorkbookOptions* options,
                  size_t*                  n_done,
                  QfError*                 error);

/// How many files in the folder would be replaced
size_t
qf_workbook_count_existing(const char* folder, const QfWorkbookOptions* options);

#endif // QUINTFALL_WORKBOOK_H
