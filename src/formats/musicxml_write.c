// SPDX-License-Identifier: MIT
// Source of every element's place: MusicXML 4.0 documentation, W3C Music Notation Community Group.
#include "divisions.h"
#include "musicxml_harmony.h"
#include "musicxml_writer.h"
#include "mxl.h"

#include <stdlib.h>
#include <string.h>

#define MAX_DIVISIONS ((int64_t)100000000) ///< So that a whole measure fits nine digits

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
                 voice->staff + 1, writer_rank_of(writer->score, i).index);
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
      writer_add_measure(writer, staff, i);
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
            writer_compare_accidentals);
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

/// Notes can lie below what MusicXML can say
static QfStatus
check_pitches(const QfScore* const score, QfError* const error)
{
  // Source: MusicXML 4.0, octave data type.
  enum { LOWEST_OCTAVE = 0, HIGHEST_OCTAVE = 9 };

  for (size_t voice = 0; voice < qf_score_n_voices(score); ++voice) {
    for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
      const QfNote* const note = qf_score_get_note(score, voice, i);
      if (note->pitch.octave < LOWEST_OCTAVE || note->pitch.octave > HIGHEST_OCTAVE) {
        char text[16];
        qf_pitch_write(note->pitch, text, sizeof(text));
        const size_t bar = qf_score_bar_at(score, note->start);
        qf_error_set(error, QF_ERR_RANGE,
                     "%s cannot be written in MusicXML; expected notes from C0 to B9", text);
        qf_error_place(error, 0, qf_score_get_bar(score, bar)->number, NULL);
        return QF_ERR_RANGE;
      }
    }
  }
  return QF_OK;
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

  QfStatus st = check_pitches(score, error);
  if (st) {
    return st;
  }

  Writer writer = {.score = score, .labels = labels};
  st            = prepare(&writer);
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
