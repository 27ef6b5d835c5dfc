// SPDX-License-Identifier: MIT
// What a MusicXML document says, before it becomes a score.
#ifndef QUINTFALL_FORMATS_MUSICXML_RAW_H
#define QUINTFALL_FORMATS_MUSICXML_RAW_H

#include "import.h"
#include "xml.h"

/**
   Times are counted in whole ticks while a document is read.

   2^10 x 3^3 x 5 x 7 x 11 x 13 to a whole note keeps every usual tuplet down to
   the 1024th exact, and no file can make the numbers grow.
*/
typedef int64_t QfTicks;

#define QF_TICKS_PER_WHOLE ((QfTicks)138378240)

enum {
  QF_RAW_MAX_STAVES = 4, ///< Staves of one part
};

typedef struct {
  QfTicks  start; ///< From the measure's start; from the first measure's once laid out
  QfTicks  duration;
  QfPitch  pitch;   ///< As it sounds
  uint32_t stream;  ///< Index
  uint32_t measure; ///< Index
  bool     starts_tie;
  bool     stops_tie;
  bool     has_fermata;
  bool     is_merged; ///< Has become part of the note it is tied to
  uint8_t  lane;      ///< Which of the voices its stream is split into
} QfRawNote;

/// One `voice` of a part on one of its staves
typedef struct {
  size_t  part;
  int     staff; ///< From 0
  char    voice[16];
  bool    has_notes;
  uint8_t n_lanes;            ///< Voices it is split into
  int     order;              ///< From a field of our own writer, from 1, or 0
  char    name[QF_NAME_SIZE]; ///< From the same field
} QfRawStream;

typedef struct {
  char   id[64];
  char   name[QF_NAME_SIZE];
  int    n_staves;
  QfClef clefs[QF_RAW_MAX_STAVES];
  bool   has_clef[QF_RAW_MAX_STAVES];
  bool   has_pitch;
  bool   is_unpitched; ///< Has notes without pitch, or a percussion clef
} QfRawPart;

typedef struct {
  int     number;
  char    suffix;
  bool    is_numbered; ///< The printed number begins with digits
  bool    is_implicit;
  QfTicks length;      ///< Of what stands in it, the longest part
  QfTicks rest_length; ///< Of its whole-measure rests
  bool    has_metre;
  QfMetre metre;
  bool    starts_repeat;
  bool    ends_repeat;
} QfRawMeasure;

/// A key signature as one part states it
typedef struct {
  size_t  part;
  size_t  measure;
  QfTicks start; ///< From the measure's start; from the first measure's once laid out
  QfKey   key;
} QfRawKey;

/// A `figured-bass` element
typedef struct {
  QfTicks  start; ///< From the measure's start; from the first measure's once laid out
  uint32_t measure;
  char     text[QF_FIGURES_TEXT_SIZE];
} QfRawFigures;

typedef struct {
  QfRawPart*    parts;
  size_t        n_parts;
  QfRawMeasure* measures;
  size_t        n_measures;
  QfRawStream*  streams;
  size_t        n_streams;
  size_t        streams_capacity;
  QfRawNote*    notes;
  size_t        n_notes;
  size_t        notes_capacity;
  QfRawKey*     keys;
  size_t        n_keys;
  size_t        keys_capacity;
  QfRawFigures* figures;
  size_t        n_figures;
  size_t        figures_capacity;
  bool          has_fields; ///< Our own writer's fields name the voices
  bool          has_tempo;
  double        tempo;
  char          title[256];
  char          composer[256];
} QfRawScore;

/// Collect what a document says; on failure the raw score is to be cleared all the same
QfStatus
qf_raw_parse(const xmlDoc* doc, QfRawScore* raw, QfRemarks* remarks, QfError* error);

/// Lay bars out, join ties, split chords into voices
QfStatus
qf_raw_build(QfRawScore* raw, QfScore** result, QfRemarks* remarks, QfError* error);

/// Give a score the key signatures that most parts have; their starts must be laid out
QfStatus
qf_raw_set_keys(QfRawScore* raw, QfScore* score, QfRemarks* remarks);

/// Give the figures to those interested; their starts must be laid out
QfStatus
qf_raw_tell_figures(QfRawScore* raw, QfImport* import, QfError* error);

void
qf_raw_clear(QfRawScore* raw);

#endif // QUINTFALL_FORMATS_MUSICXML_RAW_H
