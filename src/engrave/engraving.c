// SPDX-License-Identifier: MIT
#include "drawing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define TITLE_SIZE 4.2
#define COMPOSER_SIZE 2.3
#define FOOT_SIZE 1.9
#define NAME_SIZE 2.0
#define WIDEST_NAME 16.0

QfEngraveOptions
qf_engrave_options_screen(void)
{
  return (QfEngraveOptions){.space = 8.0, .margin = 16.0, .courtesy_across_voices = false};
}

QfEngraveOptions
qf_engrave_options_page(void)
{
  // ISO 216 A4 is 210 mm x 297 mm; 72 points to the inch
  const double margin = 45.0;
  return (QfEngraveOptions){.space       = 4.9,
                            .width       = 595.276 - 2.0 * margin,
                            .page_height = 841.890,
                            .margin      = margin,
                            .rows        = QF_ROW_NUMERALS | QF_ROW_KEYS,
                            .has_title   = true};
}

static char*
copy_or_empty(const char* const text)
{
  return strdup(text ? text : "");
}

/// Names before the staves of the first printed system
static double
measure_names(const Engraving* const e)
{
  double width = 0.0;
  for (size_t s = 0; s < e->n_staves && e->line_width > 0.0; ++s) {
    const char* const name = qf_score_get_staff(e->score, s)->name;
    width                  = fmax(width, fonts_text_width(&e->fonts, name, TEXT_PLAIN, NAME_SIZE));
  }
  return width > 0.0 ? fmin(width, WIDEST_NAME) + 0.8 : 0.0;
}

static QfStatus
set_up(Engraving* const e)
{
  const double space = e->options.space;
  e->margin          = e->options.margin / space;
  e->line_width      = e->options.width / space;
  e->page_height     = e->options.page_height / space;
  e->title           = copy_or_empty(qf_score_get_title(e->score));
  e->composer        = copy_or_empty(qf_score_get_composer(e->score));
  return e->title && e->composer ? QF_OK : QF_ERR_NO_MEM;
}

static QfStatus
place_on_columns(Engraving* const e)
{
  engrave_direct_stems(e);
  engrave_place_heads(e);
  engrave_place_rests(e);
  engrave_place_accidentals(e);
  engrave_place_beside(e);
  return QF_OK;
}

static QfStatus
measure(Engraving* const e)
{
  e->cells = (Cell*)calloc(e->n_columns * e->n_staves + 1, sizeof(Cell));
  if (!e->cells) {
    return QF_ERR_NO_MEM;
  }
  e->name_width = measure_names(e);
  engrave_measure_cells(e);
  engrave_place_fermatas(e);
  engrave_space(e);
  return e->failed ? QF_ERR_NO_MEM : QF_OK;
}

static void
draw_titles(Engraving* const e)
{
  const double middle = e->width / 2.0;
  const double room   = e->width - 2.0 * e->margin;
  const double top    = e->margin + engrave_name_height(e);
  if (e->options.has_title && e->n_pages) {
    const double width = fonts_text_width(&e->fonts, e->title, TEXT_BOLD, TITLE_SIZE);
    const double size  = width > room && room > 0.0 ? TITLE_SIZE * room / width : TITLE_SIZE;
    draw_text(e, 0, e->title, TEXT_BOLD, size, middle, top + 3.4, ALIGN_MIDDLE);
    draw_text(e, 0, e->composer, TEXT_ITALIC, COMPOSER_SIZE, e->width - e->margin,
              top + (e->title[0] ? 7.0 : 2.0), ALIGN_END);
  }
  for (size_t p = 0; e->n_pages > 1 && p < e->n_pages; ++p) {
    char number[32];
    snprintf(number, sizeof(number), "%zu", p + 1);
    draw_text(e, p, number, TEXT_PLAIN, FOOT_SIZE, middle, e->height - e->margin / 2.0,
              ALIGN_MIDDLE);
  }
}

static QfStatus
draw(Engraving* const e)
{
  for (size_t b = 0; b < e->n_beams; ++b) {
    engrave_fit_beam(e, &e->beams[b]);
  }
  for (size_t i = 0; i < e->n_systems && e->n_staves; ++i) {
    engrave_draw_frame(e, &e->systems[i]);
    engrave_draw_marks(e, &e->systems[i]);
  }
  engrave_draw_beams(e);
  engrave_draw_tuplets(e);
  engrave_draw_ties(e);
  engrave_draw_fermatas(e);
  engrave_draw_rows(e);
  engrave_draw_worksheet(e);
  draw_titles(e);
  engrave_draw_name_lines(e);
  return e->failed ? QF_ERR_NO_MEM : QF_OK;
}

static QfStatus
lay_out(Engraving* const e)
{
  static QfStatus (*const steps[])(Engraving*) = {set_up,
                                                  engrave_collect,
                                                  engrave_accidental_kinds,
                                                  engrave_group_beams,
                                                  place_on_columns,
                                                  engrave_make_tags,
                                                  measure,
                                                  engrave_break,
                                                  draw};
  for (size_t i = 0; i < sizeof(steps) / sizeof(steps[0]); ++i) {
    const QfStatus st = steps[i](e);
    if (st) {
      return st;
    }
  }
  return QF_OK;
}

QfStatus
engrave_make(const QfScore* const   score,
             const QfLabels* const  labels,
             const Overlay* const   overlay,
             const QfEngraveOptions options,
             QfEngraving** const    result,
             QfError* const         error)
{
  if (!(options.space > 0.0) || options.width < 0.0 || options.page_height < 0.0) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "A page needs a positive staff size and no negative lengths, but the "
                        "staff space is %g, the width %g and the height %g.",
                        options.space, options.width, options.page_height);
  }

  Engraving* const e = (Engraving*)calloc(1, sizeof(Engraving));
  if (!e) {
    return qf_error_set(error, QF_ERR_NO_MEM, "There is not enough memory to lay out the score.");
  }
  e->options  = options;
  e->score    = score;
  e->labels   = labels;
  e->overlay  = overlay;
  QfStatus st = fonts_open(&e->fonts, error);
  if (!st) {
    st = lay_out(e);
    if (st) {
      qf_error_set(error, st, "The score could not be laid out: %s.", qf_status_text(st));
    }
  }
  if (st) {
    qf_engraving_free(e);
    return st;
  }
  e->score   = NULL;
  e->labels  = NULL;
  e->overlay = NULL;
  *result    = e;
  return QF_OK;
}

QfStatus
qf_engraving_new(const QfScore* const   score,
                 const QfLabels* const  labels,
                 const QfEngraveOptions options,
                 QfEngraving** const    result,
                 QfError* const         error)
{
  return engrave_make(score, labels, NULL, options, result, error);
}

void
qf_engraving_free(QfEngraving* const e)
{
  if (!e) {
    return;
  }
  for (size_t p = 0; e->pages && p < e->n_pages; ++p) {
    free(e->pages[p].items);
    free(e->pages[p].text);
  }
  fonts_close(&e->fonts);
  free(e->marks);
  free(e->by_column);
  free(e->columns);
  free(e->cells);
  free(e->bars);
  free(e->metres);
  free(e->systems);
  free(e->beams);
  free(e->fermatas);
  free(e->tags);
  free(e->heads);
  free(e->spans);
  free(e->pages);
  free(e->title);
  free(e->composer);
  free(e);
}

size_t
qf_engraving_n_pages(const QfEngraving* const e)
{
  return e->n_pages;
}

void
qf_engraving_get_size(const QfEngraving* const e, double* const width, double* const height)
{
  *width  = e->width * e->options.space;
  *height = e->height * e->options.space;
}
