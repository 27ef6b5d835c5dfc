// SPDX-License-Identifier: MIT
#include "qf-inks.h"

#include <adwaita.h>

#define RGB(hex)                                                                                   \
  {                                                                                                \
    ((hex) >> 16 & 0xFF) / 255.0, ((hex) >> 8 & 0xFF) / 255.0, ((hex)&0xFF) / 255.0, 1.0           \
  }

// Colours that people with any colour vision tell apart.
// Source: Okabe and Ito, "Color Universal Design", 2008: blue 0072B2, sky blue 56B4E9, bluish
// green 009E73, vermillion D55E00, orange E69F00, reddish purple CC79A7.
static const QfPalette light_palette = {
  .page      = {.ink     = RGB(0x1C1C1F),
                .faint   = RGB(0x77767B),
                .accent  = RGB(0x0072B2),
                .playing = RGB(0xD55E00)},
  .functions = {[QF_FUNCTION_TONIC]       = RGB(0x0072B2),
                [QF_FUNCTION_PREDOMINANT] = RGB(0x009E73),
                [QF_FUNCTION_DOMINANT]    = RGB(0xD55E00),
                [QF_FUNCTION_APPLIED]     = RGB(0xCC79A7)},
  .paper     = RGB(0xFFFFFF),
  .window    = RGB(0xFAFAFA),
};

static const QfPalette dark_palette = {
  .page      = {.ink     = RGB(0xF2F1F0),
                .faint   = RGB(0x8F8E93),
                .accent  = RGB(0x56B4E9),
                .playing = RGB(0xE69F00)},
  .functions = {[QF_FUNCTION_TONIC]       = RGB(0x56B4E9),
                [QF_FUNCTION_PREDOMINANT] = RGB(0x009E73),
                [QF_FUNCTION_DOMINANT]    = RGB(0xD55E00),
                [QF_FUNCTION_APPLIED]     = RGB(0xCC79A7)},
  .paper     = RGB(0x1E1E1E),
  .window    = RGB(0x242424),
};

QfPalette
qf_palette_now(void)
{
  AdwStyleManager* const style   = adw_style_manager_get_default();
  const gboolean         is_dark = adw_style_manager_get_dark(style);
  QfPalette              palette = is_dark ? dark_palette : light_palette;

  palette.has_high_contrast = adw_style_manager_get_high_contrast(style);
  if (palette.has_high_contrast) {
    const QfColour ink = is_dark ? (QfColour)RGB(0xFFFFFF) : (QfColour)RGB(0x000000);
    palette.page.ink   = ink;
    palette.page.faint = ink;
  }

  return palette;
}

GdkRGBA
qf_colour_to_rgba(const QfColour colour)
{
  return (GdkRGBA){(float)colour.r, (float)colour.g, (float)colour.b, (float)colour.a};
}

QfColour
qf_colour_fade(const QfColour colour, const double alpha)
{
  return (QfColour){colour.r, colour.g, colour.b, colour.a * alpha};
}

void
qf_colour_set_source(const QfColour colour, cairo_t* const cr)
{
  cairo_set_source_rgba(cr, colour.r, colour.g, colour.b, colour.a);
}
