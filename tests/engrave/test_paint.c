// SPDX-License-Identifier: MIT
#include "passage.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/// Pure colours, so that what is painted can be told from its pixels
static QfMarks
pure_marks(void)
{
  return (QfMarks){.inks       = {.ink     = {0.0, 0.0, 0.0, 1.0},
                                  .faint   = {0.5, 0.5, 0.5, 1.0},
                                  .accent  = {0.0, 0.0, 1.0, 1.0},
                                  .playing = {1.0, 0.0, 0.0, 1.0}},
                   .caret_step = INT_MIN};
}

static cairo_surface_t*
paint(const QfEngraving* const e, const QfMarks* const marks, const double* const clip)
{
  double width  = 0.0;
  double height = 0.0;
  qf_engraving_get_size(e, &width, &height);
  cairo_surface_t* const surface =
    cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)ceil(width), (int)ceil(height));
  cairo_t* const cr = cairo_create(surface);
  cairo_set_source_rgb(cr, 1.0, 1.0, 1.0);
  cairo_paint(cr);
  if (clip) {
    cairo_rectangle(cr, clip[0], clip[1], clip[2], clip[3]);
    cairo_clip(cr);
  }
  qf_engraving_paint(e, 0, cr, marks);
  assert_int_equal(cairo_status(cr), CAIRO_STATUS_SUCCESS);
  cairo_destroy(cr);
  cairo_surface_flush(surface);
  return surface;
}

static uint32_t
pixel_at(cairo_surface_t* const surface, const int x, const int y)
{
  uint32_t                   pixel = 0;
  const unsigned char* const data  = cairo_image_surface_get_data(surface);
  const size_t               row   = (size_t)cairo_image_surface_get_stride(surface);
  memcpy(&pixel, data + (size_t)y * row + (size_t)x * 4U, sizeof(pixel));
  return pixel & 0xFFFFFFU;
}

static size_t
count_colour(cairo_surface_t* const surface, const double box[4], const uint32_t colour)
{
  size_t n = 0;
  for (int y = (int)box[1]; y < (int)(box[1] + box[3]); ++y) {
    for (int x = (int)box[0]; x < (int)(box[0] + box[2]); ++x) {
      n += pixel_at(surface, x, y) == colour;
    }
  }
  return n;
}

static void
test_a_clipped_painting_is_a_part_of_the_whole(void** const state)
{
  (void)state;
  QfScore* const         score   = new_rich_passage();
  QfEngraving* const     e       = engrave(score, NULL, qf_engrave_options_screen());
  const QfMarks          marks   = pure_marks();
  const double           clip[4] = {333.0, 60.0, 217.0, 90.0};
  cairo_surface_t* const whole   = paint(e, &marks, NULL);
  cairo_surface_t* const part    = paint(e, &marks, clip);
  for (int y = 0; y < cairo_image_surface_get_height(whole); ++y) {
    for (int x = 0; x < cairo_image_surface_get_width(whole); ++x) {
      const bool inside = x >= 333 && x < 550 && y >= 60 && y < 150;
      assert_int_equal(pixel_at(part, x, y), inside ? pixel_at(whole, x, y) : 0xFFFFFFU);
    }
  }
  cairo_surface_destroy(whole);
  cairo_surface_destroy(part);
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_the_selected_note_is_painted_in_the_accent(void** const state)
{
  (void)state;
  QfScore* const     score = new_treble("C major", "4/4", 1, 1);
  const uint32_t     id    = write_voice(score, 0, "C5:1/4 G4:3/4");
  QfEngraving* const e     = engrave(score, NULL, qf_engrave_options_screen());
  QfMarks            marks = pure_marks();
  double             first[4];
  double             second[4];
  box_of(e, qf_score_get_note(score, 0, 0)->id, first);
  box_of(e, id, second);
  marks.selected_note            = id;
  cairo_surface_t* const surface = paint(e, &marks, NULL);
  assert_int_equal(count_colour(surface, first, 0x0000FFU), 0);
  assert_true(count_colour(surface, first, 0x000000U) > 5);
  assert_true(count_colour(surface, second, 0x0000FFU) > 5);
  cairo_surface_destroy(surface);
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_sounding_notes_are_painted_as_playing(void** const state)
{
  (void)state;
  QfScore* const score = new_treble("C major", "4/4", 2, 2);
  write_voice(score, 0, "E5:1/4 D5:1/4 C5:1/2");
  write_voice(score, 1, "G4:1/2 A4:3/2");
  static const bool  sounds[2][3] = {{false, true, false}, {true, false, false}};
  QfEngraving* const e            = engrave(score, NULL, qf_engrave_options_screen());
  QfMarks            marks        = pure_marks();
  marks.is_playing                = true;
  marks.playing_time              = qf_time(3, 8);
  cairo_surface_t* const surface  = paint(e, &marks, NULL);
  for (size_t v = 0; v < 2; ++v) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      double box[4];
      box_of(e, qf_score_get_note(score, v, i)->id, box);
      assert_int_equal(count_colour(surface, box, 0xFF0000U) > 5, sounds[v][i]);
    }
  }
  cairo_surface_destroy(surface);
  qf_engraving_free(e);
  qf_score_free(score);
}

static bool
is_bluish(const uint32_t pixel)
{
  return (pixel & 0xFFU) > ((pixel >> 16U) & 0xFFU) + 40U;
}

/// A column of pixels within a head's width of `x` that is bluish from staff top to bottom
static bool
has_blue_bar(cairo_surface_t* const surface, const int x, const int middle)
{
  for (int at = x; at < x + 12; ++at) {
    int n = 0;
    for (int y = middle - 20; y <= middle + 20; ++y) {
      n += is_bluish(pixel_at(surface, at, y));
    }
    if (n == 41) {
      return true;
    }
  }
  return false;
}

static void
test_the_caret_stands_at_its_time_and_staff(void** const state)
{
  (void)state;
  static const QfClef clefs[] = {QF_CLEF_TREBLE, QF_CLEF_BASS};
  QfScore* const      score   = new_score("C major", "4/4", 2, clefs, 2, 1);
  QfMarks             marks   = pure_marks();
  write_voice(score, 0, "C5:1/1 E5:1/1");
  const uint32_t     bass = write_voice(score, 1, "C3:1/1 D3:1/1");
  QfEngraving* const e    = engrave(score, NULL, qf_engrave_options_screen());
  marks.inks.accent       = (QfColour){0.0, 0.0, 1.0, 1.0};
  marks.has_caret         = true;
  marks.caret_voice       = 1;
  marks.caret_time        = qf_time(1, 2);
  double box[4];
  box_of(e, bass, box); // on the bass staff's middle line
  cairo_surface_t* const shown = paint(e, &marks, NULL);
  const int              x     = (int)qf_engraving_x_of(e, marks.caret_time);
  // A bluish bar stands through the whole bass staff at the caret, nothing on the treble staff
  const int middle = (int)(box[1] + box[3] / 2.0);
  assert_true(has_blue_bar(shown, x, middle));
  for (int y = 0; y < middle - 60; ++y) {
    for (int at = x; at < x + 12; ++at) {
      assert_false(is_bluish(pixel_at(shown, at, y)));
    }
  }
  cairo_surface_destroy(shown);
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_a_selection_shades_its_time(void** const state)
{
  (void)state;
  QfScore* const score = new_treble("C major", "4/4", 2, 1);
  write_voice(score, 0, "C5:1/4 D5:1/4 E5:1/4 F5:1/4 G5:1/1");
  QfEngraving* const e           = engrave(score, NULL, qf_engrave_options_screen());
  QfMarks            marks       = pure_marks();
  marks.has_selection            = true;
  marks.selection_start          = qf_time(1, 4);
  marks.selection_end            = qf_time(3, 4);
  cairo_surface_t* const surface = paint(e, &marks, NULL);
  double                 box[4];
  box_of(e, qf_score_get_note(score, 0, 0)->id, box);
  const int y = (int)box[1] - 25; // over the staff
  for (int i = 0; i < 4; ++i) {
    const int      x     = (int)qf_engraving_x_of(e, qf_time(i, 4)) + 3;
    const uint32_t pixel = pixel_at(surface, x, y);
    assert_int_equal((pixel >> 16U & 0xFFU) < 250 && (pixel & 0xFFU) > 250, i == 1 || i == 2);
  }
  cairo_surface_destroy(surface);
  qf_engraving_free(e);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_a_clipped_painting_is_a_part_of_the_whole),
    cmocka_unit_test(test_the_selected_note_is_painted_in_the_accent),
    cmocka_unit_test(test_sounding_notes_are_painted_as_playing),
    cmocka_unit_test(test_the_caret_stands_at_its_time_and_staff),
    cmocka_unit_test(test_a_selection_shades_its_time),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
