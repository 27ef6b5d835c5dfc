// SPDX-License-Identifier: MIT
// Notes and rests, and the labels among them.
#include "musicxml_harmony.h"
#include "musicxml_writer.h"

#include <inttypes.h>
#include <stdlib.h>

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

void
writer_move(Writer* const writer, const QfTime from, const QfTime to)
{
  const int         order = qf_time_compare(to, from);
  const char* const name  = order > 0 ? "forward" : "backup";
  if (order) {
    qf_text_addf(&writer->text, "      <%s>", name);
    add_duration(writer, order > 0 ? qf_time_sub(to, from) : qf_time_sub(from, to));
    qf_text_addf(&writer->text, "</%s>\n", name);
  }
}

int
writer_compare_accidentals(const void* const left, const void* const right)
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
                                     sizeof(want), writer_compare_accidentals)
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

Rank
writer_rank_of(const QfScore* const score, const size_t voice)
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
  const Rank            rank    = writer_rank_of(writer->score, voice);

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

void
writer_add_harmonies(Writer* const writer, const QfTime here, const QfTime until)
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

QfTime
writer_add_voice(Writer* const      writer,
                 const QfBar* const bar,
                 const size_t       voice,
                 const bool         has_labels)
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
      writer_add_harmonies(writer, here, symbol->start);
    }
    writer_move(writer, here, symbol->start);
    if (has_labels) {
      writer_add_harmonies(writer, symbol->start, symbol_end);
    }
    write_symbol(writer, voice, i);
    here                = symbol_end;
    writer->next[voice] = i + 1U;
  }
  if (has_labels) {
    writer_add_harmonies(writer, here, end);
  }
  return here;
}
