// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_DOCUMENT_H
#define QUINTFALL_DOCUMENT_H

#include "quintfall/engrave.h"
#include "quintfall/lesson.h"
#include "quintfall/sound.h"

/// Files this program reads or writes
typedef enum {
  QF_FILE_UNKNOWN,
  QF_FILE_LESSON,
  QF_FILE_MUSICXML,
  QF_FILE_MXL,
  QF_FILE_MIDI,
  QF_FILE_ROMANTEXT,
  QF_FILE_WAV,
  QF_FILE_FLAC,
  QF_FILE_OGG,
  QF_FILE_OPUS,
  QF_FILE_MP3,
  QF_FILE_PDF,
  QF_FILE_SVG,
  QF_FILE_PNG,
} QfFileKind;

/// Told by the ending of a path, or of a bare ending such as "mxl"
QfFileKind
qf_file_kind_of_path(const char* path);

/// The usual ending without its dot, "musicxml"; empty for #QF_FILE_UNKNOWN
const char*
qf_file_kind_ending(QfFileKind kind);

/// True if qf_document_open() takes it
bool
qf_file_kind_is_read(QfFileKind kind);

/**
   Open a lesson, MusicXML, .mxl, Standard MIDI or RomanText file, told by its content.

   A RomanText analysis becomes a lesson whose chords are realised in four parts
   and whose numerals are pinned.

   @param path The file, or "-" for standard input.
   @param[out] result (transfer full)
   @param[out] remarks What had to be left out or assumed, one a line (transfer
   full), or NULL if nothing. May itself be NULL.
*/
QfStatus
qf_document_open(const char* path, QfLesson** result, char** remarks, QfError* error);

/// As qf_document_open(), from memory
QfStatus
qf_document_read(const void* data,
                 size_t      length,
                 QfLesson**  result,
                 char**      remarks,
                 QfError*    error);

/// What a sheet shows
typedef enum {
  QF_SHEET_ANSWERS, ///< Every note, and the functions
  QF_SHEET_STUDENT, ///< Only what is given
} QfSheetKind;

typedef struct {
  QfSheetKind     sheet;   ///< For pages
  unsigned        rows;    ///< #QfRow bits for pages
  QfHearing       hearing; ///< For sound
  QfSoundSettings sound;
  QfProgressFunc  progress; ///< For sound, or NULL
  void*           progress_data;
} QfExportOptions;

/// Answers with numerals and keys; the lesson's own hearing
QfExportOptions
qf_export_options(const QfLesson* lesson);

/**
   Write a lesson as any kind of file, atomically.

   @param lesson Not changed, but its labels may be made.
*/
QfStatus
qf_document_export(QfLesson*       lesson,
                   const char*     path,
                   QfFileKind      kind,
                   QfExportOptions options,
                   QfError*        error);

/// Put a lesson's sheet into a booklet, as qf_document_export() puts it on a page of its own
QfStatus
qf_document_add_to_booklet(QfLesson*       lesson,
                           QfExportOptions options,
                           QfBooklet*      booklet,
                           QfError*        error);

/// Write a lesson as a kind of text or data to memory (transfer full); no sound, no pages
QfStatus
qf_document_write(QfLesson* lesson, QfFileKind kind, void** data, size_t* length, QfError* error);

#endif // QUINTFALL_DOCUMENT_H
