// SPDX-License-Identifier: MIT
#include "fonts.h"

#include <math.h>
#include <string.h>

#define MUSIC_FONT "Noto Music"
#define STAFF_SPACES_IN_EM 4.0

/// Characters of the music font. Source: The Unicode Standard, chart U1D100 "Musical Symbols".
static const char* const characters[N_GLYPHS] = {
  [GLYPH_G_CLEF] = "\U0001D11E",   [GLYPH_G_CLEF_8] = "\U0001D120",
  [GLYPH_F_CLEF] = "\U0001D122",   [GLYPH_C_CLEF] = "\U0001D121",
  [GLYPH_BREVE] = "\U0001D15C",    [GLYPH_WHOLE] = "\U0001D15D",
  [GLYPH_HALF] = "\U0001D157",     [GLYPH_BLACK] = "\U0001D158",
  [GLYPH_FLAG_1] = "\U0001D16E",   [GLYPH_FLAG_2] = "\U0001D16F",
  [GLYPH_FLAG_3] = "\U0001D170",   [GLYPH_FLAG_4] = "\U0001D171",
  [GLYPH_FLAG_5] = "\U0001D172",   [GLYPH_REST_4] = "\U0001D13D",
  [GLYPH_REST_8] = "\U0001D13E",   [GLYPH_REST_16] = "\U0001D13F",
  [GLYPH_REST_32] = "\U0001D140",  [GLYPH_REST_64] = "\U0001D141",
  [GLYPH_REST_128] = "\U0001D142", [GLYPH_BRACE] = "\U0001D114",
  [GLYPH_FERMATA] = "\U0001D110",  [GLYPH_FERMATA_BELOW] = "\U0001D111",
};

static const char* const style_names[N_TEXT_STYLES] = {
  [TEXT_PLAIN]  = "Noto Serif, DejaVu Serif, serif",
  [TEXT_BOLD]   = "Noto Serif, DejaVu Serif, serif Bold",
  [TEXT_ITALIC] = "Noto Serif, DejaVu Serif, serif Italic",
  [TEXT_SANS]   = "Noto Sans, DejaVu Sans, sans",
};

/// Pango substitutes silently, so ask what it really loaded
static PangoFont*
load_music_font(PangoContext* const context)
{
  PangoFontDescription* const wanted = pango_font_description_from_string(MUSIC_FONT);
  pango_font_description_set_absolute_size(wanted, 64 * PANGO_SCALE);
  PangoFont* font = pango_context_load_font(context, wanted);
  pango_font_description_free(wanted);
  if (!font) {
    return NULL;
  }

  PangoFontDescription* const found   = pango_font_describe(font);
  const char* const           family  = pango_font_description_get_family(found);
  const bool                  is_same = family && !strcmp(family, MUSIC_FONT);
  pango_font_description_free(found);
  if (!is_same) {
    g_object_unref(font);
    return NULL;
  }
  return font;
}

static void
measure_glyph(Fonts* const fonts, cairo_scaled_font_t* const font, const Glyph glyph)
{
  cairo_glyph_t* glyphs   = NULL;
  int            n_glyphs = 0;
  cairo_scaled_font_text_to_glyphs(font, 0.0, 0.0, characters[glyph], -1, &glyphs, &n_glyphs, NULL,
                                   NULL, NULL);
  if (n_glyphs > 0) {
    cairo_text_extents_t extents;
    fonts->glyphs[glyph] = glyphs[0].index;
    cairo_scaled_font_glyph_extents(font, glyphs, 1, &extents);
    fonts->boxes[glyph] =
      (Box){extents.x_bearing, extents.y_bearing, extents.x_bearing + extents.width,
            extents.y_bearing + extents.height};
  }
  cairo_glyph_free(glyphs);
}

/// Measure at a large size so that no rounding to pixels enters, then go back to spaces
static void
measure_glyphs(Fonts* const fonts)
{
  const double          em = 1024.0;
  cairo_matrix_t        size;
  cairo_matrix_t        identity;
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_matrix_init_scale(&size, em, em);
  cairo_matrix_init_identity(&identity);

  cairo_scaled_font_t* const font =
    cairo_scaled_font_create(fonts->music, &size, &identity, options);
  for (int i = 0; i < N_GLYPHS; ++i) {
    measure_glyph(fonts, font, (Glyph)i);
    Box* const   box   = &fonts->boxes[i];
    const double scale = STAFF_SPACES_IN_EM / em;
    *box = (Box){box->left * scale, box->top * scale, box->right * scale, box->bottom * scale};
  }
  cairo_scaled_font_destroy(font);
  cairo_font_options_destroy(options);
}

QfStatus
fonts_open(Fonts* const fonts, QfError* const error)
{
  PangoContext* const context = pango_font_map_create_context(pango_cairo_font_map_get_default());
  cairo_font_options_t* const options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(context, options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(context, FALSE);

  PangoFont* const music = load_music_font(context);
  if (!music) {
    g_object_unref(context);
    return qf_error_set(error, QF_ERR_MISSING,
                        "The font \"%s\" is needed to draw notes and is not installed; "
                        "install the package fonts-noto-core.",
                        MUSIC_FONT);
  }

  cairo_scaled_font_t* const scaled = pango_cairo_font_get_scaled_font(PANGO_CAIRO_FONT(music));
  fonts->music = cairo_font_face_reference(cairo_scaled_font_get_font_face(scaled));
  measure_glyphs(fonts);
  g_object_unref(music);

  for (int i = 0; i < N_TEXT_STYLES; ++i) {
    fonts->styles[i] = pango_font_description_from_string(style_names[i]);
  }
  fonts->layout = pango_layout_new(context);
  g_object_unref(context);
  return QF_OK;
}

void
fonts_close(Fonts* const fonts)
{
  if (fonts->music) {
    cairo_font_face_destroy(fonts->music);
  }
  for (int i = 0; i < N_TEXT_STYLES; ++i) {
    pango_font_description_free(fonts->styles[i]);
  }
  g_clear_object(&fonts->layout);
}

void
fonts_set_text(const Fonts* const fonts,
               PangoLayout* const layout,
               const char* const  text,
               const TextStyle    style,
               const double       em)
{
  PangoFontDescription* const font = pango_font_description_copy_static(fonts->styles[style]);
  pango_font_description_set_absolute_size(font, em * FONTS_SCALE * PANGO_SCALE);
  pango_layout_set_font_description(layout, font);
  pango_layout_set_single_paragraph_mode(layout, TRUE);
  pango_layout_set_text(layout, text, -1);
  pango_font_description_free(font);
}

double
fonts_text_width(const Fonts* const fonts,
                 const char* const  text,
                 const TextStyle    style,
                 const double       size)
{
  if (!text[0]) {
    return 0.0;
  }

  PangoRectangle logical;
  fonts_set_text(fonts, fonts->layout, text, style, size);
  pango_layout_get_extents(fonts->layout, NULL, &logical);
  return logical.width / (PANGO_SCALE * FONTS_SCALE);
}

double
fonts_figure_height(const Fonts* const fonts, const TextStyle style, const double size)
{
  PangoRectangle ink;
  fonts_set_text(fonts, fonts->layout, "4", style, size);
  pango_layout_get_extents(fonts->layout, &ink, NULL);
  const int baseline = pango_layout_get_baseline(fonts->layout);
  return (baseline - ink.y) / (PANGO_SCALE * FONTS_SCALE);
}
