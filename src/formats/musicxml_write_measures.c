// SPDX-License-Identifier: MIT
// Measures: what stands at their beginning, in them and at their end.
#include "musicxml_writer.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

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
      writer_move(writer, here, signature->start);
      qf_text_add(&writer->text, "      <attributes>");
      add_key(writer, signature->key);
      qf_text_add(&writer->text, "</attributes>\n");
      here = signature->start;
    }
  }
  writer_move(writer, here, bar->start);
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

void
writer_add_measure(Writer* const writer, const size_t staff, const size_t index)
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
      writer_move(writer, here, bar->start);
      here     = writer_add_voice(writer, bar, voice, is_first);
      is_first = false;
    }
  }
  if (is_first) {
    writer_add_harmonies(writer, here, qf_time_add(bar->start, bar->length));
  }
  writer_move(writer, here, qf_time_add(bar->start, bar->length));

  write_right_barline(writer, bar, index + 1U == qf_score_n_bars(writer->score));
  qf_text_add(&writer->text, "    </measure>\n");
}
