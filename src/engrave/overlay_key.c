// SPDX-License-Identifier: MIT
// The key to an overlay: what each sign says, on one line or as many as it takes.
#include "drawing.h"

#include <stdlib.h>

#define WORDS_SIZE 1.9
#define LINE_STEP 3.0
#define WORDS_GAP 0.9 ///< Between a head and its words
#define ENTRY_GAP 2.4

static const struct {
  Sign        sign;
  const char* words;
} entries[] = {
  {SIGN_NONE, "alike"},     {SIGN_RING, "the answer differs"}, {SIGN_OUTLINE, "the passage"},
  {SIGN_DASHES, "missing"}, {SIGN_STRIKE, "too many"},
};

static double
draw_entry(Engraving* const e, const size_t index, const double x, const double y)
{
  const Mark   mark  = {.symbol = {.note = QF_NO_NOTE, .value = 2}, .sign = entries[index].sign};
  const double after = x + engrave_head_width(e, mark.symbol.value) + WORDS_GAP;
  engrave_draw_head(e, 0, &mark, x, y);
  e->pen = INK_MAIN;
  return after +
         draw_text(e, 0, entries[index].words, TEXT_PLAIN, WORDS_SIZE, after, y + 0.6, ALIGN_START);
}

static double
width_of(const Engraving* const e, const size_t index)
{
  return engrave_head_width(e, 2) + WORDS_GAP +
         engrave_text_width(e, entries[index].words, TEXT_PLAIN, WORDS_SIZE);
}

static QfStatus
draw_key(Engraving* const e)
{
  e->margin     = e->options.margin / e->options.space;
  e->line_width = e->options.width / e->options.space;
  e->n_pages    = 1;
  e->pages      = (Page*)calloc(1, sizeof(Page));
  if (!e->pages) {
    return QF_ERR_NO_MEM;
  }

  const double limit = e->line_width > 0.0 ? e->margin + e->line_width : 1e9;
  double       x     = e->margin + 0.5;
  double       y     = e->margin + LINE_STEP / 2.0;
  double       right = x;
  for (size_t i = 0; i < sizeof(entries) / sizeof(entries[0]); ++i) {
    if (i && x + width_of(e, i) > limit) {
      x = e->margin + 0.5;
      y += LINE_STEP;
    }
    x     = draw_entry(e, i, x, y) + ENTRY_GAP;
    right = x > right ? x : right;
  }
  e->width  = (e->line_width > 0.0 ? e->margin + e->line_width : right - ENTRY_GAP) + e->margin;
  e->height = y + LINE_STEP / 2.0 + e->margin;
  return e->failed ? QF_ERR_NO_MEM : QF_OK;
}

QfStatus
qf_overlay_key_new(const QfEngraveOptions options, QfEngraving** const result, QfError* const error)
{
  Engraving* const e = (Engraving*)calloc(1, sizeof(Engraving));
  if (!e) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  e->options        = options;
  const QfStatus st = fonts_open(&e->fonts, error);
  if (st || draw_key(e)) {
    qf_engraving_free(e);
    return st ? st : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  *result = e;
  return QF_OK;
}
