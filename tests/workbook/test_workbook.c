// SPDX-License-Identifier: MIT
#include "quintfall/answer.h"
#include "quintfall/file.h"
#include "quintfall/workbook.h"

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
  char folder[64];
  char set[128];
} Place;

static int
set_up(void** state)
{
  Place* const place = (Place*)calloc(1, sizeof(Place));
  strcpy(place->folder, "/tmp/qf-workbook-XXXXXX");
  assert_non_null(mkdtemp(place->folder));
  snprintf(place->set, sizeof(place->set), "%s/set", place->folder);
  *state = place;
  return 0;
}

static int
tear_down(void** state)
{
  Place* const place = (Place*)*state;
  char         command[160];
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
  char    path[256];
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
  const Place* const place    = (Place*)*state;
  QfWorkbookOptions  options  = small_set(2, QF_WORKBOOK_SHEETS | QF_WORKBOOK_ANSWERS |
                                               QF_WORKBOOK_RECORDINGS | QF_WORKBOOK_TASKS);
  QfError            error    = {0};
  size_t             n_done   = 0;
  options.hearing.has_prelude = false;
  options.exercises.n_bars    = 2;
  options.exercises.n_chords  = 3;
  options.exercises.tempo     = 300.0;
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

static bool
stop_at_third_cb(const QfWorkbookProgress progress, void* const data)
{
  ++*(size_t*)data;
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
    AT_PLACE(test_the_index_tells_each_exercise),
    AT_PLACE(test_the_same_seed_writes_the_same_lessons),
    AT_PLACE(test_cancelling_leaves_complete_exercises_only),
    AT_PLACE(test_faults_are_told_before_anything_is_written),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
