// SPDX-License-Identifier: MIT
#include "passage.h"

#include "../../src/engrave/engraving.h"

#include <math.h>

static bool
hides_all_cb(const uint32_t note, void* const data)
{
  (void)note;
  (void)data;
  return false;
}

static QfEngraveOptions
worksheet(const unsigned blanks, const uint32_t voices)
{
  QfEngraveOptions options = qf_engrave_options_page();
  options.rows             = 0;
  options.writing_room     = 1.7;
  options.blanks           = blanks;
  options.rhythm_voices    = voices;
  options.is_shown         = hides_all_cb;
  return options;
}

/// Cue signs of a kind: all glyphs smaller than print
static size_t
count_cues(const QfEngraving* const e, const Glyph glyph)
{
  size_t n = 0;
  for (size_t p = 0; p < e->n_pages; ++p) {
    for (size_t i = 0; i < e->pages[p].n_items; ++i) {
      const Item* const item = &e->pages[p].items[i];
      n += item->kind == ITEM_GLYPH && item->what == (int)glyph && item->size < 0.9;
    }
  }
  return n;
}

static size_t
count_kind(const QfEngraving* const e, const ItemKind kind)
{
  size_t n = 0;
  for (size_t p = 0; p < e->n_pages; ++p) {
    for (size_t i = 0; i < e->pages[p].n_items; ++i) {
      n += e->pages[p].items[i].kind == kind;
    }
  }
  return n;
}

// Common practice: on paper for dictation the width of a bar follows its length alone, so that
// nothing of what is to be heard can be measured
static void
test_distances_do_not_tell_hidden_values(void** const state)
{
  (void)state;
  static const char* const notes[] = {
    "C5:1/1 D5:1/1 C5:1/1",
    "C5:1/8 D5:1/8 E5:1/4 F5:1/2 D5:1/1 C5:1/1",
    "C5:1/2 D5:1/2 r:1/4 D5:3/4 E5:1/16 F5:1/16 E5:1/8 D5:1/4 C5:1/2",
  };
  double places[N_ITEMS(notes)][3];
  for (size_t i = 0; i < N_ITEMS(notes); ++i) {
    QfScore* const score = new_treble("C major", "4/4", 3, 1);
    write_voice(score, 0, notes[i]);
    QfEngraving* const e = engrave(score, NULL, worksheet(0, 0));
    for (size_t b = 0; b < 3; ++b) {
      places[i][b] = e->bars[b].x_end;
    }
    assert_int_equal(count_kind(e, ITEM_TIE), 0);
    qf_engraving_free(e);
    qf_score_free(score);
  }
  for (size_t i = 1; i < N_ITEMS(notes); ++i) {
    for (size_t b = 0; b < 3; ++b) {
      assert_true(fabs(places[i][b] - places[0][b]) < 1e-6);
    }
  }
}

// Counted by hand in the notes written
static void
test_rhythm_shows_every_value(void** const state)
{
  (void)state;
  QfScore* const score = new_treble("C major", "4/4", 3, 1);
  write_voice(score, 0, "C5:3/8 D5:1/8 r:1/4 E5:1/16 F5:1/16 G5:1/8 A5:1/2 G5:1/1 C5:1/2");
  QfEngraving* const e = engrave(score, NULL, worksheet(QF_BLANK_RHYTHM, 1));
  // The half note, and the whole note's two halves tied over the bar line, and the last
  assert_int_equal(count_cues(e, GLYPH_HALF), 4);
  assert_int_equal(count_cues(e, GLYPH_BLACK), 5); // a dotted quarter, two quavers, two semiquavers
  assert_int_equal(count_cues(e, GLYPH_FLAG_1), 2);
  assert_int_equal(count_cues(e, GLYPH_FLAG_2), 2);
  assert_int_equal(count_cues(e, GLYPH_REST_4), 1);
  assert_int_equal(count_kind(e, ITEM_TIE), 1);
  qf_engraving_free(e);

  QfEngraving* const other = engrave(score, NULL, worksheet(QF_BLANK_RHYTHM, 2));
  assert_int_equal(count_cues(other, GLYPH_HALF), 0); // the voice is not asked
  qf_engraving_free(other);
  qf_score_free(score);
}

static void
test_voices_alike_share_a_row(void** const state)
{
  (void)state;
  QfScore* const score = new_treble("C major", "4/4", 1, 2);
  write_voice(score, 0, "C5:1/2 D5:1/2");
  write_voice(score, 1, "A4:1/2 B4:1/2");
  QfEngraving* const alike = engrave(score, NULL, worksheet(QF_BLANK_RHYTHM, 3));
  assert_int_equal(count_cues(alike, GLYPH_HALF), 2);
  qf_engraving_free(alike);
  qf_score_free(score);

  QfScore* const apart = new_treble("C major", "4/4", 1, 2);
  write_voice(apart, 0, "C5:1/2 D5:1/2");
  write_voice(apart, 1, "A4:1/2 B4:1/4 A4:1/4");
  QfEngraving* const e = engrave(apart, NULL, worksheet(QF_BLANK_RHYTHM, 3));
  assert_int_equal(count_cues(e, GLYPH_HALF), 3);
  assert_int_equal(count_cues(e, GLYPH_BLACK), 2);
  const System* const system = &e->systems[0];
  assert_true(system->row_y[ROW_RHYTHM_ABOVE] < 0.0);
  assert_true(system->row_y[ROW_RHYTHM_BELOW] > STAFF_HEIGHT);
  qf_engraving_free(e);
  qf_score_free(apart);
}

static void
test_each_chord_has_a_place(void** const state)
{
  (void)state;
  QfScore* const score = new_treble("C major", "4/4", 2, 3);
  write_voice(score, 0, "G4:1/2 A4:1/2 G4:1/2 G4:1/2");
  write_voice(score, 1, "E4:1/2 F4:1/2 F4:1/2 E4:1/2");
  write_voice(score, 2, "C4:1/2 C4:1/2 B3:1/2 C4:1/2");
  QfLabels* labels = NULL;
  assert_int_equal(qf_labels_new(score, (QfLabelOptions){0}, &labels, NULL), QF_OK);
  const size_t n = qf_labels_n_links(labels);
  assert_int_equal(n, 4); // I IV6/4 V7 (without its root) I: four chords, common practice

  const unsigned     both  = QF_BLANK_QUALITIES | QF_BLANK_NUMERALS;
  QfEngraving* const bare  = engrave(score, labels, worksheet(0, 0));
  QfEngraving* const known = engrave(score, labels, worksheet(both | QF_BLANK_PLACES, 0));
  QfEngraving* const open  = engrave(score, labels, worksheet(both, 0));
  const size_t       lines = count_kind(bare, ITEM_LINE);
  assert_int_equal(count_kind(known, ITEM_LINE) - lines, 2 * n);
  assert_int_equal(count_kind(open, ITEM_LINE) - lines, 2 * open->n_systems);
  qf_engraving_free(bare);
  qf_engraving_free(known);
  qf_engraving_free(open);
  qf_labels_free(labels);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_distances_do_not_tell_hidden_values),
    cmocka_unit_test(test_rhythm_shows_every_value),
    cmocka_unit_test(test_voices_alike_share_a_row),
    cmocka_unit_test(test_each_chord_has_a_place),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
