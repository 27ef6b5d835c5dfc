// SPDX-License-Identifier: MIT
// A document as a table of cells: one part in one measure each.
#include "musicxml_reader.h"

#include <stdlib.h>
#include <string.h>

enum { MAX_PARTS = 256 };

QfStatus
qf_raw_part_list(QfRawReader* const reader, const xmlNode* const root)
{
  const xmlNode* const list = qf_xml_child(root, "part-list");
  if (!list) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "there is no <part-list>; expected one before the music");
    return qf_raw_place(reader, root, QF_ERR_BAD_FILE);
  }

  QfRawScore* const raw = reader->raw;
  for (const xmlNode* node = qf_xml_child(list, "score-part"); node;
       node                = qf_xml_next(node, "score-part")) {
    raw->n_parts++;
  }
  if (raw->n_parts == 0U || raw->n_parts > MAX_PARTS) {
    const QfStatus st = raw->n_parts ? QF_ERR_UNSUPPORTED : QF_ERR_BAD_FILE;
    qf_error_set(reader->error, st, "there are %zu parts; expected 1 to %d", raw->n_parts,
                 MAX_PARTS);
    return qf_raw_place(reader, list, st);
  }
  raw->parts = (QfRawPart*)calloc(raw->n_parts, sizeof(*raw->parts));
  if (!raw->parts) {
    return qf_raw_no_memory(reader->error);
  }

  size_t i = 0;
  for (const xmlNode* node = qf_xml_child(list, "score-part"); node;
       node                = qf_xml_next(node, "score-part"), ++i) {
    QfRawPart* const part = &raw->parts[i];
    part->n_staves        = 1;
    qf_xml_attribute(node, "id", part->id, sizeof(part->id));
    qf_xml_child_text(node, "part-name", part->name, sizeof(part->name));
  }
  return QF_OK;
}

static size_t
find_part(const QfRawScore* const raw, const xmlNode* const node)
{
  char id[64];
  qf_xml_attribute(node, "id", id, sizeof(id));
  for (size_t i = 0; i < raw->n_parts; ++i) {
    if (!strcmp(raw->parts[i].id, id)) {
      return i;
    }
  }
  return SIZE_MAX;
}

static size_t
count_children(const xmlNode* const parent, const char* const name)
{
  size_t n_children = 0U;
  for (const xmlNode* node = qf_xml_child(parent, name); node; node = qf_xml_next(node, name)) {
    ++n_children;
  }
  return n_children;
}

/// Place the cells of a part, or of a measure in a timewise score
static QfStatus
place_row(QfRawReader* const   reader,
          const xmlNode* const row,
          const size_t         index,
          const bool           is_partwise)
{
  const QfRawScore* const raw     = reader->raw;
  const char* const       inner   = is_partwise ? "measure" : "part";
  size_t                  n_inner = 0U;
  for (const xmlNode* node = qf_xml_child(row, inner); node; node = qf_xml_next(node, inner)) {
    const xmlNode* const in_part = is_partwise ? row : node;
    const size_t         part    = find_part(raw, in_part);
    const size_t         measure = is_partwise ? n_inner : index;
    if (part == SIZE_MAX) {
      qf_error_set(reader->error, QF_ERR_BAD_FILE,
                   "a <part> has an id that the <part-list> does not have");
      return qf_raw_place(reader, in_part, QF_ERR_BAD_FILE);
    }
    if (measure < raw->n_measures) {
      reader->cells[part * raw->n_measures + measure] = (QfRawCell){is_partwise ? node : row, node};
    }
    ++n_inner;
  }
  if (is_partwise && n_inner != raw->n_measures) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "a part has %zu measures, the first part %zu; expected as many", n_inner,
                 raw->n_measures);
    return qf_raw_place(reader, row, QF_ERR_BAD_FILE);
  }
  return QF_OK;
}

QfStatus
qf_raw_lay_out(QfRawReader* const reader, const xmlNode* const root, const bool is_partwise)
{
  QfRawScore* const raw   = reader->raw;
  const char* const outer = is_partwise ? "part" : "measure";

  const xmlNode* const first = qf_xml_child(root, outer);
  raw->n_measures            = count_children(is_partwise ? first : root, "measure");
  if (raw->n_measures == 0U) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "there are no measures; expected at least one");
    return qf_raw_place(reader, root, QF_ERR_BAD_FILE);
  }
  if (raw->n_measures > QF_MAX_BARS) {
    return qf_error_set(reader->error, QF_ERR_UNSUPPORTED,
                        "there are %zu measures; expected at most %d", raw->n_measures,
                        QF_MAX_BARS);
  }

  raw->measures = (QfRawMeasure*)calloc(raw->n_measures, sizeof(*raw->measures));
  reader->cells = (QfRawCell*)calloc(raw->n_parts * raw->n_measures, sizeof(*reader->cells));
  if (!raw->measures || !reader->cells) {
    return qf_raw_no_memory(reader->error);
  }

  QfStatus st    = QF_OK;
  size_t   index = 0U;
  for (const xmlNode* row = first; row && !st; row = qf_xml_next(row, outer)) {
    st = place_row(reader, row, index++, is_partwise);
  }
  return st;
}
