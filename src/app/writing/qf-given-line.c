// SPDX-License-Identifier: MIT
#include "qf-given-line.h"

#include "common/qf-names.h"

static QfTime
end_of(const QfGivenNote* const note)
{
  return qf_time_add(note->start, note->duration);
}

static void
add_note(QfGivenLine* const line, const QfScore* const score, const QfNote* const note)
{
  if (line->n_notes == QF_HARMONISE_MAX_NOTES) {
    line->is_cut = TRUE;
    return;
  }

  const QfTime start = qf_time_sub(note->start, line->origin);
  if (line->n_notes && qf_time_compare(end_of(&line->notes[line->n_notes - 1U]), start) < 0) {
    line->notes[line->n_notes - 1U].ends_phrase = true;
  }
  line->notes[line->n_notes++] =
    (QfGivenNote){.start       = start,
                  .duration    = note->duration,
                  .pitch       = note->pitch,
                  .ends_phrase = qf_score_has_fermata(score, note->start)};
}

void
qf_given_line_collect(QfGivenLine* const   line,
                      const QfScore* const score,
                      const size_t         voice,
                      const QfTime         start,
                      const QfTime         end)
{
  const QfBar* const bar = qf_score_get_bar(score, qf_score_bar_at(score, start));

  line->n_notes = 0;
  line->is_cut  = FALSE;
  line->origin  = bar->start;
  line->metre   = bar->metre;
  line->pickup  = bar->offset.num > 0 ? bar->length : QF_TIME_ZERO;
  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    if (qf_time_compare(note->start, start) >= 0 && qf_time_compare(note->start, end) < 0) {
      add_note(line, score, note);
    }
  }
}

char*
qf_given_line_dup_chain(const QfGivenLine* const line,
                        const QfHarmony* const   harmony,
                        const size_t             n_links,
                        const QfScore* const     score)
{
  GString* const text   = g_string_new(NULL);
  size_t         before = 0;

  for (size_t i = 0; i < n_links; ++i) {
    const QfLink* const link  = &harmony->links[i];
    const size_t        bar   = qf_score_bar_at(score, qf_time_add(link->start, line->origin));
    QfNumeralParts      parts = {0};
    char                figures[sizeof(parts.figures)];
    qf_numeral_parts(&link->numeral, link->key.mode, &parts);
    qf_figures_write_in_line(parts.figures, figures, sizeof(figures));
    g_string_append_printf(text, "%s%s%s%s",
                           i == 0          ? ""
                           : bar != before ? "  |  "
                                           : "  ",
                           parts.head, figures, parts.tail);
    before = bar;
  }
  return g_string_free(text, FALSE);
}
