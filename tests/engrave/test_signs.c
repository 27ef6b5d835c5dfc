// SPDX-License-Identifier: MIT
// Looks inside the layout: what is drawn where, against the rules of engraving.
#include "passage.h"

#include "../../src/engrave/drawing.h"
#include "../../src/engrave/signature.h"

#include <math.h>

static bool
is_accidental(const Item* const item)
{
  return item->kind == ITEM_SHAPE && item->what <= SHAPE_DOUBLE_SHARP;
}

static bool
is_head(const Item* const item)
{
  return item->kind == ITEM_GLYPH && item->what >= GLYPH_BREVE && item->what <= GLYPH_BLACK;
}

static bool
overlap(const Box a, const Box b)
{
  const double e = 1e-6;
  return a.left + e < b.right && b.left + e < a.right && a.top + e < b.bottom &&
         b.top + e < a.bottom;
}

/// The two flats of one double flat and the brackets of a courtesy sign belong together
static bool
is_of_one_note(const Item* const a, const Item* const b)
{
  return a->note != QF_NO_NOTE && a->note == b->note;
}

/// Accidentals keep clear of each other and of every head
static void
check_no_collision(const QfEngraving* const e)
{
  for (size_t p = 0; p < e->n_pages; ++p) {
    const Page* const page = &e->pages[p];
    for (size_t i = 0; i < page->n_items; ++i) {
      for (size_t j = 0; is_accidental(&page->items[i]) && j < page->n_items; ++j) {
        const Item* const other = &page->items[j];
        if (i != j && (is_accidental(other) || is_head(other)) &&
            !(is_accidental(other) && is_of_one_note(&page->items[i], other)) &&
            overlap(page->items[i].box, other->box)) {
          fail_msg("page %zu: a sign at (%g, %g) meets another at (%g, %g)", p, page->items[i].x,
                   page->items[i].y, other->x, other->y);
        }
      }
    }
  }
}

static void
test_accidentals_never_collide(void** const state)
{
  (void)state;
  QfScore* const rich = new_rich_passage();
  for (int page = 0; page < 2; ++page) {
    QfEngraving* const e =
      engrave(rich, NULL, page ? qf_engrave_options_page() : qf_engrave_options_screen());
    check_no_collision(e);
    qf_engraving_free(e);
  }
  qf_score_free(rich);

  // Clusters of up to six voices on one staff, each with its own sign
  for (int width = 1; width <= 3; ++width) {
    QfScore* const score = new_treble("C major", "4/4", 5, 6);
    for (size_t v = 0; v < 6; ++v) {
      for (int alter = -4; alter <= 4; ++alter) {
        const QfPitch pitch = qf_pitch_from_step(40 - (int)v * width, alter ? alter : 1);
        assert_int_equal(qf_score_put_note(score, v, qf_time(alter + 4, 2), qf_time(1, 2), pitch,
                                           QF_NO_NOTE, NULL),
                         QF_OK);
      }
    }
    QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
    check_no_collision(e);
    qf_engraving_free(e);
    qf_score_free(score);
  }
}

/// The order of the signs of a signature in three clefs. Source: common practice, as printed in
/// any theory textbook's table of key signatures.
static const struct {
  const char* key;
  QfClef      clef;
  const char* pitches[7];
} signature_cases[] = {
  {"C# major", QF_CLEF_TREBLE, {"F5", "C5", "G5", "D5", "A4", "E5", "B4"}},
  {"Cb major", QF_CLEF_TREBLE, {"B4", "E5", "A4", "D5", "G4", "C5", "F4"}},
  {"C# major", QF_CLEF_BASS, {"F3", "C3", "G3", "D3", "A2", "E3", "B2"}},
  {"Cb major", QF_CLEF_BASS, {"B2", "E3", "A2", "D3", "G2", "C3", "F2"}},
  {"C# major", QF_CLEF_ALTO, {"F4", "C4", "G4", "D4", "A3", "E4", "B3"}},
  {"Cb major", QF_CLEF_ALTO, {"B3", "E4", "A3", "D4", "G3", "C4", "F3"}},
  {"C# major", QF_CLEF_TENOR, {"F3", "C4", "G3", "D4", "A3", "E4", "B3"}},
  {"Cb major", QF_CLEF_TENOR, {"B3", "E4", "A3", "D4", "G3", "C4", "F3"}},
};

static void
test_signatures_stand_as_printed(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(signature_cases); ++i) {
    QfScore* const score =
      new_score(signature_cases[i].key, "4/4", 1, &signature_cases[i].clef, 1, 1);
    QfEngraving* const e   = engrave(score, NULL, qf_engrave_options_screen());
    const double       top = engrave_staff_y(&e->systems[0], 0);
    size_t             n   = 0;
    for (size_t j = 0; j < e->pages[0].n_items; ++j) {
      const Item* const item = &e->pages[0].items[j];
      if (is_accidental(item)) {
        assert_true(n < 7);
        const int step     = qf_pitch_step(pitch_of(signature_cases[i].pitches[n++]));
        const int position = step - e->clef_base[0];
        assert_true(fabs(item->y - top - engrave_y_of(position)) < 1e-9);
      }
    }
    assert_int_equal(n, 7);
    qf_engraving_free(e);
    qf_score_free(score);
  }
}

/// Naturals before a new signature. Rule: common practice (the signs that fall away are cancelled).
static const struct {
  int from;
  int to;
  int n_naturals;
} cancel_cases[] = {{3, 0, 3},  {-2, 0, 2},  {3, 1, 2}, {1, 3, 0},
                    {2, -1, 2}, {-4, -1, 3}, {0, 5, 0}, {-1, 2, 1}};

static void
test_changes_cancel_what_falls_away(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(cancel_cases); ++i) {
    assert_int_equal(engrave_n_naturals(cancel_cases[i].from, cancel_cases[i].to),
                     cancel_cases[i].n_naturals);
  }
}

static const Mark*
mark_at(const QfEngraving* const e, const size_t voice, const size_t index)
{
  return &e->marks[e->first_mark[voice] + index];
}

static void
test_stems_of_a_voice_alone_point_to_the_middle(void** const state)
{
  (void)state;
  // common practice: up below the middle line, down on and above it; an octave long at least
  QfScore* const score = new_treble("C major", "4/4", 2, 1);
  write_voice(score, 0, "A4:1/4 B4:1/4 C5:1/4 E4:1/4 C4:1/4 C6:1/4 A3:1/2");
  static const int   directions[] = {1, -1, -1, 1, 1, -1, 1};
  QfEngraving* const e            = engrave(score, NULL, qf_engrave_options_screen());
  for (size_t i = 0; i < N_ITEMS(directions); ++i) {
    const Mark* const mark = mark_at(e, 0, i);
    assert_int_equal(mark->stem, directions[i]);
    assert_true(fabs(mark->stem_end - engrave_y_of(mark->position)) > 3.5 - 1e-9);
  }
  // Stems of notes on ledger lines reach the middle line
  assert_true(mark_at(e, 0, 5)->stem_end >= 2.0);
  assert_true(mark_at(e, 0, 6)->stem_end <= 2.0);
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_two_voices_turn_their_stems_apart(void** const state)
{
  (void)state;
  QfScore* const score = new_treble("C major", "4/4", 1, 2);
  write_voice(score, 0, "C6:1/4 E4:1/4 D5:1/8 E5:1/8 G5:1/4");
  write_voice(score, 1, "C4:1/4 C4:1/4 A5:1/8 B5:1/8 C5:1/4");
  QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
  for (size_t i = 0; i < 5; ++i) {
    assert_int_equal(mark_at(e, 0, i)->stem, 1);
    assert_int_equal(mark_at(e, 1, i)->stem, -1);
  }
  qf_engraving_free(e);
  qf_score_free(score);
}

/// Which marks share a beam: the same letter, `.` for none. Rule: common practice (the beat).
static const struct {
  const char* metre;
  const char* notes;
  const char* beams;
} beam_cases[] = {
  {"4/4", "C5:1/8 D5:1/8 E5:1/8 F5:1/8 G5:1/2", "aabb."},
  {"4/4", "C5:1/8 D5:1/4 E5:1/8 G5:1/2", "...."},
  {"4/4", "C5:1/8 D5:1/16 E5:1/16 r:1/8 F5:1/8 G5:1/2", "aaa..."},
  {"6/8", "C5:1/8 D5:1/8 E5:1/8 F5:1/8 G5:1/8 A5:1/8", "aaabbb"},
  {"3/4", "C5:1/8 D5:1/8 E5:1/4 F5:1/16 E5:1/16 D5:1/16 C5:1/16", "aa.bbbb"},
  {"2/2", "C5:1/8 D5:1/8 E5:1/8 F5:1/8 G5:1/2", "aaaa."},
  {"5/8", "C5:1/8 D5:1/8 E5:1/8 F5:1/8 G5:1/8", "aaabb"},
  {"3/8", "C5:1/8 D5:1/8 E5:1/8", "aaa"},
};

static void
test_beams_show_the_beat(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(beam_cases); ++i) {
    QfScore* const score = new_treble("C major", beam_cases[i].metre, 1, 1);
    write_voice(score, 0, beam_cases[i].notes);
    QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
    for (size_t j = 0; beam_cases[i].beams[j]; ++j) {
      const char   wanted = beam_cases[i].beams[j];
      const size_t beam   = mark_at(e, 0, j)->beam;
      if (beam != (wanted == '.' ? NO_INDEX : (size_t)(wanted - 'a'))) {
        fail_msg("%s %s: symbol %zu", beam_cases[i].metre, beam_cases[i].notes, j);
      }
    }
    qf_engraving_free(e);
    qf_score_free(score);
  }
}

static void
test_beamed_stems_end_on_one_line(void** const state)
{
  (void)state;
  QfScore* const score = new_treble("C major", "6/8", 2, 1);
  write_voice(score, 0, "C4:1/8 E4:1/8 A4:1/8 F5:1/8 D5:1/8 G4:1/8 C6:1/8 A5:1/8 B3:1/8");
  QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
  for (size_t b = 0; b < e->n_beams; ++b) {
    const Mark* const m  = &e->marks[e->beams[b].first];
    const double      x0 = engrave_stem_x(e, &m[0]);
    const double      x1 = engrave_stem_x(e, &m[1]) - x0;
    const double      x2 = engrave_stem_x(e, &m[2]) - x0;
    assert_int_equal(m[0].stem, m[1].stem);
    assert_int_equal(m[0].stem, m[2].stem);
    const double slope = (m[2].stem_end - m[0].stem_end) / x2;
    assert_true(fabs(m[0].stem_end + slope * x1 - m[1].stem_end) < 1e-9);
    assert_true(fabs(slope) < 0.3); // common practice: beams slope modestly
    for (int i = 0; i < 3; ++i) {
      assert_true(m[i].stem * (engrave_y_of(m[i].position) - m[i].stem_end) > 2.4);
    }
  }
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_voices_share_a_head_only_of_one_value(void** const state)
{
  (void)state;
  // common practice: a unison is one head with two stems if both voices have the same value;
  // otherwise, and for whole notes, two heads side by side
  QfScore* const score = new_treble("C major", "4/4", 3, 2);
  write_voice(score, 0, "B4:1/4 B4:1/4 B4:1/4 Bb4:1/4 A4:1/1");
  write_voice(score, 1, "B4:1/4 B4:1/2 B4:1/4 A4:1/1");
  QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
  assert_true(mark_at(e, 1, 0)->shares_head);
  assert_false(mark_at(e, 1, 1)->shares_head);
  assert_true(mark_at(e, 1, 1)->dx > 1.0);
  assert_false(mark_at(e, 1, 2)->shares_head); // B flat against B natural
  assert_false(mark_at(e, 1, 3)->shares_head);
  assert_true(mark_at(e, 1, 3)->dx > 1.0);
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_seconds_stand_side_by_side(void** const state)
{
  (void)state;
  // common practice: the upper voice left, so that the two stems meet; crossed voices the other way
  QfScore* const score = new_treble("C major", "4/4", 1, 2);
  write_voice(score, 0, "B4:1/4 C5:1/4 A4:1/4 G4:1/4");
  write_voice(score, 1, "A4:1/4 A4:1/4 B4:1/4 D5:1/4");
  QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
  assert_true(mark_at(e, 0, 0)->dx == 0.0 && mark_at(e, 1, 0)->dx > 0.9);
  assert_true(mark_at(e, 0, 1)->dx == 0.0 && mark_at(e, 1, 1)->dx == 0.0);
  assert_true(mark_at(e, 0, 2)->dx > 0.9 && mark_at(e, 1, 2)->dx == 0.0);
  assert_true(mark_at(e, 0, 3)->dx > 0.9 && mark_at(e, 1, 3)->dx == 0.0);
  assert_true(fabs(engrave_stem_x(e, mark_at(e, 0, 0)) - engrave_stem_x(e, mark_at(e, 1, 0))) <
              STEM_THICKNESS + 1e-9);
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_dots_stand_in_spaces(void** const state)
{
  (void)state;
  // common practice: a dot never stands on a line
  QfScore* const score = new_treble("C major", "3/4", 8, 2);
  write_voice(score, 0, "C5:3/4 B4:3/4 D5:3/4 E5:3/4 F5:3/4 G5:3/4 A5:3/4 B4:3/4");
  write_voice(score, 1, "A4:3/4 A4:3/4 G4:3/4 E4:3/4 C4:3/4 D4:3/4 B3:3/4 B4:3/4");
  QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
  for (size_t i = 0; i < e->n_marks; ++i) {
    assert_int_equal(abs(e->marks[i].dot_position % 2), 1);
    assert_true(abs(e->marks[i].dot_position - e->marks[i].position) <= 1);
    assert_true(e->marks[i].dot_dx > e->marks[i].dx + 1.0);
  }
  qf_engraving_free(e);
  qf_score_free(score);
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

static void
test_a_note_over_bar_lines_is_tied(void** const state)
{
  (void)state;
  QfScore* const score = new_treble("C major", "4/4", 3, 1);
  write_voice(score, 0, "r:3/4 C5:3/2");
  QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
  assert_int_equal(count_kind(e, ITEM_TIE), 2); // a quarter, a whole and a quarter
  qf_engraving_free(e);
  qf_score_free(score);
}

static void
test_rests_of_two_voices_make_room_or_merge(void** const state)
{
  (void)state;
  QfScore* const score = new_treble("C major", "4/4", 2, 2);
  write_voice(score, 0, "C5:1/4 r:1/4 D5:1/4 r:1/4");
  write_voice(score, 1, "r:1/4 C5:1/4 B4:1/4 r:1/4");
  QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
  assert_true(mark_at(e, 1, 0)->position < MIDDLE_POSITION); // under the sounding C
  // The upper rest clears the lower voice's head by at least half its own height
  assert_true(mark_at(e, 0, 1)->position >= mark_at(e, 1, 1)->position + 4);
  assert_true(mark_at(e, 1, 3)->shares_head); // both voices rest: one sign in the middle
  assert_int_equal(mark_at(e, 0, 3)->position, MIDDLE_POSITION);
  assert_true(mark_at(e, 1, 4)->shares_head); // also a whole bar
  qf_engraving_free(e);
  qf_score_free(score);
}

static bool
hides_second_voice_cb(const uint32_t note, void* const data)
{
  size_t voice = 0;
  return qf_score_find_note((const QfScore*)data, note, &voice) && voice == 0;
}

static void
test_a_hidden_accidental_does_not_spare_a_shown_one(void** const state)
{
  (void)state;
  QfScore* const   score   = new_treble("C major", "4/4", 1, 2);
  QfEngraveOptions options = qf_engrave_options_screen();
  write_voice(score, 0, "C5:1/4 F#4:3/4");
  write_voice(score, 1, "F#4:1/4 D4:3/4");
  QfEngraving* const all = engrave(score, NULL, options);
  assert_int_equal(mark_at(all, 0, 1)->accidental, QF_ACCIDENTAL_NONE); // the alto said it
  options.is_shown           = hides_second_voice_cb;
  options.is_shown_data      = score;
  QfEngraving* const student = engrave(score, NULL, options);
  assert_int_equal(mark_at(student, 0, 1)->accidental, QF_ACCIDENTAL_NEEDED);
  qf_engraving_free(all);
  qf_engraving_free(student);
  qf_score_free(score);
}

static bool
is_fermata(const Item* const item)
{
  return item->kind == ITEM_GLYPH &&
         (item->what == GLYPH_FERMATA || item->what == GLYPH_FERMATA_BELOW);
}

static size_t
count_fermatas(const QfEngraving* const e, const Glyph glyph)
{
  size_t n = 0;
  for (size_t p = 0; p < e->n_pages; ++p) {
    for (size_t i = 0; i < e->pages[p].n_items; ++i) {
      n += is_fermata(&e->pages[p].items[i]) && e->pages[p].items[i].what == (int)glyph;
    }
  }
  return n;
}

/// The box of a text's item is generous, so only what is surely ink counts
static Box
ink_of(const Item* const item)
{
  Box box = item->box;
  if (item->kind == ITEM_TEXT) {
    box.top += 0.4 * item->size;
    box.bottom -= item->size;
    box.left += 0.3 * item->size;
    box.right -= 0.3 * item->size;
  }
  return box;
}

/// Nothing but its own staff's brace or bar line may touch a fermata, which keeps off the staff
static void
check_fermatas_are_clear(const QfEngraving* const e)
{
  for (size_t p = 0; p < e->n_pages; ++p) {
    const Page* const page = &e->pages[p];
    for (size_t i = 0; i < page->n_items; ++i) {
      for (size_t j = 0; is_fermata(&page->items[i]) && j < page->n_items; ++j) {
        const Item* const other = &page->items[j];
        if (i != j && overlap(page->items[i].box, ink_of(other))) {
          fail_msg("page %zu: a fermata at (%g, %g) meets kind %d at (%g, %g)", p, page->items[i].x,
                   page->items[i].y, (int)other->kind, other->x, other->y);
        }
      }
    }
  }
}

static void
test_fermatas_stand_clear_over_and_under_the_staves(void** const state)
{
  (void)state;
  // common practice: over the upper staff, upside down under the lower one
  QfScore* const score = new_rich_passage();
  size_t         n     = 0;
  for (size_t v = 0; v < qf_score_n_voices(score); v += 3) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      const QfTime start = qf_score_get_note(score, v, i)->start;
      assert_int_equal(qf_score_set_fermata(score, start, true), QF_OK);
    }
  }
  for (size_t i = 0; i < qf_score_n_fermatas(score); ++i) {
    const QfTime time = qf_score_get_fermata(score, i);
    for (size_t v = 0, seen = 0; v < 2 && !seen; ++v) {
      const QfNote* const note = qf_score_note_at(score, v, time);
      seen                     = note && !qf_time_compare(note->start, time);
      n += seen;
    }
  }

  QfLabels* labels = NULL;
  assert_int_equal(qf_labels_new(score, (QfLabelOptions){0}, &labels, NULL), QF_OK);
  for (int page = 0; page < 2; ++page) {
    QfEngraveOptions options = page ? qf_engrave_options_page() : qf_engrave_options_screen();
    options.rows             = page ? QF_ROW_SYMBOLS | QF_ROW_SOLFEGE | QF_ROW_NUMERALS : 0;
    QfEngraving* const e     = engrave(score, page ? labels : NULL, options);
    assert_int_equal(count_fermatas(e, GLYPH_FERMATA), n);
    assert_true(count_fermatas(e, GLYPH_FERMATA_BELOW) > 0);
    check_fermatas_are_clear(e);
    qf_engraving_free(e);
  }
  qf_labels_free(labels);
  qf_score_free(score);
}

static void
test_a_fermata_is_centred_on_its_note_outside_the_staff(void** const state)
{
  (void)state;
  QfScore* const score =
    new_score("C major", "4/4", 1, (QfClef[]){QF_CLEF_TREBLE, QF_CLEF_BASS}, 2, 1);
  write_voice(score, 0, "E4:1/4 C6:1/4 F5:1/2");
  write_voice(score, 1, "C3:1/4 E2:1/4 A3:1/2");
  for (int i = 0; i < 3; ++i) {
    assert_int_equal(qf_score_set_fermata(score, qf_time(i, 4), true), QF_OK);
  }
  QfEngraving* const e = engrave(score, NULL, qf_engrave_options_screen());
  size_t             n = 0;
  for (size_t i = 0; i < e->pages[0].n_items; ++i) {
    const Item* const item  = &e->pages[0].items[i];
    const bool        below = item->what == GLYPH_FERMATA_BELOW;
    if (!is_fermata(item)) {
      continue;
    }
    const Mark* const mark = mark_at(e, below, n++ / 2);
    const double      top  = engrave_staff_y(&e->systems[0], below);
    const double      head =
      e->columns[mark->column].x + mark->dx + engrave_head_width(e, mark->symbol.value) / 2.0;
    const double y = top + engrave_y_of(mark->position);
    assert_true(fabs((item->box.left + item->box.right) / 2.0 - head) < 1e-9);
    assert_true(below ? item->box.top > fmax(y + 0.5, top + STAFF_HEIGHT)
                      : item->box.bottom < fmin(y - 0.5, top));
  }
  assert_int_equal(n, 6);
  check_fermatas_are_clear(e);
  qf_engraving_free(e);

  // A hidden note does not tell where its phrase ends
  QfEngraveOptions options   = qf_engrave_options_screen();
  options.is_shown           = hides_second_voice_cb;
  options.is_shown_data      = score;
  QfEngraving* const student = engrave(score, NULL, options);
  assert_int_equal(count_fermatas(student, GLYPH_FERMATA), 3);
  assert_int_equal(count_fermatas(student, GLYPH_FERMATA_BELOW), 0);
  qf_engraving_free(student);
  qf_score_free(score);
}

static void
test_systems_fill_the_line(void** const state)
{
  (void)state;
  QfScore* const     score = new_rich_passage();
  QfEngraving* const e     = engrave(score, NULL, qf_engrave_options_page());
  assert_true(e->n_systems > 1);
  for (size_t i = 0; i + 1 < e->n_systems; ++i) {
    assert_true(fabs(e->systems[i].x_end - (e->width - e->margin)) < 0.01);
    if (e->systems[i].page == e->systems[i + 1].page) {
      assert_true(e->systems[i].y + e->systems[i].bottom <
                  e->systems[i + 1].y + e->systems[i + 1].top);
    }
  }
  qf_engraving_free(e);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_accidentals_never_collide),
    cmocka_unit_test(test_signatures_stand_as_printed),
    cmocka_unit_test(test_changes_cancel_what_falls_away),
    cmocka_unit_test(test_stems_of_a_voice_alone_point_to_the_middle),
    cmocka_unit_test(test_two_voices_turn_their_stems_apart),
    cmocka_unit_test(test_beams_show_the_beat),
    cmocka_unit_test(test_beamed_stems_end_on_one_line),
    cmocka_unit_test(test_voices_share_a_head_only_of_one_value),
    cmocka_unit_test(test_seconds_stand_side_by_side),
    cmocka_unit_test(test_dots_stand_in_spaces),
    cmocka_unit_test(test_a_note_over_bar_lines_is_tied),
    cmocka_unit_test(test_rests_of_two_voices_make_room_or_merge),
    cmocka_unit_test(test_a_hidden_accidental_does_not_spare_a_shown_one),
    cmocka_unit_test(test_fermatas_stand_clear_over_and_under_the_staves),
    cmocka_unit_test(test_a_fermata_is_centred_on_its_note_outside_the_staff),
    cmocka_unit_test(test_systems_fill_the_line),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
