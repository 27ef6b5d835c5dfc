// SPDX-License-Identifier: MIT
// Source of every element's sense: MusicXML 4.0 documentation, W3C Music Notation Community Group.
#include "musicxml_reader.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static QfStatus
parse_divisions(QfRawReader* const reader, const xmlNode* const node)
{
  char      text[32];
  QfDecimal value;
  qf_xml_text(node, text, sizeof(text));
  if (!qf_decimal_parse(text, &value) || value.num <= 0) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<divisions> is \"%s\"; expected a positive number", text);
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  reader->divisions = value;
  return QF_OK;
}

/// How `mode` is taken. Source: MusicXML 4.0, mode data type.
static const struct {
  const char* name;
  QfMode      mode;
  bool        is_church_mode;
} modes[] = {
  {"major", QF_MAJOR, false},  {"minor", QF_MINOR, false},   {"none", QF_MAJOR, false},
  {"ionian", QF_MAJOR, true},  {"lydian", QF_MAJOR, true},   {"mixolydian", QF_MAJOR, true},
  {"dorian", QF_MINOR, true},  {"phrygian", QF_MINOR, true}, {"aeolian", QF_MINOR, true},
  {"locrian", QF_MINOR, true},
};

/// Fifths an interval moves a key by
static int
interval_fifths(const QfInterval interval)
{
  return 7 * interval.semitones - 12 * interval.steps;
}

static QfMode
parse_mode(const QfRawReader* const reader, const xmlNode* const key)
{
  char text[32];
  qf_xml_child_text(key, "mode", text, sizeof(text));
  for (size_t i = 0; i < sizeof(modes) / sizeof(modes[0]); ++i) {
    if (!strcmp(text, modes[i].name)) {
      if (modes[i].is_church_mode && reader->key_part == reader->part) {
        qf_raw_remark(reader, QF_REMARK_MODE);
      }
      return modes[i].mode;
    }
  }
  return QF_MAJOR;
}

static QfStatus
parse_key(QfRawReader* const reader, const xmlNode* const node)
{
  if (qf_xml_attribute_is(node, "number", "2") || qf_xml_attribute_is(node, "number", "3")) {
    return QF_OK; // of another staff of the part
  }
  if (reader->key_part == SIZE_MAX) {
    reader->key_part = reader->part;
  }
  if (!qf_xml_child(node, "fifths")) {
    if (reader->key_part == reader->part) {
      qf_raw_remark(reader, QF_REMARK_KEY);
    }
    return QF_OK;
  }

  int fifths = 0;
  if (!qf_xml_child_int(node, "fifths", -7, 7, &fifths)) {
    char text[32];
    qf_xml_child_text(node, "fifths", text, sizeof(text));
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<fifths> is \"%s\"; expected a number from -7 to 7", text);
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }

  // A written key that sounds beyond seven signs is taken as its enharmonic twin.
  fifths += interval_fifths(reader->transpose);
  while (fifths > 7) {
    fifths -= 12;
  }
  while (fifths < -7) {
    fifths += 12;
  }

  QfRawScore* const raw = reader->raw;
  QfRawKey          key = {reader->part, reader->measure, reader->cursor, {{0, 0}, QF_MAJOR}};
  qf_key_from_fifths(fifths, parse_mode(reader, node), &key.key);
  void* keys = raw->keys;
  if (!qf_raw_reserve(&keys, raw->n_keys, &raw->keys_capacity, sizeof(*raw->keys))) {
    return qf_raw_no_memory(reader->error);
  }
  raw->keys                = (QfRawKey*)keys;
  raw->keys[raw->n_keys++] = key;
  return QF_OK;
}

/// Add a second pair of beats and beat-type to a metre: 3/8 and 2/4 make 3+4/8
static bool
join_metres(const QfMetre a, const QfMetre b, QfMetre* const result)
{
  const int denominator = a.denominator > b.denominator ? a.denominator : b.denominator;
  char      text[48];
  snprintf(text, sizeof(text), "%d+%d/%d", a.numerator * denominator / a.denominator,
           b.numerator * denominator / b.denominator, denominator);
  return !qf_metre_parse(text, result, NULL);
}

static QfStatus
parse_time(QfRawReader* const reader, const xmlNode* const node)
{
  if (reader->metre_part == SIZE_MAX) {
    reader->metre_part = reader->part;
  }
  if (reader->metre_part != reader->part) {
    return QF_OK;
  }
  if (qf_xml_child(node, "senza-misura")) {
    qf_raw_remark(reader, QF_REMARK_FREE_METRE);
    return QF_OK;
  }

  QfMetre metre     = {0};
  bool    has_metre = false;
  for (const xmlNode* beats = qf_xml_child(node, "beats"); beats;
       beats                = qf_xml_next(beats, "beats")) {
    const xmlNode* const type = qf_xml_next(beats, NULL);
    char                 above[24];
    char                 below[24] = "";
    char                 text[56];
    qf_xml_text(beats, above, sizeof(above));
    if (type && qf_xml_is(type, "beat-type")) {
      qf_xml_text(type, below, sizeof(below));
    }
    snprintf(text, sizeof(text), "%s/%s", above, below);

    QfMetre one;
    if (qf_metre_parse(text, &one, NULL) || (has_metre && !join_metres(metre, one, &one))) {
      qf_error_set(reader->error, QF_ERR_BAD_FILE,
                   "the time signature is \"%s\"; expected beats over 1, 2, 4, 8, 16, 32 or 64",
                   text);
      return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
    }
    metre     = one;
    has_metre = true;
  }
  if (!has_metre) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "<time> has no <beats> and <beat-type>");
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }

  // One that stands inside a measure is taken to mean the next.
  const bool is_late = reader->cursor > 0 && reader->measure + 1U < reader->raw->n_measures;
  QfRawMeasure* const measure = &reader->raw->measures[reader->measure + is_late];
  if (is_late) {
    qf_raw_remark(reader, QF_REMARK_LATE_METRE);
  }
  measure->metre     = metre;
  measure->has_metre = true;
  return QF_OK;
}

/// Clefs as `sign`, `line` and `clef-octave-change`; the first is the nearest where none fits
static const struct {
  const char* sign;
  int         line;
  int         octave;
  QfClef      clef;
} clefs[] = {
  {"G", 2, 0, QF_CLEF_TREBLE}, {"G", 2, -1, QF_CLEF_TREBLE_8}, {"F", 4, 0, QF_CLEF_BASS},
  {"C", 3, 0, QF_CLEF_ALTO},   {"C", 4, 0, QF_CLEF_TENOR},
};

static void
parse_clef(QfRawReader* const reader, const xmlNode* const node)
{
  QfRawPart* const part = &reader->raw->parts[reader->part];
  char             text[32];
  int              staff = 0;
  if (qf_xml_attribute(node, "number", text, sizeof(text))) {
    staff = atoi(text) - 1;
  }
  char sign[16];
  qf_xml_child_text(node, "sign", sign, sizeof(sign));
  if (!strcmp(sign, "percussion")) {
    part->is_unpitched = true;
    return;
  }
  if (staff < 0 || staff >= QF_RAW_MAX_STAVES) {
    return;
  }
  if (part->has_clef[staff]) {
    qf_raw_remark(reader, QF_REMARK_CLEF_CHANGE);
    return;
  }

  int line   = 0;
  int octave = 0;
  qf_xml_child_int(node, "line", -10, 10, &line);
  qf_xml_child_int(node, "clef-octave-change", -4, 4, &octave);

  bool is_near = false;
  for (size_t i = 0; i < sizeof(clefs) / sizeof(clefs[0]); ++i) {
    if (strcmp(sign, clefs[i].sign)) {
      continue;
    }
    if ((line == clefs[i].line || line == 0) && octave == clefs[i].octave) {
      part->clefs[staff]    = clefs[i].clef;
      part->has_clef[staff] = true;
      return;
    }
    part->clefs[staff] = is_near ? part->clefs[staff] : clefs[i].clef;
    is_near            = true;
  }
  part->has_clef[staff] = true;
  qf_raw_remark(reader, QF_REMARK_CLEF);
}

static QfStatus
parse_transpose(QfRawReader* const reader, const xmlNode* const node)
{
  // Usual spelling of each chromatic distance where the file gives no diatonic one.
  static const int diatonic_of[12] = {0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6};

  int chromatic = 0;
  int octaves   = 0;
  if (!qf_xml_child_int(node, "chromatic", -60, 60, &chromatic)) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<transpose> has no usable <chromatic>; expected a number of semitones");
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  qf_xml_child_int(node, "octave-change", -4, 4, &octaves);

  const int size     = abs(chromatic);
  int       diatonic = size / 12 * 7 + diatonic_of[size % 12];
  diatonic           = chromatic < 0 ? -diatonic : diatonic;
  qf_xml_child_int(node, "diatonic", -40, 40, &diatonic);

  reader->transpose =
    (QfInterval){(int16_t)(diatonic + 7 * octaves), (int16_t)(chromatic + 12 * octaves)};
  return QF_OK;
}

static QfStatus
parse_staves(QfRawReader* const reader, const xmlNode* const node)
{
  char      text[32];
  QfDecimal value;
  qf_xml_text(node, text, sizeof(text));
  if (!qf_decimal_parse(text, &value) || value.num % value.den || value.num < 1) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "<staves> is \"%s\"; expected a positive number",
                 text);
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  if (value.num / value.den > QF_RAW_MAX_STAVES) {
    qf_error_set(reader->error, QF_ERR_UNSUPPORTED, "a part has %s staves; expected at most %d",
                 text, QF_RAW_MAX_STAVES);
    return qf_raw_place(reader, node, QF_ERR_UNSUPPORTED);
  }
  QfRawPart* const part     = &reader->raw->parts[reader->part];
  const int        n_staves = (int)(value.num / value.den);
  part->n_staves            = n_staves > part->n_staves ? n_staves : part->n_staves;
  return QF_OK;
}

QfStatus
qf_raw_attributes(QfRawReader* const reader, const xmlNode* const node)
{
  QfStatus st = QF_OK;
  // The key depends on the transposition, which the schema puts after it.
  const xmlNode* const transpose = qf_xml_child(node, "transpose");
  if (transpose) {
    st = parse_transpose(reader, transpose);
  }
  for (const xmlNode* child = qf_xml_child(node, NULL); child && !st;
       child                = qf_xml_next(child, NULL)) {
    if (qf_xml_is(child, "divisions")) {
      st = parse_divisions(reader, child);
    } else if (qf_xml_is(child, "key")) {
      st = parse_key(reader, child);
    } else if (qf_xml_is(child, "time")) {
      st = parse_time(reader, child);
    } else if (qf_xml_is(child, "staves")) {
      st = parse_staves(reader, child);
    } else if (qf_xml_is(child, "clef")) {
      parse_clef(reader, child);
    }
  }
  return st;
}
