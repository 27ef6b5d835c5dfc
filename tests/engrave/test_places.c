// SPDX-License-Identifier: MIT
#include "passage.h"

#include <math.h>
#include <string.h>

/// Call a check for every note of a score
static void
for_each_note(const QfScore* const score,
              void (*const check)(const QfScore*, size_t, const QfNote*, void*),
              void* const data)
{
  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      check(score, v, qf_score_get_note(score, v, i), data);
    }
  }
}

static void
check_on_page(const QfScore* const score, const size_t voice, const QfNote* const note, void* data)
{
  (void)score;
  (void)voice;
  double width  = 0.0;
  double height = 0.0;
  double box[4];
  qf_engraving_get_size((const QfEngraving*)data, &width, &height);
  box_of((const QfEngraving*)data, note->id, box);
  assert_true(box[0] > 0.0 && box[0] + box[2] < width);
  assert_true(box[1] > 0.0 && box[1] + box[3] < height);
  assert_true(box[2] > 0.0 && box[3] > 0.0);
}

static void
test_every_note_has_a_box_on_its_page(void** const state)
{
  (void)state;
  QfScore* const     score  = new_rich_passage();
  QfEngraving* const screen = engrave(score, NULL, qf_engrave_options_screen());
  QfEngraving* const pages  = engrave(score, NULL, qf_engrave_options_page());
  for_each_note(score, check_on_page, screen);
  for_each_note(score, check_on_page, pages);
  qf_engraving_free(screen);
  qf_engraving_free(pages);
  qf_score_free(score);
}

static void
check_hit(const QfScore* const score, const size_t voice, const QfNote* const note, void* data)
{
  const QfEngraving* const e = (const QfEngraving*)data;
  double                   box[4];
  QfHit                    hit;
  box_of(e, note->id, box);
  assert_true(qf_engraving_hit(e, box[0] + box[2] / 2.0, box[1] + box[3] / 2.0, &hit));
  assert_int_equal(hit.note, note->id);
  assert_int_equal(hit.staff, qf_score_get_voice(score, voice)->staff);
}

static void
test_a_click_on_a_head_finds_its_note(void** const state)
{
  (void)state;
  QfScore* const     score = new_rich_passage();
  QfEngraving* const e     = engrave(score, NULL, qf_engrave_options_screen());
  for_each_note(score, check_hit, e);
  qf_engraving_free(e);
  qf_score_free(score);
}

/// The pitch that stands on each clef's middle line. Rule: common practice.
static const struct {
  QfClef      clef;
  const char* middle;
} clef_cases[] = {
  {QF_CLEF_TREBLE, "B4"}, {QF_CLEF_BASS, "D3"},     {QF_CLEF_ALTO, "C4"},
  {QF_CLEF_TENOR, "A3"},  {QF_CLEF_TREBLE_8, "B3"},
};

static QfInks
red_lines(void)
{
  return (QfInks){.ink     = {0.0, 0.0, 1.0, 1.0},
                  .faint   = {1.0, 0.0, 0.0, 1.0},
                  .accent  = {0.0, 1.0, 0.0, 1.0},
                  .playing = {0.0, 1.0, 0.0, 1.0}};
}

/// Heights of the rows of purely red pixels in one column of a painted staff, their middles
static size_t
painted_lines(const QfEngraving* const e, const double at, double lines[16])
{
  const double scale  = 8.0;
  double       width  = 0.0;
  double       height = 0.0;
  QfMarks      marks  = {.inks = red_lines()};
  qf_engraving_get_size(e, &width, &height);
  cairo_surface_t* const surface =
    cairo_image_surface_create(CAIRO_FORMAT_RGB24, 8, (int)(height * scale));
  cairo_t* const cr = cairo_create(surface);
  cairo_scale(cr, scale, scale);
  cairo_translate(cr, -at, 0.0);
  qf_engraving_paint(e, 0, cr, &marks);
  cairo_destroy(cr);
  cairo_surface_flush(surface);

  const unsigned char* const data   = cairo_image_surface_get_data(surface);
  const int                  stride = cairo_image_surface_get_stride(surface);
  size_t                     n      = 0;
  int                        start  = -1;
  for (int y = 0; y < cairo_image_surface_get_height(surface); ++y) {
    const unsigned char* const pixel  = data + (size_t)y * (size_t)stride + 16U;
    const int                  is_red = pixel[2] > 128 && pixel[0] < 64;
    if (is_red && start < 0) {
      start = y;
    } else if (!is_red && start >= 0) {
      if (n < 16) {
        lines[n++] = (start + y) / 2.0 / scale;
      }
      start = -1;
    }
  }
  cairo_surface_destroy(surface);
  return n;
}

static void
test_heads_stand_on_their_lines_and_spaces(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(clef_cases); ++i) {
    QfScore* const score  = new_score("C major", "4/4", 1, &clef_cases[i].clef, 1, 1);
    const int      middle = qf_pitch_step(pitch_of(clef_cases[i].middle));
    for (int step = middle - 14; step <= middle + 14; ++step) {
      const QfPitch pitch = qf_pitch_from_step(step, 0);
      uint32_t      id    = QF_NO_NOTE;
      assert_int_equal(
        qf_score_put_note(score, 0, QF_TIME_ZERO, qf_time(1, 4), pitch, QF_NO_NOTE, &id), QF_OK);
      QfEngraving* const e     = engrave(score, NULL, qf_engrave_options_screen());
      const double       space = qf_engrave_options_screen().space;
      double             lines[16];
      double             box[4];
      box_of(e, id, box);
      const double clear = qf_engraving_x_of(e, qf_time(7, 8));
      assert_int_equal(painted_lines(e, clear, lines), 5);
      // Five lines a space apart, and every step half a space (common practice)
      assert_true(fabs(lines[4] - lines[0] - 4.0 * space) < 0.3);
      assert_true(fabs(box[1] + box[3] / 2.0 - (lines[2] - (step - middle) * space / 2.0)) < 0.3);
      qf_engraving_free(e);
    }
    qf_score_free(score);
  }
}

static void
test_a_click_says_its_staff_step(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(clef_cases); ++i) {
    QfScore* const     score = new_score("C major", "4/4", 1, &clef_cases[i].clef, 1, 1);
    const uint32_t     id    = write_voice(score, 0, "F4:1/2");
    QfEngraving* const e     = engrave(score, NULL, qf_engrave_options_screen());
    const double       space = qf_engrave_options_screen().space;
    const int          step  = qf_pitch_step(pitch_of("F4"));
    double             box[4];
    box_of(e, id, box);
    for (int up = -12; up <= 12; ++up) {
      QfHit hit;
      assert_true(qf_engraving_hit(e, box[0], box[1] + box[3] / 2.0 - up * space / 2.0, &hit));
      assert_int_equal(hit.step, step + up);
    }
    qf_engraving_free(e);
    qf_score_free(score);
  }
}

static void
test_x_grows_with_time(void** const state)
{
  (void)state;
  QfScore* const     score = new_rich_passage();
  QfEngraving* const e     = engrave(score, NULL, qf_engrave_options_screen());
  double             last  = 0.0;
  for (int i = 0; i <= 48 * 24 / 2; ++i) {
    const double x = qf_engraving_x_of(e, qf_time(i, 48));
    if (!(x > last) && qf_time_compare(qf_time(i, 48), qf_score_get_end(score)) < 0) {
      fail_msg("x falls back at %d/48", i);
    }
    last = x;
  }
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_notes_of_one_time_are_aligned(void** const state)
{
  (void)state;
  static const QfClef clefs[] = {QF_CLEF_TREBLE, QF_CLEF_ALTO, QF_CLEF_TREBLE_8, QF_CLEF_BASS};
  QfScore* const      score   = new_score("Eb major", "3/4", 3, clefs, N_ITEMS(clefs), 1);
  write_voice(score, 0, "E5:1/4 F#5:1/8 G5:1/8 Ab5:1/4 G5:3/4");
  write_voice(score, 1, "Cb4:1/2 D4:1/8 E4:1/8 Eb4:1/2 D4:1/4");
  write_voice(score, 2, "G3:1/8 A3:1/8 B3:1/4 C4:1/12 D4:1/12 Eb4:1/12 B#3:3/4");
  write_voice(score, 3, "C3:3/4 Eb2:1/4 F2:1/4 G2:1/4");
  QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
  for (size_t v = 0; v < 4; ++v) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      const QfNote* const note = qf_score_get_note(score, v, i);
      double              box[4];
      box_of(e, note->id, box);
      assert_true(fabs(box[0] - qf_engraving_x_of(e, note->start)) < 1e-6);
    }
  }
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_longer_values_take_more_room_but_not_in_proportion(void** const state)
{
  (void)state;
  // common practice: twice the duration takes more room, but less than twice as much
  QfScore* const score = new_treble("C major", "4/4", 4, 1);
  write_voice(score, 0, "G4:1/1 G4:1/2 G4:1/2 G4:1/4 G4:1/4 G4:1/4 G4:1/4 G4:1/8 G4:1/8 G4:3/4");
  QfEngraving* const e       = engrave(score, NULL, qf_engrave_options_screen());
  const QfTime       at[4]   = {qf_time(1, 1), qf_time(2, 1), qf_time(3, 1), qf_time(25, 8)};
  const double       half    = qf_engraving_x_of(e, qf_time(3, 2)) - qf_engraving_x_of(e, at[0]);
  const double       quarter = qf_engraving_x_of(e, qf_time(9, 4)) - qf_engraving_x_of(e, at[1]);
  const double       eighth  = qf_engraving_x_of(e, at[3]) - qf_engraving_x_of(e, at[2]);
  assert_true(half > quarter && quarter > eighth);
  assert_true(half < 2.0 * quarter && quarter < 2.0 * eighth);
  qf_engraving_free(e);
  qf_score_free(score);
}

static bool
is_outer_cb(const uint32_t note, void* const data)
{
  size_t voice = 0;
  return qf_score_find_note((const QfScore*)data, note, &voice) && (voice == 0 || voice == 3);
}

static void
test_hidden_notes_leave_room_and_no_trace(void** const state)
{
  (void)state;
  QfScore* const   score   = new_rich_passage();
  QfEngraveOptions options = qf_engrave_options_screen();
  options.is_shown         = is_outer_cb;
  options.is_shown_data    = score;
  QfEngraving* const e     = engrave(score, NULL, options);
  for (size_t v = 0; v < 4; ++v) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      double        box[4];
      const QfNote* note = qf_score_get_note(score, v, i);
      assert_int_equal(qf_engraving_note_box(e, note->id, &box[0], &box[1], &box[2], &box[3]),
                       v == 0 || v == 3);
    }
  }
  // The alto's eighths in the sixth bar keep their own places
  assert_true(qf_engraving_x_of(e, qf_time(43, 8)) > qf_engraving_x_of(e, qf_time(42, 8)));
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_writing_room_sets_beats_apart(void** const state)
{
  (void)state;
  QfScore* const   score    = new_rich_passage();
  QfEngraveOptions options  = qf_engrave_options_screen();
  options.is_shown          = is_outer_cb;
  options.is_shown_data     = score;
  QfEngraving* const print  = engrave(score, NULL, options);
  options.writing_room      = 2.0;
  QfEngraving* const hand   = engrave(score, NULL, options);
  options.writing_room      = 4.0;
  QfEngraving* const large  = engrave(score, NULL, options);
  const QfTime       from   = qf_time(42, 8);
  const QfTime       to     = qf_time(43, 8);
  const double       narrow = qf_engraving_x_of(print, to) - qf_engraving_x_of(print, from);
  const double       wide   = qf_engraving_x_of(hand, to) - qf_engraving_x_of(hand, from);
  const double       widest = qf_engraving_x_of(large, to) - qf_engraving_x_of(large, from);
  // By the meaning of the option
  assert_true(wide > narrow);
  assert_true(fabs(widest - 2.0 * wide) < 0.01);
  qf_engraving_free(print);
  qf_engraving_free(hand);
  qf_engraving_free(large);
  qf_score_free(score);
}

static void
test_links_keep_their_least_distance(void** const state)
{
  (void)state;
  QfScore* const       score   = new_rich_passage();
  QfLabels*            labels  = NULL;
  const QfLabelOptions wanted  = {.may_modulate = true};
  QfEngraveOptions     options = qf_engrave_options_screen();
  options.min_link_width       = 90.0;
  assert_int_equal(qf_labels_new(score, wanted, &labels, NULL), QF_OK);
  QfEngraving* const e = engrave(score, labels, options);
  const size_t       n = qf_labels_n_links(labels);
  assert_true(n > 8);
  for (size_t i = 0; i + 1 < n; ++i) {
    const double x  = qf_engraving_x_of(e, qf_labels_get_link(labels, i)->start);
    const double x2 = qf_engraving_x_of(e, qf_labels_get_link(labels, i + 1)->start);
    assert_true(x2 - x > 90.0 - 1e-6);
  }
  const double last = qf_engraving_x_of(e, qf_labels_get_link(labels, n - 1)->start);
  assert_true(qf_engraving_x_of(e, qf_score_get_end(score)) - last > 90.0 - 1e-6);
  qf_engraving_free(e);
  qf_labels_free(labels);
  qf_score_free(score);
}

static void
test_times_under_the_pointer_are_starts_and_beats(void** const state)
{
  (void)state;
  QfScore* const     score = new_treble("C major", "4/4", 2, 1);
  const uint32_t     id    = write_voice(score, 0, "G4:3/8 A4:5/8");
  QfEngraving* const e     = engrave(score, NULL, qf_engrave_options_screen());
  double             box[4];
  box_of(e, id, box);
  const QfTime times[] = {QF_TIME_ZERO, qf_time(1, 4), qf_time(3, 8), qf_time(3, 4), qf_time(5, 4)};
  for (size_t i = 0; i < N_ITEMS(times); ++i) {
    QfHit        hit;
    const double x = qf_engraving_x_of(e, times[i]) + box[2] / 2.0;
    assert_true(qf_engraving_hit(e, x, box[1] + 60.0, &hit));
    assert_int_equal(qf_time_compare(hit.time, times[i]), 0);
  }
  QfHit hit;
  assert_true(qf_engraving_hit(e, 5.0, 1.0, &hit));
  assert_int_equal(hit.note, QF_NO_NOTE);
  qf_engraving_free(e);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_every_note_has_a_box_on_its_page),
    cmocka_unit_test(test_a_click_on_a_head_finds_its_note),
    cmocka_unit_test(test_heads_stand_on_their_lines_and_spaces),
    cmocka_unit_test(test_a_click_says_its_staff_step),
    cmocka_unit_test(test_x_grows_with_time),
    cmocka_unit_test(test_notes_of_one_time_are_aligned),
    cmocka_unit_test(test_longer_values_take_more_room_but_not_in_proportion),
    cmocka_unit_test(test_hidden_notes_leave_room_and_no_trace),
    cmocka_unit_test(test_writing_room_sets_beats_apart),
    cmocka_unit_test(test_links_keep_their_least_distance),
    cmocka_unit_test(test_times_under_the_pointer_are_starts_and_beats),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
