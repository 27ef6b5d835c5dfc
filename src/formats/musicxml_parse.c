// SPDX-License-Identifier: MIT
// Source of every element's sense: MusicXML 4.0 documentation, W3C Music Notation Community Group.
#include "musicxml_reader.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

  QfStatus st = qf_raw_part_list(&reader, root);
  if (!st) {
    st = qf_raw_lay_out(&reader, root, is_partwise);
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
