// SPDX-License-Identifier: MIT
#include "qf-rhythm-row.h"

#include "common/qf-inks.h"

#include <math.h>

enum {
  ROW_HEIGHT = 30, ///< Pixels of one line
};

struct _QfRhythmRow {
  GtkWidget          parent_instance;
  const QfEngraving* engraving; ///< Lent, as all below
  const QfAnswer*    answer;
  const QfTry*       attempt;
  size_t             voice;
};

G_DEFINE_FINAL_TYPE(QfRhythmRow, qf_rhythm_row, GTK_TYPE_WIDGET)

/// Note values as Unicode has them (Musical Symbols, U+1D15D and on)
static const struct {
  QfTime      duration;
  const char* sign;
} values[] = {
  {{1, 1}, "\U0001D15D"},           {{3, 4}, "\U0001D15E\U0001D16D"},
  {{1, 2}, "\U0001D15E"},           {{3, 8}, "\U0001D15F\U0001D16D"},
  {{1, 4}, "\U0001D15F"},           {{3, 16}, "\U0001D160\U0001D16D"},
  {{1, 8}, "\U0001D160"},           {{1, 16}, "\U0001D161"},
  {{3, 2}, "\U0001D15D\U0001D16D"},
};

static const struct {
  const char* sign;
  const char* words;
} contours[QF_CONTOUR_N_KINDS] = {
  [QF_CONTOUR_NONE]      = {"", ""},
  [QF_CONTOUR_SAME]      = {"=", "the same note"},
  [QF_CONTOUR_STEP_UP]   = {"\u2197", "a step up"},
  [QF_CONTOUR_STEP_DOWN] = {"\u2198", "a step down"},
  [QF_CONTOUR_LEAP_UP]   = {"\u21D1", "a leap up"},
  [QF_CONTOUR_LEAP_DOWN] = {"\u21D3", "a leap down"},
};

const char*
qf_contour_sign(const QfContour contour)
{
  return contours[contour].sign;
}

const char*
qf_contour_words(const QfContour contour)
{
  return contours[contour].words;
}

static const char*
value_sign(const QfTime duration)
{
  for (gsize i = 0; i < G_N_ELEMENTS(values); ++i) {
    if (!qf_time_compare(values[i].duration, duration)) {
      return values[i].sign;
    }
  }
  return "\u2013";
}

static void
paint_text(QfRhythmRow* const self,
           cairo_t* const     cr,
           const char* const  text,
           const char* const  font,
           const double       x,
           const double       y)
{
  PangoLayout* const          layout = gtk_widget_create_pango_layout(GTK_WIDGET(self), text);
  PangoFontDescription* const wanted = pango_font_description_from_string(font);

  pango_layout_set_font_description(layout, wanted);
  cairo_move_to(cr, x, y - pango_layout_get_baseline(layout) / (double)PANGO_SCALE);
  pango_cairo_show_layout(cr, layout);
  pango_font_description_free(wanted);
  g_object_unref(layout);
}

static bool
is_written(const QfTry* const attempt, const size_t voice, const QfTime start)
{
  const QfNote* const note =
    attempt ? qf_score_note_at(qf_try_get_score(attempt), voice, start) : NULL;
  return note && !qf_time_compare(note->start, start);
}

static void
paint_rhythm(QfRhythmRow* const self, cairo_t* const cr, const QfPalette* const palette)
{
  for (size_t i = 0; i < qf_answer_n_slots(self->answer, self->voice); ++i) {
    const QfSlot* const slot = qf_answer_get_slot(self->answer, self->voice, i);
    const bool          done = is_written(self->attempt, self->voice, slot->start);

    qf_colour_set_source(done ? palette->page.ink : qf_colour_fade(palette->page.ink, 0.45), cr);
    paint_text(self, cr, value_sign(slot->duration), "Noto Music 14",
               qf_engraving_x_of(self->engraving, slot->start), ROW_HEIGHT - 6.0);
  }
}

static void
paint_scratches(QfRhythmRow* const self, cairo_t* const cr, const QfPalette* const palette)
{
  for (size_t i = 0; self->attempt && i < qf_try_n_scratches(self->attempt); ++i) {
    const QfScratch* const scratch = qf_try_get_scratch(self->attempt, i);
    if (scratch->voice != self->voice) {
      continue;
    }

    const char* const sign = scratch->alter > 0 ? "\u266F" : scratch->alter < 0 ? "\u266D" : "";
    g_autofree char*  degree =
      scratch->degree ? g_strdup_printf("%s%d", sign, scratch->degree) : g_strdup("");
    g_autofree char* text = g_strconcat(qf_contour_sign(scratch->contour), degree, NULL);
    qf_colour_set_source(palette->page.accent, cr);
    paint_text(self, cr, text, "Sans 12", qf_engraving_x_of(self->engraving, scratch->start),
               2 * ROW_HEIGHT - 9.0);
  }
}

static void
qf_rhythm_row_snapshot(GtkWidget* const widget, GtkSnapshot* const snapshot)
{
  QfRhythmRow* const self   = QF_RHYTHM_ROW(widget);
  const int          width  = gtk_widget_get_width(widget);
  const int          height = gtk_widget_get_height(widget);

  if (self->engraving && self->answer && width > 0) {
    const QfPalette palette = qf_palette_now();
    cairo_t* const  cr      = gtk_snapshot_append_cairo(
            snapshot, &GRAPHENE_RECT_INIT(0.0F, 0.0F, (float)width, (float)height));
    paint_rhythm(self, cr, &palette);
    paint_scratches(self, cr, &palette);
    cairo_destroy(cr);
  }
}

static void
qf_rhythm_row_measure(GtkWidget* const     widget,
                      const GtkOrientation orientation,
                      const int            for_size,
                      int* const           minimum,
                      int* const           natural,
                      int* const           minimum_baseline,
                      int* const           natural_baseline)
{
  (void)widget;
  (void)for_size;
  *minimum = *natural = orientation == GTK_ORIENTATION_VERTICAL ? 2 * ROW_HEIGHT : 1;
  *minimum_baseline = *natural_baseline = -1;
}

/// The line in words: values with a degree or shape, in order
static char*
describe(const QfRhythmRow* const self)
{
  GString* const text = g_string_new("Rhythm and scratch line");

  g_string_append_printf(text, ", %zu values", qf_answer_n_slots(self->answer, self->voice));
  for (size_t i = 0; self->attempt && i < qf_try_n_scratches(self->attempt); ++i) {
    const QfScratch* const scratch = qf_try_get_scratch(self->attempt, i);
    if (scratch->voice == self->voice) {
      g_string_append_printf(text, ", %s", qf_contour_words(scratch->contour));
      if (scratch->degree) {
        g_string_append_printf(text, " degree %d", scratch->degree);
      }
    }
  }
  return g_string_free(text, FALSE);
}

void
qf_rhythm_row_show(QfRhythmRow* const       self,
                   const QfEngraving* const engraving,
                   const QfAnswer* const    answer,
                   const QfTry* const       attempt,
                   const size_t             voice)
{
  self->engraving = engraving;
  self->answer    = answer;
  self->attempt   = attempt;
  self->voice     = voice;
  if (answer) {
    g_autofree char* name = describe(self);
    gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  }
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void
qf_rhythm_row_class_init(QfRhythmRowClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  widget_class->snapshot = qf_rhythm_row_snapshot;
  widget_class->measure  = qf_rhythm_row_measure;
  gtk_widget_class_set_css_name(widget_class, "qf-rhythm-row");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
qf_rhythm_row_init(QfRhythmRow* const self)
{
  (void)self;
}
