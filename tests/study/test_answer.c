// SPDX-License-Identifier: MIT
#include "study_support.h"

#include "quintfall/file.h"

#include <inttypes.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static const Passage passage = {"G major",
                                "3/4",
                                {"B4/4 C5/4 D5/4 D5/2 r/4", "G4/4 G4/4 F#4/4 G4/2 r/4",
                                 "D4/4 E4/4 D4/4 B3/2 r/4", "G3/4 C3/4 D3/4 G2/2 r/4"},
                                "0 I; 1/4 IV; 1/2 V; 3/4 I"};

/// The passage with its first bass note given
static QfLesson*
make_lesson(void)
{
  QfLesson* const lesson = lesson_of(&passage);
  const uint32_t  first  = qf_score_get_note(qf_lesson_get_score(lesson), 3, 0)->id;
  assert_int_equal(qf_lesson_set_given(lesson, first, true, NULL), QF_OK);
  assert_int_equal(qf_lesson_set_notes_text(lesson, "SECRET REMARK", NULL), QF_OK);
  return lesson;
}

/// An answer read back from what another one says of itself
static QfAnswer*
copy_of(const QfAnswer* const answer)
{
  char* const json = json_of_answer(answer);
  QfAnswer*   copy = NULL;
  assert_int_equal(qf_answer_from_json(json, strlen(json), &copy, NULL), QF_OK);
  free(json);
  return copy;
}

static void
test_an_answer_belongs_to_its_task_alone(void** state)
{
  (void)state;
  QfLesson* const lesson = make_lesson();
  QfAnswer*       task   = NULL;
  QfAnswer*       other  = NULL;
  assert_int_equal(qf_answer_new(lesson, &task, NULL), QF_OK);
  QfAnswer* const begun = copy_of(task);
  assert_int_equal(qf_answer_begin_attempt(begun, "2026-03-09T18:30:00Z", false, NULL), QF_OK);
  assert_int_equal(qf_answer_set_student(begun, "Ada", "7", NULL), QF_OK);
  assert_true(qf_answer_is_same_task(task, begun));

  // The same notes with another limit are another task, and so are other notes.
  QfStudy study      = qf_lesson_get_study(lesson);
  study.max_hearings = 2;
  assert_int_equal(qf_lesson_set_study(lesson, study, NULL), QF_OK);
  assert_int_equal(qf_answer_new(lesson, &other, NULL), QF_OK);
  assert_false(qf_answer_is_same_task(other, begun));
  qf_answer_free(other);
  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  assert_int_equal(qf_answer_new(lesson, &other, NULL), QF_OK);
  assert_true(qf_answer_is_same_task(other, begun));
  qf_answer_free(other);
  const uint32_t first = qf_score_get_note(qf_lesson_get_score(lesson), 0, 0)->id;
  assert_int_equal(qf_lesson_delete_note(lesson, first, NULL), QF_OK);
  assert_int_equal(qf_answer_new(lesson, &other, NULL), QF_OK);
  assert_false(qf_answer_is_same_task(other, begun));
  qf_answer_free(other);
  qf_answer_free(begun);
  qf_answer_free(task);
  qf_lesson_free(lesson);
}

static void
test_a_task_shows_the_frame_only(void** state)
{
  (void)state;
  QfLesson* const lesson = make_lesson();
  QfAnswer*       task   = NULL;
  assert_int_equal(qf_answer_new(lesson, &task, NULL), QF_OK);
  const QfScore* const frame = qf_answer_get_frame(task);
  assert_int_equal(qf_score_n_notes(frame, 0), 0);
  assert_int_equal(qf_score_n_notes(frame, 3), 1);
  assert_int_equal(qf_score_n_bars(frame), 2);
  assert_int_equal(qf_answer_n_attempts(task), 0);
  assert_int_equal(qf_answer_n_slots(task, 0), 4);
  assert_int_equal(qf_time_compare(qf_answer_get_slot(task, 0, 3)->duration, qf_time(1, 2)), 0);
  assert_true(qf_answer_get_slot(task, 3, 0)->is_given);
  assert_int_equal(qf_answer_n_spans(task), 4);
  assert_int_equal(qf_time_compare(qf_answer_get_span(task, 2), qf_time(1, 2)), 0);

  // What a text editor shows: one pitch, the given one, no numeral, no remark.
  char* const json = json_of_answer(task);
  char* const note = strstr(json, "\"pitch\"");
  assert_non_null(note);
  assert_null(strstr(note + 1, "\"pitch\""));
  assert_null(strstr(json, "\"IV\""));
  assert_null(strstr(json, "SECRET"));

  // The packed lesson is the lesson, without the teacher's remarks.
  QfLesson* copy = NULL;
  assert_int_equal(qf_answer_unpack(task, &copy, NULL), QF_OK);
  assert_true(qf_score_equals(qf_lesson_get_score(copy), qf_lesson_get_score(lesson)));
  assert_string_equal(qf_lesson_get_notes_text(copy), "");
  char digest[QF_ANSWER_DIGEST_SIZE];
  qf_lesson_digest(copy, digest);
  assert_string_equal(digest, qf_answer_get_digest(task));
  qf_lesson_free(copy);
  free(json);
  qf_answer_free(task);
  qf_lesson_free(lesson);
}

static void
test_rhythm_and_spans_can_be_hidden(void** state)
{
  (void)state;
  QfLesson* const lesson = make_lesson();
  QfStudy         study  = qf_study_default();
  study.shows_rhythm     = false;
  study.shows_spans      = false;
  assert_int_equal(qf_lesson_set_study(lesson, study, NULL), QF_OK);
  QfAnswer* task = NULL;
  assert_int_equal(qf_answer_new(lesson, &task, NULL), QF_OK);
  assert_int_equal(qf_answer_n_slots(task, 0), 0);
  assert_int_equal(qf_answer_n_spans(task), 0);
  qf_answer_free(task);
  qf_lesson_free(lesson);
}

static void
test_the_digest_tells_lessons_apart(void** state)
{
  (void)state;
  QfLesson* const lesson = make_lesson();
  char            before[QF_ANSWER_DIGEST_SIZE];
  char            after[QF_ANSWER_DIGEST_SIZE];
  qf_lesson_digest(lesson, before);
  assert_int_equal(strlen(before), 16);
  assert_int_equal(qf_lesson_set_title(lesson, "Other", NULL), QF_OK);
  qf_lesson_digest(lesson, after);
  assert_string_equal(before, after);
  const uint32_t note = qf_score_get_note(qf_lesson_get_score(lesson), 1, 2)->id;
  assert_int_equal(qf_lesson_set_pitch(lesson, note, pitch_of("F4"), NULL), QF_OK);
  qf_lesson_digest(lesson, after);
  assert_string_not_equal(before, after);
  qf_lesson_free(lesson);
}

static void
test_edits_are_undone_one_by_one(void** state)
{
  (void)state;
  QfLesson* const   lesson = make_lesson();
  QfAnswer* const   answer = begun_answer(lesson);
  const QfChordKind kind   = QF_CHORD_DOM7;
  uint32_t          note   = QF_NO_NOTE;
  assert_int_equal(
    qf_answer_put_note(answer, 0, QF_TIME_ZERO, qf_time(1, 4), pitch_of("B4"), &note, NULL), QF_OK);
  assert_int_equal(qf_answer_set_note_doubt(answer, note, true, NULL), QF_OK);
  assert_int_equal(qf_answer_set_pitch(answer, note, pitch_of("C5"), NULL), QF_OK);
  assert_int_equal(qf_answer_set_duration(answer, note, qf_time(1, 2), NULL), QF_OK);
  assert_int_equal(qf_answer_set_quality(answer, qf_time(1, 4), &kind, NULL), QF_OK);
  assert_int_equal(qf_answer_set_numeral(answer, qf_time(1, 4), "V7", NULL, NULL), QF_OK);
  assert_int_equal(qf_answer_set_chord_doubt(answer, qf_time(1, 4), true, NULL), QF_OK);
  const QfScratch scratch = {0, qf_time(1, 4), QF_CONTOUR_STEP_UP, 4, 0};
  assert_int_equal(qf_answer_put_scratch(answer, scratch, NULL), QF_OK);

  const QfTry* try = qf_answer_get_attempt(answer, 0);
  assert_true(qf_try_is_doubtful(try, note));
  assert_string_equal(qf_try_chord_at(try, qf_time(1, 4))->numeral, "V7");
  assert_int_equal(qf_try_chord_at(try, qf_time(1, 4))->kind, QF_CHORD_DOM7);
  assert_int_equal(qf_try_n_scratches(try), 1);
  assert_string_equal(qf_answer_get_undo_name(answer), "Sketch a shape");
  char* const full = json_of_answer(answer);

  for (int i = 0; i < 8; ++i) {
    assert_int_equal(qf_answer_undo(answer), QF_OK);
  }
  assert_int_equal(qf_answer_undo(answer), QF_ERR_IMPOSSIBLE);
  try = qf_answer_get_attempt(answer, 0);
  assert_int_equal(qf_score_n_notes(qf_try_get_score(try), 0), 0);
  assert_int_equal(qf_try_n_chords(try) + qf_try_n_scratches(try), 0);
  for (int i = 0; i < 8; ++i) {
    assert_int_equal(qf_answer_redo(answer), QF_OK);
  }
  char* const again = json_of_answer(answer);
  assert_string_equal(again, full);

  // Taken away piece by piece, a chord leaves nothing behind.
  assert_int_equal(qf_answer_set_quality(answer, qf_time(1, 4), NULL, NULL), QF_OK);
  assert_int_equal(qf_answer_set_numeral(answer, qf_time(1, 4), "", NULL, NULL), QF_OK);
  assert_int_equal(qf_answer_set_chord_doubt(answer, qf_time(1, 4), false, NULL), QF_OK);
  assert_int_equal(qf_try_n_chords(qf_answer_get_attempt(answer, 0)), 0);
  assert_int_equal(qf_answer_delete_note(answer, note, NULL), QF_OK);
  assert_false(qf_try_is_doubtful(qf_answer_get_attempt(answer, 0), note));
  free(full);
  free(again);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

static void
test_given_notes_and_bounds_are_kept(void** state)
{
  (void)state;
  QfLesson* const lesson = make_lesson();
  QfAnswer* const answer = begun_answer(lesson);
  const QfScore*  frame  = qf_answer_get_frame(answer);
  const uint32_t  given  = qf_score_get_note(frame, 3, 0)->id;
  QfError         error  = {0};
  assert_int_equal(qf_answer_set_pitch(answer, given, pitch_of("C3"), &error), QF_ERR_RANGE);
  assert_non_null(strstr(error.text, "task gives"));
  assert_int_equal(qf_answer_delete_note(answer, given, &error), QF_ERR_RANGE);
  assert_int_equal(
    qf_answer_put_note(answer, 3, QF_TIME_ZERO, qf_time(1, 2), pitch_of("C3"), NULL, &error),
    QF_ERR_RANGE);
  assert_int_equal(
    qf_answer_put_note(answer, 0, qf_time(5, 4), qf_time(1, 2), pitch_of("C5"), NULL, &error),
    QF_ERR_RANGE);
  assert_int_equal(
    qf_answer_put_note(answer, 9, QF_TIME_ZERO, qf_time(1, 2), pitch_of("C5"), NULL, &error),
    QF_ERR_RANGE);
  assert_int_equal(qf_answer_put_degree(answer, 0, QF_TIME_ZERO, qf_time(1, 4), 8, 0, NULL, &error),
                   QF_ERR_RANGE);
  assert_int_equal(qf_answer_set_numeral(answer, qf_time(3, 1), "I", NULL, &error), QF_ERR_RANGE);
  assert_false(qf_answer_can_undo(answer));
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

static void
test_a_degree_lands_near_the_note_before(void** state)
{
  (void)state;
  QfLesson* const lesson = make_lesson();
  QfAnswer* const answer = begun_answer(lesson);
  uint32_t        note   = QF_NO_NOTE;
  write_voice(answer, 0, "0", "B4/4");
  assert_int_equal(qf_answer_put_degree(answer, 0, qf_time(1, 4), qf_time(1, 4), 4, 1, &note, NULL),
                   QF_OK);
  const QfTry* const  try   = qf_answer_get_attempt(answer, 0);
  const QfNote* const found = qf_score_find_note(qf_try_get_score(try), note, NULL);
  assert_true(qf_pitch_equals(found->pitch, pitch_of("C#5"))); // Degree 4 of G is C
  assert_true(qf_try_is_degree_only(try, note));
  assert_int_equal(qf_answer_set_pitch(answer, note, pitch_of("C#6"), NULL), QF_OK);
  assert_false(qf_try_is_degree_only(qf_answer_get_attempt(answer, 0), note));
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

static void
test_attempts_are_kept(void** state)
{
  (void)state;
  QfLesson* const lesson = make_lesson();
  QfStudy         study  = qf_study_default();
  study.max_attempts     = 3;
  assert_int_equal(qf_lesson_set_study(lesson, study, NULL), QF_OK);
  QfAnswer* answer = NULL;
  QfError   error  = {0};
  assert_int_equal(qf_answer_new(lesson, &answer, NULL), QF_OK);
  assert_int_equal(qf_answer_set_numeral(answer, QF_TIME_ZERO, "I", NULL, &error),
                   QF_ERR_IMPOSSIBLE);
  assert_int_equal(qf_answer_begin_attempt(answer, "yesterday", false, &error), QF_ERR_BAD_TEXT);
  assert_int_equal(qf_answer_begin_attempt(answer, NOON, false, NULL), QF_OK);
  write_numerals(answer, "0 I");
  assert_int_equal(qf_answer_begin_attempt(answer, "2026-03-10T12:00:00Z", true, NULL), QF_OK);
  assert_false(qf_answer_can_undo(answer));
  write_numerals(answer, "0 vi");
  assert_int_equal(qf_answer_begin_attempt(answer, NOON, false, NULL), QF_OK);
  assert_int_equal(qf_answer_begin_attempt(answer, NOON, false, &error), QF_ERR_IMPOSSIBLE);
  assert_non_null(strstr(error.text, "no more than 3 attempts"));

  assert_int_equal(qf_answer_n_attempts(answer), 3);
  assert_string_equal(qf_try_get_chord(qf_answer_get_attempt(answer, 0), 0)->numeral, "I");
  assert_string_equal(qf_try_get_chord(qf_answer_get_attempt(answer, 1), 0)->numeral, "vi");
  assert_string_equal(qf_try_get_time(qf_answer_get_attempt(answer, 1)), "2026-03-10T12:00:00Z");
  assert_int_equal(qf_try_n_chords(qf_answer_get_attempt(answer, 2)), 0);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

static void
test_hearings_are_counted(void** state)
{
  (void)state;
  QfLesson* const lesson = make_lesson();
  QfStudy         study  = qf_study_default();
  study.max_hearings     = 2;
  assert_int_equal(qf_lesson_set_study(lesson, study, NULL), QF_OK);
  QfAnswer* const answer  = begun_answer(lesson);
  QfHearing       hearing = qf_hearing_default();
  QfError         error   = {0};
  hearing.forward         = (QfForward){QF_FORWARD_VOICE, 3};
  assert_int_equal(qf_answer_hearings_left(answer), 2);
  for (int i = 0; i < 2; ++i) {
    assert_int_equal(
      qf_answer_add_heard(answer, NOON, hearing, qf_time(1, 4), qf_time(3, 4), &error), QF_OK);
  }
  assert_int_equal(qf_answer_hearings_left(answer), 0);
  assert_int_equal(qf_answer_add_heard(answer, NOON, hearing, QF_TIME_ZERO, QF_TIME_ZERO, &error),
                   QF_ERR_IMPOSSIBLE);

  // Saving and opening gives no hearing back.
  char* const     json = json_of_answer(answer);
  QfAnswer* const copy = answer_of_json(json);
  assert_int_equal(qf_answer_hearings_left(copy), 0);
  const QfHeard* const heard = qf_answer_get_heard(copy, 1);
  assert_int_equal(heard->forward.voice, 3);
  assert_int_equal(heard->attempt, 1);
  assert_int_equal(qf_time_compare(heard->to, qf_time(3, 4)), 0);
  free(json);
  qf_answer_free(copy);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

/// An answer that uses every member
static QfAnswer*
full_answer(void)
{
  QfLesson* const lesson = make_lesson();
  QfAnswer* const answer = begun_answer(lesson);
  const QfKey     key    = key_of("D major");
  assert_int_equal(qf_answer_set_student(answer, "Ada \xC3\x84", "17", NULL), QF_OK);
  write_solution(answer, lesson);
  assert_int_equal(qf_answer_set_numeral(answer, qf_time(1, 2), "I", &key, NULL), QF_OK);
  assert_int_equal(qf_answer_put_degree(answer, 2, QF_TIME_ZERO, qf_time(1, 8), 3, -1, NULL, NULL),
                   QF_OK);
  assert_int_equal(
    qf_answer_put_scratch(answer, (QfScratch){3, qf_time(1, 4), QF_CONTOUR_LEAP_DOWN, 0, 0}, NULL),
    QF_OK);
  assert_int_equal(
    qf_answer_put_scratch(answer, (QfScratch){0, qf_time(1, 4), QF_CONTOUR_NONE, 4, 1}, NULL),
    QF_OK);
  assert_int_equal(qf_answer_set_chord_doubt(answer, QF_TIME_ZERO, true, NULL), QF_OK);
  assert_int_equal(
    qf_answer_add_heard(answer, NOON, qf_hearing_default(), QF_TIME_ZERO, QF_TIME_ZERO, NULL),
    QF_OK);
  assert_int_equal(qf_answer_add_reply(answer, NOON, "quality@0", "major", true, 1, NULL), QF_OK);
  assert_int_equal(qf_answer_begin_attempt(answer, NOON, true, NULL), QF_OK);
  qf_lesson_free(lesson);
  return answer;
}

static void
test_an_answer_reads_back_the_same(void** state)
{
  (void)state;
  QfAnswer* const answer = full_answer();
  char* const     json   = json_of_answer(answer);
  QfAnswer* const copy   = answer_of_json(json);
  char* const     again  = json_of_answer(copy);
  assert_string_equal(again, json);
  assert_string_equal(qf_answer_get_student(copy), "Ada \xC3\x84");
  assert_string_equal(qf_answer_get_reply(copy, 0)->question, "quality@0");
  assert_true(qf_answer_is_answer(json, strlen(json)));
  assert_false(qf_answer_is_modified(copy));
  free(json);
  free(again);
  qf_answer_free(copy);
  qf_answer_free(answer);
}

/// Replace the first occurrence of a text (transfer full)
static char*
with(const char* const json, const char* const old, const char* const new)
{
  const char* const at   = strstr(json, old);
  char*             text = NULL;
  if (!at || asprintf(&text, "%.*s%s%s", (int)(at - json), json, new, at + strlen(old)) < 0) {
    fail_msg("no %s", old);
  }
  return text;
}

static void
test_unknown_members_and_newer_versions(void** state)
{
  (void)state;
  QfAnswer* const answer = full_answer();
  char* const     json   = json_of_answer(answer);
  char* const     first  = with(json, "\"version\": 1,", "\"version\": 1, \"mood\": 7,");
  char* const     more   = with(first, "{\"name\": \"Ada", "{\"seat\": 3, \"name\": \"Ada");
  QfAnswer*       copy   = answer_of_json(more);
  char*           again  = json_of_answer(copy);
  assert_non_null(strstr(again, "\"mood\": 7"));
  assert_non_null(strstr(again, "\"seat\": 3"));
  free(again);
  qf_answer_free(copy);

  char* const newer = with(json, "\"version\": 1,", "\"version\": 2,");
  QfError     error = {0};
  copy              = answer_of_json(newer);
  assert_true(qf_answer_is_read_only(copy));
  assert_int_equal(qf_answer_set_numeral(copy, QF_TIME_ZERO, "I", NULL, &error), QF_ERR_READ_ONLY);
  assert_int_equal(qf_answer_begin_attempt(copy, NOON, false, &error), QF_ERR_READ_ONLY);
  assert_int_equal(qf_answer_save(copy, "never-written", &error), QF_ERR_READ_ONLY);
  qf_answer_free(copy);
  free(newer);
  free(more);
  free(first);
  free(json);
  qf_answer_free(answer);
}

static void
test_saving_is_atomic_and_marks_as_saved(void** state)
{
  (void)state;
  char path[] = "/tmp/quintfall-answer-XXXXXX";
  assert_int_not_equal(close(mkstemp(path)), -1);
  QfAnswer* const answer = full_answer();
  assert_true(qf_answer_is_modified(answer));
  assert_int_equal(qf_answer_write_journal(answer, path, NULL), QF_OK);
  assert_true(qf_answer_is_modified(answer));
  assert_int_equal(qf_answer_save(answer, path, NULL), QF_OK);
  assert_false(qf_answer_is_modified(answer));

  QfAnswer* copy = NULL;
  assert_int_equal(qf_answer_load(path, &copy, NULL), QF_OK);
  qf_answer_free(copy);
  unlink(path);
  assert_int_equal(qf_answer_load(path, &copy, NULL), QF_ERR_IO);
  assert_int_equal(qf_answer_save(answer, "/nowhere/at/all.json", NULL), QF_ERR_IO);
  qf_answer_free(answer);
}

// Packed by another program: python3, base64.b64encode(zlib.compress(...)), RFC 1950 and RFC 4648.
#define PACKED_WORDS "eNpLS8zJycxLV0jLTCvJKAYAKPsFgg=="

static const char* const bad_packs[] = {
  "\"packed\": \"" PACKED_WORDS "\"", // Well packed, but no lesson
  "\"packed\": \"eNpLS8zJ\"",         // Cut off
  "\"packed\": \"=\"",
  "\"packed\": \"====\"",
  "\"packed\": \"!!!!\"",
  "\"packed\": \"\"",
  "\"other\": 1",
};

static void
test_a_damaged_pack_is_told(void** state)
{
  (void)state;
  QfAnswer* const answer = full_answer();
  char* const     json   = json_of_answer(answer);
  char* const     packed = strstr(json, "\"packed\"");
  char* const     end    = strchr(packed + 11, '"');
  for (size_t i = 0; i < sizeof(bad_packs) / sizeof(bad_packs[0]); ++i) {
    char* text = NULL;
    assert_true(asprintf(&text, "%.*s%s%s", (int)(packed - json), json, bad_packs[i], end + 1) > 0);
    QfAnswer* const copy   = answer_of_json(text);
    QfLesson*       lesson = NULL;
    QfError         error  = {0};
    if (!qf_answer_unpack(copy, &lesson, &error) || !error.text[0]) {
      fail_msg("%s", bad_packs[i]);
    }
    // What another program packed was read as far as its words, which are no JSON.
    assert_int_equal(i == 0, strstr(error.text, "JSON") != NULL);
    qf_answer_free(copy);
    free(text);
  }
  free(json);
  qf_answer_free(answer);
}

static uint32_t
draw(uint32_t* const seed)
{
  *seed = *seed * UINT32_C(1664525) + UINT32_C(1013904223);
  return *seed >> 8U;
}

/// Reading must end in success or a sentence; whatever was read must be written and read again
static void
survive(const char* const json, const size_t length)
{
  QfAnswer* answer = NULL;
  QfError   error  = {0};
  if (qf_answer_from_json(json, length, &answer, &error)) {
    assert_true(error.text[0] != '\0');
    return;
  }
  QfLesson* lesson = NULL;
  if (!qf_answer_unpack(answer, &lesson, NULL)) {
    qf_lesson_free(lesson);
  }
  char* const text = json_of_answer(answer);
  QfAnswer*   back = answer_of_json(text);
  qf_answer_free(back);
  free(text);
  qf_answer_free(answer);
}

static void
test_hostile_input_is_survived(void** state)
{
  (void)state;
  static const char* const spice[] = {"\"",          "{",       "]",       "-1",
                                      "1e999",       "\"1/0\"", "null",    "\\u0000",
                                      "99999999999", "true",    "\"C99\"", "[]"};

  QfAnswer* const answer = full_answer();
  char* const     json   = json_of_answer(answer);
  const size_t    length = strlen(json);
  for (size_t cut = 0; cut < length; cut += 97) {
    survive(json, cut);
  }
  uint32_t seed = 1;
  for (int i = 0; i < 600; ++i) {
    char* const copy = strdup(json);
    for (uint32_t hits = 1 + draw(&seed) % 4; hits; --hits) {
      const size_t      at   = draw(&seed) % length;
      const char* const word = spice[draw(&seed) % (sizeof(spice) / sizeof(spice[0]))];
      const size_t      size = strlen(word);
      if (draw(&seed) % 2) {
        copy[at] = (char)draw(&seed);
      } else if (at + size < length) {
        memcpy(copy + at, word, size);
      }
    }
    survive(copy, length);
    free(copy);
  }
  free(json);
  qf_answer_free(answer);
}

typedef struct {
  const char* old;
  const char* new;
  const char* words; ///< Must occur in the message
} BadCase;

static const BadCase bad_cases[] = {
  {"\"quintfall-answer\"", "\"quintfall-lesson\"", "format: expected \"quintfall-answer\""},
  {"\"version\": 1", "\"version\": 0", "version: expected a whole number"},
  {"\"frame\": {", "\"frame\": 1, \"x\": {", "frame: expected an object"},
  {"\"at\": \"2026", "\"at\": \"26", "a time of day"},
  {"\"voice\": 0", "\"voice\": 12", "no such voice"},
  {"\"quality\": \"major\"", "\"quality\": \"nice\"", "a chord quality"},
  {"\"contour\": \"none\"", "\"contour\": \"zigzag\"", "\"leap-down\""},
  {"\"key\": \"G major\"", "\"key\": \"H\"", "a key such as"},
  {"\"tempo_factor\": 1", "\"tempo_factor\": 100", "a number from"},
  {"\"slots\": [", "\"slots\": [[{\"start\": \"0\", \"duration\": \"0\"}],",
   "slots[0][0].duration: expected a length above zero"},
};

static void
test_faults_are_told_with_their_place(void** state)
{
  (void)state;
  QfAnswer* const answer = full_answer();
  char* const     json   = json_of_answer(answer);
  for (size_t i = 0; i < sizeof(bad_cases) / sizeof(bad_cases[0]); ++i) {
    char* const text  = with(json, bad_cases[i].old, bad_cases[i].new);
    QfAnswer*   none  = NULL;
    QfError     error = {0};
    if (!qf_answer_from_json(text, strlen(text), &none, &error) ||
        !strstr(error.text, bad_cases[i].words)) {
      fail_msg("%s: %s", bad_cases[i].new, error.text);
    }
    free(text);
  }
  free(json);
  qf_answer_free(answer);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_a_task_shows_the_frame_only),
    cmocka_unit_test(test_an_answer_belongs_to_its_task_alone),
    cmocka_unit_test(test_rhythm_and_spans_can_be_hidden),
    cmocka_unit_test(test_the_digest_tells_lessons_apart),
    cmocka_unit_test(test_edits_are_undone_one_by_one),
    cmocka_unit_test(test_given_notes_and_bounds_are_kept),
    cmocka_unit_test(test_a_degree_lands_near_the_note_before),
    cmocka_unit_test(test_attempts_are_kept),
    cmocka_unit_test(test_hearings_are_counted),
    cmocka_unit_test(test_an_answer_reads_back_the_same),
    cmocka_unit_test(test_unknown_members_and_newer_versions),
    cmocka_unit_test(test_saving_is_atomic_and_marks_as_saved),
    cmocka_unit_test(test_a_damaged_pack_is_told),
    cmocka_unit_test(test_hostile_input_is_survived),
    cmocka_unit_test(test_faults_are_told_with_their_place),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
