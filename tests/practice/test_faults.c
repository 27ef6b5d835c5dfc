// SPDX-License-Identifier: MIT
#include "quintfall/practice.h"

#include <setjmp.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

enum { NOBODY = 65534 };

typedef struct {
  char folder[64];
  char path[128];
} Place;

static int
set_up(void** state)
{
  Place* const place = (Place*)calloc(1, sizeof(Place));
  strcpy(place->folder, "/tmp/qf-practice-XXXXXX");
  assert_non_null(mkdtemp(place->folder));
  snprintf(place->path, sizeof(place->path), "%s/practice.db", place->folder);
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

static QfPractice*
open_record(const char* const path)
{
  QfPractice* practice = NULL;
  assert_int_equal(qf_practice_open(path, 0, &practice, NULL, NULL), QF_OK);
  return practice;
}

static QfStatus
record_one(QfPractice* const practice, QfError* const error)
{
  const QfAttempt attempt = {"target/V", 1, 1, 1000};
  return qf_practice_record(practice, &attempt, 1, error);
}

static size_t
count_asked(QfPractice* const practice)
{
  QfConceptRecords records = {0};
  assert_int_equal(qf_practice_list(practice, &records, NULL), QF_OK);
  const size_t asked = records.n_records ? (size_t)records.records[0].asked : 0;
  qf_concept_records_clear(&records);
  return asked;
}

static void
write_file(const char* const path, const char* const bytes, const size_t n)
{
  FILE* const file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, n, file), n);
  fclose(file);
}

/// Opening must set the file aside, say so and begin anew
static void
check_set_aside(const char* const path, const char* const aside)
{
  QfPractice* practice = NULL;
  char*       remark   = NULL;
  assert_int_equal(qf_practice_open(path, 0, &practice, &remark, NULL), QF_OK);
  assert_non_null(remark);
  assert_non_null(strstr(remark, aside));
  assert_int_equal(access(aside, F_OK), 0);
  assert_int_equal(record_one(practice, NULL), QF_OK);
  assert_int_equal(count_asked(practice), 1);
  free(remark);
  qf_practice_free(practice);
}

static void
test_other_files_are_set_aside(void** state)
{
  const Place* const place = (Place*)*state;
  char               first[160];
  char               second[160];
  snprintf(first, sizeof(first), "%s.damaged", place->path);
  snprintf(second, sizeof(second), "%s.damaged-2", place->path);
  write_file(place->path, "this is a letter, not a database; it must not get lost", 54);
  check_set_aside(place->path, first);
  write_file(place->path, "another letter of the same kind, and it must be kept too", 56);
  check_set_aside(place->path, second);

  char        kept[64] = "";
  FILE* const file     = fopen(first, "rb");
  assert_non_null(file);
  assert_int_equal(fread(kept, 1, sizeof(kept), file), 54);
  fclose(file);
  assert_memory_equal(kept, "this is a letter", 16);
}

static void
test_damaged_pages_are_set_aside(void** state)
{
  const Place* const place    = (Place*)*state;
  QfPractice*        practice = open_record(place->path);
  char               aside[160];
  for (int i = 0; i < 2000; ++i) {
    assert_int_equal(record_one(practice, NULL), QF_OK);
  }
  qf_practice_free(practice);

  FILE* const file = fopen(place->path, "r+b");
  assert_non_null(file);
  fseek(file, 0, SEEK_END);
  const long size = ftell(file);
  assert_true(size > 3 * 4096);
  for (long at = 4096; at + 512 < size; at += 4096) {
    char noise[512];
    memset(noise, 0xA5, sizeof(noise));
    fseek(file, at, SEEK_SET);
    assert_int_equal(fwrite(noise, 1, sizeof(noise), file), sizeof(noise));
  }
  fclose(file);
  snprintf(aside, sizeof(aside), "%s.damaged", place->path);
  check_set_aside(place->path, aside);
}

static void
test_every_cut_of_the_file_is_survived(void** state)
{
  const Place* const place    = (Place*)*state;
  QfPractice*        practice = open_record(place->path);
  for (int i = 0; i < 300; ++i) {
    assert_int_equal(record_one(practice, NULL), QF_OK);
  }
  qf_practice_free(practice);
  FILE* const  file = fopen(place->path, "rb");
  static char  whole[1 << 17];
  const size_t n = fread(whole, 1, sizeof(whole), file);
  fclose(file);
  for (size_t cut = 0; cut < n; cut += 997) {
    char path[160];
    snprintf(path, sizeof(path), "%s-cut-%zu", place->path, cut);
    write_file(path, whole, cut);
    practice = open_record(path);
    assert_int_equal(record_one(practice, NULL), QF_OK);
    qf_practice_free(practice);
  }
}

static void
test_another_applications_database_is_kept(void** state)
{
  const Place* const place = (Place*)*state;
  sqlite3*           db    = NULL;
  char               aside[160];
  assert_int_equal(sqlite3_open(place->path, &db), SQLITE_OK);
  assert_int_equal(sqlite3_exec(db, "CREATE TABLE letters (text TEXT)", NULL, NULL, NULL), 0);
  sqlite3_close(db);
  snprintf(aside, sizeof(aside), "%s.damaged", place->path);
  check_set_aside(place->path, aside);
}

static void
test_a_newer_record_is_left_alone(void** state)
{
  const Place* const place = (Place*)*state;
  sqlite3*           db    = NULL;
  qf_practice_free(open_record(place->path));
  assert_int_equal(sqlite3_open(place->path, &db), SQLITE_OK);
  assert_int_equal(sqlite3_exec(db, "PRAGMA user_version = 2", NULL, NULL, NULL), SQLITE_OK);
  sqlite3_close(db);

  QfPractice* practice = NULL;
  QfError     error    = {0};
  assert_int_equal(qf_practice_open(place->path, 0, &practice, NULL, &error), QF_ERR_UNSUPPORTED);
  assert_non_null(strstr(error.text, "newer"));
  assert_int_equal(access(place->path, F_OK), 0);
}

static void
test_a_busy_record_says_so(void** state)
{
  const Place* const place    = (Place*)*state;
  QfPractice* const  practice = open_record(place->path);
  sqlite3*           db       = NULL;
  QfError            error    = {0};
  assert_int_equal(sqlite3_open(place->path, &db), SQLITE_OK);
  assert_int_equal(sqlite3_exec(db, "BEGIN EXCLUSIVE", NULL, NULL, NULL), SQLITE_OK);
  assert_int_equal(record_one(practice, &error), QF_ERR_IO);
  assert_non_null(strstr(error.text, "another program"));
  assert_int_equal(sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
  sqlite3_close(db);
  assert_int_equal(record_one(practice, NULL), QF_OK);
  assert_int_equal(count_asked(practice), 1);
  qf_practice_free(practice);
}

static void
test_two_programs_share_a_record(void** state)
{
  const Place* const place = (Place*)*state;
  QfPractice* const  a     = open_record(place->path);
  QfPractice* const  b     = open_record(place->path);
  assert_int_equal(record_one(a, NULL), QF_OK);
  assert_int_equal(record_one(b, NULL), QF_OK);
  assert_int_equal(count_asked(a), 2);
  assert_int_equal(count_asked(b), 2);
  qf_practice_free(a);
  qf_practice_free(b);
}

/// In a child: write until the system refuses; 0 if that went as promised
static int
fill_up(const char* const path)
{
  QfPractice* practice = NULL;
  if (qf_practice_open(path, 0, &practice, NULL, NULL)) {
    return 1;
  }
  signal(SIGXFSZ, SIG_IGN);
  const struct rlimit limit = {65536, 65536};
  if (setrlimit(RLIMIT_FSIZE, &limit)) {
    return 2;
  }
  QfError error = {0};
  size_t  n     = 0;
  while (n < 20000 && !record_one(practice, &error)) {
    ++n;
  }
  const bool is_told = error.status == QF_ERR_IO && *error.text;
  const bool is_kept = count_asked(practice) == n;
  qf_practice_free(practice);
  return n == 20000 ? 3 : !is_told ? 4 : !is_kept ? 5 : 0;
}

static int
run_in_child(int (*const job)(const char*), const char* const path)
{
  int         status = 0;
  const pid_t child  = fork();
  if (!child) {
    _exit(job(path));
  }
  assert_int_equal(waitpid(child, &status, 0), child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static void
test_a_full_disk_loses_nothing(void** state)
{
  const Place* const place = (Place*)*state;
  assert_int_equal(run_in_child(fill_up, place->path), 0);
  QfPractice* const practice = open_record(place->path);
  assert_true(count_asked(practice) > 0);
  assert_int_equal(record_one(practice, NULL), QF_OK);
  qf_practice_free(practice);
}

/// In a child: a user who may only read
static int
read_only(const char* const path)
{
  if (!geteuid() && (setgid(NOBODY) || setuid(NOBODY))) {
    return 1;
  }
  QfPractice* practice = NULL;
  char*       remark   = NULL;
  QfError     error    = {0};
  if (qf_practice_open(path, 0, &practice, &remark, &error)) {
    return 2;
  }
  const bool is_said =
    qf_practice_is_read_only(practice) && remark && strstr(remark, "not changed");
  const bool is_read    = count_asked(practice) == 1;
  const bool is_refused = record_one(practice, &error) == QF_ERR_READ_ONLY &&
                          qf_practice_delete_all(practice, NULL) == QF_ERR_READ_ONLY;
  free(remark);
  qf_practice_free(practice);
  return !is_said ? 3 : !is_read ? 4 : !is_refused ? 5 : 0;
}

static void
test_a_protected_record_is_read(void** state)
{
  const Place* const place    = (Place*)*state;
  QfPractice* const  practice = open_record(place->path);
  assert_int_equal(record_one(practice, NULL), QF_OK);
  qf_practice_free(practice);
  assert_int_equal(chmod(place->path, 0444), 0);
  assert_int_equal(chmod(place->folder, 0555), 0);
  assert_int_equal(run_in_child(read_only, place->path), 0);
  assert_int_equal(chmod(place->folder, 0755), 0);
}

static void
test_a_folder_in_the_way_is_told(void** state)
{
  const Place* const place    = (Place*)*state;
  QfPractice*        practice = NULL;
  QfError            error    = {0};
  assert_int_equal(mkdir(place->path, 0755), 0);
  assert_int_equal(qf_practice_open(place->path, 0, &practice, NULL, &error), QF_ERR_IO);
  assert_true(*error.text);
}

int
main(void)
{
#define AT_PLACE(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)
  const struct CMUnitTest tests[] = {
    AT_PLACE(test_other_files_are_set_aside),
    AT_PLACE(test_damaged_pages_are_set_aside),
    AT_PLACE(test_every_cut_of_the_file_is_survived),
    AT_PLACE(test_another_applications_database_is_kept),
    AT_PLACE(test_a_newer_record_is_left_alone),
    AT_PLACE(test_a_busy_record_says_so),
    AT_PLACE(test_two_programs_share_a_record),
    AT_PLACE(test_a_full_disk_loses_nothing),
    AT_PLACE(test_a_protected_record_is_read),
    AT_PLACE(test_a_folder_in_the_way_is_told),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
