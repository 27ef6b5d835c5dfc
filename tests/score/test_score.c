// SPDX-License-Identifier: MIT
#include "score_test.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void
assert_place(const QfScore* const score, const char* const time, const char* const expected)
{
  char text[40] = "";
  qf_score_write_place(score, time_of(time), text, sizeof(text));
  if (strcmp(text, expected) != 0) {
    fail_msg("%s is %s, not %s", time, text, expected);
  }
}

/// Notes of a voice as "start+duration pitch", joined by "; "
static void
assert_notes(const QfScore* const score, const size_t voice, const char* const expected)
{
  char   text[512] = "";
  size_t length    = 0;
  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    char                start[48];
    char                duration[48];
    char                pitch[16];
    qf_time_write(note->start, start, sizeof(start));
    qf_time_write(note->duration, duration, sizeof(duration));
    qf_pitch_write(note->pitch, pitch, sizeof(pitch));
    length += (size_t)snprintf(text + length, sizeof(text) - length, "%s%s+%s %s", i ? "; " : "",
                               start, duration, pitch);
    assert_true(length < sizeof(text));
  }
  assert_string_equal(text, expected);
}

// Source of the places: Tymoczko et al., "The RomanText Format", ISMIR 2019, and "How an
// analysis maps onto its score" in the corpus description: a beat is the denominator's note,
// in compound time (also 3/8) three of them; a pickup is m0 and counts as if the bar were full;
// thirds are .33 and .66.
static const struct {
  const char* metre;
  const char* pickup;
  const char* time;
  const char* place;
} place_cases[] = {
  {"4/4", "0", "0", "m1 b1"},       {"4/4", "0", "3/8", "m1 b2.5"},
  {"4/4", "0", "1/16", "m1 b1.25"}, {"4/4", "0", "1/32", "m1 b1.125"},
  {"4/4", "0", "1/12", "m1 b1.33"}, {"4/4", "0", "1/6", "m1 b1.66"},
  {"4/4", "0", "9/4", "m3 b2"},     {"4/4", "1/4", "0", "m0 b4"},
  {"4/4", "1/4", "1/8", "m0 b4.5"}, {"4/4", "1/4", "1/4", "m1 b1"},
  {"4/4", "3/8", "0", "m0 b3.5"},   {"3/4", "1/4", "0", "m0 b3"},
  {"3/4", "1/4", "3/2", "m2 b3"},   {"6/8", "0", "0", "m1 b1"},
  {"6/8", "0", "3/8", "m1 b2"},     {"6/8", "0", "1/8", "m1 b1.33"},
  {"6/8", "0", "1/4", "m1 b1.66"},  {"6/8", "0", "1/16", "m1 b1.16"},
  {"6/8", "1/8", "0", "m0 b2.66"},  {"9/8", "0", "9/8", "m2 b1"},
  {"12/8", "0", "9/8", "m1 b4"},    {"3/8", "0", "1/8", "m1 b1.33"},
  {"3/8", "0", "3/8", "m2 b1"},     {"2/2", "0", "3/4", "m1 b2.5"},
  {"5/4", "0", "3/4", "m1 b4"},     {"4/4", "0", "1/128", "m1 b1.03"},
};

static void
test_places_are_said_as_in_romantext(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(place_cases); ++i) {
    QfScore* const score = new_score("C", place_cases[i].metre, place_cases[i].pickup, 4);
    assert_place(score, place_cases[i].time, place_cases[i].place);
    qf_score_free(score);
  }
}

static void
test_split_bars_count_on(void** const state)
{
  (void)state;
  // The corpus's own example: "m7 I :|| b3 I", the second half is measure "7a"
  QfScore* const score = new_score("C", "4/4", "1/4", 6);
  QfBar          half  = {.length = qf_time(1, 2), .number = 7, .metre = metre_of("4/4")};
  half.ends_repeat     = true;
  assert_int_equal(qf_score_append_bar(score, half), QF_OK);
  half.offset      = qf_time(1, 2);
  half.suffix      = 'a';
  half.ends_repeat = false;
  assert_int_equal(qf_score_append_bar(score, half), QF_OK);

  assert_place(score, "25/4", "m7 b1");
  assert_place(score, "27/4", "m7a b3");
  assert_place(score, "55/8", "m7a b3.5");
  assert_time(qf_score_get_end(score), "29/4");
  assert_int_equal(qf_score_bar_at(score, time_of("27/4")), 8);
  assert_int_equal(qf_score_bar_at(score, time_of("100")), 8);
  assert_true(qf_score_get_bar(score, 7)->ends_repeat);

  // Bars to come go on counting in the last metre
  put(score, 0, "29/4", "1", "C5");
  assert_place(score, "29/4", "m8 b1");
  qf_score_free(score);
}

static void
test_a_new_score_has_voices_and_bars(void** const state)
{
  (void)state;
  static const char* const names[] = {"Soprano", "Alto", "Tenor", "Bass"};
  QfScore* const           score   = new_score("Eb", "3/4", "1/4", 2);
  assert_int_equal(qf_score_n_voices(score), 4);
  assert_int_equal(qf_score_n_staves(score), 2);
  for (size_t i = 0; i < 4; ++i) {
    assert_string_equal(qf_score_get_voice(score, i)->name, names[i]);
    assert_int_equal(qf_score_get_voice(score, i)->staff, i / 2);
  }
  assert_int_equal(qf_score_get_staff(score, 0)->clef, QF_CLEF_TREBLE);
  assert_int_equal(qf_score_get_staff(score, 1)->clef, QF_CLEF_BASS);
  assert_int_equal(qf_score_n_bars(score), 3);
  assert_int_equal(qf_score_get_bar(score, 0)->number, 0);
  assert_time(qf_score_get_bar(score, 0)->offset, "1/2");
  assert_time(qf_score_get_bar(score, 2)->start, "1");
  assert_int_equal(qf_key_fifths(qf_score_signature_at(score, QF_TIME_ZERO)), -3);
  assert_string_equal(qf_score_get_title(score), "");
  qf_score_free(score);
}

static void
test_a_note_cuts_what_lies_under_it(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "4/4", "0", 2);
  const uint32_t left  = put(score, 0, "0", "1", "C5");
  const uint32_t inner = put(score, 0, "1/4", "1/4", "D5");
  assert_notes(score, 0, "0+1/4 C5; 1/4+1/4 D5; 1/2+1/2 C5");
  assert_int_equal(qf_score_get_note(score, 0, 0)->id, left);
  assert_int_equal(qf_score_get_note(score, 0, 1)->id, inner);
  const uint32_t right = qf_score_get_note(score, 0, 2)->id;
  assert_true(right != left && right != inner && right != QF_NO_NOTE);

  const uint32_t cover = put(score, 0, "1/8", "1/2", "E5"); // cuts left, covers one, cuts right
  assert_notes(score, 0, "0+1/8 C5; 1/8+1/2 E5; 5/8+3/8 C5");
  assert_int_equal(qf_score_get_note(score, 0, 2)->id, right);
  assert_null(qf_score_find_note(score, inner, NULL));
  assert_int_equal(qf_score_get_note(score, 0, 1)->id, cover);

  assert_int_equal(qf_score_erase(score, 0, time_of("1/4"), time_of("1/2")), QF_OK);
  assert_notes(score, 0, "0+1/8 C5; 1/8+1/8 E5; 1/2+1/8 E5; 5/8+3/8 C5");
  assert_int_equal(qf_score_erase(score, 0, time_of("0"), time_of("9")), QF_OK);
  assert_notes(score, 0, "");
  assert_int_equal(qf_score_n_notes(score, 1), 0);
  qf_score_free(score);
}

static void
test_an_identity_given_again_moves_the_note(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "4/4", "0", 1);
  const uint32_t id    = put(score, 0, "0", "1", "C5");
  assert_int_equal(
    qf_score_put_note(score, 2, qf_time(1, 4), qf_time(1, 4), pitch_of("G3"), id, NULL), QF_OK);
  assert_notes(score, 0, "");
  assert_notes(score, 2, "1/4+1/4 G3");

  // Given identities are kept, later ones do not collide with them
  uint32_t got = QF_NO_NOTE;
  assert_int_equal(
    qf_score_put_note(score, 1, QF_TIME_ZERO, qf_time(1, 4), pitch_of("C4"), 900, &got), QF_OK);
  assert_int_equal(got, 900);
  assert_int_equal(put(score, 1, "1/4", "1/4", "C4"), 901);
  assert_int_equal(
    qf_score_put_note(score, 1, qf_time(1, 2), qf_time(1, 4), pitch_of("C4"), UINT32_MAX, NULL),
    QF_OK);
  const uint32_t wrapped = put(score, 1, "3/4", "1/4", "C4");
  assert_true(wrapped != QF_NO_NOTE && wrapped != id && wrapped != 900 && wrapped != UINT32_MAX);
  qf_score_free(score);
}

static void
test_notes_are_found(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "4/4", "0", 2);
  const uint32_t id    = put(score, 3, "1/2", "1/2", "F2");
  size_t         voice = 0;
  assert_ptr_equal(qf_score_find_note(score, id, &voice), qf_score_get_note(score, 3, 0));
  assert_int_equal(voice, 3);
  assert_null(qf_score_find_note(score, QF_NO_NOTE, NULL));
  assert_null(qf_score_find_note(score, id + 1, NULL));
  assert_null(qf_score_note_at(score, 3, time_of("3/8")));
  assert_ptr_equal(qf_score_note_at(score, 3, time_of("1/2")), qf_score_get_note(score, 3, 0));
  assert_ptr_equal(qf_score_note_at(score, 3, time_of("7/8")), qf_score_get_note(score, 3, 0));
  assert_null(qf_score_note_at(score, 3, time_of("1")));
  assert_int_equal(qf_score_set_pitch(score, id, pitch_of("F#2")), QF_OK);
  assert_notes(score, 3, "1/2+1/2 F#2");
  qf_score_free(score);
}

static void
test_bars_are_appended_as_needed(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "3/4", "1/4", 1);
  put(score, 0, "3/4", "1", "C5");
  assert_int_equal(qf_score_n_bars(score), 3);
  assert_time(qf_score_get_end(score), "7/4");
  assert_int_equal(qf_score_get_bar(score, 2)->number, 2);
  put(score, 0, "7/4", "1/64", "C5");
  assert_int_equal(qf_score_n_bars(score), 4);
  qf_score_free(score);
}

static void
test_the_last_bar_goes_with_its_notes(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "4/4", "0", 2);
  put(score, 0, "1/2", "1", "C5");
  put(score, 1, "1", "1/4", "G4");
  assert_int_equal(qf_score_set_signature(score, qf_time(1, 1), key_of("G")), QF_OK);
  assert_int_equal(qf_score_remove_last_bar(score), QF_OK);
  assert_notes(score, 0, "1/2+1/2 C5");
  assert_notes(score, 1, "");
  assert_int_equal(qf_score_n_signatures(score), 1);
  assert_int_equal(qf_score_remove_last_bar(score), QF_OK);
  assert_int_equal(qf_score_n_bars(score), 0);
  assert_int_equal(qf_score_n_signatures(score), 1);
  assert_int_equal(qf_score_remove_last_bar(score), QF_ERR_RANGE);
  qf_score_free(score);
}

static void
test_another_metre_keeps_the_pickup_and_the_notes(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "4/4", "1/4", 3);
  put(score, 0, "0", "13/4", "C5");
  assert_int_equal(qf_score_set_metre(score, metre_of("3/4")), QF_OK);
  assert_notes(score, 0, "0+13/4 C5");
  assert_int_equal(qf_score_n_bars(score), 5);
  assert_place(score, "0", "m0 b3");
  assert_place(score, "1/4", "m1 b1");
  assert_place(score, "1", "m2 b1");
  assert_time(qf_score_get_end(score), "13/4");

  assert_int_equal(qf_score_set_metre(score, metre_of("4/4")), QF_OK);
  assert_int_equal(qf_score_n_bars(score), 4);
  assert_place(score, "0", "m0 b4");
  assert_time(qf_score_get_end(score), "13/4");
  assert_int_equal(qf_score_set_metre(score, (QfMetre){4, 4, 2, {2, 1}}), QF_ERR_RANGE);
  qf_score_free(score);
}

static void
test_another_metre_keeps_repeats_on_bar_lines(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "4/4", "0", 0);
  QfBar          bar   = {.length = qf_time(1, 1), .number = 1, .metre = metre_of("4/4")};
  for (int i = 0; i < 4; ++i) {
    bar.starts_repeat = i == 2;
    bar.ends_repeat   = i == 1 || i == 3;
    bar.number        = i + 1;
    assert_int_equal(qf_score_append_bar(score, bar), QF_OK);
  }

  assert_int_equal(qf_score_set_metre(score, metre_of("2/4")), QF_OK);
  assert_int_equal(qf_score_n_bars(score), 8);
  for (size_t i = 0; i < 8; ++i) {
    assert_int_equal(qf_score_get_bar(score, i)->starts_repeat, i == 4);
    assert_int_equal(qf_score_get_bar(score, i)->ends_repeat, i == 3 || i == 7);
  }
  qf_score_free(score);
}

static void
test_signatures_hold_until_the_next(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "4/4", "0", 4);
  assert_int_equal(qf_score_set_signature(score, qf_time(2, 1), key_of("A")), QF_OK);
  assert_int_equal(qf_score_set_signature(score, qf_time(1, 1), key_of("F")), QF_OK);
  assert_int_equal(qf_score_set_signature(score, qf_time(2, 1), key_of("f#")), QF_OK);
  assert_int_equal(qf_score_n_signatures(score), 3);

  static const struct {
    const char* time;
    int         fifths;
  } rows[] = {{"0", 0}, {"7/8", 0}, {"1", -1}, {"3/2", -1}, {"2", 3}, {"50", 3}};
  for (size_t i = 0; i < N_ITEMS(rows); ++i) {
    assert_int_equal(qf_key_fifths(qf_score_signature_at(score, time_of(rows[i].time))),
                     rows[i].fifths);
  }
  assert_int_equal(qf_score_signature_at(score, time_of("2")).mode, QF_MINOR);

  QfScore* const empty = qf_score_new();
  assert_int_equal(qf_key_fifths(qf_score_signature_at(empty, QF_TIME_ZERO)), 0);
  qf_score_free(empty);
  qf_score_free(score);
}

static void
test_bad_input_gets_a_status(void** const state)
{
  (void)state;
  QfScore* const score  = new_score("C", "4/4", "0", 1);
  const QfPitch  c5     = pitch_of("C5");
  const QfTime   q      = qf_time(1, 4);
  const QfTime   zero   = QF_TIME_ZERO;
  const QfTime   minus  = qf_time(-1, 4);
  QfScore* const before = qf_score_dup(score);

  assert_int_equal(qf_score_put_note(score, 4, zero, q, c5, 0, NULL), QF_ERR_RANGE);
  assert_int_equal(qf_score_put_note(score, 0, minus, q, c5, 0, NULL), QF_ERR_RANGE);
  assert_int_equal(qf_score_put_note(score, 0, zero, zero, c5, 0, NULL), QF_ERR_RANGE);
  assert_int_equal(qf_score_put_note(score, 0, q, minus, c5, 0, NULL), QF_ERR_RANGE);
  assert_int_equal(qf_score_put_note(score, 0, zero, q, (QfPitch){0, -1, -1}, 0, NULL),
                   QF_ERR_RANGE);
  assert_int_equal(qf_score_put_note(score, 0, zero, q, (QfPitch){5, 0, 9}, 0, NULL), QF_ERR_RANGE);
  assert_int_equal(qf_score_put_note(score, 0, zero, q, (QfPitch){0, 5, 4}, 0, NULL), QF_ERR_RANGE);
  assert_int_equal(qf_score_put_note(score, 0, zero, q, (QfPitch){7, 0, 4}, 0, NULL), QF_ERR_RANGE);
  assert_int_equal(qf_score_put_note(score, 0, qf_time(1, 1000003), q, c5, 0, NULL), QF_ERR_RANGE);
  assert_int_equal(qf_score_put_note(score, 0, qf_time(INT64_MAX, 1), q, c5, 0, NULL),
                   QF_ERR_RANGE);
  assert_int_equal(qf_score_put_note(score, 0, qf_time(10000, 1), q, c5, 0, NULL),
                   QF_ERR_RANGE); // too many bars
  assert_int_equal(qf_score_erase(score, 0, q, zero), QF_ERR_RANGE);
  assert_int_equal(qf_score_erase(score, 9, zero, q), QF_ERR_RANGE);
  assert_int_equal(qf_score_erase(score, 0, minus, q), QF_ERR_RANGE);
  assert_int_equal(qf_score_set_pitch(score, 77, c5), QF_ERR_RANGE);
  assert_int_equal(qf_score_add_voice(score, "x", 2), QF_ERR_RANGE);
  assert_int_equal(qf_score_set_signature(score, minus, key_of("C")), QF_ERR_RANGE);
  assert_int_equal(qf_score_set_tempo(score, 9.9), QF_ERR_RANGE);
  assert_int_equal(qf_score_set_tempo(score, 401.0), QF_ERR_RANGE);
  assert_int_equal(qf_score_set_tempo(score, NAN), QF_ERR_RANGE);
  assert_int_equal(qf_score_append_bar(score, (QfBar){.length = zero, .metre = metre_of("4/4")}),
                   QF_ERR_RANGE);
  assert_int_equal(qf_score_append_bar(score, (QfBar){.length = q}), QF_ERR_RANGE);
  assert_true(qf_score_equals(score, before));

  qf_score_free(before);
  qf_score_free(score);
  qf_score_free(NULL);
}

static void
test_limits_are_kept(void** const state)
{
  (void)state;
  QfScore* const score = qf_score_new();
  for (int i = 0; i < QF_MAX_STAVES; ++i) {
    assert_int_equal(qf_score_add_staff(score, "s", QF_CLEF_ALTO), QF_OK);
  }
  assert_int_equal(qf_score_add_staff(score, "s", QF_CLEF_ALTO), QF_ERR_RANGE);
  for (int i = 0; i < QF_MAX_VOICES; ++i) {
    assert_int_equal(qf_score_add_voice(score, "v", 0), QF_OK);
  }
  assert_int_equal(qf_score_add_voice(score, "v", 0), QF_ERR_RANGE);

  // Without any bar the first note brings bars of four-four
  put(score, 0, "0", "3/2", "C4");
  assert_int_equal(qf_score_n_bars(score), 2);
  assert_place(score, "5/4", "m2 b2");

  // The last bar that fits
  assert_int_equal(qf_score_put_note(score, 0, qf_time(QF_MAX_BARS - 1, 1), qf_time(1, 1),
                                     pitch_of("C4"), 0, NULL),
                   QF_OK);
  assert_int_equal(qf_score_n_bars(score), QF_MAX_BARS);
  assert_int_equal(
    qf_score_put_note(score, 0, qf_time(QF_MAX_BARS, 1), qf_time(1, 1), pitch_of("C4"), 0, NULL),
    QF_ERR_RANGE);
  qf_score_free(score);
}

static void
test_long_names_are_cut_at_a_letter(void** const state)
{
  (void)state;
  QfScore* const score = qf_score_new();
  // 23 two-byte letters and one more byte fill 47 bytes; the 24th two-byte letter must go whole
  const char* const name = "\303\251\303\251\303\251\303\251\303\251\303\251\303\251\303\251"
                           "\303\251\303\251\303\251\303\251\303\251\303\251\303\251\303\251"
                           "\303\251\303\251\303\251\303\251\303\251\303\251\303\251\303\251";
  assert_int_equal(qf_score_add_staff(score, name, QF_CLEF_TREBLE), QF_OK);
  assert_int_equal(strlen(qf_score_get_staff(score, 0)->name), 46);
  qf_score_free(score);
}

static void
test_a_copy_is_equal_and_independent(void** const state)
{
  (void)state;
  TestRandom     random = {11, 0};
  QfScore* const score  = new_score("Bb", "6/8", "1/8", 6);
  scribble(score, &random, 100, 5);
  assert_int_equal(qf_score_set_title(score, "Low Water"), QF_OK);
  assert_int_equal(qf_score_set_composer(score, "N. N."), QF_OK);
  assert_int_equal(qf_score_set_tempo(score, 96.0), QF_OK);

  QfScore* const copy = qf_score_dup(score);
  assert_true(qf_score_equals(score, copy));
  assert_true(qf_score_get_tempo(copy) == 96.0);
  const QfNote* const note = qf_score_get_note(score, 1, 2);
  assert_non_null(qf_score_find_note(copy, note->id, NULL));
  assert_int_equal(qf_score_get_note(copy, 1, 2)->id, note->id);

  assert_int_equal(qf_score_set_title(copy, "Ferry Bell"), QF_OK);
  assert_false(qf_score_equals(score, copy));
  assert_int_equal(qf_score_set_title(copy, "Low Water"), QF_OK);
  assert_true(qf_score_equals(score, copy));
  scribble(copy, &random, 5, 5);
  assert_false(qf_score_equals(score, copy));
  assert_string_equal(qf_score_get_composer(score), "N. N.");
  qf_score_free(copy);
  qf_score_free(score);
}

static void
test_a_copy_gives_no_identity_twice(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "4/4", "0", 1);
  const uint32_t gone  = put(score, 0, "0", "1/4", "C5");
  assert_int_equal(qf_score_erase(score, 0, time_of("0"), time_of("1")), QF_OK);
  QfScore* const copy = qf_score_dup(score);
  assert_int_not_equal(put(copy, 0, "0", "1/4", "D5"), gone);
  qf_score_free(copy);
  qf_score_free(score);
}

static void
test_every_part_of_a_bar_counts_when_comparing(void** const state)
{
  (void)state;
  const QfBar plain = {.length = qf_time(1, 1), .number = 1, .metre = metre_of("4/4")};
  QfBar       bars[7];
  for (size_t i = 0; i < N_ITEMS(bars); ++i) {
    bars[i] = plain;
  }
  bars[0].length        = qf_time(1, 2);
  bars[1].offset        = qf_time(1, 2);
  bars[2].number        = 2;
  bars[3].suffix        = 'a';
  bars[4].metre         = metre_of("2/2");
  bars[5].starts_repeat = true;
  bars[6].ends_repeat   = true;

  for (size_t i = 0; i < N_ITEMS(bars); ++i) {
    QfScore* const a = qf_score_new();
    QfScore* const b = qf_score_new();
    assert_int_equal(qf_score_append_bar(a, plain), QF_OK);
    assert_int_equal(qf_score_append_bar(b, bars[i]), QF_OK);
    assert_false(qf_score_equals(a, b));
    qf_score_free(b);
    qf_score_free(a);
  }
}

static void
check_invariants(const QfScore* const score)
{
  size_t n_notes = 0;
  for (size_t voice = 0; voice < qf_score_n_voices(score); ++voice) {
    QfTime last_end = QF_TIME_ZERO;
    for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
      const QfNote* const note  = qf_score_get_note(score, voice, i);
      size_t              found = 99;
      assert_true(note->duration.num > 0);
      assert_true(qf_time_compare(note->start, last_end) >= 0);
      last_end = qf_time_add(note->start, note->duration);

      // Finding every note at its own place means that no two share an identity
      assert_ptr_equal(qf_score_find_note(score, note->id, &found), note);
      assert_int_equal(found, voice);
      assert_ptr_equal(qf_score_note_at(score, voice, note->start), note);
      ++n_notes;
    }
    assert_true(qf_time_compare(last_end, qf_score_get_end(score)) <= 0);
  }
  assert_true(n_notes < 100000);

  QfTime start = QF_TIME_ZERO;
  for (size_t i = 0; i < qf_score_n_bars(score); ++i) {
    const QfBar* const bar = qf_score_get_bar(score, i);
    assert_int_equal(qf_time_compare(bar->start, start), 0);
    start = qf_time_add(start, bar->length);
  }
}

/// A voice as one letter a tick: an independent, slow model of writing and erasing
enum {
  GRID       = 3360, ///< Holds every grid of random_time()
  MODEL_SIZE = 8 * GRID,
};

static size_t
ticks_of(const QfTime time)
{
  assert_int_equal(GRID % time.den, 0);
  return (size_t)(time.num * (GRID / time.den));
}

static void
test_writing_agrees_with_a_slow_model(void** const state)
{
  (void)state;
  TestRandom     random = {5, 0};
  QfScore* const score  = new_score("C", "4/4", "0", 1);
  uint8_t* const model  = (uint8_t*)calloc(MODEL_SIZE, 1);
  assert_non_null(model);

  for (int step = 0; step < 600; ++step) {
    const QfTime  start    = random_time(&random, 4);
    const QfTime  duration = qf_time_add(random_time(&random, 2), qf_time(1, 16));
    const uint8_t sound    = (uint8_t)random_below(&random, 12); // 0 erases, others are pitches
    const size_t  from     = ticks_of(start);
    const size_t  length   = ticks_of(duration);
    if (sound == 0) {
      assert_int_equal(qf_score_erase(score, 0, start, qf_time_add(start, duration)), QF_OK);
    } else {
      const QfPitch pitch = qf_pitch_from_step(28 + sound, 0);
      assert_int_equal(qf_score_put_note(score, 0, start, duration, pitch, 0, NULL), QF_OK);
    }
    memset(model + from, sound, length);

    size_t at = 0;
    for (size_t i = 0; i < qf_score_n_notes(score, 0); ++i) {
      const QfNote* const note = qf_score_get_note(score, 0, i);
      for (; at < ticks_of(note->start); ++at) {
        assert_int_equal(model[at], 0);
      }
      for (; at < ticks_of(qf_time_add(note->start, note->duration)); ++at) {
        assert_int_equal(model[at], qf_pitch_step(note->pitch) - 28);
      }
    }
    for (; at < MODEL_SIZE; ++at) {
      assert_int_equal(model[at], 0);
    }
  }
  free(model);
  qf_score_free(score);
}

static void
test_random_edits_keep_the_order(void** const state)
{
  (void)state;
  static const char* const metres[] = {"4/4", "3/4", "6/8", "7/8", "2/2"};
  for (uint64_t seed = 1; seed <= 20; ++seed) {
    TestRandom     random = {seed, 0};
    QfScore* const score  = new_score("D", metres[seed % N_ITEMS(metres)], "1/8", 2);
    for (int round = 0; round < 10; ++round) {
      scribble(score, &random, 20, 6);
      check_invariants(score);
      if (round % 3 == 2) {
        assert_int_equal(qf_score_remove_last_bar(score), QF_OK);
        check_invariants(score);
      }
      if (round % 4 == 3) {
        const QfMetre metre = metre_of(metres[random_below(&random, N_ITEMS(metres))]);
        assert_int_equal(qf_score_set_metre(score, metre), QF_OK);
        check_invariants(score);
      }
    }
    qf_score_free(score);
  }
}

static void
test_transposing_there_and_back(void** const state)
{
  (void)state;
  static const char* const intervals[] = {"m2", "M2", "A1", "m3", "M3", "P4", "A4", "d5", "P5",
                                          "m6", "M6", "m7", "M7", "P8", "d4", "A2", "P1"};
  QfScore* const           score       = new_score("C", "4/4", "0", 2);
  put(score, 0, "0", "1/4", "E5");
  put(score, 1, "1/4", "1/2", "F#4");
  put(score, 3, "0", "2", "Bb2");
  assert_int_equal(qf_score_set_signature(score, qf_time(1, 1), key_of("a")), QF_OK);

  for (size_t i = 0; i < N_ITEMS(intervals); ++i) {
    QfInterval up = {0, 0};
    assert_int_equal(qf_interval_parse(intervals[i], &up, NULL), QF_OK);
    const QfInterval down  = {(int16_t)-up.steps, (int16_t)-up.semitones};
    QfScore* const   moved = qf_score_dup(score);
    const QfStatus   st    = qf_score_transpose(moved, up);
    // From C to F flat or D sharp major: keys of more than seven signs, and nothing moves
    const bool is_beyond = !strcmp(intervals[i], "d4") || !strcmp(intervals[i], "A2");
    assert_int_equal(st, is_beyond ? QF_ERR_RANGE : QF_OK);
    if (is_beyond) {
      assert_true(qf_score_equals(moved, score));
    } else {
      assert_int_equal(qf_pitch_midi(qf_score_get_note(moved, 0, 0)->pitch), 76 + up.semitones);
      assert_int_equal(qf_pitch_step(qf_score_get_note(moved, 0, 0)->pitch), 37 + up.steps);
      assert_int_equal(qf_score_transpose(moved, down), QF_OK);
      assert_true(qf_score_equals(moved, score));
    }
    qf_score_free(moved);
  }
  qf_score_free(score);
}

static void
test_transposing_knows_the_keys(void** const state)
{
  (void)state;
  // Key signatures: Open Music Theory, "Key signatures"; D major to F major is a minor third up
  QfScore* const score = new_score("D", "4/4", "0", 2);
  put(score, 0, "0", "1/4", "F#4");
  assert_int_equal(qf_score_transpose(score, (QfInterval){2, 3}), QF_OK);
  assert_int_equal(qf_key_fifths(qf_score_signature_at(score, QF_TIME_ZERO)), -1);
  assert_notes(score, 0, "0+1/4 A4");

  // A twelfth too high for MIDI: nothing moves, the key neither
  put(score, 1, "0", "1/4", "G9");
  assert_int_equal(qf_score_transpose(score, (QfInterval){4, 7}), QF_ERR_RANGE);
  assert_int_equal(qf_key_fifths(qf_score_signature_at(score, QF_TIME_ZERO)), -1);
  assert_notes(score, 0, "0+1/4 A4");
  qf_score_free(score);
}

/// Fermatas are in order of time, each where some note starts
static void
check_fermatas(const QfScore* const score)
{
  for (size_t i = 0; i < qf_score_n_fermatas(score); ++i) {
    const QfTime time   = qf_score_get_fermata(score, i);
    bool         starts = false;
    for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
      for (size_t n = 0; n < qf_score_n_notes(score, v); ++n) {
        starts |= !qf_time_compare(qf_score_get_note(score, v, n)->start, time);
      }
    }
    assert_true(starts);
    assert_true(qf_score_has_fermata(score, time));
    assert_true(!i || qf_time_compare(qf_score_get_fermata(score, i - 1U), time) < 0);
  }
}

static void
test_a_fermata_stays_while_a_note_starts_there(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "4/4", "0", 2);
  put(score, 0, "1", "1/2", "E5");
  const uint32_t bass = put(score, 3, "1", "1/2", "C3");
  assert_int_equal(qf_score_set_fermata(score, time_of("5/4"), true), QF_ERR_RANGE);
  assert_int_equal(qf_score_set_fermata(score, time_of("1"), true), QF_OK);
  assert_int_equal(qf_score_set_fermata(score, time_of("1"), true), QF_OK);
  assert_int_equal(qf_score_n_fermatas(score), 1);

  QfScore* const copy = qf_score_dup(score);
  assert_true(qf_score_equals(copy, score));
  assert_int_equal(qf_score_set_fermata(copy, time_of("1"), false), QF_OK);
  assert_false(qf_score_equals(copy, score));
  qf_score_free(copy);

  // One voice goes, another takes its place, then all go
  assert_int_equal(qf_score_erase(score, 0, time_of("1"), time_of("3/2")), QF_OK);
  assert_true(qf_score_has_fermata(score, time_of("1")));
  put(score, 3, "1", "1/4", "D3");
  assert_true(qf_score_has_fermata(score, time_of("1")));
  put(score, 3, "3/4", "1", "D3");
  assert_false(qf_score_has_fermata(score, time_of("1")));
  assert_null(qf_score_find_note(score, bass, NULL));

  // A note moved by its identity leaves its fermata behind
  const uint32_t moved = put(score, 3, "3/4", "1", "D3");
  assert_int_equal(qf_score_set_fermata(score, time_of("3/4"), true), QF_OK);
  assert_int_equal(
    qf_score_put_note(score, 1, time_of("0"), time_of("1/4"), pitch_of("C4"), moved, NULL), QF_OK);
  assert_int_equal(qf_score_n_fermatas(score), 0);

  put(score, 0, "1", "1/2", "E5");
  assert_int_equal(qf_score_set_fermata(score, time_of("1"), true), QF_OK);
  assert_int_equal(qf_score_remove_last_bar(score), QF_OK);
  assert_int_equal(qf_score_n_fermatas(score), 0);
  qf_score_free(score);
}

static void
test_fermatas_survive_random_edits_in_order(void** const state)
{
  (void)state;
  TestRandom random = {.state = 77};
  QfScore*   score  = new_score("C", "3/4", "1/4", 8);
  size_t     n_seen = 0;
  for (int i = 0; i < 400; ++i) {
    const size_t voice = random_below(&random, 4);
    const size_t n     = qf_score_n_notes(score, voice);
    if (n) {
      const size_t which = random_below(&random, (uint32_t)n);
      const QfTime start = qf_score_get_note(score, voice, which)->start;
      const bool   set   = random_below(&random, 4) > 0;
      assert_int_equal(qf_score_set_fermata(score, start, set), QF_OK);
      assert_true(qf_score_has_fermata(score, start) == set);
    }
    scribble(score, &random, 1, 6);
    check_fermatas(score);
    n_seen += qf_score_n_fermatas(score);
  }
  assert_true(n_seen > 400);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_places_are_said_as_in_romantext),
    cmocka_unit_test(test_split_bars_count_on),
    cmocka_unit_test(test_a_new_score_has_voices_and_bars),
    cmocka_unit_test(test_a_note_cuts_what_lies_under_it),
    cmocka_unit_test(test_an_identity_given_again_moves_the_note),
    cmocka_unit_test(test_notes_are_found),
    cmocka_unit_test(test_bars_are_appended_as_needed),
    cmocka_unit_test(test_the_last_bar_goes_with_its_notes),
    cmocka_unit_test(test_another_metre_keeps_the_pickup_and_the_notes),
    cmocka_unit_test(test_another_metre_keeps_repeats_on_bar_lines),
    cmocka_unit_test(test_signatures_hold_until_the_next),
    cmocka_unit_test(test_bad_input_gets_a_status),
    cmocka_unit_test(test_limits_are_kept),
    cmocka_unit_test(test_long_names_are_cut_at_a_letter),
    cmocka_unit_test(test_a_copy_is_equal_and_independent),
    cmocka_unit_test(test_a_copy_gives_no_identity_twice),
    cmocka_unit_test(test_every_part_of_a_bar_counts_when_comparing),
    cmocka_unit_test(test_writing_agrees_with_a_slow_model),
    cmocka_unit_test(test_random_edits_keep_the_order),
    cmocka_unit_test(test_a_fermata_stays_while_a_note_starts_there),
    cmocka_unit_test(test_fermatas_survive_random_edits_in_order),
    cmocka_unit_test(test_transposing_there_and_back),
    cmocka_unit_test(test_transposing_knows_the_keys),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
