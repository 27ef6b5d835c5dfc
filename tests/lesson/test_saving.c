// SPDX-License-Identifier: MIT
#include "lesson_support.h"

#include "quintfall/file.h"

#include <dirent.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cmocka.h>

typedef struct {
  char folder[64];
  char path[96];
} Place;

static int
make_place(void** state)
{
  Place* const place = (Place*)calloc(1, sizeof(Place));
  snprintf(place->folder, sizeof(place->folder), "/tmp/quintfall-lesson-XXXXXX");
  if (!mkdtemp(place->folder)) {
    return -1;
  }
  snprintf(place->path, sizeof(place->path), "%s/lesson.json", place->folder);
  *state = place;
  return 0;
}

static size_t
count_files(const char* const folder)
{
  DIR* const dir = opendir(folder);
  size_t     n   = 0;
  for (const struct dirent* entry = readdir(dir); entry; entry = readdir(dir)) {
    n += entry->d_name[0] != '.' || (strcmp(entry->d_name, ".") && strcmp(entry->d_name, ".."));
  }
  closedir(dir);
  return n;
}

static int
remove_place(void** state)
{
  Place* const place = (Place*)*state;
  unlink(place->path);
  const int status = rmdir(place->folder);
  free(place);
  return status;
}

static void
check_file(const char* const path, const char* const expected)
{
  void*  data   = NULL;
  size_t length = 0;
  assert_int_equal(qf_file_read(path, &data, &length, NULL), QF_OK);
  assert_int_equal(length, strlen(expected));
  assert_memory_equal(data, expected, length);
  free(data);
}

static void
test_saving_and_loading_gives_the_same_lesson(void** state)
{
  const Place* const place  = (const Place*)*state;
  QfLesson* const    lesson = small_lesson();
  assert_true(qf_lesson_is_modified(lesson));
  assert_int_equal(qf_lesson_save(lesson, place->path, NULL), QF_OK);
  assert_false(qf_lesson_is_modified(lesson));

  QfLesson* read = NULL;
  assert_int_equal(qf_lesson_load(place->path, &read, NULL), QF_OK);
  assert_false(qf_lesson_is_modified(read));
  assert_true(qf_score_equals(qf_lesson_get_score(lesson), qf_lesson_get_score(read)));
  char* const json  = json_of(lesson);
  char* const again = json_of(read);
  assert_string_equal(json, again);
  check_file(place->path, json);

  // An edit and its undo lead back to the saved state
  assert_int_equal(qf_lesson_set_title(lesson, "x", NULL), QF_OK);
  assert_true(qf_lesson_is_modified(lesson));
  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  assert_false(qf_lesson_is_modified(lesson));

  free(again);
  free(json);
  qf_lesson_free(read);
  qf_lesson_free(lesson);
}

static void
test_a_journal_does_not_count_as_saved(void** state)
{
  const Place* const place  = (const Place*)*state;
  QfLesson* const    lesson = small_lesson();
  assert_int_equal(qf_lesson_write_journal(lesson, place->path, NULL), QF_OK);
  assert_true(qf_lesson_is_modified(lesson));
  char* const json = json_of(lesson);
  check_file(place->path, json);
  free(json);
  qf_lesson_free(lesson);
}

/// A full disk, played by the limit on the size of files
static void
test_a_full_disk_keeps_the_old_file(void** state)
{
  const Place* const place  = (const Place*)*state;
  QfLesson* const    lesson = small_lesson();
  QfError            error  = {0};
  assert_int_equal(qf_lesson_save(lesson, place->path, NULL), QF_OK);
  char* const old = json_of(lesson);
  assert_int_equal(qf_lesson_set_title(lesson, "New", NULL), QF_OK);
  char* const changed = json_of(lesson);

  struct rlimit before;
  assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
  const struct rlimit tight  = {100, before.rlim_max};
  void (*const handler)(int) = signal(SIGXFSZ, SIG_IGN);
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &tight), 0);
  const QfStatus st = qf_lesson_save(lesson, place->path, &error);
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
  signal(SIGXFSZ, handler);

  assert_int_equal(st, QF_ERR_IO);
  assert_true(error.text[0] != '\0');
  assert_true(qf_lesson_is_modified(lesson));
  check_file(place->path, old);
  assert_int_equal(count_files(place->folder), 1);

  char* const now = json_of(lesson);
  assert_string_equal(now, changed);
  free(now);
  free(changed);
  free(old);
  qf_lesson_free(lesson);
}

static void
test_a_missing_folder_is_told(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  QfError         error  = {0};
  assert_int_equal(qf_lesson_save(lesson, "/nowhere/at/all/lesson.json", &error), QF_ERR_IO);
  assert_non_null(strstr(error.text, "/nowhere/at/all/lesson.json"));
  assert_true(qf_lesson_is_modified(lesson));

  QfLesson* read = NULL;
  assert_int_equal(qf_lesson_load("/nowhere/at/all/lesson.json", &read, &error), QF_ERR_IO);
  assert_null(read);
  qf_lesson_free(lesson);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup_teardown(test_saving_and_loading_gives_the_same_lesson, make_place,
                                    remove_place),
    cmocka_unit_test_setup_teardown(test_a_journal_does_not_count_as_saved, make_place,
                                    remove_place),
    cmocka_unit_test_setup_teardown(test_a_full_disk_keeps_the_old_file, make_place, remove_place),
    cmocka_unit_test(test_a_missing_folder_is_told),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
