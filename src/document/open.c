// SPDX-License-Identifier: MIT
#include "quintfall/document.h"
#include "quintfall/file.h"
#include "quintfall/formats.h"
#include "romantext_lesson.h"

#include <stdlib.h>
#include <string.h>

static bool
starts_with(const void* const data, const size_t length, const char* const bytes)
{
  const size_t n = strlen(bytes);
  return length >= n && !memcmp(data, bytes, n);
}

/// Tell a file's kind by its first bytes; text that is neither JSON nor XML is taken as RomanText
static QfFileKind
kind_of_content(const void* const data, const size_t length)
{
  if (starts_with(data, length, "PK\003\004")) {
    return QF_FILE_MXL;
  }
  if (starts_with(data, length, "MThd")) {
    return QF_FILE_MIDI;
  }
  if (starts_with(data, length, "\xFE\xFF") || starts_with(data, length, "\xFF\xFE")) {
    return QF_FILE_MUSICXML; // Only XML comes as UTF-16
  }

  const char*       text = (const char*)data;
  const char* const end  = text + length;
  if (starts_with(data, length, "\xEF\xBB\xBF")) {
    text += 3;
  }
  while (text < end && strchr(" \t\r\n", *text) && *text) {
    ++text;
  }

  if (text == end || memchr(data, '\0', length)) {
    return QF_FILE_UNKNOWN;
  }

  // A list is no lesson, but the JSON reader says so in better words than RomanText's would.
  return *text == '<'                   ? QF_FILE_MUSICXML
         : *text == '{' || *text == '[' ? QF_FILE_LESSON
                                        : QF_FILE_ROMANTEXT;
}

/// A lesson around a score that a reader made (takes the score)
static QfStatus
wrap(const QfStatus st, QfScore* const score, QfLesson** const result, QfError* const error)
{
  if (st) {
    return st;
  }

  *result = qf_lesson_new_from_score(score);
  return *result ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
}

static QfStatus
read_romantext(const char* const text,
               const size_t      length,
               QfLesson** const  result,
               QfError* const    error)
{
  QfRomanText roman = {0};
  QfStatus    st    = qf_romantext_read(text, length, &roman, error);
  if (!st) {
    st = lesson_from_romantext(&roman, result, error);
    qf_romantext_clear(&roman);
  }

  return st;
}

QfStatus
qf_document_read(const void* const data,
                 const size_t      length,
                 QfLesson** const  result,
                 char** const      remarks,
                 QfError* const    error)
{
  QfImport import = {0};
  QfScore* score  = NULL;
  QfStatus st     = QF_OK;

  switch (kind_of_content(data, length)) {
    case QF_FILE_LESSON:
      st = qf_lesson_from_json((const char*)data, length, result, error);
      break;
    case QF_FILE_MUSICXML:
    case QF_FILE_MXL:
      st = qf_musicxml_read(data, length, &score, &import, error);
      st = wrap(st, score, result, error);
      break;
    case QF_FILE_MIDI:
      st = qf_smf_read(data, length, &score, &import, error);
      st = wrap(st, score, result, error);
      break;
    case QF_FILE_ROMANTEXT:
      st = read_romantext((const char*)data, length, result, error);
      break;
    default:
      st =
        qf_error_set(error, length ? QF_ERR_UNSUPPORTED : QF_ERR_BAD_FILE,
                     "%s; expected a lesson, MusicXML, .mxl, Standard MIDI or RomanText file",
                     length ? "this is none of the kinds that can be opened" : "the file is empty");
  }

  if (!st && remarks) {
    *remarks       = import.remarks;
    import.remarks = NULL;
  }

  qf_import_clear(&import);
  return st;
}

QfStatus
qf_document_open(const char* const path,
                 QfLesson** const  result,
                 char** const      remarks,
                 QfError* const    error)
{
  void*    data   = NULL;
  size_t   length = 0;
  QfStatus st     = qf_file_read(strcmp(path, "-") ? path : "/dev/stdin", &data, &length, error);
  if (!st) {
    st = qf_document_read(data, length, result, remarks, error);
  }

  free(data);
  return st;
}
