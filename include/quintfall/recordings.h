// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_RECORDINGS_H
#define QUINTFALL_RECORDINGS_H

#include "quintfall/document.h"

/// How a lesson is performed and recorded
typedef struct {
  const QfPlan*   plan;          ///< NULL for the lesson's own, or else its quick hearing
  const char*     folder;        ///< Where spoken titles are looked for, or NULL
  QfSoundSettings sound;         ///< The key of its tuning is the lesson's, whatever is set
  QfAudioKind     kind;          ///< Of a file a hearing
  double          loudness_lufs; ///< 0 for the usual
  bool            has_midi;      ///< Write a MIDI file of the same events beside
  bool            is_alone;      ///< Leave the list of hearings to the tags of the file
  size_t          n_jobs;        ///< Hearings recorded at a time, 0 for one each processor
  QfProgressFunc  progress;      ///< Or NULL; called by several threads, one at a time
  void*           progress_data;
} QfRecordOptions;

/// The key preludes are in: the declared one, or else the one found
QfKey
qf_lesson_home_key(QfLesson* lesson);

/**
   Perform a lesson's plan, or one hearing of it.

   @param lesson Not changed, but its labels may be made.
   @param hearing From 0, or #QF_ALL_HEARINGS.
*/
QfStatus
qf_document_perform(QfLesson*       lesson,
                    QfRecordOptions options,
                    size_t          hearing,
                    QfPerformance*  result,
                    QfError*        error);

/**
   Record the whole plan as one file, its kind told by its ending.

   The hearings are listed with their times in the file's comment and, where
   there are several, in a text file beside it, `NAME.chapters.txt`, unless it `is_alone`.

   @param[out] remarks What was left out, one a line (transfer full), or NULL. May itself be NULL.
*/
QfStatus
qf_document_record_whole(QfLesson*       lesson,
                         const char*     path,
                         QfRecordOptions options,
                         char**          remarks,
                         QfError*        error);

/**
   Record each hearing as a file of its own, `01 Bass.flac`, in a folder that is
   made if need be.

   All have the same loudness, and are numbered and titled tracks of one album.
*/
QfStatus
qf_document_record_hearings(QfLesson*       lesson,
                            const char*     folder,
                            QfRecordOptions options,
                            char**          remarks,
                            QfError*        error);

#endif // QUINTFALL_RECORDINGS_H
