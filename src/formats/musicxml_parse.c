// SPDX-License-Identifier: MIT
// Source of every element's sense: MusicXML 4.0 documentation, W3C Music Notation Community Group.
#include "musicxml_reader.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_PARTS = 256,
};

QfStatus
qf_raw_no_memory(QfError* const error)
{
  return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading MusicXML");
}

static int
measure_number(const QfRawReader* const reader)
{
  return reader->measure < reader->raw->n_measures ? reader->raw->measures[reader->measure].number
                                                   : -1;
}

QfStatus
qf_raw_place(const QfRawReader* const reader, const xmlNode* const node, const QfStatus st)
{
  qf_error_place(reader->error, qf_xml_line(node), measure_number(reader), NULL);
  return st;
}

void
qf_raw_remark(const QfRawReader* const reader, const QfRemarkKind kind)
{
  qf_remarks_add(reader->remarks, kind, measure_number(reader));
}

bool
qf_raw_reserve(void** const  data,
               const size_t  n_items,
               size_t* const capacity,
               const size_t  item_size)
{
  if (n_items < *capacity) {
    return true;
  }
  const size_t wanted = *capacity ? *capacity * 2U : 64U;
  void* const  more   = realloc(*data, wanted * item_size);
  if (more) {
    *data     = more;
    *capacity = wanted;
  }
  return more != NULL;
}

//
// Measures
//

static void
parse_sound(QfRawReader* const reader, const xmlNode* const sound)
{
  char      text[32];
  QfDecimal value;
  if (!sound || !qf_xml_attribute(sound, "tempo", text, sizeof(text)) ||
      !qf_decimal_parse(text, &value)) {
    return;
  }

  QfRawScore* const raw   = reader->raw;
  const double      tempo = (double)value.num / (double)value.den;
  if (raw->has_tempo) {
    if (fabs(raw->tempo - tempo) > 1e-6) {
      qf_raw_remark(reader, QF_REMARK_TEMPO_CHANGE);
    }
  } else if (tempo < 10.0 || tempo > 400.0) {
    qf_raw_remark(reader, QF_REMARK_TEMPO);
  } else {
    raw->tempo     = tempo;
    raw->has_tempo = true;
  }
}

static void
parse_barline(QfRawReader* const reader, const xmlNode* const node)
{
  QfRawMeasure* const  measure = &reader->raw->measures[reader->measure];
  const xmlNode* const repeat  = qf_xml_child(node, "repeat");
  if (repeat) {
    measure->starts_repeat |= qf_xml_attribute_is(repeat, "direction", "forward");
    measure->ends_repeat |= qf_xml_attribute_is(repeat, "direction", "backward");
  }
  const xmlNode* const ending = qf_xml_child(node, "ending");
  if (ending && qf_xml_attribute_is(ending, "type", "start") && reader->part == 0U) {
    qf_raw_remark(reader, QF_REMARK_ENDING);
  }
}

static QfStatus
parse_cell(QfRawReader* const reader, const QfRawCell cell)
{
  reader->cursor          = 0;
  reader->figures_offset  = 0;
  reader->has_chord_start = false;

  QfStatus st = QF_OK;
  for (const xmlNode* node = qf_xml_child(cell.content, NULL); node && !st;
       node                = qf_xml_next(node, NULL)) {
    if (qf_xml_is(node, "note")) {
      st = qf_raw_note(reader, node);
    } else if (qf_xml_is(node, "backup")) {
      st = qf_raw_backup(reader, node);
    } else if (qf_xml_is(node, "forward")) {
      st = qf_raw_forward(reader, node);
    } else if (qf_xml_is(node, "figured-bass")) {
      st = qf_raw_figures(reader, node);
    } else if (qf_xml_is(node, "attributes")) {
      st = qf_raw_attributes(reader, node);
    } else if (qf_xml_is(node, "barline")) {
      parse_barline(reader, node);
    } else if (qf_xml_is(node, "direction")) {
      parse_sound(reader, qf_xml_child(node, "sound"));
    } else if (qf_xml_is(node, "sound")) {
      parse_sound(reader, node);
    }
  }
  return st;
}

/// "12", "7a", "X1": leading digits, and the first letter after them
static void
parse_number(const xmlNode* const head, QfRawMeasure* const measure)
{
  char text[32];
  qf_xml_attribute(head, "number", text, sizeof(text));

  size_t    i     = 0;
  const int max   = 1000000;
  measure->number = 0;
  measure->suffix = '\0';
  for (; isdigit((unsigned char)text[i]) && measure->number < max; ++i) {
    measure->number = measure->number * 10 + (text[i] - '0');
  }
  measure->is_numbered = i > 0;
  measure->is_implicit = qf_xml_attribute_is(head, "implicit", "yes");
  if (measure->is_numbered && isalpha((unsigned char)text[i])) {
    measure->suffix = text[i];
  }
}

/// Measures without a number go on counting from the one before
static void
number_measures(QfRawScore* const raw, const QfRawCell* const cells)
{
  for (size_t i = 0; i < raw->n_measures; ++i) {
    QfRawMeasure* const measure = &raw->measures[i];
    parse_number(cells[i].head, measure);
    if (!measure->is_numbered && i > 0) {
      const QfRawMeasure* const before = &raw->measures[i - 1U];
      measure->number                  = before->number + !measure->is_implicit;
    }
  }
}

//
// The document
//

static QfStatus
parse_part_list(QfRawReader* const reader, const xmlNode* const root)
{
  const xmlNode* const list = qf_xml_child(root, "part-list");
  if (!list) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "there is no <part-list>");
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

/**
   Lay the document out as a table of cells.

   Partwise and timewise scores differ only in which of part and measure holds
   the other, so that everything below this table is the same for both.
*/
static QfStatus
lay_out_cells(QfRawReader* const reader, const xmlNode* const root, const bool is_partwise)
{
  QfRawScore* const raw   = reader->raw;
  const char* const outer = is_partwise ? "part" : "measure";
  const char* const inner = is_partwise ? "measure" : "part";

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

  size_t n_outer = 0U;
  for (const xmlNode* row = first; row; row = qf_xml_next(row, outer), ++n_outer) {
    size_t n_inner = 0U;
    for (const xmlNode* node = qf_xml_child(row, inner); node;
         node                = qf_xml_next(node, inner), ++n_inner) {
      const size_t part    = find_part(raw, is_partwise ? row : node);
      const size_t measure = is_partwise ? n_inner : n_outer;
      if (part == SIZE_MAX) {
        qf_error_set(reader->error, QF_ERR_BAD_FILE,
                     "a <part> has an id that the <part-list> does not have");
        return qf_raw_place(reader, is_partwise ? row : node, QF_ERR_BAD_FILE);
      }
      if (measure < raw->n_measures) {
        reader->cells[part * raw->n_measures + measure] =
          (QfRawCell){is_partwise ? node : row, node};
      }
    }
    if (is_partwise && n_inner != raw->n_measures) {
      qf_error_set(reader->error, QF_ERR_BAD_FILE,
                   "a part has %zu measures, the first part %zu; expected as many", n_inner,
                   raw->n_measures);
      return qf_raw_place(reader, row, QF_ERR_BAD_FILE);
    }
  }
  return QF_OK;
}

static QfStatus
parse_parts(QfRawReader* const reader)
{
  QfRawScore* const raw = reader->raw;
  QfStatus          st  = QF_OK;

  size_t first = 0U;
  while (first + 1U < raw->n_parts && !reader->cells[first * raw->n_measures].head) {
    ++first;
  }
  const QfRawCell* const row = reader->cells + first * raw->n_measures;
  for (size_t i = 0; i < raw->n_measures; ++i) {
    if (!row[i].head) {
      return qf_error_set(reader->error, QF_ERR_BAD_FILE, "part \"%s\" has no music",
                          raw->parts[first].id);
    }
  }
  number_measures(raw, row);

  for (reader->part = 0; reader->part < raw->n_parts && !st; ++reader->part) {
    reader->divisions = (QfDecimal){0, 1};
    reader->transpose = (QfInterval){0, 0};
    for (reader->measure = 0; reader->measure < raw->n_measures && !st; ++reader->measure) {
      const QfRawCell cell = reader->cells[reader->part * raw->n_measures + reader->measure];
      st                   = cell.content ? parse_cell(reader, cell) : QF_OK;
    }
  }
  return st;
}

/// Our writer's field "voice-2": `P1 2 Alto` gives the second voice of all its part, voice and name
static void
parse_voice_field(QfRawScore* const raw, const xmlNode* const field)
{
  char name[32];
  char text[256];
  char id[64];
  char voice[16];
  int  order  = 0;
  int  length = 0;
  int  end    = 0;
  qf_xml_attribute(field, "name", name, sizeof(name));
  qf_xml_text(field, text, sizeof(text));
  if (sscanf(name, "voice-%3d%n", &order, &end) != 1 || name[end] || order < 1 ||
      sscanf(text, "%63s %15s%n", id, voice, &length) != 2) {
    return;
  }

  raw->has_fields = true;
  for (size_t i = 0; i < raw->n_streams; ++i) {
    QfRawStream* const stream = &raw->streams[i];
    if (!strcmp(raw->parts[stream->part].id, id) && !strcmp(stream->voice, voice)) {
      stream->order = order;
      qf_copy_text(text + length, sizeof(text) - (size_t)length, stream->name, QF_NAME_SIZE);
    }
  }
}

static void
parse_header(QfRawScore* const raw, const xmlNode* const root)
{
  const xmlNode* const work           = qf_xml_child(root, "work");
  const xmlNode* const identification = qf_xml_child(root, "identification");
  qf_xml_child_text(work, "work-title", raw->title, sizeof(raw->title));
  if (!raw->title[0]) {
    qf_xml_child_text(root, "movement-title", raw->title, sizeof(raw->title));
  }
  for (const xmlNode* creator = qf_xml_child(identification, "creator"); creator;
       creator                = qf_xml_next(creator, "creator")) {
    if (qf_xml_attribute_is(creator, "type", "composer") && !raw->composer[0]) {
      qf_xml_text(creator, raw->composer, sizeof(raw->composer));
    }
  }

  const xmlNode* const fields = qf_xml_child(identification, "miscellaneous");
  for (const xmlNode* field = qf_xml_child(fields, "miscellaneous-field"); field;
       field                = qf_xml_next(field, "miscellaneous-field")) {
    parse_voice_field(raw, field);
  }
}

QfStatus
qf_raw_parse(const xmlDoc* const doc,
             QfRawScore* const   raw,
             QfRemarks* const    remarks,
             QfError* const      error)
{
  const xmlNode* const root = xmlDocGetRootElement(doc);
  QfRawReader reader        = {.raw = raw, .remarks = remarks, .error = error, .measure = SIZE_MAX};
  reader.key_part           = SIZE_MAX;
  reader.metre_part         = SIZE_MAX;

  const bool is_partwise = qf_xml_is(root, "score-partwise");
  if (!is_partwise && !qf_xml_is(root, "score-timewise")) {
    qf_error_set(error, QF_ERR_BAD_FILE,
                 "the document is <%.60s>; expected MusicXML's <score-partwise>", root->name);
    return qf_raw_place(&reader, root, QF_ERR_BAD_FILE);
  }

  QfStatus st = parse_part_list(&reader, root);
  if (!st) {
    st = lay_out_cells(&reader, root, is_partwise);
  }
  if (!st) {
    st = parse_parts(&reader);
  }
  if (!st) {
    parse_header(raw, root);
  }
  free(reader.cells);
  return st;
}

void
qf_raw_clear(QfRawScore* const raw)
{
  free(raw->parts);
  free(raw->measures);
  free(raw->streams);
  free(raw->notes);
  free(raw->keys);
  free(raw->figures);
  *raw = (QfRawScore){0};
}
