// SPDX-License-Identifier: MIT
#include "quintfall/engrave.h"
#include "quintfall/file.h"
#include "quintfall/text.h"

#include <cairo-pdf.h>

#include <math.h>
#include <stdlib.h>

// ISO 216: A4 is 210 mm x 297 mm; 72 points to the inch.
static const double page_width  = 595.276;
static const double page_height = 841.890;

struct QfBookletImpl {
  QfText           text; ///< The PDF as far as it is written
  cairo_surface_t* surface;
  cairo_t*         cr;
  double           y; ///< Where the next passage begins; 0 at the top of a page
};

static cairo_status_t
collect_cb(void* const closure, const unsigned char* const data, const unsigned length)
{
  QfText* const text = (QfText*)closure;
  qf_text_add_bytes(text, (const char*)data, length);
  return text->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

QfBooklet*
qf_booklet_new(const char* const title)
{
  QfBooklet* const booklet = (QfBooklet*)calloc(1, sizeof(QfBooklet));
  if (!booklet) {
    return NULL;
  }
  booklet->surface =
    cairo_pdf_surface_create_for_stream(collect_cb, &booklet->text, page_width, page_height);
  cairo_pdf_surface_set_metadata(booklet->surface, CAIRO_PDF_METADATA_TITLE, title);
  cairo_pdf_surface_set_metadata(booklet->surface, CAIRO_PDF_METADATA_CREATOR, "Quintfall");
  // No date, so that the same passages always give the same file
  cairo_pdf_surface_set_metadata(booklet->surface, CAIRO_PDF_METADATA_CREATE_DATE, "");
  booklet->cr = cairo_create(booklet->surface);
  return booklet;
}

void
qf_booklet_free(QfBooklet* const booklet)
{
  if (booklet) {
    // The surface still writes into the text while it is destroyed.
    cairo_destroy(booklet->cr);
    cairo_surface_destroy(booklet->surface);
    qf_text_free(&booklet->text);
    free(booklet);
  }
}

static QfStatus
check(const QfBooklet* const booklet, QfError* const error)
{
  const cairo_status_t drawn = cairo_status(booklet->cr);
  const cairo_status_t st    = drawn ? drawn : cairo_surface_status(booklet->surface);
  return !st ? QF_OK
             : qf_error_set(error, st == CAIRO_STATUS_NO_MEMORY ? QF_ERR_NO_MEM : QF_ERR_IO,
                            "The booklet could not be drawn: %s.", cairo_status_to_string(st));
}

QfStatus
qf_booklet_add(QfBooklet* const booklet, const QfEngraving* const engraving, QfError* const error)
{
  double width  = 0.0;
  double height = 0.0;
  qf_engraving_get_size(engraving, &width, &height);

  // The margins of two passages fall together, but for a part that keeps them apart.
  const double margin = qf_engrave_options_page().margin;
  const double scale  = fmin(1.0, page_height / height);
  if (booklet->y > 0.0 && booklet->y - margin / 2.0 + height * scale > page_height) {
    cairo_show_page(booklet->cr);
    booklet->y = 0.0;
  }

  const double top = booklet->y > 0.0 ? booklet->y - margin / 2.0 : 0.0;
  cairo_save(booklet->cr);
  cairo_translate(booklet->cr, (page_width - width * scale) / 2.0, top);
  cairo_scale(booklet->cr, scale, scale);
  qf_engraving_paint(engraving, 0, booklet->cr, NULL);
  cairo_restore(booklet->cr);
  booklet->y = top + height * scale - margin / 2.0;
  return check(booklet, error);
}

QfStatus
qf_booklet_save(QfBooklet* const booklet, const char* const path, QfError* const error)
{
  if (booklet->y > 0.0) {
    cairo_show_page(booklet->cr);
    booklet->y = 0.0;
  }
  QfStatus st = check(booklet, error);
  cairo_surface_finish(booklet->surface);
  st = st ? st : check(booklet, error);
  return st ? st : qf_file_write(path, booklet->text.data, booklet->text.length, error);
}
