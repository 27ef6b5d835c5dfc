// SPDX-License-Identifier: MIT
#include "quintfall/recordings.h"

#include "side_by_side.h"

#include "quintfall/file.h"
#include "quintfall/formats.h"
#include "quintfall/text.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

QfKey
qf_lesson_home_key(QfLesson* const lesson)
{
  QfKey key;
  if (qf_lesson_get_key(lesson, &key)) {
    return key;
  }

  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  return labels ? qf_labels_get_key(labels)
                : qf_score_signature_at(qf_lesson_get_score(lesson), QF_TIME_ZERO);
}

QfStatus
qf_document_perform(QfLesson* const       lesson,
                    const QfRecordOptions options,
                    const size_t          hearing,
                    QfPerformance* const  result,
                    QfError* const        error)
{
  const QfHearing     quick = qf_lesson_get_hearing(lesson);
  const QfPlan* const plan  = options.plan ? options.plan : qf_lesson_get_plan(lesson);
  QfPlan* const       made  = plan ? NULL : qf_plan_of_hearing(quick, QF_TIME_ZERO, QF_TIME_ZERO);
  if (!plan && !made) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  const QfStatus st = qf_perform(qf_lesson_get_score(lesson), plan ? plan : made,
                                 (QfPerformOptions){.key         = qf_lesson_home_key(lesson),
                                                    .level_db    = options.sound.level_db,
                                                    .program     = quick.program,
                                                    .labels      = qf_lesson_get_labels(lesson),
                                                    .folder      = options.folder,
                                                    .clip_length = qf_sound_clip_length,
                                                    .hearing     = hearing},
                                 result, error);
  qf_plan_free(made);
  return st;
}

static void
add_remarks(QfText* const remarks, const QfPerformance* const performance)
{
  if (performance->remarks) {
    qf_text_addf(remarks, "%s%s", remarks->length ? "\n" : "", performance->remarks);
  }
}

/// Give the remarks to a caller who wants them
static void
hand_over(QfText* const text, char** const remarks)
{
  if (remarks) {
    *remarks = text->length ? qf_text_take(text) : NULL;
  }
  qf_text_free(text);
}

/// What of a path comes before its ending
static size_t
stem_length(const char* const path)
{
  const char* const slash = strrchr(path, '/');
  const char* const dot   = strrchr(path, '.');
  return dot && dot > (slash ? slash : path) ? (size_t)(dot - path) : strlen(path);
}

static QfStatus
write_midi(QfLesson* const            lesson,
           const QfPerformance* const performance,
           const char* const          path,
           QfError* const             error)
{
  const QfSmfOptions options = {
    .key = qf_lesson_home_key(lesson), .labels = qf_lesson_get_labels(lesson), .has_lyrics = true};
  void*  data   = NULL;
  size_t length = 0;

  QfStatus st = qf_smf_write_performance(qf_lesson_get_score(lesson), performance, options, &data,
                                         &length, error);
  st          = st ? st : qf_file_write(path, data, length, error);
  free(data);
  return st;
}

/// The hearings with their times, as "01:02.345 Bass"
static void
list_chapters(QfText* const text, const QfPerformance* const performance, const char* const between)
{
  for (size_t i = 0; i < performance->n_chapters; ++i) {
    const QfChapter* const chapter = &performance->chapters[i];
    const long             ms      = lround(chapter->start_s * 1000.0);
    qf_text_addf(text, "%s%02ld:%02ld.%03ld %s", i ? between : "", ms / 60000, ms / 1000 % 60,
                 ms % 1000, chapter->title);
  }
}

/// Write the files that stand beside a whole recording; `stem` is its path without ending
static QfStatus
write_companions(QfLesson* const            lesson,
                 const QfPerformance* const performance,
                 const char* const          stem,
                 const QfRecordOptions      options,
                 QfError* const             error)
{
  QfText   path = {0};
  QfStatus st   = QF_OK;
  if (options.has_midi) {
    qf_text_addf(&path, "%s.mid", stem);
    st = path.failed ? QF_ERR_NO_MEM : write_midi(lesson, performance, path.data, error);
    qf_text_free(&path);
  }
  if (!st && performance->n_chapters > 1 && !options.is_alone) {
    QfText list = {0};
    list_chapters(&list, performance, "\n");
    qf_text_add(&list, "\n");
    qf_text_addf(&path, "%s.chapters.txt", stem);
    st = list.failed || path.failed ? QF_ERR_NO_MEM
                                    : qf_file_write(path.data, list.data, list.length, error);
    qf_text_free(&list);
    qf_text_free(&path);
  }
  return st;
}

static QfSoundSettings
sound_of(QfLesson* const lesson, const QfRecordOptions options)
{
  QfSoundSettings sound = options.sound;
  sound.tuning.key      = qf_lesson_home_key(lesson);
  return sound;
}

QfStatus
qf_document_record_whole(QfLesson* const       lesson,
                         const char* const     path,
                         const QfRecordOptions options,
                         char** const          remarks,
                         QfError* const        error)
{
  const QfScore* const score       = qf_lesson_get_score(lesson);
  QfPerformance        performance = {0};
  QfStatus st = qf_document_perform(lesson, options, QF_ALL_HEARINGS, &performance, error);
  if (st) {
    return st;
  }

  QfText comment = {0};
  QfText notes   = {0};
  QfText stem    = {0};
  if (performance.n_chapters > 1) {
    list_chapters(&comment, &performance, "; ");
  }
  add_remarks(&notes, &performance);
  qf_text_add_bytes(&stem, path, stem_length(path));
  const QfRecording recording = {.tags          = {.title   = qf_score_get_title(score),
                                                   .artist  = qf_score_get_composer(score),
                                                   .comment = comment.data},
                                 .loudness_lufs = options.loudness_lufs};
  st = qf_sound_render_file(&performance.events, sound_of(lesson, options), &recording, path,
                            options.progress, options.progress_data, error);
  st = st ? st : write_companions(lesson, &performance, stem.data, options, error);
  hand_over(&notes, remarks);
  qf_text_free(&comment);
  qf_text_free(&stem);
  qf_performance_clear(&performance);
  return st;
}

/// Add a title as part of a file's name
static void
add_file_name(QfText* const text, const char* const title)
{
  for (const char* c = title; *c; ++c) {
    const bool is_bad = (unsigned char)*c < 0x20U || strchr("/\\:*?\"<>|", *c);
    qf_text_add_bytes(text, is_bad ? "-" : c, 1U);
  }
}

/// Record one hearing as a file of the folder
static QfStatus
record_hearing(QfLesson* const       lesson,
               const char* const     folder,
               const QfRecordOptions options,
               const size_t          hearing,
               QfText* const         notes,
               QfError* const        error)
{
  const QfScore* const score       = qf_lesson_get_score(lesson);
  QfPerformance        performance = {0};
  QfStatus             st = qf_document_perform(lesson, options, hearing, &performance, error);
  if (st) {
    return st;
  }

  const char* const title = performance.n_chapters ? performance.chapters[0].title : "";
  QfText            path  = {0};
  qf_text_addf(&path, "%s/%02zu ", folder, hearing + 1U);
  add_file_name(&path, title[0] ? title : "Hearing");
  qf_text_add(&path, qf_audio_kind_ending(options.kind));
  add_remarks(notes, &performance);

  const QfRecording recording = {.tags          = {.title  = title,
                                                   .artist = qf_score_get_composer(score),
                                                   .album  = qf_score_get_title(score),
                                                   .track  = (int)hearing + 1},
                                 .loudness_lufs = options.loudness_lufs};
  st = path.failed ? qf_error_set(error, QF_ERR_NO_MEM, "out of memory") : QF_OK;
  st = st ? st
          : qf_sound_render_file(&performance.events, sound_of(lesson, options), &recording,
                                 path.data, options.progress, options.progress_data, error);
  qf_text_free(&path);
  qf_performance_clear(&performance);
  return st;
}

/// Hearings of a folder, recorded several at a time
typedef struct {
  QfLesson*       lesson; ///< Only read: its labels have been made
  const char*     folder;
  QfRecordOptions options;
  QfText*         notes; ///< One a hearing
} Hearings;

static QfStatus
record_one(const size_t         index,
           const QfProgressFunc progress,
           void* const          progress_data,
           void* const          data,
           QfError* const       error)
{
  const Hearings* const self = (const Hearings*)data;
  QfRecordOptions       own  = self->options;
  own.progress               = progress;
  own.progress_data          = progress_data;
  return record_hearing(self->lesson, self->folder, own, index, &self->notes[index], error);
}

static QfStatus
record_each(QfLesson* const            lesson,
            const char* const          folder,
            const QfRecordOptions      options,
            const QfPerformance* const whole,
            QfText* const              notes,
            QfError* const             error)
{
  const size_t  n      = whole->n_chapters;
  double* const shares = (double*)calloc(n + 1U, sizeof(double));
  Hearings      all    = {lesson, folder, options, (QfText*)calloc(n + 1U, sizeof(QfText))};
  QfStatus st = shares && all.notes ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  for (size_t i = 0; !st && i < n; ++i) {
    shares[i] = (whole->chapters[i].end_s - whole->chapters[i].start_s) / whole->events.length_s;
  }
  if (!st) {
    st = side_by_side(&(Jobs){.n_jobs        = n,
                              .shares        = shares,
                              .n_threads     = options.n_jobs,
                              .run           = record_one,
                              .data          = &all,
                              .progress      = options.progress,
                              .progress_data = options.progress_data},
                      error);
  }
  for (size_t i = 0; all.notes && i < n; ++i) {
    if (all.notes[i].length) {
      qf_text_addf(notes, "%s%s", notes->length ? "\n" : "", all.notes[i].data);
    }
    qf_text_free(&all.notes[i]);
  }
  free(all.notes);
  free(shares);
  return st;
}

QfStatus
qf_document_record_hearings(QfLesson* const       lesson,
                            const char* const     folder,
                            const QfRecordOptions options,
                            char** const          remarks,
                            QfError* const        error)
{
  if (mkdir(folder, 0777) && errno != EEXIST) {
    return qf_error_set(error, QF_ERR_IO, "%s: %s", folder, strerror(errno));
  }

  QfPerformance whole = {0};
  QfStatus      st    = qf_document_perform(lesson, options, QF_ALL_HEARINGS, &whole, error);
  if (st) {
    return st;
  }

  const char* const title = qf_score_get_title(qf_lesson_get_score(lesson));
  QfText            notes = {0};
  QfText            stem  = {0};
  qf_text_addf(&stem, "%s/", folder);
  add_file_name(&stem, title[0] ? title : "Whole");
  st = record_each(lesson, folder, options, &whole, &notes, error);
  st = st ? st : write_companions(lesson, &whole, stem.data, options, error);
  hand_over(&notes, remarks);
  qf_text_free(&stem);
  qf_performance_clear(&whole);
  return st;
}
