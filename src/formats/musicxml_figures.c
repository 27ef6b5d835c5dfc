// SPDX-License-Identifier: MIT
// Source of every element's sense: MusicXML 4.0 documentation, W3C Music Notation Community Group.
#include "musicxml_reader.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  const char* value; ///< Of a `prefix` or `suffix`
  const char* sign;  ///< As qf_figured_bass_notes() reads it
} Sign;

// A stroke through a figure raises it (common practice); lines that only prolong are left out.
static const Sign signs[] = {
  {"sharp", "#"},        {"flat", "b"},          {"natural", "n"},
  {"sharp-sharp", "##"}, {"double-sharp", "##"}, {"flat-flat", "bb"},
  {"plus", "+"},         {"backslash", "+"},     {"slash", "+"},
};

static const char*
sign_of(const xmlNode* const figure, const char* const element)
{
  char value[32];
  if (qf_xml_child_text(figure, element, value, sizeof(value))) {
    for (size_t i = 0; i < sizeof(signs) / sizeof(signs[0]); ++i) {
      if (!strcmp(value, signs[i].value)) {
        return signs[i].sign;
      }
    }
  }
  return "";
}

/// Write the figures from the top, "6/b5"; false if they are too many
static bool
write_figures(const xmlNode* const node, char* const text, const size_t size)
{
  size_t length = 0;
  text[0]       = '\0';
  for (const xmlNode* figure = qf_xml_child(node, "figure"); figure;
       figure                = qf_xml_next(figure, "figure")) {
    char        number[8] = "";
    const char* before    = sign_of(figure, "prefix");
    const char* after     = sign_of(figure, "suffix");
    qf_xml_child_text(figure, "figure-number", number, sizeof(number));
    // A stroked five is the diminished fifth the scale has anyway
    after = !strcmp(number, "5") && after[0] == '+' ? "" : after;
    if (!number[0] && !before[0] && !after[0]) {
      continue;
    }
    const int n =
      snprintf(text + length, size - length, "%s%s%s%s", length ? "/" : "", before, number, after);
    if (n < 0 || (size_t)n >= size - length) {
      return false;
    }
    length += (size_t)n;
  }
  return true;
}

QfStatus
qf_raw_figures(QfRawReader* const reader, const xmlNode* const node)
{
  QfRawScore* const raw     = reader->raw;
  QfRawFigures      figures = {.start   = reader->cursor + reader->figures_offset,
                               .measure = (uint32_t)reader->measure};
  if (qf_xml_child(node, "duration")) { // Another chord under the same note may follow
    QfTicks        duration = 0;
    const QfStatus st       = qf_raw_duration(reader, node, &duration);
    if (st) {
      return st;
    }
    reader->figures_offset += duration;
  }
  if (!write_figures(node, figures.text, sizeof(figures.text))) {
    qf_raw_remark(reader, QF_REMARK_FIGURES);
    return QF_OK;
  }

  void* list = raw->figures;
  if (!qf_raw_reserve(&list, raw->n_figures, &raw->figures_capacity, sizeof(*raw->figures))) {
    return qf_raw_no_memory(reader->error);
  }
  raw->figures                   = (QfRawFigures*)list;
  raw->figures[raw->n_figures++] = figures;
  return QF_OK;
}

static int
compare_starts(const void* const left, const void* const right)
{
  const QfTicks a = ((const QfRawFigures*)left)->start;
  const QfTicks b = ((const QfRawFigures*)right)->start;
  return (a > b) - (a < b);
}

QfStatus
qf_raw_tell_figures(QfRawScore* const raw, QfImport* const import, QfError* const error)
{
  if (!import) {
    return QF_OK;
  }
  import->figures   = NULL;
  import->n_figures = 0;
  if (!raw->n_figures) {
    return QF_OK;
  }

  import->figures = (QfFigures*)calloc(raw->n_figures, sizeof(QfFigures));
  if (!import->figures) {
    return qf_raw_no_memory(error);
  }
  qsort(raw->figures, raw->n_figures, sizeof(*raw->figures), compare_starts);
  for (size_t i = 0; i < raw->n_figures; ++i) {
    QfFigures* const figures = &import->figures[import->n_figures++];
    figures->start           = qf_time(raw->figures[i].start, QF_TICKS_PER_WHOLE);
    memcpy(figures->text, raw->figures[i].text, sizeof(figures->text));
  }
  return QF_OK;
}
