// SPDX-License-Identifier: MIT
#include "engraving.h"

#include "quintfall/file.h"
#include "quintfall/text.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define PNG_DOTS_PER_POINT (150.0 / 72.0)
#define LARGEST_IMAGE 32767.0 ///< Cairo's limit for either side of an image

static cairo_status_t
collect_cb(void* const closure, const unsigned char* const data, const unsigned length)
{
  QfText* const text = (QfText*)closure;
  qf_text_add_bytes(text, (const char*)data, length);
  return text->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

static QfStatus
check(const cairo_status_t st, QfError* const error)
{
  if (!st) {
    return QF_OK;
  }
  return qf_error_set(error, st == CAIRO_STATUS_NO_MEMORY ? QF_ERR_NO_MEM : QF_ERR_IO,
                      "The page could not be drawn: %s.", cairo_status_to_string(st));
}

/// Paint one page on a surface of its own and report the surface's state
static cairo_status_t
paint_page(const QfEngraving* const e, const size_t page, cairo_surface_t* const surface)
{
  cairo_t* const cr = cairo_create(surface);
  qf_engraving_paint(e, page, cr, NULL);
  cairo_show_page(cr);
  const cairo_status_t st = cairo_status(cr);
  cairo_destroy(cr);
  return st;
}

static QfStatus
write_pdf(const QfEngraving* const e, QfText* const text, QfError* const error)
{
  double width  = 0.0;
  double height = 0.0;
  qf_engraving_get_size(e, &width, &height);
  cairo_surface_t* const surface =
    cairo_pdf_surface_create_for_stream(collect_cb, text, width, height);
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, e->title);
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, e->composer);
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Quintfall");
  // No date, so that the same score always gives the same file
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "");
  cairo_status_t st = CAIRO_STATUS_SUCCESS;
  for (size_t p = 0; !st && p < e->n_pages; ++p) {
    st = paint_page(e, p, surface);
  }
  cairo_surface_finish(surface);
  st = st ? st : cairo_surface_status(surface);
  cairo_surface_destroy(surface);
  return check(st, error);
}

static QfStatus
write_svg(const QfEngraving* const e, const size_t page, QfText* const text, QfError* const error)
{
  double width  = 0.0;
  double height = 0.0;
  qf_engraving_get_size(e, &width, &height);
  cairo_surface_t* const surface =
    cairo_svg_surface_create_for_stream(collect_cb, text, width, height);
  cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PT);
  cairo_status_t st = paint_page(e, page, surface);
  cairo_surface_finish(surface);
  st = st ? st : cairo_surface_status(surface);
  cairo_surface_destroy(surface);
  return check(st, error);
}

static QfStatus
write_png(const QfEngraving* const e, const size_t page, QfText* const text, QfError* const error)
{
  double width  = 0.0;
  double height = 0.0;
  qf_engraving_get_size(e, &width, &height);
  width  = ceil(width * PNG_DOTS_PER_POINT);
  height = ceil(height * PNG_DOTS_PER_POINT);
  if (width > LARGEST_IMAGE || height > LARGEST_IMAGE) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "An image of %.0f by %.0f pixels is too large; write a PDF or SVG file, "
                        "or lay the score out in pages.",
                        width, height);
  }

  cairo_surface_t* const surface =
    cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)width, (int)height);
  cairo_t* const cr = cairo_create(surface);
  cairo_set_source_rgb(cr, 1.0, 1.0, 1.0);
  cairo_paint(cr);
  cairo_scale(cr, PNG_DOTS_PER_POINT, PNG_DOTS_PER_POINT);
  qf_engraving_paint(e, page, cr, NULL);
  cairo_status_t st = cairo_status(cr);
  cairo_destroy(cr);
  st = st ? st : cairo_surface_write_to_png_stream(surface, collect_cb, text);
  cairo_surface_destroy(surface);
  return check(st, error);
}

/// "sheet.png" for the first page, "sheet-2.png" for the second; (transfer full)
static char*
page_path(const char* const path, const size_t page)
{
  QfText            text   = {0};
  const char* const ending = strrchr(path, '.');
  if (page == 0) {
    qf_text_add(&text, path);
  } else {
    qf_text_add_bytes(&text, path, (size_t)(ending - path));
    qf_text_addf(&text, "-%zu%s", page + 1, ending);
  }
  return qf_text_take(&text);
}

static QfStatus
save(const char* const path, QfText* const text, const QfStatus drawn, QfError* const error)
{
  const QfStatus st = drawn ? drawn : qf_file_write(path, text->data, text->length, error);
  qf_text_free(text);
  return st;
}

typedef QfStatus (*PageWriter)(const QfEngraving*, size_t, QfText*, QfError*);

static QfStatus
export_each(const QfEngraving* const e,
            const char* const        path,
            const PageWriter         writer,
            QfError* const           error)
{
  for (size_t p = 0; p < e->n_pages; ++p) {
    QfText      text = {0};
    char* const name = page_path(path, p);
    if (!name) {
      return qf_error_set(error, QF_ERR_NO_MEM, "There is not enough memory for the page's name.");
    }
    const QfStatus st = save(name, &text, writer(e, p, &text, error), error);
    free(name);
    if (st) {
      return st;
    }
  }
  return QF_OK;
}

QfStatus
qf_engraving_export(const QfEngraving* const e, const char* const path, QfError* const error)
{
  const char* const slash  = strrchr(path, '/');
  const char* const ending = strrchr(slash ? slash : path, '.');
  if (ending && !strcasecmp(ending, ".pdf")) {
    QfText text = {0};
    return save(path, &text, write_pdf(e, &text, error), error);
  }
  if (ending && !strcasecmp(ending, ".svg")) {
    return export_each(e, path, write_svg, error);
  }
  if (ending && !strcasecmp(ending, ".png")) {
    return export_each(e, path, write_png, error);
  }
  return qf_error_set(error, QF_ERR_UNSUPPORTED,
                      "A page is written as .pdf, .svg or .png, but the name ends in \"%s\".",
                      ending ? ending : "");
}
