// SPDX-License-Identifier: MIT
// What the study layer keeps in a lesson: the task, the rubric, the questions.
#include "lesson_support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static QfQuestion
question_of(const char* const prompt, const char* const answer)
{
  QfQuestion question = {.form      = QF_ASK_DEGREE,
                         .key       = {{5, 0}, QF_MAJOR},
                         .start     = QF_TIME_ZERO,
                         .end       = QF_TIME_ZERO,
                         .n_answers = 1};
  snprintf(question.prompt, sizeof(question.prompt), "%s", prompt);
  snprintf(question.answers[0], sizeof(question.answers[0]), "%s", answer);
  return question;
}

static QfLesson*
again(const QfLesson* const lesson)
{
  char* const     json = json_of(lesson);
  QfLesson* const copy = lesson_of_json(json);
  char* const     back = json_of(copy);
  assert_string_equal(back, json);
  free(back);
  free(json);
  return copy;
}

typedef struct {
  double points;
  double expected;
} RoundCase;

// Source: College Board, AP Music Theory scoring guidelines (2016, 2019, 2021), harmonic
// dictation, 24 points; the examples of tests/data/references/dictation_scoring.json.
static const RoundCase published_rounding[] = {
  {24.0, 24.0}, {23.5, 23.0}, {23.0, 23.0}, {15.5, 16.0},
  {17.0, 17.0}, {0.5, 1.0},   {11.5, 12.0}, {11.0, 11.0},
};

static void
test_the_published_rubric_rounds_as_published(void** state)
{
  (void)state;
  const QfRubric* const rubric = qf_rubric_find("Outer voices and symbols, 24 points");
  assert_non_null(rubric);
  for (size_t i = 0; i < sizeof(published_rounding) / sizeof(published_rounding[0]); ++i) {
    const RoundCase* const row = &published_rounding[i];
    if (qf_rubric_round(rubric, row->points, 24.0) != row->expected) {
      fail_msg("%g points do not round to %g", row->points, row->expected);
    }
  }
}

static void
test_shipped_rubrics_are_sound_and_read_back(void** state)
{
  (void)state;
  for (size_t i = 0; i < qf_rubric_n_shipped(); ++i) {
    const QfRubric* const rubric = qf_rubric_get_shipped(i);
    QfRubric              back   = {0};
    QfError               error  = {0};
    char*                 first  = NULL;
    char*                 second = NULL;
    assert_int_equal(qf_rubric_check(rubric, &error), QF_OK);
    assert_ptr_equal(qf_rubric_find(rubric->name), rubric);
    assert_int_equal(qf_rubric_to_json(rubric, &first, &error), QF_OK);
    assert_int_equal(qf_rubric_from_json(first, strlen(first), &back, &error), QF_OK);
    assert_int_equal(qf_rubric_to_json(&back, &second, &error), QF_OK);
    assert_string_equal(first, second);
    free(first);
    free(second);
  }
}

static void
test_grades_go_by_percentage(void** state)
{
  (void)state;
  const QfRubric rubric = {.n_grades = 2, .grades = {{80.0, "one"}, {40.0, "two"}}};
  assert_string_equal(qf_rubric_grade_of(&rubric, 80.0), "one");
  assert_string_equal(qf_rubric_grade_of(&rubric, 79.9), "two");
  assert_string_equal(qf_rubric_grade_of(&rubric, 39.0), "");
}

static const char* const bad_rubrics[] = {
  "[]",
  "{}",
  "{\"format\": \"quintfall-lesson\", \"version\": 1}",
  "{\"format\": \"quintfall-rubric\", \"version\": 0}",
  "{\"format\": \"quintfall-rubric\", \"version\": 1, \"layers\": []}",
  "{\"format\": \"quintfall-rubric\", \"version\": 1, \"layers\": {\"bass\": 1}}",
  "{\"format\": \"quintfall-rubric\", \"version\": 1, \"layers\": {\"bass\": {\"worth\": -1}}}",
  "{\"format\": \"quintfall-rubric\", \"version\": 1, \"layers\": {\"bass\": {\"losses\": 1}}}",
  "{\"format\": \"quintfall-rubric\", \"version\": 1, \"rounding\": \"down\"}",
  "{\"format\": \"quintfall-rubric\", \"version\": 1, \"equal\": [1]}",
  "{\"format\": \"quintfall-rubric\", \"version\": 1, \"grades\": [{\"least\": 5}]}",
  "{\"format\": \"quintfall-rubric\", \"version\": 1, \"grades\": "
  "[{\"least\": 5, \"text\": \"a\"}, {\"least\": 6, \"text\": \"b\"}]}",
};

static void
test_bad_rubrics_are_refused_with_a_sentence(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bad_rubrics) / sizeof(bad_rubrics[0]); ++i) {
    QfRubric rubric = {.name = "untouched"};
    QfError  error  = {0};
    if (!qf_rubric_from_json(bad_rubrics[i], strlen(bad_rubrics[i]), &rubric, &error) ||
        !error.text[0] || strcmp(rubric.name, "untouched")) {
      fail_msg("%s", bad_rubrics[i]);
    }
  }
}

static void
test_task_and_rubric_are_edits_and_saved(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  QfStudy         study  = qf_study_default();
  study.layers           = 1U << QF_LAYER_SOPRANO;
  study.max_hearings     = 3;
  study.shows_spans      = false;
  assert_int_equal(qf_lesson_set_study(lesson, study, NULL), QF_OK);
  assert_int_equal(qf_lesson_set_rubric(lesson, qf_rubric_get_shipped(1), NULL), QF_OK);

  QfLesson* const copy = again(lesson);
  assert_int_equal(qf_lesson_get_study(copy).layers, study.layers);
  assert_int_equal(qf_lesson_get_study(copy).max_hearings, 3);
  assert_false(qf_lesson_get_study(copy).shows_spans);
  assert_string_equal(qf_lesson_get_rubric(copy)->name, qf_rubric_get_shipped(1)->name);
  qf_lesson_free(copy);

  qf_lesson_undo(lesson);
  qf_lesson_undo(lesson);
  assert_int_equal(qf_lesson_get_study(lesson).layers, QF_ALL_LAYERS);
  assert_string_equal(qf_lesson_get_rubric(lesson)->name, qf_rubric_default().name);

  study.max_hearings = 100;
  assert_int_equal(qf_lesson_set_study(lesson, study, NULL), QF_ERR_RANGE);
  QfRubric rubric                    = qf_rubric_default();
  rubric.layers[QF_LAYER_BASS].extra = 1.5;
  assert_int_equal(qf_lesson_set_rubric(lesson, &rubric, NULL), QF_ERR_RANGE);
  qf_lesson_free(lesson);
}

static const char*
prompt_at(const QfLesson* const lesson, const size_t index)
{
  return qf_lesson_get_question(lesson, index)->prompt;
}

static void
test_questions_are_edited_one_by_one(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  for (int i = 0; i < 3; ++i) {
    const char       prompt[2] = {(char)('A' + i), '\0'};
    const QfQuestion question  = question_of(prompt, "1");
    assert_int_equal(qf_lesson_put_question(lesson, &question, NULL), QF_OK);
  }
  assert_int_equal(qf_lesson_n_questions(lesson), 3);
  assert_int_equal(qf_lesson_move_question(lesson, 0, 2, NULL), QF_OK);
  assert_string_equal(prompt_at(lesson, 0), "B");
  assert_string_equal(prompt_at(lesson, 2), "A");
  assert_int_equal(qf_lesson_move_question(lesson, 2, 1, NULL), QF_OK);
  assert_string_equal(prompt_at(lesson, 1), "A");
  assert_string_equal(prompt_at(lesson, 2), "C");

  QfQuestion changed = *qf_lesson_get_question(lesson, 1);
  snprintf(changed.prompt, sizeof(changed.prompt), "A, in other words");
  assert_int_equal(qf_lesson_put_question(lesson, &changed, NULL), QF_OK);
  assert_int_equal(qf_lesson_n_questions(lesson), 3);
  assert_true(qf_lesson_get_question(lesson, 1)->is_own);

  QfLesson* const copy = again(lesson);
  assert_string_equal(prompt_at(copy, 1), "A, in other words");
  qf_lesson_free(copy);

  // One's own goes when it is dropped, and comes back with undo.
  assert_int_equal(qf_lesson_drop_question(lesson, 1, true, NULL), QF_OK);
  assert_int_equal(qf_lesson_n_questions(lesson), 2);
  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  assert_string_equal(prompt_at(lesson, 1), "A, in other words");
  qf_lesson_free(lesson);
}

static void
test_made_questions_are_marked_when_changed(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  QfQuestion      made   = question_of("Which degree?", "5");
  snprintf(made.id, sizeof(made.id), "first@0");
  assert_int_equal(qf_lesson_set_questions(lesson, &made, 1, NULL), QF_OK);
  snprintf(made.prompt, sizeof(made.prompt), "Which degree does the bass begin on?");
  assert_int_equal(qf_lesson_put_question(lesson, &made, NULL), QF_OK);
  assert_true(qf_lesson_get_question(lesson, 0)->is_edited);
  assert_false(qf_lesson_get_question(lesson, 0)->is_own);
  assert_int_equal(qf_lesson_drop_question(lesson, 0, true, NULL), QF_OK);
  assert_true(qf_lesson_get_question(lesson, 0)->is_dropped);
  assert_int_equal(qf_lesson_drop_question(lesson, 0, false, NULL), QF_OK);
  assert_false(qf_lesson_get_question(lesson, 0)->is_dropped);
  qf_lesson_free(lesson);
}

static void
test_wrong_questions_are_refused(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  QfQuestion      pair[] = {question_of("a", "1"), question_of("b", "1")};
  QfError         error  = {0};
  assert_int_equal(qf_lesson_set_questions(lesson, pair, 2, &error), QF_ERR_RANGE);
  snprintf(pair[0].id, sizeof(pair[0].id), "same");
  snprintf(pair[1].id, sizeof(pair[1].id), "same");
  assert_int_equal(qf_lesson_set_questions(lesson, pair, 2, &error), QF_ERR_RANGE);

  QfQuestion choice = question_of("a", "x");
  choice.form       = QF_ASK_CHOICE;
  choice.n_choices  = 1;
  snprintf(choice.choices[0], sizeof(choice.choices[0]), "y");
  assert_int_equal(qf_lesson_put_question(lesson, &choice, &error), QF_ERR_RANGE);
  assert_non_null(strstr(error.text, "none of the choices"));
  choice.n_answers = 0;
  assert_int_equal(qf_lesson_put_question(lesson, &choice, &error), QF_ERR_RANGE);
  assert_int_equal(qf_lesson_move_question(lesson, 0, 0, &error), QF_ERR_RANGE);
  assert_int_equal(qf_lesson_drop_question(lesson, 0, true, &error), QF_ERR_RANGE);
  assert_int_equal(qf_lesson_n_questions(lesson), 0);
  qf_lesson_free(lesson);
}

static void
test_unknown_members_are_kept(void** state)
{
  (void)state;
  const char* const json =
    "{\"format\": \"quintfall-lesson\", \"version\": 1, \"bars\": [{\"metre\": \"4/4\"}], "
    "\"staves\": [{\"clef\": \"treble\"}], \"voices\": [{\"staff\": 0}], "
    "\"study\": {\"mood\": 1}, \"rubric\": {\"stars\": 2}, \"questions\": [{\"id\": \"q\", "
    "\"stage\": \"frame\", \"layer\": \"bass\", \"form\": \"degree\", \"key\": \"C major\", "
    "\"prompt\": \"p\", \"answers\": [\"1\"], \"picture\": 3}]}";
  QfLesson* const lesson = lesson_of_json(json);
  char* const     text   = json_of(lesson);
  assert_non_null(strstr(text, "\"mood\": 1"));
  assert_non_null(strstr(text, "\"stars\": 2"));
  assert_non_null(strstr(text, "\"picture\": 3"));
  free(text);
  qf_lesson_free(lesson);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_the_published_rubric_rounds_as_published),
    cmocka_unit_test(test_shipped_rubrics_are_sound_and_read_back),
    cmocka_unit_test(test_grades_go_by_percentage),
    cmocka_unit_test(test_bad_rubrics_are_refused_with_a_sentence),
    cmocka_unit_test(test_task_and_rubric_are_edits_and_saved),
    cmocka_unit_test(test_questions_are_edited_one_by_one),
    cmocka_unit_test(test_made_questions_are_marked_when_changed),
    cmocka_unit_test(test_wrong_questions_are_refused),
    cmocka_unit_test(test_unknown_members_are_kept),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
