// SPDX-License-Identifier: MIT
#include "passage.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/// Lay out on screen and on pages with every row, paint all pages, and ask a little
static void
exercise(const QfScore* const score)
{
  QfLabels*            labels   = NULL;
  const QfLabelOptions wanted   = {.may_modulate = true};
  QfEngraveOptions     modes[2] = {qf_engrave_options_screen(), qf_engrave_options_page()};
  modes[1].rows = QF_ROW_NUMERALS | QF_ROW_FIGURES | QF_ROW_SYMBOLS | QF_ROW_SOLFEGE |
                  QF_ROW_DEGREES | QF_ROW_KEYS;
  assert_int_equal(qf_labels_new(score, wanted, &labels, NULL), QF_OK);
  for (size_t m = 0; m < 2; ++m) {
    QfEngraving* const     e = engrave(score, labels, modes[m]);
    double                 width;
    double                 height;
    QfHit                  hit;
    cairo_surface_t* const surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 600, 850);
    cairo_t* const         cr      = cairo_create(surface);
    qf_engraving_get_size(e, &width, &height);
    assert_true(isfinite(width) && isfinite(height) && width > 0.0 && height > 0.0);
    for (size_t p = 0; p < qf_engraving_n_pages(e) && p < 3; ++p) {
      qf_engraving_paint(e, p, cr, NULL);
    }
    assert_int_equal(cairo_status(cr), CAIRO_STATUS_SUCCESS);
    qf_engraving_hit(e, 100.0, 100.0, &hit);
    assert_true(isfinite(qf_engraving_x_of(e, qf_time(1, 1))));
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    qf_engraving_free(e);
  }
  qf_labels_free(labels);
}

static void
test_empty_scores(void** const state)
{
  (void)state;
  QfScore* const score = qf_score_new();
  exercise(score);
  assert_int_equal(qf_score_add_staff(score, "Voice", QF_CLEF_TREBLE), QF_OK);
  exercise(score);
  assert_int_equal(qf_score_add_voice(score, "", 0), QF_OK);
  exercise(score);
  qf_score_free(score);

  const QfClef   clef   = QF_CLEF_BASS;
  QfScore* const silent = new_score("Cb major", "3/4", 5, &clef, 1, 0);
  exercise(silent);
  qf_score_free(silent);
}

static void
test_sixteen_staves_and_24_voices(void** const state)
{
  (void)state;
  QfScore* const score = qf_score_new();
  for (size_t s = 0; s < QF_MAX_STAVES; ++s) {
    assert_int_equal(qf_score_add_staff(score, "Chorus", (QfClef)(s % QF_CLEF_N_KINDS)), QF_OK);
  }
  for (size_t v = 0; v < QF_MAX_VOICES; ++v) {
    assert_int_equal(qf_score_add_voice(score, "", v * QF_MAX_STAVES / QF_MAX_VOICES), QF_OK);
  }
  for (size_t v = 0; v < QF_MAX_VOICES; ++v) {
    for (int i = 0; i < 12; ++i) {
      assert_int_equal(qf_score_put_note(score, v, qf_time(i, 4), qf_time(1, 4),
                                         qf_pitch_from_step(28 + i % 7, i % 5 - 2), QF_NO_NOTE,
                                         NULL),
                       QF_OK);
    }
  }
  exercise(score);
  qf_score_free(score);
}

static void
test_24_voices_on_one_staff(void** const state)
{
  (void)state;
  QfScore* const score = new_treble("C major", "4/4", 2, QF_MAX_VOICES);
  for (size_t v = 0; v < QF_MAX_VOICES; ++v) {
    write_voice(score, v, v % 2 ? "A#4:1/2 B4:1/2 Bb4:1/1" : "A4:1/2 Bb4:1/2 B4:1/1");
  }
  exercise(score);
  qf_score_free(score);
}

static void
test_the_whole_range_of_pitch(void** const state)
{
  (void)state;
  for (size_t clef = 0; clef < QF_CLEF_N_KINDS; ++clef) {
    const QfClef   kind  = (QfClef)clef;
    QfScore* const score = new_score("C major", "4/4", 32, &kind, 1, 1);
    for (int step = -7; step < 68; ++step) {
      const QfPitch pitch = qf_pitch_from_step(step, 0);
      if (qf_pitch_midi(pitch) >= 0 && qf_pitch_midi(pitch) <= 127) {
        assert_int_equal(
          qf_score_put_note(score, 0, qf_time(step + 7, 4), qf_time(1, 4), pitch, QF_NO_NOTE, NULL),
          QF_OK);
      }
    }
    exercise(score);
    qf_score_free(score);
  }
}

static void
test_all_keys_and_their_changes(void** const state)
{
  (void)state;
  static const QfClef clefs[] = {QF_CLEF_TREBLE, QF_CLEF_BASS, QF_CLEF_ALTO, QF_CLEF_TENOR,
                                 QF_CLEF_TREBLE_8};
  QfScore* const      score   = new_score("C major", "2/4", 32, clefs, N_ITEMS(clefs), 1);
  for (int i = 0; i < 30; ++i) {
    QfKey key;
    assert_int_equal(qf_key_from_fifths((i * 8) % 15 - 7, i % 2 ? QF_MINOR : QF_MAJOR, &key),
                     QF_OK);
    assert_int_equal(qf_score_set_signature(score, qf_time(i, 2), key), QF_OK);
    assert_int_equal(
      qf_score_put_note(score, 0, qf_time(i, 2), qf_time(1, 2), pitch_of("G4"), QF_NO_NOTE, NULL),
      QF_OK);
  }
  exercise(score);
  qf_score_free(score);
}

static void
test_all_metres(void** const state)
{
  (void)state;
  for (int denominator = 1; denominator <= 64; denominator *= 2) {
    for (int numerator = 1; numerator <= 64; numerator += numerator < 16 ? 1 : 12) {
      char     text[16];
      QfScore* score;
      snprintf(text, sizeof(text), "%d/%d", numerator, denominator);
      score = new_treble("D major", text, 2, 2);
      write_voice(score, 0, "D5:1/32 E5:1/64 r:1/128 F5:1/16 G5:3/32 A5:1/8");
      exercise(score);
      qf_score_free(score);
    }
  }
}

static void
test_long_titles_and_names(void** const state)
{
  (void)state;
  static const QfClef clefs[]   = {QF_CLEF_TREBLE, QF_CLEF_BASS};
  QfScore* const      score     = new_score("C major", "4/4", 2, clefs, 2, 1);
  char                text[700] = "";
  for (size_t i = 0; i < 60; ++i) {
    strcat(text, "\u266FLantern");
  }
  assert_int_equal(qf_score_set_title(score, text), QF_OK);
  assert_int_equal(qf_score_set_composer(score, text), QF_OK);
  exercise(score);
  qf_score_free(score);
}

static void
test_impossible_options_are_refused(void** const state)
{
  (void)state;
  QfScore* const   score   = new_treble("C major", "4/4", 1, 1);
  QfEngraveOptions options = qf_engrave_options_screen();
  QfEngraving*     e       = NULL;
  QfError          error   = {0};
  options.space            = 0.0;
  assert_int_equal(qf_engraving_new(score, NULL, options, &e, &error), QF_ERR_RANGE);
  assert_null(e);
  assert_true(error.text[0] != '\0');
  qf_score_free(score);
}

static void
test_marks_anywhere(void** const state)
{
  (void)state;
  QfScore* const         score   = new_rich_passage();
  QfEngraving* const     e       = engrave(score, NULL, qf_engrave_options_page());
  cairo_surface_t* const surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 600, 850);
  cairo_t* const         cr      = cairo_create(surface);
  for (int i = -2; i < 40; ++i) {
    const QfMarks marks = {.has_caret       = true,
                           .caret_voice     = (size_t)(i + 2),
                           .caret_time      = qf_time(i, 2),
                           .caret_step      = i * 2,
                           .selected_note   = (uint32_t)(i + 2),
                           .has_selection   = true,
                           .selection_start = qf_time(i, 3),
                           .selection_end   = qf_time(i * 2, 3),
                           .is_playing      = true,
                           .playing_time    = qf_time(i, 2)};
    qf_engraving_paint(e, (size_t)(i < 0 ? 9 : 0), cr, &marks);
  }
  assert_int_equal(cairo_status(cr), CAIRO_STATUS_SUCCESS);
  cairo_destroy(cr);
  cairo_surface_destroy(surface);
  qf_engraving_free(e);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_empty_scores),
    cmocka_unit_test(test_sixteen_staves_and_24_voices),
    cmocka_unit_test(test_24_voices_on_one_staff),
    cmocka_unit_test(test_the_whole_range_of_pitch),
    cmocka_unit_test(test_all_keys_and_their_changes),
    cmocka_unit_test(test_all_metres),
    cmocka_unit_test(test_long_titles_and_names),
    cmocka_unit_test(test_impossible_options_are_refused),
    cmocka_unit_test(test_marks_anywhere),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
