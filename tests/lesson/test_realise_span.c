// SPDX-License-Identifier: MIT
#include "lesson_support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { N_VOICES = 4 };

/// The pitch of a voice at a time as text
static void
read_pitch(const QfLesson* const lesson, const size_t voice, const QfTime time, char text[16])
{
  const QfNote* const note = qf_score_note_at(qf_lesson_get_score(lesson), voice, time);
  assert_non_null(note);
  qf_pitch_write(note->pitch, text, 16);
}

static void
assert_pitch(const QfLesson* const lesson,
             const size_t          voice,
             const QfTime          time,
             const char* const     pitch)
{
  char text[16];
  read_pitch(lesson, voice, time, text);
  assert_string_equal(text, pitch);
}

static uint32_t
id_at(const QfLesson* const lesson, const size_t voice, const QfTime time)
{
  const QfNote* const note = qf_score_note_at(qf_lesson_get_score(lesson), voice, time);
  assert_non_null(note);
  return note->id;
}

static void
realise(QfLesson* const lesson, const QfTime start, const QfTime end, const QfRealiseWishes wishes)
{
  QfError error = {0};
  if (qf_lesson_realise_span(lesson, start, end, wishes, NULL, &error)) {
    fail_msg("%s", error.text);
  }
}

static void
assert_same_notes(const QfLesson* const a, const QfLesson* const b, const char* const what)
{
  if (!qf_score_equals(qf_lesson_get_score(a), qf_lesson_get_score(b))) {
    fail_msg("other notes: %s", what);
  }
}

static QfLesson*
copy_of(const QfLesson* const lesson)
{
  char* const     json = json_of(lesson);
  QfLesson* const copy = lesson_of_json(json);
  free(json);
  return copy;
}

static const char* const demos[] = {"lantern-walk", "ferry-bell", "two-piers", "low-water"};

/// The labels of a lesson, one numeral after another
static void
write_numerals(QfLesson* const lesson, char* const buffer, const size_t size)
{
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  size_t                length = 0;
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const label = qf_labels_get_link(labels, i);
    char                 text[QF_NUMERAL_TEXT_SIZE];
    qf_numeral_write(&label->numeral, label->key.mode, text, sizeof(text));
    length += (size_t)snprintf(buffer + length, size - length, "%s ", text);
    assert_true(length < size);
  }
}

static void
test_a_whole_lesson_keeps_its_functions_and_breaks_no_rule(void** state)
{
  (void)state;
  for (size_t d = 0; d < sizeof(demos) / sizeof(demos[0]); ++d) {
    for (int profile = 0; profile < QF_PROFILE_N_KINDS; ++profile) {
      QfLesson* const lesson = demo_lesson(demos[d]);
      char            before[4000];
      char            after[4000];
      write_numerals(lesson, before, sizeof(before));
      assert_int_equal(qf_lesson_set_voice_given(lesson, 0, false, NULL), QF_OK);

      const QfTime end = qf_score_get_end(qf_lesson_get_score(lesson));
      realise(lesson, QF_TIME_ZERO, end, (QfRealiseWishes){.profile = (QfProfile)profile});
      write_numerals(lesson, after, sizeof(after));
      assert_string_equal(after, before);

      QfFindings findings = {0};
      assert_int_equal(qf_check(qf_lesson_get_score(lesson), qf_lesson_get_labels(lesson),
                                (QfProfile)profile, &findings, NULL),
                       QF_OK);
      for (size_t i = 0; i < findings.n_findings; ++i) {
        if (findings.findings[i].severity == QF_SEVERITY_ERROR) {
          fail_msg("%s, profile %d: %s", demos[d], profile, findings.findings[i].text);
        }
      }
      qf_findings_clear(&findings);
      assert_string_equal(qf_lesson_get_undo_name(lesson), "Realise the selection");
      qf_lesson_free(lesson);
    }
  }
}

static void
test_the_next_best_comes_from_the_same_base(void** state)
{
  (void)state;
  enum { N_STEPS = 5 };
  QfLesson*             ways[N_STEPS];
  QfLesson* const       lesson = small_lesson();
  const QfTime          start  = qf_time(1, 2);
  const QfTime          end    = qf_time(3, 2);
  const QfRealiseWishes best   = {.profile = QF_PROFILE_COMMON};
  QfWays                found  = {0};
  assert_int_equal(qf_lesson_realise_span(lesson, start, end, best, &found, NULL), QF_OK);
  assert_true(found.n_ways >= N_STEPS);
  assert_int_equal(found.cost, found.least_cost);

  for (size_t i = 0; i < N_STEPS; ++i) {
    realise(lesson, start, end, (QfRealiseWishes){.profile = QF_PROFILE_COMMON, .nth = i});
    ways[i] = copy_of(lesson);
    for (size_t k = 0; k < i; ++k) {
      assert_false(qf_score_equals(qf_lesson_get_score(ways[i]), qf_lesson_get_score(ways[k])));
    }
  }
  for (size_t i = N_STEPS; i > 0; --i) { // The same again, in another order
    realise(lesson, start, end, (QfRealiseWishes){.profile = QF_PROFILE_COMMON, .nth = i - 1U});
    assert_same_notes(lesson, ways[i - 1U], "the ways in another order");
    qf_lesson_free(ways[i - 1U]);
  }

  // What was not selected is as it was, and every step can be undone
  QfLesson* const untouched = small_lesson();
  for (size_t v = 0; v < N_VOICES; ++v) {
    char text[16];
    read_pitch(untouched, v, QF_TIME_ZERO, text);
    assert_pitch(lesson, v, QF_TIME_ZERO, text);
    read_pitch(untouched, v, qf_time(3, 2), text);
    assert_pitch(lesson, v, qf_time(3, 2), text);
  }
  for (size_t i = 0; i < 2U * N_STEPS + 1U; ++i) {
    assert_string_equal(qf_lesson_get_undo_name(lesson), "Realise the selection");
    assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  }
  assert_same_notes(lesson, untouched, "undone");
  qf_lesson_free(untouched);
  qf_lesson_free(lesson);
}

static void
test_kept_voices_and_givens_stay(void** state)
{
  (void)state;
  QfLesson* const lesson = demo_lesson("lantern-walk");
  QfLesson* const before = copy_of(lesson);
  const QfTime    end    = qf_score_get_end(qf_lesson_get_score(lesson));
  assert_int_equal(qf_lesson_set_voice_given(lesson, 0, false, NULL), QF_OK);
  const size_t   middle = qf_score_n_notes(qf_lesson_get_score(lesson), 1) / 2U;
  const uint32_t given  = qf_score_get_note(qf_lesson_get_score(lesson), 1, middle)->id;
  assert_int_equal(qf_lesson_set_given(lesson, given, true, NULL), QF_OK);

  const QfRealiseWishes wishes = {
    .profile = QF_PROFILE_COMMON, .kept_voices = 1U << 0U | 1U << 3U, .nth = 3};
  realise(lesson, QF_TIME_ZERO, end, wishes);
  for (size_t v = 0; v < N_VOICES; v += 3U) {
    for (size_t i = 0; i < qf_score_n_notes(qf_lesson_get_score(before), v); ++i) {
      const QfNote* const note = qf_score_get_note(qf_lesson_get_score(before), v, i);
      const QfNote* const same = qf_score_find_note(qf_lesson_get_score(lesson), note->id, NULL);
      assert_non_null(same);
      assert_true(qf_pitch_equals(same->pitch, note->pitch));
      assert_int_equal(qf_time_compare(same->duration, note->duration), 0);
    }
  }
  assert_non_null(qf_score_find_note(qf_lesson_get_score(lesson), given, NULL));
  assert_true(qf_lesson_is_given(lesson, given));
  assert_false(qf_score_equals(qf_lesson_get_score(lesson), qf_lesson_get_score(before)));
  qf_lesson_free(before);
  qf_lesson_free(lesson);
}

/// A given note shorter than its chord: the rest of its voice is filled, the note is not cut
static void
test_the_time_beside_a_given_note_is_filled(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  uint32_t        id     = 0;
  // V7 of A major from 1/1 to 3/2; its fifth B in the soprano on the second quarter
  assert_int_equal(
    qf_lesson_put_note(lesson, 0, qf_time(5, 4), qf_time(1, 4), pitch_of("B4"), &id, NULL), QF_OK);
  assert_int_equal(qf_lesson_set_given(lesson, id, true, NULL), QF_OK);
  realise(lesson, qf_time(1, 1), qf_time(3, 2), (QfRealiseWishes){.profile = QF_PROFILE_COMMON});
  assert_int_equal(id_at(lesson, 0, qf_time(5, 4)), id);
  assert_pitch(lesson, 0, qf_time(1, 1), "B4");
  const QfNote* const first = qf_score_note_at(qf_lesson_get_score(lesson), 0, qf_time(1, 1));
  assert_int_equal(qf_time_compare(first->duration, qf_time(1, 4)), 0);
  qf_lesson_free(lesson);
}

static void
test_a_chord_is_placed_around_givens(void** state)
{
  (void)state;
  QfLesson* const lesson  = small_lesson();
  const QfNumeral numeral = numeral_of("V7", QF_MAJOR);
  const QfTime    start   = qf_time(1, 1);
  const uint32_t  alto    = id_at(lesson, 1, start); // D4, the seventh
  assert_int_equal(qf_lesson_set_given(lesson, alto, true, NULL), QF_OK);
  assert_int_equal(
    qf_lesson_place_chord(lesson, start, qf_time(1, 2), key_of("A major"), &numeral, NULL), QF_OK);
  assert_int_equal(id_at(lesson, 1, start), alto);
  assert_pitch(lesson, 1, start, "D4");

  // The fourth degree has no place in I: the message names the note and where it is
  const QfNumeral foreign = numeral_of("I", QF_MAJOR);
  QfError         error   = {0};
  char* const     before  = json_of(lesson);
  assert_int_equal(
    qf_lesson_place_chord(lesson, start, qf_time(1, 2), key_of("A major"), &foreign, &error),
    QF_ERR_IMPOSSIBLE);
  assert_non_null(strstr(error.text, "Alto D4"));
  assert_non_null(strstr(error.text, "m1 b4"));
  char* const after = json_of(lesson);
  assert_string_equal(after, before);
  free(before);
  free(after);
  qf_lesson_free(lesson);
}

/// Common practice: the seventh of V7 is never doubled, so two givens on it cannot both stand
static void
test_clashing_givens_are_named_and_no_others(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  const QfTime    start  = qf_time(1, 1);
  const uint32_t  alto   = id_at(lesson, 1, start); // D4
  const uint32_t  bass   = id_at(lesson, 3, start); // E3, harmless
  assert_int_equal(qf_lesson_set_pitch(lesson, id_at(lesson, 0, start), pitch_of("D5"), NULL),
                   QF_OK);
  const uint32_t givens[] = {alto, bass, id_at(lesson, 0, start)};
  for (size_t i = 0; i < 3; ++i) {
    assert_int_equal(qf_lesson_set_given(lesson, givens[i], true, NULL), QF_OK);
  }
  const QfNumeral numeral = numeral_of("V7", QF_MAJOR);
  QfError         error   = {0};
  assert_int_equal(
    qf_lesson_place_chord(lesson, start, qf_time(1, 2), key_of("A major"), &numeral, &error),
    QF_ERR_IMPOSSIBLE);
  assert_non_null(strstr(error.text, "Alto D4"));
  assert_non_null(strstr(error.text, "Soprano D5"));
  assert_null(strstr(error.text, "Bass"));
  qf_lesson_free(lesson);
}

static void
test_what_cannot_be_done_is_said(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  QfError         error  = {0};
  assert_int_equal(qf_lesson_realise_span(lesson, qf_time(5, 1), qf_time(6, 1),
                                          (QfRealiseWishes){.profile = QF_PROFILE_COMMON}, NULL,
                                          &error),
                   QF_ERR_RANGE);
  assert_non_null(strstr(error.text, "no chord"));

  // With all four voices kept there is just one way, or none
  QfWays                ways = {0};
  const QfRealiseWishes all  = {.profile = QF_PROFILE_FREE, .kept_voices = 0xF, .nth = 1};
  assert_int_equal(qf_lesson_realise_span(lesson, qf_time(3, 2), qf_time(2, 1), all, &ways, &error),
                   QF_ERR_RANGE);
  assert_int_equal(ways.n_ways, 1);
  assert_non_null(strstr(error.text, "only 1 way"));
  qf_lesson_free(lesson);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_a_whole_lesson_keeps_its_functions_and_breaks_no_rule),
    cmocka_unit_test(test_the_next_best_comes_from_the_same_base),
    cmocka_unit_test(test_kept_voices_and_givens_stay),
    cmocka_unit_test(test_the_time_beside_a_given_note_is_filled),
    cmocka_unit_test(test_a_chord_is_placed_around_givens),
    cmocka_unit_test(test_clashing_givens_are_named_and_no_others),
    cmocka_unit_test(test_what_cannot_be_done_is_said),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
