// SPDX-License-Identifier: MIT
// Source of every element's sense: MusicXML 4.0 documentation, W3C Music Notation Community Group.
#include "musicxml_raw.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_PARTS         = 256,
  MAX_MEASURE_WHOLE = 256, ///< Whole notes in one measure
  MAX_SOUNDING      = 12,  ///< Semitones an `alter` may ask for
};

__extension__ typedef __int128 Wide; ///< For products of file numbers

/// The notes of one part in one measure: `content` holds them, `head` has the measure's attributes
typedef struct {
  const xmlNode* head;
  const xmlNode* content;
} Cell;

typedef struct {
  QfRawScore* raw;
  QfRemarks*  remarks;
  QfError*    error;
  Cell*       cells; ///< By part, then by measure

  size_t     part;
  QfDecimal  divisions; ///< Per quarter note; 0 before they are set
  QfInterval transpose; ///< From the written to the sounding pitch
  size_t     key_part;  ///< The part whose keys count, or SIZE_MAX
  size_t     metre_part;

  size_t  measure;
  QfTicks cursor;
  QfTicks chord_start; ///< Where a note marked `chord` starts
  bool    has_chord_start;
} Reader;

static QfStatus
no_memory(QfError* const error)
{
  return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading MusicXML");
}

static int
measure_number(const Reader* const reader)
{
  return reader->measure < reader->raw->n_measures ? reader->raw->measures[reader->measure].number
                                                   : -1;
}

/// Give the fault already recorded its place
static QfStatus
place(const Reader* const reader, const xmlNode* const node, const QfStatus st)
{
  qf_error_place(reader->error, qf_xml_line(node), measure_number(reader), NULL);
  return st;
}

static void
remark(const Reader* const reader, const QfRemarkKind kind)
{
  qf_remarks_add(reader->remarks, kind, measure_number(reader));
}

/// Room for one more in a growing array; false if memory ran out
static bool
reserve(void** const data, const size_t n_items, size_t* const capacity, const size_t item_size)
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
// Times
//

/// Read a `duration` in ticks
static QfStatus
parse_duration(const Reader* const reader, const xmlNode* const node, QfTicks* const result)
{
  char      text[32];
  QfDecimal value;
  if (!qf_xml_child_text(node, "duration", text, sizeof(text))) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "<%s> has no <duration>", node->name);
    return place(reader, node, QF_ERR_BAD_FILE);
  }
  if (!qf_decimal_parse(text, &value) || value.num < 0) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<duration> is \"%s\"; expected a positive number of divisions", text);
    return place(reader, node, QF_ERR_BAD_FILE);
  }
  if (!reader->divisions.num) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "a <duration> comes before <divisions>; expected <divisions> in the first "
                 "measure's <attributes>");
    return place(reader, node, QF_ERR_BAD_FILE);
  }

  const Wide num = (Wide)value.num * reader->divisions.den * (QF_TICKS_PER_WHOLE / 4); // a quarter
  const Wide den = (Wide)value.den * reader->divisions.num;
  const Wide ticks = (num + den / 2) / den;
  if (ticks > QF_TICKS_PER_WHOLE * MAX_MEASURE_WHOLE) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<duration> %s is too long; expected at most %d whole notes", text,
                 MAX_MEASURE_WHOLE);
    return place(reader, node, QF_ERR_BAD_FILE);
  }
  if (ticks * den != num) {
    remark(reader, QF_REMARK_ROUNDED_TIME);
  }
  *result = (QfTicks)ticks;
  return QF_OK;
}

static QfStatus
parse_backup(Reader* const reader, const xmlNode* const node)
{
  QfTicks        duration = 0;
  const QfStatus st       = parse_duration(reader, node, &duration);
  if (st) {
    return st;
  }
  if (duration > reader->cursor) {
    qf_error_set(
      reader->error, QF_ERR_BAD_FILE,
      "<backup> goes before the measure's start; expected it to stay inside the measure");
    return place(reader, node, QF_ERR_BAD_FILE);
  }
  reader->cursor -= duration;
  reader->has_chord_start = false;
  return QF_OK;
}

/// Move on and let the measure grow
static QfStatus
advance(Reader* const reader, const xmlNode* const node, const QfTicks to)
{
  QfRawMeasure* const measure = &reader->raw->measures[reader->measure];
  if (to > QF_TICKS_PER_WHOLE * MAX_MEASURE_WHOLE) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the measure is too long; expected at most %d whole notes", MAX_MEASURE_WHOLE);
    return place(reader, node, QF_ERR_BAD_FILE);
  }
  reader->cursor  = to;
  measure->length = to > measure->length ? to : measure->length;
  return QF_OK;
}

static QfStatus
parse_forward(Reader* const reader, const xmlNode* const node)
{
  QfTicks        duration = 0;
  const QfStatus st       = parse_duration(reader, node, &duration);
  reader->has_chord_start = false;
  return st ? st : advance(reader, node, reader->cursor + duration);
}

//
// Attributes
//

static QfStatus
parse_divisions(Reader* const reader, const xmlNode* const node)
{
  char      text[32];
  QfDecimal value;
  qf_xml_text(node, text, sizeof(text));
  if (!qf_decimal_parse(text, &value) || value.num <= 0) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<divisions> is \"%s\"; expected a positive number", text);
    return place(reader, node, QF_ERR_BAD_FILE);
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
parse_mode(const Reader* const reader, const xmlNode* const key)
{
  char text[32];
  qf_xml_child_text(key, "mode", text, sizeof(text));
  for (size_t i = 0; i < sizeof(modes) / sizeof(modes[0]); ++i) {
    if (!strcmp(text, modes[i].name)) {
      if (modes[i].is_church_mode) {
        remark(reader, QF_REMARK_MODE);
      }
      return modes[i].mode;
    }
  }
  return QF_MAJOR;
}

static QfStatus
parse_key(Reader* const reader, const xmlNode* const node)
{
  if (qf_xml_attribute_is(node, "number", "2") || qf_xml_attribute_is(node, "number", "3")) {
    return QF_OK; // of another staff of the part
  }
  if (reader->key_part == SIZE_MAX) {
    reader->key_part = reader->part;
  }
  if (reader->key_part != reader->part) {
    return QF_OK;
  }
  if (!qf_xml_child(node, "fifths")) {
    remark(reader, QF_REMARK_KEY);
    return QF_OK;
  }

  int fifths = 0;
  if (!qf_xml_child_int(node, "fifths", -7, 7, &fifths)) {
    char text[32];
    qf_xml_child_text(node, "fifths", text, sizeof(text));
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<fifths> is \"%s\"; expected a number from -7 to 7", text);
    return place(reader, node, QF_ERR_BAD_FILE);
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
  QfRawKey          key = {reader->measure, reader->cursor, {{0, 0}, QF_MAJOR}};
  qf_key_from_fifths(fifths, parse_mode(reader, node), &key.key);
  void* keys = raw->keys;
  if (!reserve(&keys, raw->n_keys, &raw->keys_capacity, sizeof(*raw->keys))) {
    return no_memory(reader->error);
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
parse_time(Reader* const reader, const xmlNode* const node)
{
  if (reader->metre_part == SIZE_MAX) {
    reader->metre_part = reader->part;
  }
  if (reader->metre_part != reader->part) {
    return QF_OK;
  }
  if (qf_xml_child(node, "senza-misura")) {
    remark(reader, QF_REMARK_FREE_METRE);
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
      return place(reader, node, QF_ERR_BAD_FILE);
    }
    metre     = one;
    has_metre = true;
  }
  if (!has_metre) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "<time> has no <beats> and <beat-type>");
    return place(reader, node, QF_ERR_BAD_FILE);
  }

  // One that stands inside a measure is taken to mean the next.
  const bool is_late = reader->cursor > 0 && reader->measure + 1U < reader->raw->n_measures;
  QfRawMeasure* const measure = &reader->raw->measures[reader->measure + is_late];
  if (is_late) {
    remark(reader, QF_REMARK_LATE_METRE);
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
parse_clef(Reader* const reader, const xmlNode* const node)
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
    remark(reader, QF_REMARK_CLEF_CHANGE);
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
  remark(reader, QF_REMARK_CLEF);
}

static QfStatus
parse_transpose(Reader* const reader, const xmlNode* const node)
{
  // Usual spelling of each chromatic distance where the file gives no diatonic one.
  static const int diatonic_of[12] = {0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6};

  int chromatic = 0;
  int octaves   = 0;
  if (!qf_xml_child_int(node, "chromatic", -60, 60, &chromatic)) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<transpose> has no usable <chromatic>; expected a number of semitones");
    return place(reader, node, QF_ERR_BAD_FILE);
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
parse_staves(Reader* const reader, const xmlNode* const node)
{
  char      text[32];
  QfDecimal value;
  qf_xml_text(node, text, sizeof(text));
  if (!qf_decimal_parse(text, &value) || value.num % value.den || value.num < 1) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "<staves> is \"%s\"; expected a positive number",
                 text);
    return place(reader, node, QF_ERR_BAD_FILE);
  }
  if (value.num / value.den > QF_RAW_MAX_STAVES) {
    qf_error_set(reader->error, QF_ERR_UNSUPPORTED, "a part has %s staves; expected at most %d",
                 text, QF_RAW_MAX_STAVES);
    return place(reader, node, QF_ERR_UNSUPPORTED);
  }
  QfRawPart* const part     = &reader->raw->parts[reader->part];
  const int        n_staves = (int)(value.num / value.den);
  part->n_staves            = n_staves > part->n_staves ? n_staves : part->n_staves;
  return QF_OK;
}

static QfStatus
parse_attributes(Reader* const reader, const xmlNode* const node)
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

//
// Notes
//

static const int letter_semitones[7] = {0, 2, 4, 5, 7, 9, 11};

/// Semitones of a staff step without accidental, C0 = 0
static int
step_semitones(const int step)
{
  const int letter = ((step % 7) + 7) % 7;
  return letter_semitones[letter] + 12 * ((step - letter) / 7);
}

/// The staff step nearest to one, with as few accidentals as may be, for a sound
static QfPitch
respell(const int step, const int sound)
{
  int best = step;
  for (int other = step - 7; other <= step + 7; ++other) {
    if (abs(sound - step_semitones(other)) < abs(sound - step_semitones(best))) {
      best = other;
    }
  }
  return qf_pitch_from_step(best, sound - step_semitones(best));
}

/// From the written step and alteration to the sounding pitch
static QfPitch
sounding_pitch(const Reader* const reader, const int step, const int alter)
{
  const QfInterval up    = reader->transpose;
  const int        sound = step_semitones(step) + alter + up.semitones;
  const int        moved = step + up.steps;
  if (abs(sound - step_semitones(moved)) > QF_MAX_ALTER) {
    remark(reader, QF_REMARK_RESPELLED);
    return respell(moved, sound);
  }
  return qf_pitch_from_step(moved, sound - step_semitones(moved));
}

static QfStatus
parse_alter(const Reader* const reader, const xmlNode* const node, int* const result)
{
  char      text[32];
  QfDecimal value = {0, 1};
  if (qf_xml_child_text(node, "alter", text, sizeof(text)) &&
      (!qf_decimal_parse(text, &value) ||
       llabs((long long)value.num) > (long long)MAX_SOUNDING * value.den)) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<alter> is \"%s\"; expected semitones, such as -1 for a flat", text);
    return place(reader, node, QF_ERR_BAD_FILE);
  }
  if (value.num % value.den) {
    remark(reader, QF_REMARK_MICROTONE);
  }
  *result = (int)lround((double)value.num / (double)value.den);
  return QF_OK;
}

static QfStatus
parse_pitch(const Reader* const reader, const xmlNode* const node, QfPitch* const result)
{
  static const char letters[] = "CDEFGAB";

  char step[8];
  qf_xml_child_text(node, "step", step, sizeof(step));
  const char* const letter = step[0] && !step[1] ? strchr(letters, step[0]) : NULL;
  if (!letter) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "<step> is \"%s\"; expected a letter from A to G",
                 step);
    return place(reader, node, QF_ERR_BAD_FILE);
  }
  int octave = 0;
  if (!qf_xml_child_int(node, "octave", 0, 9, &octave)) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "a <pitch> has no <octave> from 0 to 9");
    return place(reader, node, QF_ERR_BAD_FILE);
  }
  int            alter = 0;
  const QfStatus st    = parse_alter(reader, node, &alter);
  if (st) {
    return st;
  }

  *result        = sounding_pitch(reader, (int)(letter - letters) + 7 * octave, alter);
  const int midi = qf_pitch_midi(*result);
  if (midi < 0 || midi > 127) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the pitch %s, octave %d, sounds outside the range of MIDI (C-1 to G9)", step,
                 octave);
    return place(reader, node, QF_ERR_BAD_FILE);
  }
  return QF_OK;
}

/// Find the stream of a note, or begin it
static QfStatus
find_stream(Reader* const reader, const xmlNode* const node, uint32_t* const result)
{
  QfRawScore* const raw  = reader->raw;
  QfRawStream       want = {.part = reader->part};
  if (!qf_xml_child_text(node, "voice", want.voice, sizeof(want.voice)) || !want.voice[0]) {
    snprintf(want.voice, sizeof(want.voice), "1");
  }
  int staff = 1;
  if (qf_xml_child(node, "staff") &&
      !qf_xml_child_int(node, "staff", 1, QF_RAW_MAX_STAVES, &staff)) {
    qf_error_set(reader->error, QF_ERR_UNSUPPORTED, "a note's <staff> is none of 1 to %d",
                 QF_RAW_MAX_STAVES);
    return place(reader, node, QF_ERR_UNSUPPORTED);
  }
  want.staff = staff - 1;

  // The streams of a part are the last ones, and few.
  for (size_t i = raw->n_streams; i > 0 && raw->streams[i - 1U].part == reader->part; --i) {
    const QfRawStream* const stream = &raw->streams[i - 1U];
    if (stream->staff == want.staff && !strcmp(stream->voice, want.voice)) {
      *result = (uint32_t)(i - 1U);
      return QF_OK;
    }
  }

  if (raw->n_streams >= (size_t)MAX_PARTS * QF_MAX_VOICES) {
    qf_error_set(reader->error, QF_ERR_UNSUPPORTED, "there are too many voices");
    return place(reader, node, QF_ERR_UNSUPPORTED);
  }
  void* streams = raw->streams;
  if (!reserve(&streams, raw->n_streams, &raw->streams_capacity, sizeof(*raw->streams))) {
    return no_memory(reader->error);
  }
  raw->streams                 = (QfRawStream*)streams;
  raw->streams[raw->n_streams] = want;
  *result                      = (uint32_t)raw->n_streams++;

  QfRawPart* const part = &raw->parts[reader->part];
  part->n_staves        = staff > part->n_staves ? staff : part->n_staves;
  return QF_OK;
}

/// Find the ties of a note: how it sounds, and how it is drawn for files that say only that
static void
parse_ties(const xmlNode* const node, QfRawNote* const note)
{
  for (const xmlNode* tie = qf_xml_child(node, "tie"); tie; tie = qf_xml_next(tie, "tie")) {
    note->starts_tie |= qf_xml_attribute_is(tie, "type", "start");
    note->stops_tie |= qf_xml_attribute_is(tie, "type", "stop");
  }
  const xmlNode* const notations = qf_xml_child(node, "notations");
  for (const xmlNode* tied = qf_xml_child(notations, "tied"); tied;
       tied                = qf_xml_next(tied, "tied")) {
    note->starts_tie |= qf_xml_attribute_is(tied, "type", "start");
    note->stops_tie |= qf_xml_attribute_is(tied, "type", "stop");
  }
}

static QfStatus
add_note(Reader* const reader, const xmlNode* const node, QfRawNote note)
{
  QfRawScore* const raw = reader->raw;
  QfStatus          st  = parse_pitch(reader, qf_xml_child(node, "pitch"), &note.pitch);
  if (st) {
    return st;
  }
  parse_ties(node, &note);

  void* notes = raw->notes;
  if (!reserve(&notes, raw->n_notes, &raw->notes_capacity, sizeof(*raw->notes))) {
    return no_memory(reader->error);
  }
  raw->notes                          = (QfRawNote*)notes;
  raw->notes[raw->n_notes++]          = note;
  raw->parts[reader->part].has_pitch  = true;
  raw->streams[note.stream].has_notes = true;
  return QF_OK;
}

/// A rest that fills the measure does not say how long the measure is
static bool
is_measure_rest(const xmlNode* const node)
{
  const xmlNode* const rest = qf_xml_child(node, "rest");
  return rest && qf_xml_attribute_is(rest, "measure", "yes");
}

static QfStatus
parse_note(Reader* const reader, const xmlNode* const node)
{
  if (qf_xml_child(node, "grace")) {
    remark(reader, QF_REMARK_GRACE);
    return QF_OK;
  }

  QfRawNote note = {.measure = (uint32_t)reader->measure};
  QfStatus  st   = parse_duration(reader, node, &note.duration);
  if (!st) {
    st = find_stream(reader, node, &note.stream);
  }
  if (st) {
    return st;
  }

  const bool is_chord = qf_xml_child(node, "chord") && reader->has_chord_start;
  note.start          = is_chord ? reader->chord_start : reader->cursor;
  if (is_measure_rest(node)) {
    QfRawMeasure* const measure = &reader->raw->measures[reader->measure];
    const QfTicks       end     = note.start + note.duration;
    measure->rest_length        = end > measure->rest_length ? end : measure->rest_length;
    reader->cursor              = end;
    reader->has_chord_start     = false;
    return QF_OK;
  }

  if (qf_xml_child(node, "cue")) {
    remark(reader, QF_REMARK_CUE);
  } else if (qf_xml_child(node, "unpitched")) {
    reader->raw->parts[reader->part].is_unpitched = true;
    remark(reader, QF_REMARK_UNPITCHED);
  } else if (qf_xml_child(node, "pitch")) {
    st = note.duration > 0 ? add_note(reader, node, note) : QF_OK;
  } else if (!qf_xml_child(node, "rest")) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "a <note> has no <pitch>, <rest> or <unpitched>");
    st = place(reader, node, QF_ERR_BAD_FILE);
  }

  reader->chord_start     = note.start;
  reader->has_chord_start = true;
  const QfTicks end       = note.start + note.duration;
  return st ? st : advance(reader, node, is_chord && end < reader->cursor ? reader->cursor : end);
}

//
// Measures
//

static void
parse_sound(Reader* const reader, const xmlNode* const sound)
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
      remark(reader, QF_REMARK_TEMPO_CHANGE);
    }
  } else if (tempo < 10.0 || tempo > 400.0) {
    remark(reader, QF_REMARK_TEMPO);
  } else {
    raw->tempo     = tempo;
    raw->has_tempo = true;
  }
}

static void
parse_barline(Reader* const reader, const xmlNode* const node)
{
  QfRawMeasure* const  measure = &reader->raw->measures[reader->measure];
  const xmlNode* const repeat  = qf_xml_child(node, "repeat");
  if (repeat) {
    measure->starts_repeat |= qf_xml_attribute_is(repeat, "direction", "forward");
    measure->ends_repeat |= qf_xml_attribute_is(repeat, "direction", "backward");
  }
  const xmlNode* const ending = qf_xml_child(node, "ending");
  if (ending && qf_xml_attribute_is(ending, "type", "start") && reader->part == 0U) {
    remark(reader, QF_REMARK_ENDING);
  }
}

static QfStatus
parse_cell(Reader* const reader, const Cell cell)
{
  reader->cursor          = 0;
  reader->has_chord_start = false;

  QfStatus st = QF_OK;
  for (const xmlNode* node = qf_xml_child(cell.content, NULL); node && !st;
       node                = qf_xml_next(node, NULL)) {
    if (qf_xml_is(node, "note")) {
      st = parse_note(reader, node);
    } else if (qf_xml_is(node, "backup")) {
      st = parse_backup(reader, node);
    } else if (qf_xml_is(node, "forward")) {
      st = parse_forward(reader, node);
    } else if (qf_xml_is(node, "attributes")) {
      st = parse_attributes(reader, node);
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
number_measures(QfRawScore* const raw, const Cell* const cells)
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
parse_part_list(Reader* const reader, const xmlNode* const root)
{
  const xmlNode* const list = qf_xml_child(root, "part-list");
  if (!list) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "there is no <part-list>");
    return place(reader, root, QF_ERR_BAD_FILE);
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
    return place(reader, list, st);
  }
  raw->parts = (QfRawPart*)calloc(raw->n_parts, sizeof(*raw->parts));
  if (!raw->parts) {
    return no_memory(reader->error);
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
lay_out_cells(Reader* const reader, const xmlNode* const root, const bool is_partwise)
{
  QfRawScore* const raw   = reader->raw;
  const char* const outer = is_partwise ? "part" : "measure";
  const char* const inner = is_partwise ? "measure" : "part";

  const xmlNode* const first = qf_xml_child(root, outer);
  raw->n_measures            = count_children(is_partwise ? first : root, "measure");
  if (raw->n_measures == 0U) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "there are no measures; expected at least one");
    return place(reader, root, QF_ERR_BAD_FILE);
  }
  if (raw->n_measures > QF_MAX_BARS) {
    return qf_error_set(reader->error, QF_ERR_UNSUPPORTED,
                        "there are %zu measures; expected at most %d", raw->n_measures,
                        QF_MAX_BARS);
  }

  raw->measures = (QfRawMeasure*)calloc(raw->n_measures, sizeof(*raw->measures));
  reader->cells = (Cell*)calloc(raw->n_parts * raw->n_measures, sizeof(*reader->cells));
  if (!raw->measures || !reader->cells) {
    return no_memory(reader->error);
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
        return place(reader, is_partwise ? row : node, QF_ERR_BAD_FILE);
      }
      if (measure < raw->n_measures) {
        reader->cells[part * raw->n_measures + measure] = (Cell){is_partwise ? node : row, node};
      }
    }
    if (is_partwise && n_inner != raw->n_measures) {
      qf_error_set(reader->error, QF_ERR_BAD_FILE,
                   "a part has %zu measures, the first part %zu; expected as many", n_inner,
                   raw->n_measures);
      return place(reader, row, QF_ERR_BAD_FILE);
    }
  }
  return QF_OK;
}

static QfStatus
parse_parts(Reader* const reader)
{
  QfRawScore* const raw = reader->raw;
  QfStatus          st  = QF_OK;

  size_t first = 0U;
  while (first + 1U < raw->n_parts && !reader->cells[first * raw->n_measures].head) {
    ++first;
  }
  const Cell* const row = reader->cells + first * raw->n_measures;
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
      const Cell cell = reader->cells[reader->part * raw->n_measures + reader->measure];
      st              = cell.content ? parse_cell(reader, cell) : QF_OK;
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
  Reader reader             = {.raw = raw, .remarks = remarks, .error = error, .measure = SIZE_MAX};
  reader.key_part           = SIZE_MAX;
  reader.metre_part         = SIZE_MAX;

  const bool is_partwise = qf_xml_is(root, "score-partwise");
  if (!is_partwise && !qf_xml_is(root, "score-timewise")) {
    qf_error_set(error, QF_ERR_BAD_FILE,
                 "the document is <%.60s>; expected MusicXML's <score-partwise>", root->name);
    return place(&reader, root, QF_ERR_BAD_FILE);
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
  *raw = (QfRawScore){0};
}
