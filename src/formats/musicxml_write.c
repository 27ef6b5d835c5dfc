// SPDX-License-Identifier: MIT
// Source of every element's place: MusicXML 4.0 documentation, W3C Music Notation Community Group.
#include "divisions.h"
#include "musicxml_harmony.h"
#include "mxl.h"

#include "quintfall/formats.h"
#include "quintfall/spelling.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MAX_DIVISIONS ((int64_t)100000000) ///< So that a whole measure fits nine digits

typedef struct {
  const QfScore*  score;
  const QfLabels* labels;
  QfText          text;
  int64_t         divisions;
  QfSymbols       symbols[QF_MAX_VOICES];
  size_t          next[QF_MAX_VOICES]; ///< First symbol of each voice that is not yet written
  QfAccidental*   accidentals;         ///< In order of their notes
  size_t          n_accidentals;
  size_t          next_label;
} Writer;

//
// Numbers
//

static bool
refine(Writer* const writer, const QfTime time)
{
  return divisions_refine(&writer->divisions, time, MAX_DIVISIONS);
}

static bool
find_divisions(Writer* const writer)
{
  bool fits         = true;
  writer->divisions = 1;
  for (size_t i = 0; fits && i < qf_score_n_bars(writer->score); ++i) {
    const QfBar* const bar = qf_score_get_bar(writer->score, i);
    fits                   = refine(writer, bar->start) && refine(writer, bar->length);
  }
  for (size_t voice = 0; voice < qf_score_n_voices(writer->score); ++voice) {
    const QfSymbols* const symbols = &writer->symbols[voice];
    for (size_t i = 0; fits && i < symbols->n_symbols; ++i) {
      fits =
        refine(writer, symbols->symbols[i].start) && refine(writer, symbols->symbols[i].duration);
    }
  }
  for (size_t i = 0; fits && i < qf_score_n_signatures(writer->score); ++i) {
    fits = refine(writer, qf_score_get_signature(writer->score, i)->start);
  }
  const size_t n_links = writer->labels ? qf_labels_n_links(writer->labels) : 0U;
  for (size_t i = 0; fits && i < n_links; ++i) {
    fits = refine(writer, qf_labels_get_link(writer->labels, i)->start);
  }
  return fits;
}

static int64_t
in_divisions(const Writer* const writer, const QfTime time)
{
  return time.num * (4 * writer->divisions / time.den) +
         time.num * (4 * writer->divisions % time.den) / time.den;
}

static void
add_duration(Writer* const writer, const QfTime duration)
{
  qf_text_addf(&writer->text, "<duration>%" PRId64 "</duration>", in_divisions(writer, duration));
}

/// Go forward or back between things that do not follow one another
static void
move(Writer* const writer, const QfTime from, const QfTime to)
{
  const int         order = qf_time_compare(to, from);
  const char* const name  = order > 0 ? "forward" : "backup";
  if (order) {
    qf_text_addf(&writer->text, "      <%s>", name);
    add_duration(writer, order > 0 ? qf_time_sub(to, from) : qf_time_sub(from, to));
    qf_text_addf(&writer->text, "</%s>\n", name);
  }
}

//
// Notes
//

static int
compare_accidentals(const void* const left, const void* const right)
{
  const uint32_t a = ((const QfAccidental*)left)->note;
  const uint32_t b = ((const QfAccidental*)right)->note;
  return (a > b) - (a < b);
}

static void
add_accidental(Writer* const writer, const uint32_t note)
{
  // Source: MusicXML 4.0, accidental-value data type; it has no fourfold signs.
  static const char* const names[9] = {
    NULL,    "triple-flat",  "flat-flat",    "flat", "natural",
    "sharp", "double-sharp", "triple-sharp", NULL,
  };

  const QfAccidental        want = {.note = note};
  const QfAccidental* const found =
    writer->n_accidentals
      ? (const QfAccidental*)bsearch(&want, writer->accidentals, writer->n_accidentals,
                                     sizeof(want), compare_accidentals)
      : NULL;
  if (found && names[found->alter + QF_MAX_ALTER]) {
    const bool is_courtesy = found->kind == QF_ACCIDENTAL_COURTESY;
    qf_text_addf(&writer->text, "<accidental%s>%s</accidental>",
                 is_courtesy ? " cautionary=\"yes\"" : "", names[found->alter + QF_MAX_ALTER]);
  }
}

static void
add_pitch(Writer* const writer, const QfPitch pitch)
{
  qf_text_addf(&writer->text, "<pitch><step>%c</step>", "CDEFGAB"[pitch.letter]);
  if (pitch.alter) {
    qf_text_addf(&writer->text, "<alter>%d</alter>", pitch.alter);
  }
  qf_text_addf(&writer->text, "<octave>%d</octave></pitch>", pitch.octave);
}

/// Type, dots, accidental and tuplet, in the order the schema wants them
static void
add_value(Writer* const writer, const QfSymbol* const symbol, const bool has_accidental)
{
  // Source: MusicXML 4.0, note-type-value data type.
  static const char* const types[] = {
    "maxima", "long", "breve", "whole", "half",  "quarter", "eighth",
    "16th",   "32nd", "64th",  "128th", "256th", "512th",   "1024th",
  };
  enum { WHOLE = 3 };

  const int type = symbol->value + WHOLE;
  if (!symbol->is_whole_bar && type >= 0 && type < (int)(sizeof(types) / sizeof(types[0]))) {
    qf_text_addf(&writer->text, "<type>%s</type>", types[type]);
    for (int i = 0; i < symbol->dots; ++i) {
      qf_text_add(&writer->text, "<dot/>");
    }
  }
  if (has_accidental) {
    add_accidental(writer, symbol->note);
  }
  if (symbol->tuplet > 1) {
    int normal = 1;
    while (normal * 2 < symbol->tuplet) {
      normal *= 2;
    }
    qf_text_addf(&writer->text,
                 "<time-modification><actual-notes>%d</actual-notes>"
                 "<normal-notes>%d</normal-notes></time-modification>",
                 symbol->tuplet, normal);
  }
}

/// Voices of one staff, and the place of one among them
typedef struct {
  size_t index; ///< From 1, the number of the `voice` element
  size_t count;
} Rank;

static Rank
rank_of(const QfScore* const score, const size_t voice)
{
  const uint8_t staff = qf_score_get_voice(score, voice)->staff;
  Rank          rank  = {0U, 0U};
  for (size_t i = 0; i < qf_score_n_voices(score); ++i) {
    if (qf_score_get_voice(score, i)->staff == staff) {
      rank.count++;
      rank.index += i <= voice;
    }
  }
  return rank;
}

/// Ties as they are drawn, and a fermata on the note it begins
static void
add_notations(Writer* const         writer,
              const QfSymbol* const symbol,
              const bool            is_held,
              const Rank            rank)
{
  const bool has_fermata = !is_held && qf_score_has_fermata(writer->score, symbol->start);
  if (!is_held && !symbol->is_tied && !has_fermata) {
    return;
  }
  qf_text_addf(&writer->text, "<notations>%s%s", is_held ? "<tied type=\"stop\"/>" : "",
               symbol->is_tied ? "<tied type=\"start\"/>" : "");
  if (has_fermata) {
    qf_text_addf(&writer->text, "<fermata type=\"%s\"/>", rank.index > 1U ? "inverted" : "upright");
  }
  qf_text_add(&writer->text, "</notations>");
}

static void
write_symbol(Writer* const writer, const size_t voice, const size_t index)
{
  const QfSymbol* const symbol  = &writer->symbols[voice].symbols[index];
  const QfSymbol* const before  = index ? symbol - 1 : NULL;
  const bool            is_note = symbol->note != QF_NO_NOTE;
  const bool            is_held = is_note && before && before->note == symbol->note;
  const Rank            rank    = rank_of(writer->score, voice);

  qf_text_add(&writer->text, "      <note>");
  if (is_note) {
    add_pitch(writer, symbol->pitch);
  } else {
    qf_text_add(&writer->text, symbol->is_whole_bar ? "<rest measure=\"yes\"/>" : "<rest/>");
  }
  add_duration(writer, symbol->duration);
  if (is_held) {
    qf_text_add(&writer->text, "<tie type=\"stop\"/>");
  }
  if (is_note && symbol->is_tied) {
    qf_text_add(&writer->text, "<tie type=\"start\"/>");
  }
  qf_text_addf(&writer->text, "<voice>%zu</voice>", rank.index);
  add_value(writer, symbol, is_note && !is_held);
  if (is_note && rank.count > 1U) {
    qf_text_addf(&writer->text, "<stem>%s</stem>", rank.index == 1U ? "up" : "down");
  }
  if (is_note) {
    add_notations(writer, symbol, is_held, rank);
  }
  qf_text_add(&writer->text, "</note>\n");
}

/// Write the labels that begin before a time, from where the document now stands
static void
write_harmonies(Writer* const writer, const QfTime here, const QfTime until)
{
  const size_t n_links = writer->labels ? qf_labels_n_links(writer->labels) : 0U;
  while (writer->next_label < n_links) {
    const QfLabel* const label = qf_labels_get_link(writer->labels, writer->next_label);
    if (qf_time_compare(label->start, until) >= 0) {
      return;
    }
    if (label->is_known) {
      qf_harmony_write(&writer->text, label, in_divisions(writer, qf_time_sub(label->start, here)));
    }
    writer->next_label++;
  }
}

/// Write one voice's part of a bar, the labels with it if it is the first of all; gives where it
/// ends
static QfTime
write_voice(Writer* const writer, const QfBar* const bar, const size_t voice, const bool has_labels)
{
  const QfSymbols* const symbols = &writer->symbols[voice];
  const QfTime           end     = qf_time_add(bar->start, bar->length);
  QfTime                 here    = bar->start;
  for (size_t i = writer->next[voice]; i < symbols->n_symbols; ++i) {
    const QfSymbol* const symbol = &symbols->symbols[i];
    if (qf_time_compare(symbol->start, end) >= 0) {
      break;
    }
    const QfTime symbol_end = qf_time_add(symbol->start, symbol->duration);
    if (has_labels) {
      write_harmonies(writer, here, symbol->start);
    }
    move(writer, here, symbol->start);
    if (has_labels) {
      write_harmonies(writer, symbol->start, symbol_end);
    }
    write_symbol(writer, voice, i);
    here                = symbol_end;
    writer->next[voice] = i + 1U;
  }
  if (has_labels) {
    write_harmonies(writer, here, end);
  }
  return here;
}

//
// Measures
//

static void
add_key(Writer* const writer, const QfKey key)
{
  qf_text_addf(&writer->text, "<key><fifths>%d</fifths><mode>%s</mode></key>", qf_key_fifths(key),
               key.mode == QF_MINOR ? "minor" : "major");
}

static void
add_time(Writer* const writer, const QfMetre metre)
{
  char text[48];
  qf_metre_write(metre, text, sizeof(text));
  char* const slash = strchr(text, '/');
  if (slash) {
    *slash = '\0';
    qf_text_addf(&writer->text, "<time><beats>%s</beats><beat-type>%s</beat-type></time>", text,
                 slash + 1);
  }
}

static void
add_clef(Writer* const writer, const QfClef clef)
{
  static const char* const clefs[QF_CLEF_N_KINDS] = {
    [QF_CLEF_TREBLE]   = "<sign>G</sign><line>2</line>",
    [QF_CLEF_BASS]     = "<sign>F</sign><line>4</line>",
    [QF_CLEF_ALTO]     = "<sign>C</sign><line>3</line>",
    [QF_CLEF_TENOR]    = "<sign>C</sign><line>4</line>",
    [QF_CLEF_TREBLE_8] = "<sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change>",
  };
  qf_text_addf(&writer->text, "<clef>%s</clef>", clefs[clef]);
}

/// The signature that starts at a time, or NULL
static const QfSignature*
signature_from(const QfScore* const score, const QfTime time)
{
  for (size_t i = 0; i < qf_score_n_signatures(score); ++i) {
    const QfSignature* const signature = qf_score_get_signature(score, i);
    if (!qf_time_compare(signature->start, time)) {
      return signature;
    }
  }
  return NULL;
}

/// Attributes at a bar's start: divisions and clef in the first, key and metre where they change
static void
write_attributes(Writer* const writer, const size_t staff, const size_t index)
{
  const QfBar* const       bar       = qf_score_get_bar(writer->score, index);
  const QfBar* const       before    = index ? qf_score_get_bar(writer->score, index - 1U) : NULL;
  const QfSignature* const signature = signature_from(writer->score, bar->start);
  const bool               has_metre = !before || !qf_metre_equals(before->metre, bar->metre);
  if (before && !signature && !has_metre) {
    return;
  }

  qf_text_add(&writer->text, "      <attributes>");
  if (!before) {
    qf_text_addf(&writer->text, "<divisions>%" PRId64 "</divisions>", writer->divisions);
  }
  if (signature) {
    add_key(writer, signature->key);
  }
  if (has_metre) {
    add_time(writer, bar->metre);
  }
  if (!before) {
    add_clef(writer, qf_score_get_staff(writer->score, staff)->clef);
  }
  qf_text_add(&writer->text, "</attributes>\n");
}

/// Signatures that change inside a bar: go there, say so, come back
static void
write_inner_signatures(Writer* const writer, const QfBar* const bar)
{
  const QfTime end  = qf_time_add(bar->start, bar->length);
  QfTime       here = bar->start;
  for (size_t i = 0; i < qf_score_n_signatures(writer->score); ++i) {
    const QfSignature* const signature = qf_score_get_signature(writer->score, i);
    if (qf_time_compare(signature->start, bar->start) > 0 &&
        qf_time_compare(signature->start, end) < 0) {
      move(writer, here, signature->start);
      qf_text_add(&writer->text, "      <attributes>");
      add_key(writer, signature->key);
      qf_text_add(&writer->text, "</attributes>\n");
      here = signature->start;
    }
  }
  move(writer, here, bar->start);
}

/// A decimal point whatever the user's language
static void
write_tempo(Writer* const writer)
{
  const int thousandths = (int)(qf_score_get_tempo(writer->score) * 1000.0 + 0.5);
  char      tempo[24];
  snprintf(tempo, sizeof(tempo), "%d.%03d", thousandths / 1000, thousandths % 1000);
  if (thousandths % 1000 == 0) {
    *strchr(tempo, '.') = '\0';
  }
  qf_text_addf(&writer->text,
               "      <direction placement=\"above\"><direction-type><metronome>"
               "<beat-unit>quarter</beat-unit><per-minute>%s</per-minute></metronome>"
               "</direction-type><sound tempo=\"%s\"/></direction>\n",
               tempo, tempo);
}

static void
write_left_barline(Writer* const writer, const QfBar* const bar)
{
  if (bar->starts_repeat) {
    qf_text_add(&writer->text, "      <barline location=\"left\"><bar-style>heavy-light</bar-style>"
                               "<repeat direction=\"forward\"/></barline>\n");
  }
}

static void
write_right_barline(Writer* const writer, const QfBar* const bar, const bool is_last)
{
  if (bar->ends_repeat || is_last) {
    qf_text_addf(&writer->text,
                 "      <barline location=\"right\"><bar-style>light-heavy</bar-style>%s"
                 "</barline>\n",
                 bar->ends_repeat ? "<repeat direction=\"backward\"/>" : "");
  }
}

static void
write_measure(Writer* const writer, const size_t staff, const size_t index)
{
  const QfBar* const bar       = qf_score_get_bar(writer->score, index);
  const char         suffix[2] = {bar->suffix, '\0'};
  qf_text_addf(&writer->text, "    <measure number=\"%d%s\"%s>\n", bar->number, suffix,
               bar->offset.num ? " implicit=\"yes\"" : "");
  write_left_barline(writer, bar);
  write_attributes(writer, staff, index);
  if (staff == 0U && index == 0U) {
    write_tempo(writer);
  }
  write_inner_signatures(writer, bar);

  bool   is_first = staff == 0U;
  QfTime here     = bar->start;
  for (size_t voice = 0; voice < qf_score_n_voices(writer->score); ++voice) {
    if (qf_score_get_voice(writer->score, voice)->staff == staff) {
      move(writer, here, bar->start);
      here     = write_voice(writer, bar, voice, is_first);
      is_first = false;
    }
  }
  if (is_first) {
    write_harmonies(writer, here, qf_time_add(bar->start, bar->length));
  }
  move(writer, here, qf_time_add(bar->start, bar->length));

  write_right_barline(writer, bar, index + 1U == qf_score_n_bars(writer->score));
  qf_text_add(&writer->text, "    </measure>\n");
}

//
// The document
//

static void
add_element(QfText* const     text,
            const char* const open,
            const char* const content,
            const char* const close)
{
  qf_text_add(text, open);
  qf_xml_add_escaped(text, content);
  qf_text_add(text, close);
}

/// The names of voices have no place in MusicXML, nor has their order across parts
static void
write_voice_fields(Writer* const writer)
{
  const size_t n_voices = qf_score_n_voices(writer->score);
  if (n_voices) {
    qf_text_add(&writer->text, "    <miscellaneous>\n");
  }
  for (size_t i = 0; i < n_voices; ++i) {
    const QfVoice* const voice = qf_score_get_voice(writer->score, i);
    qf_text_addf(&writer->text, "      <miscellaneous-field name=\"voice-%zu\">P%d %zu ", i + 1U,
                 voice->staff + 1, rank_of(writer->score, i).index);
    add_element(&writer->text, "", voice->name, "</miscellaneous-field>\n");
  }
  if (n_voices) {
    qf_text_add(&writer->text, "    </miscellaneous>\n");
  }
}

static void
write_header(Writer* const writer)
{
  const char* const title    = qf_score_get_title(writer->score);
  const char* const composer = qf_score_get_composer(writer->score);
  qf_text_add(&writer->text,
              "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\">\n");
  if (title[0]) {
    add_element(&writer->text, "  <work><work-title>", title, "</work-title></work>\n");
  }

  qf_text_add(&writer->text, "  <identification>\n");
  if (composer[0]) {
    add_element(&writer->text, "    <creator type=\"composer\">", composer, "</creator>\n");
  }
  qf_text_add(&writer->text, "    <encoding><software>Quintfall</software></encoding>\n");
  write_voice_fields(writer);
  qf_text_add(&writer->text, "  </identification>\n  <part-list>\n");
  for (size_t i = 0; i < qf_score_n_staves(writer->score); ++i) {
    qf_text_addf(&writer->text, "    <score-part id=\"P%zu\">", i + 1U);
    add_element(&writer->text, "<part-name>", qf_score_get_staff(writer->score, i)->name,
                "</part-name></score-part>\n");
  }
  qf_text_add(&writer->text, "  </part-list>\n");
}

static void
write_document(Writer* const writer)
{
  write_header(writer);
  for (size_t staff = 0; staff < qf_score_n_staves(writer->score); ++staff) {
    qf_text_addf(&writer->text, "  <part id=\"P%zu\">\n", staff + 1U);
    for (size_t i = 0; i < qf_score_n_bars(writer->score); ++i) {
      write_measure(writer, staff, i);
    }
    qf_text_add(&writer->text, "  </part>\n");
  }
  qf_text_add(&writer->text, "</score-partwise>\n");
}

static QfStatus
prepare(Writer* const writer)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; i < qf_score_n_voices(writer->score) && !st; ++i) {
    st = qf_symbols_of(writer->score, i, &writer->symbols[i]);
  }
  QfAccidentals accidentals = {0};
  if (!st) {
    st = qf_accidentals_of(writer->score, false, &accidentals);
  }
  if (!st) {
    writer->accidentals   = accidentals.accidentals;
    writer->n_accidentals = accidentals.n_accidentals;
    if (writer->n_accidentals) {
      qsort(writer->accidentals, writer->n_accidentals, sizeof(*writer->accidentals),
            compare_accidentals);
    }
  }
  return st;
}

static void
clear(Writer* const writer)
{
  for (size_t i = 0; i < qf_score_n_voices(writer->score); ++i) {
    qf_symbols_clear(&writer->symbols[i]);
  }
  QfAccidentals accidentals = {writer->accidentals, writer->n_accidentals};
  qf_accidentals_clear(&accidentals);
  qf_text_free(&writer->text);
}

QfStatus
qf_musicxml_write(const QfScore* const  score,
                  const QfLabels* const labels,
                  char** const          xml,
                  QfError* const        error)
{
  if (!qf_score_n_staves(score) || !qf_score_n_bars(score)) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "the score has no staves or no bars; MusicXML needs at least one each");
  }

  Writer   writer = {.score = score, .labels = labels};
  QfStatus st     = prepare(&writer);
  if (st) {
    qf_error_set(error, st, "the score cannot be written down (%s)", qf_status_text(st));
  } else if (!find_divisions(&writer)) {
    st = qf_error_set(error, QF_ERR_RANGE, "the score's rhythms are too fine for MusicXML");
  } else {
    write_document(&writer);
    char* const text = qf_text_take(&writer.text);
    if (text) {
      *xml = text;
    } else {
      st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory while writing MusicXML");
    }
  }
  clear(&writer);
  return st;
}

QfStatus
qf_mxl_write(const QfScore* const  score,
             const QfLabels* const labels,
             void** const          data,
             size_t* const         length,
             QfError* const        error)
{
  char*    xml = NULL;
  QfStatus st  = qf_musicxml_write(score, labels, &xml, error);
  if (!st) {
    st = qf_mxl_pack(xml, strlen(xml), data, length, error);
  }
  free(xml);
  return st;
}
