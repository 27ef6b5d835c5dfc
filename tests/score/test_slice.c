// SPDX-License-Identifier: MIT
#include "score_test.h"

#include "quintfall/slice.h"

#include <stdio.h>

static QfSlices
slices_of(const QfScore* const score)
{
  QfSlices slices = {0};
  assert_int_equal(qf_slices_of(score, &slices), QF_OK);
  return slices;
}

static void
assert_slice(const QfSlice* const slice,
             const char* const    start,
             const char* const    end,
             const char* const    expected)
{
  char   text[256] = "";
  size_t length    = 0;
  for (size_t i = 0; i < slice->n_notes; ++i) {
    char pitch[16];
    qf_pitch_write(slice->notes[i].pitch, pitch, sizeof(pitch));
    length += (size_t)snprintf(text + length, sizeof(text) - length, "%s%s%s", i ? " " : "", pitch,
                               slice->notes[i].is_struck ? "" : "-");
  }
  assert_time(slice->start, start);
  assert_time(slice->end, end);
  assert_string_equal(text, expected);
}

static void
test_a_suspension_makes_its_slices(void** const state)
{
  (void)state;
  // 4-3 suspension over G, worked by hand: the alto's C is held into the dominant
  QfScore* const score = new_score("C", "4/4", "0", 1);
  put(score, 0, "0", "1/4", "E5");
  put(score, 0, "1/4", "1/2", "D5");
  put(score, 1, "0", "1/2", "C5");
  put(score, 1, "1/2", "1/4", "B4");
  put(score, 2, "0", "3/4", "G4");
  put(score, 3, "0", "1/4", "C3");
  put(score, 3, "1/4", "1/2", "G2");

  QfSlices slices = slices_of(score);
  assert_int_equal(slices.n_slices, 4);
  assert_slice(&slices.slices[0], "0", "1/4", "C3 G4 C5 E5");
  assert_slice(&slices.slices[1], "1/4", "1/2", "G2 G4- C5- D5");
  assert_slice(&slices.slices[2], "1/2", "3/4", "G2- G4- B4 D5-");
  assert_slice(&slices.slices[3], "3/4", "1", ""); // a general rest
  assert_int_equal(slices.slices[1].notes[2].voice, 1);
  assert_time(slices.slices[1].notes[2].start, "0");
  assert_time(slices.slices[1].notes[2].duration, "1/2");
  qf_slices_clear(&slices);
  qf_score_free(score);
}

static void
test_notes_stand_from_the_lowest_up(void** const state)
{
  (void)state;
  // Crossed voices sort by pitch; in a unison the lower voice is below
  QfScore* const score = new_score("C", "4/4", "0", 1);
  put(score, 0, "0", "1", "C4");
  put(score, 1, "0", "1", "E4");
  put(score, 2, "0", "1", "C4");
  put(score, 3, "0", "1", "G3");
  QfSlices slices = slices_of(score);
  assert_slice(&slices.slices[0], "0", "1", "G3 C4 C4 E4");
  assert_int_equal(slices.slices[0].notes[1].voice, 2);
  assert_int_equal(slices.slices[0].notes[2].voice, 0);
  qf_slices_clear(&slices);
  qf_score_free(score);
}

static void
test_empty_scores(void** const state)
{
  (void)state;
  QfScore* const none   = qf_score_new();
  QfSlices       slices = slices_of(none);
  assert_int_equal(slices.n_slices, 0);
  qf_slices_clear(&slices);
  qf_score_free(none);

  QfScore* const rests = new_score("C", "3/4", "1/4", 2);
  slices               = slices_of(rests);
  assert_int_equal(slices.n_slices, 1);
  assert_slice(&slices.slices[0], "0", "7/4", "");
  qf_slices_clear(&slices);
  qf_score_free(rests);
}

/// True if a voice's note sounds in the slice exactly as the score says
static void
check_voice(const QfScore* const score, const QfSlice* const slice, const size_t voice)
{
  const QfNote* const note  = qf_score_note_at(score, voice, slice->start);
  size_t              count = 0;
  for (size_t i = 0; i < slice->n_notes; ++i) {
    const QfSounding* const sounding = &slice->notes[i];
    if (sounding->voice == voice) {
      ++count;
      assert_non_null(note);
      assert_int_equal(sounding->id, note->id);
      assert_true(qf_pitch_equals(sounding->pitch, note->pitch));
      assert_int_equal(qf_time_compare(sounding->start, note->start), 0);
      assert_int_equal(qf_time_compare(sounding->duration, note->duration), 0);
      assert_int_equal(sounding->is_struck, !qf_time_compare(note->start, slice->start));
    }
  }
  assert_int_equal(count, note ? 1 : 0);

  // Nothing begins or ends inside
  if (note) {
    assert_true(qf_time_compare(qf_time_add(note->start, note->duration), slice->end) >= 0);
  } else {
    const QfTime middle = qf_time_div(qf_time_add(slice->start, slice->end), (QfTime){2, 1});
    assert_null(qf_score_note_at(score, voice, middle));
  }
}

static void
test_slices_are_the_score(void** const state)
{
  (void)state;
  for (uint64_t seed = 1; seed <= 12; ++seed) {
    TestRandom     random = {seed, 0};
    QfScore* const score  = new_score("C", "4/4", "1/4", 3);
    scribble(score, &random, 120, 8);

    QfSlices slices   = slices_of(score);
    QfTime   time     = QF_TIME_ZERO;
    size_t   n_struck = 0;
    for (size_t i = 0; i < slices.n_slices; ++i) {
      const QfSlice* const slice = &slices.slices[i];
      assert_int_equal(qf_time_compare(slice->start, time), 0);
      assert_true(qf_time_compare(slice->end, slice->start) > 0);
      time = slice->end;
      for (size_t voice = 0; voice < 4; ++voice) {
        check_voice(score, slice, voice);
      }
      for (size_t j = 0; j < slice->n_notes; ++j) {
        n_struck += slice->notes[j].is_struck ? 1U : 0U;
        assert_true(j == 0 ||
                    qf_pitch_compare(slice->notes[j - 1].pitch, slice->notes[j].pitch) <= 0);
      }
    }
    assert_int_equal(qf_time_compare(time, qf_score_get_end(score)), 0);

    size_t n_notes = 0;
    for (size_t voice = 0; voice < 4; ++voice) {
      n_notes += qf_score_n_notes(score, voice);
    }
    assert_int_equal(n_struck, n_notes);
    qf_slices_clear(&slices);
    qf_score_free(score);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_a_suspension_makes_its_slices),
    cmocka_unit_test(test_notes_stand_from_the_lowest_up),
    cmocka_unit_test(test_empty_scores),
    cmocka_unit_test(test_slices_are_the_score),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
