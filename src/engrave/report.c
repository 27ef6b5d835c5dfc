// SPDX-License-Identifier: MIT
#include "quintfall/report.h"

#include "quintfall/file.h"
#include "quintfall/text.h"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

// A4 in points
#define PAGE_WIDTH 595.0
#define PAGE_HEIGHT 842.0
#define MARGIN 62.0
#define INDENT 20.0
#define FIGURE_SPACE 4.2  ///< Of staff lines
#define FIGURE_MARGIN 8.0 ///< Of an engraving, in the report's own margin
#define FIGURE_HEIGHT (PAGE_HEIGHT - 2.0 * MARGIN + 2.0 * FIGURE_MARGIN)
#define CAPTION_ROOM 22.0

typedef struct {
  const char* font;
  double      space_before; ///< In points
  double      indent;
  const char* mark; ///< Before the paragraph
} StyleShape;

static const StyleShape shapes[] = {
  [QF_REPORT_TITLE]   = {"Serif Bold 17", 0.0, 0.0, ""},
  [QF_REPORT_HEADING] = {"Serif Bold 12", 12.0, 0.0, ""},
  [QF_REPORT_TEXT]    = {"Serif 10.5", 4.0, 0.0, ""},
  [QF_REPORT_ITEM]    = {"Serif 10.5", 3.0, INDENT, "\u2013"},
  [QF_REPORT_FIGURE]  = {"Serif Italic 10.5", 10.0, 0.0, ""},
};

/// A report being painted
typedef struct {
  cairo_t* cr;
  double   y; ///< Of the next line's top
} Page;

static cairo_status_t
collect_cb(void* const closure, const unsigned char* const data, const unsigned length)
{
  QfText* const text = (QfText*)closure;
  qf_text_add_bytes(text, (const char*)data, length);
  return text->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

static PangoLayout*
make_layout(cairo_t* const cr, const StyleShape* const shape, const char* const text)
{
  PangoFontDescription* const font   = pango_font_description_from_string(shape->font);
  PangoLayout* const          layout = pango_cairo_create_layout(cr);
  pango_layout_set_font_description(layout, font);
  pango_layout_set_width(layout, (int)((PAGE_WIDTH - 2.0 * MARGIN - shape->indent) * PANGO_SCALE));
  pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_text(layout, text, -1);
  pango_font_description_free(font);
  return layout;
}

/// Show one line, on a new page if this one is full
static void
show_line(Page* const             page,
          PangoLayoutLine* const  line,
          const double            x,
          const char* const       mark,
          const StyleShape* const shape)
{
  PangoRectangle logical = {0};
  pango_layout_line_get_extents(line, NULL, &logical);
  const double height = (double)logical.height / PANGO_SCALE;
  if (page->y + height > PAGE_HEIGHT - MARGIN) {
    cairo_show_page(page->cr);
    page->y = MARGIN;
  }

  const double baseline = page->y - (double)logical.y / PANGO_SCALE;
  cairo_move_to(page->cr, x, baseline);
  pango_cairo_show_layout_line(page->cr, line);
  if (mark[0]) {
    PangoLayout* const sign = make_layout(page->cr, shape, mark);
    cairo_move_to(page->cr, MARGIN, baseline);
    pango_cairo_show_layout_line(page->cr, pango_layout_get_line_readonly(sign, 0));
    g_object_unref(sign);
  }
  page->y += height;
}

static void
show_text(Page* const page, const QfParagraph* const paragraph)
{
  const StyleShape* const shape  = &shapes[paragraph->style];
  const char* const       mark   = paragraph->mark ? paragraph->mark : shape->mark;
  PangoLayout* const      layout = make_layout(page->cr, shape, paragraph->text);
  page->y += shape->space_before;
  for (int i = 0; i < pango_layout_get_line_count(layout); ++i) {
    show_line(page, pango_layout_get_line_readonly(layout, i), MARGIN + shape->indent,
              i ? "" : mark, shape);
  }
  g_object_unref(layout);
}

static void
turn_page(Page* const page)
{
  cairo_show_page(page->cr);
  page->y = MARGIN;
}

/// Paint each page of a figure where there is room for it, its words over the first
static void
show_figure(Page* const page, const QfParagraph* const paragraph)
{
  const QfEngraving* const figure = paragraph->figure;
  double                   width  = 0.0;
  double                   height = 0.0;
  qf_engraving_get_size(figure, &width, &height);
  const double words = paragraph->text[0] ? CAPTION_ROOM : 0.0;
  const double inked = height - 2.0 * FIGURE_MARGIN;
  if (page->y > MARGIN && page->y + words + inked > PAGE_HEIGHT - MARGIN) {
    turn_page(page);
  }
  if (paragraph->text[0]) {
    show_text(page, paragraph);
  }
  for (size_t i = 0; i < qf_engraving_n_pages(figure); ++i) {
    if (i) {
      turn_page(page);
    }
    cairo_save(page->cr);
    cairo_translate(page->cr, MARGIN - FIGURE_MARGIN, page->y - FIGURE_MARGIN);
    qf_engraving_paint(figure, i, page->cr, NULL);
    cairo_restore(page->cr);
  }
  page->y += inked;
}

static void
show_paragraph(Page* const page, const QfParagraph* const paragraph)
{
  if (paragraph->style == QF_REPORT_FIGURE) {
    show_figure(page, paragraph);
  } else {
    show_text(page, paragraph);
  }
}

QfEngraveOptions
qf_report_figure_options(const bool is_in_pages)
{
  QfEngraveOptions options = qf_engrave_options_page();
  options.space            = FIGURE_SPACE;
  options.width            = PAGE_WIDTH - 2.0 * MARGIN;
  options.margin           = FIGURE_MARGIN;
  options.page_height      = is_in_pages ? FIGURE_HEIGHT - CAPTION_ROOM : 0.0;
  options.has_title        = false;
  return options;
}

bool
qf_report_is_too_high(const QfEngraving* const engraving)
{
  double width  = 0.0;
  double height = 0.0;
  qf_engraving_get_size(engraving, &width, &height);
  return height > FIGURE_HEIGHT - CAPTION_ROOM;
}

QfStatus
qf_report_export(const QfParagraph* const paragraphs,
                 const size_t             n_paragraphs,
                 const char* const        title,
                 const char* const        path,
                 QfError* const           error)
{
  QfText                 pdf = {0};
  cairo_surface_t* const surface =
    cairo_pdf_surface_create_for_stream(collect_cb, &pdf, PAGE_WIDTH, PAGE_HEIGHT);
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Quintfall");
  // No date, so that the same report always gives the same file
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "");

  Page page = {cairo_create(surface), MARGIN};
  for (size_t i = 0; i < n_paragraphs; ++i) {
    show_paragraph(&page, &paragraphs[i]);
  }
  cairo_show_page(page.cr);
  cairo_status_t drawn = cairo_status(page.cr);
  cairo_destroy(page.cr);
  cairo_surface_finish(surface);
  drawn = drawn ? drawn : cairo_surface_status(surface);
  cairo_surface_destroy(surface);

  const QfStatus st =
    drawn ? qf_error_set(error, drawn == CAIRO_STATUS_NO_MEMORY ? QF_ERR_NO_MEM : QF_ERR_IO,
                         "The page could not be drawn: %s.", cairo_status_to_string(drawn))
          : qf_file_write(path, pdf.data, pdf.length, error);
  qf_text_free(&pdf);
  return st;
}
