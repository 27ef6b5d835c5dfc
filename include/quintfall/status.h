// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_STATUS_H
#define QUINTFALL_STATUS_H

#include <stddef.h>

/// What became of a call; success is zero
typedef enum {
  QF_OK,              ///< Success
  QF_ERR_NO_MEM,      ///< Out of memory
  QF_ERR_BAD_TEXT,    ///< A short text (pitch, key, numeral, option) is malformed
  QF_ERR_RANGE,       ///< Outside what can be written or played
  QF_ERR_BAD_FILE,    ///< A file's content is malformed
  QF_ERR_IO,          ///< The file system refused (missing, no permission)
  QF_ERR_UNSUPPORTED, ///< Well formed, but of a kind this program does not take
  QF_ERR_MISSING,     ///< The machine lacks something (sound device, SoundFont, font)
  QF_ERR_IMPOSSIBLE,  ///< No answer satisfies the givens
  QF_ERR_READ_ONLY,   ///< The document may be read but not changed
  QF_ERR_CANCELLED,   ///< The caller asked to stop
  QF_ERR_FULL,        ///< The disk, or what may be stored on it, is full
} QfStatus;

/// Where and why something failed, for a person to read
typedef struct {
  QfStatus status;    ///< Same as the status returned
  size_t   offset;    ///< Byte offset of the fault in a short text
  int      line;      ///< Line of a file from 1, or 0 if unknown
  int      measure;   ///< Measure number, or -1 if unknown
  char     beat[16];  ///< Beat within the measure as text, or empty
  char     text[320]; ///< English sentence: what is wrong, what was expected
} QfError;

/**
   Fill an error record.

   @param error Record to fill, or NULL if nobody is interested.
   @param status Status to record, never #QF_OK.
   @param format A printf format for the sentence.
   @return `status`, so that a failing function can return this call.
*/
QfStatus
qf_error_set(QfError* error, QfStatus status, const char* format, ...)
  __attribute__((format(printf, 3, 4)));

/// Set the place of a fault already recorded; a NULL beat leaves it empty
void
qf_error_place(QfError* error, int line, int measure, const char* beat);

/**
   Write the whole message as `name:measure:beat: text`.

   @param error A filled record.
   @param name The file's name or another word for the input; NULL leaves it out, and so does a
   fault of the file system whose text names that file already.
   @param[out] buffer Receives the NUL-terminated message, cut to `size`.
*/
void
qf_error_describe(const QfError* error, const char* name, char* buffer, size_t size);

/// A short English name of a status, never NULL
const char*
qf_status_text(QfStatus status);

#endif // QUINTFALL_STATUS_H
