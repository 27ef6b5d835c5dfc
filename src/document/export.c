// SPDX-License-Identifier: MIT
#include "quintfall/engrave.h"
#include "quintfall/file.h"
#include "quintfall/formats.h"
#include "quintfall/recordings.h"

#include <stdlib.h>
#include <string.h>

QfExportOptions
qf_export_options(const QfLesson* const lesson)
{
  const QfHearing hearing = qf_lesson_get_hearing(lesson);
  return (QfExportOptions){
    .sheet   = QF_SHEET_ANSWERS,
    .rows    = QF_ROW_NUMERALS | QF_ROW_KEYS,
    .hearing = hearing,
    .sound   = {.level_db = hearing.level_db},
  };
}

/// From memory: a hand writes notes about twice as wide as print sets them
static const double writing_room = 1.7;

/// Points: staves of 8 mm, as music paper for writing has them (common practice)
static const double worksheet_space = 5.67;

/// Text of a lesson in one of the kinds that are text (transfer full)
static QfStatus
write_text(QfLesson* const lesson, const QfFileKind kind, char** const text, QfError* const error)
{
  const QfScore* const score = qf_lesson_get_score(lesson);

  switch (kind) {
    case QF_FILE_LESSON:
      return qf_lesson_is_read_only(lesson)
               ? qf_error_set(error, QF_ERR_READ_ONLY,
                              "this lesson was written by a newer version of the program; writing "
                              "it as a lesson here could lose parts of it")
               : qf_lesson_to_json(lesson, text, error);
    case QF_FILE_MUSICXML:
      return qf_musicxml_write(score, qf_lesson_get_labels(lesson), text, error);
    case QF_FILE_ROMANTEXT:
      return qf_romantext_write(score, qf_lesson_get_labels(lesson), text, error);
    default:
      return qf_error_set(error, QF_ERR_UNSUPPORTED,
                          "this kind of file cannot be written here; name an output file that ends"
                          " in .json, .musicxml, .mxl, .mid or .rntxt");
  }
}

QfStatus
qf_document_write(QfLesson* const  lesson,
                  const QfFileKind kind,
                  void** const     data,
                  size_t* const    length,
                  QfError* const   error)
{
  if (!qf_lesson_get_labels(lesson)) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  const QfScore* const score = qf_lesson_get_score(lesson);
  if (kind == QF_FILE_MIDI) {
    return qf_smf_write(score, data, length, error);
  }
  if (kind == QF_FILE_MXL) {
    return qf_mxl_write(score, qf_lesson_get_labels(lesson), data, length, error);
  }

  char*          text = NULL;
  const QfStatus st   = write_text(lesson, kind, &text, error);
  if (!st && text) {
    *data   = text;
    *length = strlen(text);
  }

  return st;
}

/// Voices that a task asks for, from what its layers are
static uint32_t
asked_voices(const QfScore* const score, const unsigned layers)
{
  const size_t n     = qf_score_n_voices(score);
  uint32_t     asked = 0;
  for (size_t v = 0; v < n; ++v) {
    const QfLayer layer = v == 0 ? QF_LAYER_SOPRANO : v + 1 == n ? QF_LAYER_BASS : QF_LAYER_INNER;
    asked |= layers >> layer & 1U ? 1U << v : 0U;
  }
  return asked;
}

static bool
is_given_cb(const uint32_t note, void* const data)
{
  return qf_lesson_is_given((const QfLesson*)data, note);
}

/// A student's page asks for what the lesson sets, and shows what it lets be seen
static void
make_worksheet(QfLesson* const lesson, QfEngraveOptions* const page)
{
  const QfStudy study = qf_lesson_get_study(lesson);

  page->space         = worksheet_space;
  page->writing_room  = writing_room;
  page->is_shown      = is_given_cb;
  page->is_shown_data = lesson;
  page->rhythm_voices = asked_voices(qf_lesson_get_score(lesson), study.layers);
  page->blanks        = QF_BLANK_NAME | (study.shows_rhythm ? QF_BLANK_RHYTHM : 0U) |
                 (study.shows_spans ? QF_BLANK_PLACES : 0U) |
                 (study.layers >> QF_LAYER_QUALITY & 1U ? QF_BLANK_QUALITIES : 0U) |
                 (study.layers >> QF_LAYER_NUMERAL & 1U ? QF_BLANK_NUMERALS : 0U);
}

/// Lay a sheet out, on pages of its own or as one endless page
static QfStatus
engrave_sheet(QfLesson* const       lesson,
              const QfExportOptions options,
              const bool            is_endless,
              QfEngraving** const   result,
              QfError* const        error)
{
  QfEngraveOptions      page       = qf_engrave_options_page();
  const bool            is_student = options.sheet == QF_SHEET_STUDENT;
  const QfLabels* const labels     = qf_lesson_get_labels(lesson);

  page.rows        = is_student ? 0U : options.rows;
  page.has_title   = true;
  page.page_height = is_endless ? 0.0 : page.page_height;
  if (is_student) {
    make_worksheet(lesson, &page);
  }

  return qf_engraving_new(qf_lesson_get_score(lesson), labels, page, result, error);
}

static QfStatus
export_page(QfLesson* const       lesson,
            const char* const     path,
            const QfExportOptions options,
            QfError* const        error)
{
  QfEngraving* engraving = NULL;
  QfStatus     st        = engrave_sheet(lesson, options, false, &engraving, error);
  if (!st) {
    st = qf_engraving_export(engraving, path, error);
    qf_engraving_free(engraving);
  }

  return st;
}

QfStatus
qf_document_add_to_booklet(QfLesson* const       lesson,
                           const QfExportOptions options,
                           QfBooklet* const      booklet,
                           QfError* const        error)
{
  QfEngraving* engraving = NULL;
  QfStatus     st        = engrave_sheet(lesson, options, true, &engraving, error);
  if (!st) {
    st = qf_booklet_add(booklet, engraving, error);
    qf_engraving_free(engraving);
  }

  return st;
}

static QfStatus
export_sound(QfLesson* const       lesson,
             const char* const     path,
             const QfExportOptions options,
             QfError* const        error)
{
  QfPlan* const plan = qf_plan_of_hearing(options.hearing, QF_TIME_ZERO, QF_TIME_ZERO);
  if (!plan) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  const QfStatus st = qf_document_record_whole(lesson, path,
                                               (QfRecordOptions){
                                                 .plan          = plan,
                                                 .sound         = options.sound,
                                                 .progress      = options.progress,
                                                 .progress_data = options.progress_data,
                                               },
                                               NULL, error);
  qf_plan_free(plan);
  return st;
}

QfStatus
qf_document_export(QfLesson* const       lesson,
                   const char* const     path,
                   const QfFileKind      kind,
                   const QfExportOptions options,
                   QfError* const        error)
{
  switch (kind) {
    case QF_FILE_WAV:
    case QF_FILE_FLAC:
    case QF_FILE_OGG:
    case QF_FILE_OPUS:
    case QF_FILE_MP3:
      return export_sound(lesson, path, options, error);
    case QF_FILE_PDF:
    case QF_FILE_SVG:
    case QF_FILE_PNG:
      return export_page(lesson, path, options, error);
    default:
      break;
  }

  void*    data   = NULL;
  size_t   length = 0;
  QfStatus st     = qf_document_write(lesson, kind, &data, &length, error);
  if (!st) {
    st = qf_file_write(path, data, length, error);
  }

  free(data);
  return st;
}
