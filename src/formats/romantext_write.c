// SPDX-License-Identifier: MIT
// Source: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019.
#include "quintfall/formats.h"
#include "quintfall/text.h"

#include <string.h>

/// Add a header line, its text kept to one line; nothing if there is none
static void
write_header_line(QfText* const text, const char* const name, const char* const content)
{
  if (!content[0]) {
    return;
  }
  qf_text_addf(text, "%s: ", name);
  for (const char* c = content; *c; ++c) {
    qf_text_add_bytes(text, (unsigned char)*c < ' ' ? " " : c, 1U);
  }
  qf_text_add(text, "\n");
}

static void
write_metre(QfText* const text, const QfMetre metre)
{
  qf_text_addf(text, "Time Signature: %d/%d\n", metre.numerator, metre.denominator);
}

static bool
same_signature(const QfMetre a, const QfMetre b)
{
  return a.numerator == b.numerator && a.denominator == b.denominator;
}

/// The beat as written: what follows " b" in a place
static void
add_beat(QfText* const text, const QfScore* const score, const QfTime time)
{
  char place[40];
  qf_score_write_place(score, time, place, sizeof(place));
  const char* const beat = strchr(place, ' ');
  if (beat) {
    qf_text_add(text, beat);
  }
}

/// Where the writer stands
typedef struct {
  bool    has_measure;
  int     measure;
  QfMetre metre;
  bool    has_key;
  QfKey   key;
} Position;

/// Begin a line where a measure begins; the halves of a split measure share one
static void
go_to_measure(QfText* const text, Position* const position, const QfBar* const bar)
{
  if (position->has_measure && position->measure == bar->number) {
    return;
  }
  qf_text_add(text, "\n");
  if (!same_signature(position->metre, bar->metre)) {
    qf_text_add(text, "\n");
    write_metre(text, bar->metre);
    qf_text_add(text, "\n");
    position->metre = bar->metre;
  }
  qf_text_addf(text, "m%d", bar->number);
  position->has_measure = true;
  position->measure     = bar->number;
}

/// Name the key, if it is another than before, and the chord
static void
write_chord(QfText* const          text,
            Position* const        position,
            const QfKey            key,
            const QfNumeral* const numeral)
{
  char buffer[QF_NUMERAL_TEXT_SIZE];

  if (!position->has_key || !qf_key_equals(position->key, key)) {
    qf_key_write_short(key, buffer, sizeof(buffer));
    qf_text_addf(text, " %s:", buffer);
    position->has_key = true;
    position->key     = key;
  }
  qf_numeral_write(numeral, key.mode, buffer, sizeof(buffer));
  qf_text_addf(text, " %s", buffer);
}

/// Write a link; a pivot chord also in the key of the link after it
static void
write_link(QfText* const        text,
           Position* const      position,
           const QfScore* const score,
           const QfLabel* const link,
           const QfLabel* const next)
{
  const QfPlace      place    = qf_score_place_of(score, link->start);
  const QfBar* const bar      = qf_score_get_bar(score, place.bar);
  const bool         is_first = !position->has_measure || position->measure != bar->number;
  go_to_measure(text, position, bar);
  if (!is_first || qf_time_compare(place.beat, qf_time(1, 1))) {
    add_beat(text, score, link->start);
  }

  write_chord(text, position, link->key, &link->numeral);
  if (next && link->is_pivot) {
    write_chord(text, position, next->key, &link->pivot);
  }
}

QfStatus
qf_romantext_write(const QfScore* const  score,
                   const QfLabels* const labels,
                   char** const          text,
                   QfError* const        error)
{
  if (!qf_score_n_bars(score)) {
    return qf_error_set(error, QF_ERR_RANGE, "the score has no bars; RomanText needs at least one");
  }

  QfText   out      = {0};
  Position position = {.metre = qf_score_get_bar(score, 0)->metre};
  write_header_line(&out, "Composer", qf_score_get_composer(score));
  write_header_line(&out, "Title", qf_score_get_title(score));
  write_header_line(&out, "Analyst", "Quintfall (automatic)");
  qf_text_add(&out, "\n");
  write_metre(&out, position.metre);
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);
    if (link->is_known) {
      const bool is_last = i + 1 == qf_labels_n_links(labels);
      write_link(&out, &position, score, link, is_last ? NULL : qf_labels_get_link(labels, i + 1));
    }
  }
  qf_text_add(&out, "\n");

  char* const result = qf_text_take(&out);
  if (!result) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while writing RomanText");
  }
  *text = result;
  return QF_OK;
}
