// SPDX-License-Identifier: MIT
// The reader of MusicXML while it goes through a document.
#ifndef QUINTFALL_FORMATS_MUSICXML_READER_H
#define QUINTFALL_FORMATS_MUSICXML_READER_H

#include "musicxml_raw.h"

/// The notes of one part in one measure: `content` holds them, `head` has the measure's attributes
typedef struct {
  const xmlNode* head;
  const xmlNode* content;
} QfRawCell;

typedef struct {
  QfRawScore* raw;
  QfRemarks*  remarks;
  QfError*    error;
  QfRawCell*  cells; ///< By part, then by measure

  size_t     part;
  QfDecimal  divisions; ///< Per quarter note; 0 before they are set
  QfInterval transpose; ///< From the written to the sounding pitch
  size_t     key_part;  ///< The first part with a key, whose remarks count, or SIZE_MAX
  size_t     metre_part;

  size_t  measure;
  QfTicks cursor;
  QfTicks figures_offset; ///< How far the figures since the last note have come
  QfTicks chord_start;    ///< Where a note marked `chord` starts
  bool    has_chord_start;
} QfRawReader;

QfStatus
qf_raw_no_memory(QfError* error);

/// Give the fault already recorded its place; gives `st` back
QfStatus
qf_raw_place(const QfRawReader* reader, const xmlNode* node, QfStatus st);

/// Note that something was left out or assumed in the measure being read
void
qf_raw_remark(const QfRawReader* reader, QfRemarkKind kind);

/// Room for one more in a growing array; false if memory ran out
bool
qf_raw_reserve(void** data, size_t n_items, size_t* capacity, size_t item_size);

/// Read the `part-list`
QfStatus
qf_raw_part_list(QfRawReader* reader, const xmlNode* root);

/**
   Lay the document out as the table of cells, which the reader owns.

   Partwise and timewise scores differ only in which of part and measure holds
   the other, so that everything below this table is the same for both.
*/
QfStatus
qf_raw_lay_out(QfRawReader* reader, const xmlNode* root, bool is_partwise);

/// Read an `attributes` element
QfStatus
qf_raw_attributes(QfRawReader* reader, const xmlNode* node);

/// Read a `duration` in ticks
QfStatus
qf_raw_duration(const QfRawReader* reader, const xmlNode* node, QfTicks* result);

/// Read a `figured-bass` element
QfStatus
qf_raw_figures(QfRawReader* reader, const xmlNode* node);

/// Read a `note` element
QfStatus
qf_raw_note(QfRawReader* reader, const xmlNode* node);

/// Read a `backup` element
QfStatus
qf_raw_backup(QfRawReader* reader, const xmlNode* node);

/// Read a `forward` element
QfStatus
qf_raw_forward(QfRawReader* reader, const xmlNode* node);

#endif // QUINTFALL_FORMATS_MUSICXML_READER_H
