// SPDX-License-Identifier: MIT
// Source of every element's sense: MusicXML 4.0 documentation, W3C Music Notation Community Group.
#include "musicxml_reader.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_STREAMS       = 4096,
  MAX_MEASURE_WHOLE = 256, ///< Whole notes in one measure
  MAX_SOUNDING      = 12,  ///< Semitones an `alter` may ask for
};

__extension__ typedef __int128 Wide; ///< For products of file numbers

//
// Times
//

QfStatus
qf_raw_duration(const QfRawReader* const reader, const xmlNode* const node, QfTicks* const result)
{
  char      text[32];
  QfDecimal value;
  if (!qf_xml_child_text(node, "duration", text, sizeof(text))) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "<%s> has no <duration>", node->name);
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  if (!qf_decimal_parse(text, &value) || value.num < 0) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<duration> is \"%s\"; expected a positive number of divisions", text);
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  if (!reader->divisions.num) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "a <duration> comes before <divisions>; expected <divisions> in the first "
                 "measure's <attributes>");
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }

  const Wide num = (Wide)value.num * reader->divisions.den * (QF_TICKS_PER_WHOLE / 4); // a quarter
  const Wide den = (Wide)value.den * reader->divisions.num;
  const Wide ticks = (num + den / 2) / den;
  if (ticks > QF_TICKS_PER_WHOLE * MAX_MEASURE_WHOLE) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<duration> %s is too long; expected at most %d whole notes", text,
                 MAX_MEASURE_WHOLE);
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  if (ticks * den != num) {
    qf_raw_remark(reader, QF_REMARK_ROUNDED_TIME);
  }
  *result = (QfTicks)ticks;
  return QF_OK;
}

QfStatus
qf_raw_backup(QfRawReader* const reader, const xmlNode* const node)
{
  QfTicks        duration = 0;
  const QfStatus st       = qf_raw_duration(reader, node, &duration);
  if (st) {
    return st;
  }
  if (duration > reader->cursor) {
    qf_error_set(
      reader->error, QF_ERR_BAD_FILE,
      "<backup> goes before the measure's start; expected it to stay inside the measure");
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  reader->cursor -= duration;
  reader->has_chord_start = false;
  return QF_OK;
}

/// Move on and let the measure grow
static QfStatus
advance(QfRawReader* const reader, const xmlNode* const node, const QfTicks to)
{
  QfRawMeasure* const measure = &reader->raw->measures[reader->measure];
  if (to > QF_TICKS_PER_WHOLE * MAX_MEASURE_WHOLE) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the measure is too long; expected at most %d whole notes", MAX_MEASURE_WHOLE);
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  reader->cursor  = to;
  measure->length = to > measure->length ? to : measure->length;
  return QF_OK;
}

QfStatus
qf_raw_forward(QfRawReader* const reader, const xmlNode* const node)
{
  QfTicks        duration = 0;
  const QfStatus st       = qf_raw_duration(reader, node, &duration);
  reader->has_chord_start = false;
  return st ? st : advance(reader, node, reader->cursor + duration);
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
sounding_pitch(const QfRawReader* const reader, const int step, const int alter)
{
  const QfInterval up    = reader->transpose;
  const int        sound = step_semitones(step) + alter + up.semitones;
  const int        moved = step + up.steps;
  if (abs(sound - step_semitones(moved)) > QF_MAX_ALTER) {
    qf_raw_remark(reader, QF_REMARK_RESPELLED);
    return respell(moved, sound);
  }
  return qf_pitch_from_step(moved, sound - step_semitones(moved));
}

static QfStatus
parse_alter(const QfRawReader* const reader, const xmlNode* const node, int* const result)
{
  char      text[32];
  QfDecimal value = {0, 1};
  if (qf_xml_child_text(node, "alter", text, sizeof(text)) &&
      (!qf_decimal_parse(text, &value) ||
       llabs((long long)value.num) > (long long)MAX_SOUNDING * value.den)) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "<alter> is \"%s\"; expected semitones, such as -1 for a flat", text);
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  if (value.num % value.den) {
    qf_raw_remark(reader, QF_REMARK_MICROTONE);
  }
  *result = (int)lround((double)value.num / (double)value.den);
  return QF_OK;
}

static QfStatus
parse_pitch(const QfRawReader* const reader, const xmlNode* const node, QfPitch* const result)
{
  static const char letters[] = "CDEFGAB";

  char step[8];
  qf_xml_child_text(node, "step", step, sizeof(step));
  const char* const letter = step[0] && !step[1] ? strchr(letters, step[0]) : NULL;
  if (!letter) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "<step> is \"%s\"; expected a letter from A to G",
                 step);
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  int octave = 0;
  if (!qf_xml_child_int(node, "octave", 0, 9, &octave)) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "a <pitch> has no <octave> from 0 to 9");
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
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
    return qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }
  return QF_OK;
}

/// Find the stream of a note, or begin it
static QfStatus
find_stream(QfRawReader* const reader, const xmlNode* const node, uint32_t* const result)
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
    return qf_raw_place(reader, node, QF_ERR_UNSUPPORTED);
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

  if (raw->n_streams >= MAX_STREAMS) {
    qf_error_set(reader->error, QF_ERR_UNSUPPORTED, "there are too many voices");
    return qf_raw_place(reader, node, QF_ERR_UNSUPPORTED);
  }
  void* streams = raw->streams;
  if (!qf_raw_reserve(&streams, raw->n_streams, &raw->streams_capacity, sizeof(*raw->streams))) {
    return qf_raw_no_memory(reader->error);
  }
  raw->streams                 = (QfRawStream*)streams;
  raw->streams[raw->n_streams] = want;
  *result                      = (uint32_t)raw->n_streams++;

  QfRawPart* const part = &raw->parts[reader->part];
  part->n_staves        = staff > part->n_staves ? staff : part->n_staves;
  return QF_OK;
}

/// A note may have several `notations`
static bool
has_fermata(const xmlNode* const node)
{
  for (const xmlNode* notations = qf_xml_child(node, "notations"); notations;
       notations                = qf_xml_next(notations, "notations")) {
    if (qf_xml_child(notations, "fermata")) {
      return true;
    }
  }
  return false;
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
add_note(QfRawReader* const reader, const xmlNode* const node, QfRawNote note)
{
  QfRawScore* const raw = reader->raw;
  QfStatus          st  = parse_pitch(reader, qf_xml_child(node, "pitch"), &note.pitch);
  if (st) {
    return st;
  }
  parse_ties(node, &note);
  note.has_fermata = has_fermata(node);

  void* notes = raw->notes;
  if (!qf_raw_reserve(&notes, raw->n_notes, &raw->notes_capacity, sizeof(*raw->notes))) {
    return qf_raw_no_memory(reader->error);
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

QfStatus
qf_raw_note(QfRawReader* const reader, const xmlNode* const node)
{
  if (qf_xml_child(node, "grace")) {
    qf_raw_remark(reader, QF_REMARK_GRACE);
    return QF_OK;
  }

  QfRawNote note         = {.measure = (uint32_t)reader->measure};
  reader->figures_offset = 0;
  QfStatus st            = qf_raw_duration(reader, node, &note.duration);
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
    qf_raw_remark(reader, QF_REMARK_CUE);
  } else if (qf_xml_child(node, "unpitched")) {
    reader->raw->parts[reader->part].is_unpitched = true;
    qf_raw_remark(reader, QF_REMARK_UNPITCHED);
  } else if (qf_xml_child(node, "pitch")) {
    st = note.duration > 0 ? add_note(reader, node, note) : QF_OK;
  } else if (!qf_xml_child(node, "rest")) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "a <note> has no <pitch>, <rest> or <unpitched>");
    st = qf_raw_place(reader, node, QF_ERR_BAD_FILE);
  }

  reader->chord_start     = note.start;
  reader->has_chord_start = true;
  const QfTicks end       = note.start + note.duration;
  return st ? st : advance(reader, node, is_chord && end < reader->cursor ? reader->cursor : end);
}
