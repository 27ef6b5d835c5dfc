// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_FORMATS_H
#define QUINTFALL_FORMATS_H

#include "quintfall/label.h"
#include "quintfall/score.h"

/// Remarks on what a reader had to leave out or assume, one a line (owned, may be NULL)
typedef struct {
  char* remarks;
} QfImport;

void
qf_import_clear(QfImport* import);

/**
   Read MusicXML, uncompressed or .mxl (told by content), from memory.

   Sounding pitch throughout; chords become further voices; nothing is fetched
   and no entity is expanded.

   @return #QF_ERR_BAD_FILE with line and measure, or #QF_ERR_UNSUPPORTED for
   what is well formed but more than a score holds.
*/
QfStatus
qf_musicxml_read(const void* data,
                 size_t      length,
                 QfScore**   result,
                 QfImport*   import,
                 QfError*    error);

/**
   Write MusicXML 4.0 (transfer full).

   @param labels Written as harmony with numerals, or NULL.
*/
QfStatus
qf_musicxml_write(const QfScore* score, const QfLabels* labels, char** xml, QfError* error);

/// Write compressed MusicXML (transfer full)
QfStatus
qf_mxl_write(const QfScore*  score,
             const QfLabels* labels,
             void**          data,
             size_t*         length,
             QfError*        error);

/**
   Read a Standard MIDI File of format 0 or 1.

   Written music, all of whose notes lie on 64ths or in usual tuplets, is kept
   exactly; played music is moved to 32nds and 16ths of a triplet. Spelling
   is sought on the line of fifths, near the signature and what sounds. Percussion is left out.
*/
QfStatus
qf_smf_read(const void* data, size_t length, QfScore** result, QfImport* import, QfError* error);

/// Write a format 1 Standard MIDI File: a track for tempo, metre and key, one a voice
QfStatus
qf_smf_write(const QfScore* score, void** data, size_t* length, QfError* error);

/// Write an unsigned number as a variable-length quantity; gives its size, 0 beyond 0FFFFFFF
size_t
qf_smf_write_vlq(uint32_t value, uint8_t buffer[4]);

/// Read a variable-length quantity; gives the bytes used, 0 if malformed
size_t
qf_smf_read_vlq(const uint8_t* data, size_t length, uint32_t* value);

/// Write labels as RomanText (transfer full)
QfStatus
qf_romantext_write(const QfScore* score, const QfLabels* labels, char** text, QfError* error);

/// One chord of a RomanText analysis; a key beyond seven signs is its enharmonic twin
typedef struct {
  int       measure;
  char      suffix; ///< 0 or 'a'
  QfTime    beat;   ///< 1 = downbeat
  QfKey     key;
  QfNumeral numeral;
  bool      is_pivot; ///< Second reading of the chord before it, in the new key
} QfRomanChord;

typedef struct {
  QfRomanChord* chords; ///< Owned
  size_t        n_chords;
  char          title[128];
  char          composer[128];
  QfMetre       metre;
} QfRomanText;

/// Read a RomanText analysis; notes, forms and variants are passed over
QfStatus
qf_romantext_read(const char* text, size_t length, QfRomanText* result, QfError* error);

void
qf_romantext_clear(QfRomanText* roman);

#endif // QUINTFALL_FORMATS_H
