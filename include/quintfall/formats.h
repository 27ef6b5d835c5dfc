// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_FORMATS_H
#define QUINTFALL_FORMATS_H

#include "quintfall/events.h"
#include "quintfall/label.h"
#include "quintfall/score.h"

enum {
  QF_FIGURES_TEXT_SIZE = 16,
};

/// Figures of a thoroughbass where they begin to hold
typedef struct {
  QfTime start;
  char   text[QF_FIGURES_TEXT_SIZE]; ///< As qf_figured_bass_notes() reads them
} QfFigures;

/// What a reader found besides the score
typedef struct {
  char*      remarks; ///< What it had to leave out or assume, one a line; owned, may be NULL
  QfFigures* figures; ///< The figured bass of MusicXML in order of time; owned, may be NULL
  size_t     n_figures;
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

/// What a MIDI file of a performance is written with
typedef struct {
  QfKey           key;        ///< Of preludes, and of syllables where no label says otherwise
  const QfLabels* labels;     ///< Keys of the syllables, or NULL
  bool            has_lyrics; ///< Write each note's syllable
  QfSolfegeKind   solfege;
} QfSmfOptions;

/**
   Write a performance as a format 1 Standard MIDI File, just as it is heard.

   Preludes and count-ins have tracks of their own; the hearings are markers;
   tempo, metre and key follow the steps. Spoken titles leave their time empty.
*/
QfStatus
qf_smf_write_performance(const QfScore*       score,
                         const QfPerformance* performance,
                         QfSmfOptions         options,
                         void**               data,
                         size_t*              length,
                         QfError*             error);

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

typedef enum {
  QF_ROMAN_KEY, ///< The key in force from here on
  QF_ROMAN_CHORD,
  QF_ROMAN_REST,         ///< `r`
  QF_ROMAN_PHRASE_END,   ///< `||`
  QF_ROMAN_REPEAT_END,   ///< `:||`
  QF_ROMAN_REPEAT_START, ///< `||:`
  QF_ROMAN_REPEAT_BOTH,  ///< `:||:`
} QfRomanItemKind;

/// One word of a measure, in the order in which they stand
typedef struct {
  QfRomanItemKind kind;
  QfTime          beat;     ///< Of the chord before it, for signs
  QfKey           key;      ///< In force
  QfNumeral       numeral;  ///< Of a chord
  bool            is_pivot; ///< As in #QfRomanChord
} QfRomanItem;

typedef enum {
  QF_ROMAN_FIELD,   ///< A field of the head such as "Analyst"
  QF_ROMAN_METRE,   ///< "Time Signature", for the measures after it
  QF_ROMAN_NOTE,    ///< "Note"
  QF_ROMAN_FORM,    ///< "Form"
  QF_ROMAN_PEDAL,   ///< "Pedal"
  QF_ROMAN_MEASURE, ///< m3, m12a
  QF_ROMAN_VARIANT, ///< m3var1: another reading of a measure
  QF_ROMAN_COPY,    ///< m5-6 = m3-4
} QfRomanLineKind;

/// A line of an analysis
typedef struct {
  QfRomanLineKind kind;
  int             measure; ///< Of a text: the one it stands after, or -1 at the head
  int             last;    ///< Last measure of a copy or of a variant, otherwise `measure`
  char            suffix;  ///< Of an ending, 'a' in m12a, or 0
  int             variant; ///< Its number, 0 if it has none
  int             source;  ///< First measure a copy says again
  char            source_suffix;
  QfMetre         metre;
  char*           tag;        ///< Of a text, as written: "Note" (owned); otherwise NULL
  char*           text;       ///< What follows the tag; of a variant that cannot be read, all of it
  size_t          first_item; ///< Words of a measure or variant
  size_t          n_items;
} QfRomanLine;

/**
   An analysis: its lines as they stand, and what they come to.

   `chords` has all chords in order, copies carried out, without variants.
*/
typedef struct {
  QfRomanChord* chords; ///< Owned
  size_t        n_chords;
  QfRomanLine*  lines; ///< Owned
  size_t        n_lines;
  QfRomanItem*  items; ///< Owned
  size_t        n_items;
  char          title[128];
  char          composer[128];
  QfMetre       metre; ///< The first
} QfRomanText;

/// Read a RomanText analysis; only blank lines and the writing of beats and figures are not kept
QfStatus
qf_romantext_read(const char* text, size_t length, QfRomanText* result, QfError* error);

/// Write the lines of an analysis (transfer full); read again, it is equal
QfStatus
qf_romantext_print(const QfRomanText* roman, char** text, QfError* error);

/// True if all lines and chords are the same
bool
qf_romantext_equals(const QfRomanText* a, const QfRomanText* b);

void
qf_romantext_clear(QfRomanText* roman);

#endif // QUINTFALL_FORMATS_H
