// SPDX-License-Identifier: MIT
#include "quintfall/answer.h"
#include "quintfall/file.h"
#include "quintfall/workbook.h"

#include <dirent.h>
#include <json-c/json.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

typedef struct {
  char    folder[64];
  char    set[128];
  QfPlan* plan; ///< A pass, three seconds, a pass
} Place;

static QfPlan*
new_plan(void)
{
  static const QfStepKind kinds[] = {QF_STEP_PASS, QF_STEP_SILENCE, QF_STEP_PASS};
  QfPlan* const           plan    = qf_plan_new("Twice");
  for (size_t i = 0; i < sizeof(kinds) / sizeof(kinds[0]); ++i) {
    QfPlanStep step = qf_plan_step_default(kinds[i]);
    if (step.kind == QF_STEP_SILENCE) {
      step.silence.length = (QfLength){3.0, QF_UNIT_SECONDS};
    }
    assert_int_equal(qf_plan_insert_step(plan, SIZE_MAX, step), QF_OK);
  }
  return plan;
}

static int
set_up(void** state)
{
  Place* const place = (Place*)calloc(1, sizeof(Place));
  strcpy(place->folder, "/tmp/qf-workbook-XXXXXX");
  assert_non_null(mkdtemp(place->folder));
  snprintf(place->set, sizeof(place->set), "%s/set", place->folder);
  place->plan = new_plan();
  *state      = place;
  return 0;
}

static int
tear_down(void** state)
{
  Place* const place = (Place*)*state;
  qf_plan_free(place->plan);
  char command[160];
  snprintf(command, sizeof(command), "rm -r %s", place->folder);
  assert_int_equal(system(command), 0);
  free(place);
  return 0;
}

static QfWorkbookOptions
small_set(const size_t count, const unsigned parts)
{
  QfWorkbookOptions options = qf_workbook_options(qf_exercise_options(2, 17));
  options.count             = count;
  options.parts             = parts;
  return options;
}

static void
read_file(const char* const folder, const char* const name, char** const data, size_t* const length)
{
  char    path[512];
  void*   bytes = NULL;
  QfError error = {0};
  snprintf(path, sizeof(path), "%s/%s", folder, name);
  if (qf_file_read(path, &bytes, length, &error)) {
    fail_msg("%s: %s", path, error.text);
  }
  *data = (char*)bytes;
}

static bool
file_is_there(const char* const folder, const char* const name)
{
  char path[256];
  snprintf(path, sizeof(path), "%s/%s", folder, name);
  return access(path, F_OK) == 0;
}

/// Begins and ends as its kind must: PDF 1.7 (ISO 32000-1, 7.5.2 and 7.5.5), FLAC (RFC 9639)
static void
check_ends(const char* const folder,
           const char* const name,
           const char* const start,
           const char* const end)
{
  char*  data   = NULL;
  size_t length = 0;
  read_file(folder, name, &data, &length);
  assert_true(length > 100);
  assert_memory_equal(data, start, strlen(start));
  if (end) {
    assert_non_null(memmem(data + length - 16, 16, end, strlen(end)));
  }
  free(data);
}

static json_object*
read_index(const char* const folder)
{
  char*  data   = NULL;
  size_t length = 0;
  read_file(folder, "index.json", &data, &length);
  char* const text = strndup(data, length);
  free(data);
  json_object* const root = json_tokener_parse(text);
  free(text);
  assert_non_null(root);
  return root;
}

static void
test_a_set_has_all_its_files(void** state)
{
  const Place* const place   = (Place*)*state;
  QfWorkbookOptions  options = small_set(2, QF_WORKBOOK_SHEETS | QF_WORKBOOK_ANSWERS |
                                              QF_WORKBOOK_RECORDINGS | QF_WORKBOOK_TASKS);
  QfError            error   = {0};
  size_t             n_done  = 0;
  options.plan               = place->plan;
  options.exercises.n_bars   = 2;
  options.exercises.n_chords = 3;
  options.exercises.tempo    = 300.0;
  if (qf_workbook_write(place->set, &options, &n_done, &error)) {
    fail_msg("%s", error.text);
  }
  assert_int_equal(n_done, 2);
  check_ends(place->set, "001-student.pdf", "%PDF-", "%%EOF");
  check_ends(place->set, "002-answers.pdf", "%PDF-", "%%EOF");
  check_ends(place->set, "002-recording.flac", "fLaC", NULL);
  check_ends(place->set, "worksheets.pdf", "%PDF-", "%%EOF");
  check_ends(place->set, "answer-key.pdf", "%PDF-", "%%EOF");

  char      path[256];
  QfAnswer* task = NULL;
  snprintf(path, sizeof(path), "%s/001-task.json", place->set);
  assert_int_equal(qf_answer_load(path, &task, &error), QF_OK);
  assert_int_equal(qf_answer_n_attempts(task), 0);
  qf_answer_free(task);
}

/// Seconds of a FLAC file. Source: RFC 9639, 8.2: STREAMINFO's body begins at byte 8; sample rate
/// and number of samples are 20 bits at its byte 10 and 36 bits from its bit 108.
static double
flac_seconds(const char* const folder, const char* const name)
{
  char*  data   = NULL;
  size_t length = 0;
  read_file(folder, name, &data, &length);
  uint64_t bits = 0;
  for (size_t i = 18; i < 26; ++i) {
    bits = bits << 8U | (unsigned char)data[i];
  }
  free(data);
  return (double)(bits & 0xFFFFFFFFFU) / (double)(bits >> 44U);
}

static QfLesson*
load_lesson(const char* const folder, const char* const name)
{
  char      path[256];
  QfLesson* lesson = NULL;
  snprintf(path, sizeof(path), "%s/%s", folder, name);
  assert_int_equal(qf_lesson_load(path, &lesson, NULL), QF_OK);
  return lesson;
}

static void
test_exercises_carry_a_plan_and_are_recorded_by_it(void** state)
{
  const Place* const place   = (Place*)*state;
  QfWorkbookOptions  options = small_set(1, QF_WORKBOOK_RECORDINGS);
  options.plan               = place->plan;
  options.exercises.n_bars   = 2;
  options.exercises.n_chords = 3;
  options.exercises.tempo    = 300.0;
  assert_int_equal(qf_workbook_write(place->set, &options, NULL, NULL), QF_OK);
  assert_false(file_is_there(place->set, "001-recording.chapters.txt"));

  QfLesson* const lesson = load_lesson(place->set, "001-lesson.json");
  assert_true(qf_plan_equals(qf_lesson_get_plan(lesson), place->plan));
  // At 300 a whole note lasts 0.8 s; what dies away after the last is not longer than 2 s.
  const double once_s  = 0.8 * qf_time_to_double(qf_score_get_end(qf_lesson_get_score(lesson)));
  const double seconds = flac_seconds(place->set, "001-recording.flac");
  assert_true(seconds >= 2.0 * once_s + 3.0 && seconds <= 2.0 * once_s + 5.0);
  qf_lesson_free(lesson);

  // Without a plan of the set, one that is ready.
  options.parts = 0;
  options.plan  = NULL;
  assert_int_equal(qf_workbook_write(place->set, &options, NULL, NULL), QF_OK);
  QfLesson* const own   = load_lesson(place->set, "001-lesson.json");
  QfPlan* const   ready = qf_ready_plan_new(0);
  assert_true(qf_plan_equals(qf_lesson_get_plan(own), ready));
  qf_plan_free(ready);
  qf_lesson_free(own);
}

static void
test_the_index_tells_each_exercise(void** state)
{
  const Place* const      place   = (Place*)*state;
  const QfWorkbookOptions options = small_set(3, 0);
  assert_int_equal(qf_workbook_write(place->set, &options, NULL, NULL), QF_OK);

  json_object* const root = read_index(place->set);
  json_object* const list = json_object_object_get(root, "exercises");
  assert_int_equal(json_object_array_length(list), 3);
  for (size_t i = 0; i < 3; ++i) {
    json_object* const entry      = json_object_array_get_idx(list, i);
    json_object* const files      = json_object_object_get(entry, "files");
    json_object* const difficulty = json_object_object_get(entry, "difficulty");
    json_object* const parts      = json_object_object_get(difficulty, "parts");
    const char* const  name       = json_object_get_string(json_object_array_get_idx(files, 0));
    double             sum        = 0.0;
    json_object_object_foreach(parts, id, part)
    {
      (void)id;
      sum += json_object_get_double(json_object_object_get(part, "points"));
    }
    const double total = json_object_get_double(json_object_object_get(difficulty, "total"));
    assert_true(total > 0.0 && sum > total - 0.1 && sum < total + 0.1);
    assert_int_equal(json_object_array_length(files), 1);
    assert_true(file_is_there(place->set, name));

    // The lesson is the one that the index speaks of.
    char      path[256];
    QfLesson* lesson = NULL;
    QfKey     key;
    char      text[16];
    snprintf(path, sizeof(path), "%s/%s", place->set, name);
    assert_int_equal(qf_lesson_load(path, &lesson, NULL), QF_OK);
    assert_true(qf_lesson_get_key(lesson, &key));
    qf_key_write(key, text, sizeof(text));
    assert_string_equal(text, json_object_get_string(json_object_object_get(entry, "key")));
    qf_lesson_free(lesson);
  }
  json_object_put(root);
}

static void
test_the_same_seed_writes_the_same_lessons(void** state)
{
  const Place* const      place   = (Place*)*state;
  const QfWorkbookOptions options = small_set(2, 0);
  char                    other[160];
  snprintf(other, sizeof(other), "%s/other", place->folder);
  assert_int_equal(qf_workbook_write(place->set, &options, NULL, NULL), QF_OK);
  assert_int_equal(qf_workbook_write(other, &options, NULL, NULL), QF_OK);
  const char* const names[] = {"001-lesson.json", "002-lesson.json", "index.json"};
  for (size_t i = 0; i < 3; ++i) {
    char*  a   = NULL;
    char*  b   = NULL;
    size_t n_a = 0;
    size_t n_b = 0;
    read_file(place->set, names[i], &a, &n_a);
    read_file(other, names[i], &b, &n_b);
    assert_int_equal(n_a, n_b);
    assert_memory_equal(a, b, n_a);
    free(a);
    free(b);
  }
}

/// Every file of two folders has the same bytes
static void
check_same_files(const char* const a, const char* const b, const size_t n_expected)
{
  DIR* const folder  = opendir(a);
  size_t     n_files = 0;
  assert_non_null(folder);
  for (const struct dirent* entry; (entry = readdir(folder));) {
    if (entry->d_name[0] == '.') {
      continue;
    }
    char*  data[2]   = {NULL};
    size_t length[2] = {0};
    read_file(a, entry->d_name, &data[0], &length[0]);
    read_file(b, entry->d_name, &data[1], &length[1]);
    if (length[0] != length[1] || memcmp(data[0], data[1], length[0]) != 0) {
      fail_msg("%s differs", entry->d_name);
    }
    ++n_files;
    free(data[0]);
    free(data[1]);
  }
  closedir(folder);
  assert_int_equal(n_files, n_expected);
}

static void
test_any_number_of_jobs_writes_the_same_bytes(void** state)
{
  const Place* const place   = (Place*)*state;
  QfWorkbookOptions  options = small_set(6, QF_WORKBOOK_SHEETS | QF_WORKBOOK_ANSWERS |
                                              QF_WORKBOOK_RECORDINGS | QF_WORKBOOK_TASKS);
  char               other[160];
  options.plan               = place->plan;
  options.exercises.n_bars   = 2;
  options.exercises.n_chords = 3;
  options.exercises.tempo    = 300.0;
  options.n_jobs             = 1;
  snprintf(other, sizeof(other), "%s/other", place->folder);
  assert_int_equal(qf_workbook_write(place->set, &options, NULL, NULL), QF_OK);
  options.n_jobs = 4;
  assert_int_equal(qf_workbook_write(other, &options, NULL, NULL), QF_OK);
  // Five files each, two booklets and the index
  check_same_files(place->set, other, 6 * 5 + 3);
}

static void
test_what_was_made_is_kept_when_there_are_no_more(void** state)
{
  const Place* const place   = (Place*)*state;
  QfError            error   = {0};
  QfWorkbookOptions  options = small_set(40, QF_WORKBOOK_ANSWERS);
  size_t             n_done  = 0;
  // Three chords in three bars of one metre and key: few ways to close
  options.exercises.n_chords = 3;
  options.exercises.n_bars   = 3;
  options.exercises.n_keys   = 1;
  options.exercises.n_metres = 1;
  options.n_jobs             = 3;
  assert_int_equal(qf_workbook_write(place->set, &options, &n_done, &error), QF_ERR_IMPOSSIBLE);
  assert_true(n_done > 0 && n_done < 40);
  char words[32];
  snprintf(words, sizeof(words), "no more than %zu exercise", n_done);
  if (!strstr(error.text, words)) {
    fail_msg("\"%s\" does not say \"%s\"", error.text, words);
  }

  json_object* const root = read_index(place->set);
  assert_int_equal(json_object_array_length(json_object_object_get(root, "exercises")), n_done);
  json_object_put(root);
  for (size_t i = 1; i <= n_done; ++i) {
    char name[40];
    snprintf(name, sizeof(name), "%03zu-answers.pdf", i);
    check_ends(place->set, name, "%PDF-", "%%EOF");
  }
  check_ends(place->set, "answer-key.pdf", "%PDF-", "%%EOF");
}

static bool
stop_when_two_are_done_cb(const QfWorkbookProgress progress, void* const data)
{
  (void)data;
  return progress.done < 2;
}

static void
test_cancelling_several_jobs_leaves_what_is_whole(void** state)
{
  const Place* const place   = (Place*)*state;
  QfWorkbookOptions  options = small_set(30, QF_WORKBOOK_SHEETS | QF_WORKBOOK_TASKS);
  size_t             n_done  = 0;
  options.progress           = stop_when_two_are_done_cb;
  options.n_jobs             = 4;
  assert_int_equal(qf_workbook_write(place->set, &options, &n_done, NULL), QF_ERR_CANCELLED);
  assert_true(n_done >= 2 && n_done < 30);

  // All that is there is told by the index, and the other way round.
  json_object* const root    = read_index(place->set);
  json_object* const list    = json_object_object_get(root, "exercises");
  size_t             n_names = 0;
  assert_int_equal(json_object_array_length(list), n_done);
  for (size_t i = 0; i < n_done; ++i) {
    json_object* const files = json_object_object_get(json_object_array_get_idx(list, i), "files");
    for (size_t f = 0; f < json_object_array_length(files); ++f, ++n_names) {
      const char* const name = json_object_get_string(json_object_array_get_idx(files, f));
      assert_true(file_is_there(place->set, name));
    }
  }
  json_object_put(root);
  DIR* const folder  = opendir(place->set);
  size_t     n_files = 0;
  for (const struct dirent* entry; (entry = readdir(folder));) {
    n_files += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
  }
  closedir(folder);
  assert_int_equal(n_files, n_names + 2U);
}

static void
test_files_that_would_be_replaced_are_counted(void** state)
{
  const Place* const place   = (Place*)*state;
  QfWorkbookOptions  options = small_set(2, QF_WORKBOOK_SHEETS);
  char               path[256];
  assert_int_equal(qf_workbook_count_existing(place->set, &options), 0);
  assert_int_equal(qf_workbook_write(place->set, &options, NULL, NULL), QF_OK);
  assert_int_equal(qf_workbook_count_existing(place->set, &options), 2 * 2 + 2);

  // A file of the teacher's own is neither counted nor touched.
  snprintf(path, sizeof(path), "%s/notes.txt", place->set);
  assert_int_equal(qf_file_write(path, "mine", 4, NULL), QF_OK);
  options.count = 1;
  assert_int_equal(qf_workbook_count_existing(place->set, &options), 2 + 2);
  assert_int_equal(qf_workbook_write(place->set, &options, NULL, NULL), QF_OK);
  assert_true(file_is_there(place->set, "notes.txt"));
  assert_true(file_is_there(place->set, "002-student.pdf"));
}

static bool
stop_at_third_cb(const QfWorkbookProgress progress, void* const data)
{
  *(size_t*)data += *progress.doing != '\0';
  assert_int_equal(progress.count, 5);
  return !(progress.done == 2 && !strcmp(progress.doing, "003-answers.pdf"));
}

static void
test_cancelling_leaves_complete_exercises_only(void** state)
{
  const Place* const place   = (Place*)*state;
  QfWorkbookOptions  options = small_set(5, QF_WORKBOOK_SHEETS | QF_WORKBOOK_ANSWERS);
  size_t             n_calls = 0;
  size_t             n_done  = 0;
  options.progress           = stop_at_third_cb;
  options.n_jobs             = 1;
  options.data               = &n_calls;
  assert_int_equal(qf_workbook_write(place->set, &options, &n_done, NULL), QF_ERR_CANCELLED);
  assert_int_equal(n_done, 2);
  assert_int_equal(n_calls, 9);
  assert_true(file_is_there(place->set, "002-answers.pdf"));
  check_ends(place->set, "answer-key.pdf", "%PDF-", "%%EOF");
  assert_false(file_is_there(place->set, "003-lesson.json"));
  assert_false(file_is_there(place->set, "003-student.pdf"));

  json_object* const root = read_index(place->set);
  assert_int_equal(json_object_array_length(json_object_object_get(root, "exercises")), 2);
  json_object_put(root);
}

static void
test_faults_are_told_before_anything_is_written(void** state)
{
  const Place* const place   = (Place*)*state;
  QfError            error   = {0};
  QfWorkbookOptions  options = small_set(0, 0);
  assert_int_equal(qf_workbook_write(place->set, &options, NULL, &error), QF_ERR_RANGE);
  options                 = small_set(2, 0);
  options.exercises.level = 0;
  assert_int_equal(qf_workbook_write(place->set, &options, NULL, &error), QF_ERR_RANGE);
  assert_false(file_is_there(place->folder, "set"));

  // A file in the folder's way
  options = small_set(2, 0);
  assert_int_equal(qf_file_write(place->set, "x", 1, NULL), QF_OK);
  assert_int_equal(qf_workbook_write(place->set, &options, NULL, &error), QF_ERR_IO);
  assert_true(*error.text);
}

int
main(void)
{
#define AT_PLACE(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)
  const struct CMUnitTest tests[] = {
    AT_PLACE(test_a_set_has_all_its_files),
    AT_PLACE(test_exercises_carry_a_plan_and_are_recorded_by_it),
    AT_PLACE(test_the_index_tells_each_exercise),
    AT_PLACE(test_the_same_seed_writes_the_same_lessons),
    AT_PLACE(test_any_number_of_jobs_writes_the_same_bytes),
    AT_PLACE(test_what_was_made_is_kept_when_there_are_no_more),
    AT_PLACE(test_cancelling_several_jobs_leaves_what_is_whole),
    AT_PLACE(test_files_that_would_be_replaced_are_counted),
    AT_PLACE(test_cancelling_leaves_complete_exercises_only),
    AT_PLACE(test_faults_are_told_before_anything_is_written),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
