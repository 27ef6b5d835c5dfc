// SPDX-License-Identifier: MIT
// What a file system refuses comes from the system itself (errno of POSIX.1-2017), not from us.
#include "quintfall/file.h"

#include <dirent.h>
#include <errno.h>
#include <sched.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

enum {
  NOBODY    = 65534,
  CANNOT_DO = 77, // a child's exit status: the machine does not allow this test
};

static char folder[64];

static int
make_folder(void** const state)
{
  (void)state;
  snprintf(folder, sizeof(folder), "/tmp/quintfall-file-XXXXXX");
  return mkdtemp(folder) ? 0 : -1;
}

static size_t
count_files(const char* const path)
{
  size_t     n_files   = 0U;
  DIR* const directory = opendir(path);
  assert_non_null(directory);
  for (const struct dirent* entry = readdir(directory); entry; entry = readdir(directory)) {
    n_files += strcmp(entry->d_name, ".") && strcmp(entry->d_name, "..");
  }
  closedir(directory);
  return n_files;
}

static int
remove_folder(void** const state)
{
  (void)state;
  DIR* const directory = opendir(folder);
  char       path[400];
  for (const struct dirent* entry = readdir(directory); entry; entry = readdir(directory)) {
    snprintf(path, sizeof(path), "%s/%s", folder, entry->d_name);
    unlink(path);
  }
  closedir(directory);
  return rmdir(folder);
}

static const char*
in_folder(const char* const name)
{
  static char path[200];
  snprintf(path, sizeof(path), "%s/%s", folder, name);
  return path;
}

static bool
holds(const char* const path, const void* const expected, const size_t length)
{
  void*      data   = NULL;
  size_t     n_read = 0U;
  const bool same   = !qf_file_read(path, &data, &n_read, NULL) && n_read == length &&
                    !memcmp(data, expected, length);
  free(data);
  return same;
}

static void
test_what_is_written_is_read(void** const state)
{
  (void)state;
  static const size_t lengths[] = {0U, 1U, 65535U, 65536U, 65537U, 1000003U};
  for (size_t i = 0; i < sizeof(lengths) / sizeof(lengths[0]); ++i) {
    char* const data = (char*)malloc(lengths[i] + 1U);
    for (size_t j = 0; j < lengths[i]; ++j) {
      data[j] = (char)(j * 31U + j / 251U);
    }
    assert_int_equal(QF_OK, qf_file_write(in_folder("whole"), data, lengths[i], NULL));
    assert_true(holds(in_folder("whole"), data, lengths[i]));
    free(data);
  }
  assert_int_equal(1U, count_files(folder));
}

static void
test_a_replaced_file_keeps_its_mode(void** const state)
{
  (void)state;
  assert_int_equal(QF_OK, qf_file_write(in_folder("mode"), "old", 3U, NULL));
  assert_int_equal(0, chmod(in_folder("mode"), 0640));
  assert_int_equal(QF_OK, qf_file_write(in_folder("mode"), "new", 3U, NULL));

  struct stat now;
  assert_int_equal(0, stat(in_folder("mode"), &now));
  assert_int_equal(0640, now.st_mode & 07777U);
}

static void
test_a_symbolic_link_stays_a_link(void** const state)
{
  (void)state;
  assert_int_equal(QF_OK, qf_file_write(in_folder("real"), "old", 3U, NULL));
  assert_int_equal(0, symlink("real", in_folder("link")));
  assert_int_equal(QF_OK, qf_file_write(in_folder("link"), "new", 3U, NULL));

  struct stat now;
  assert_int_equal(0, lstat(in_folder("link"), &now));
  assert_true(S_ISLNK(now.st_mode));
  assert_true(holds(in_folder("real"), "new", 3U));
}

static void
test_missing_things_are_named(void** const state)
{
  (void)state;
  QfError error  = {0};
  void*   data   = NULL;
  size_t  length = 0U;
  assert_int_equal(QF_ERR_IO, qf_file_read(in_folder("none"), &data, &length, &error));
  assert_non_null(strstr(error.text, "none"));
  assert_non_null(strstr(error.text, strerror(ENOENT)));
  assert_null(data);

  assert_int_equal(QF_ERR_IO, qf_file_write(in_folder("no/folder"), "x", 1U, &error));
  assert_non_null(strstr(error.text, strerror(ENOENT)));

  assert_int_equal(QF_ERR_IO, qf_file_read(folder, &data, &length, &error));
  assert_non_null(strstr(error.text, strerror(EISDIR)));
  assert_int_equal(QF_ERR_IO, qf_file_write(folder, "x", 1U, &error));
  assert_non_null(strstr(error.text, strerror(EISDIR)));
  assert_int_equal(QF_ERR_IO, qf_file_write("", "x", 1U, &error));
}

static void
test_a_limit_on_size_leaves_the_old_file(void** const state)
{
  (void)state;
  static char large[8192];
  assert_int_equal(QF_OK, qf_file_write(in_folder("kept"), "old", 3U, NULL));

  struct rlimit old_limit;
  assert_int_equal(0, getrlimit(RLIMIT_FSIZE, &old_limit));
  void (*const old_handler)(int) = signal(SIGXFSZ, SIG_IGN);
  const struct rlimit limit      = {4096U, old_limit.rlim_max};
  assert_int_equal(0, setrlimit(RLIMIT_FSIZE, &limit));
  QfError        error = {0};
  const QfStatus st    = qf_file_write(in_folder("kept"), large, sizeof(large), &error);
  setrlimit(RLIMIT_FSIZE, &old_limit);
  signal(SIGXFSZ, old_handler);

  assert_int_equal(QF_ERR_IO, st);
  assert_non_null(strstr(error.text, strerror(EFBIG)));
  assert_true(holds(in_folder("kept"), "old", 3U));
  const size_t n_files = count_files(folder);
  assert_int_equal(QF_OK, qf_file_write(in_folder("kept"), large, sizeof(large), NULL));
  assert_int_equal(n_files, count_files(folder));
}

static void
test_a_full_device_is_reported(void** const state)
{
  (void)state;
  if (access("/dev/full", W_OK)) {
    print_message("skipped: this machine has no /dev/full\n");
    skip();
  }
  QfError error = {0};
  assert_int_equal(QF_ERR_FULL, qf_file_write("/dev/full", "x", 1U, &error));
  assert_non_null(strstr(error.text, strerror(ENOSPC)));
}

/// Run a claim in a child, so that rights and mounts it changes end with it; gives its exit status
static int
in_child(int (*const claim)(void))
{
  fflush(NULL);
  const pid_t child = fork();
  if (child == 0) {
    _exit(claim());
  }
  int status = 0;
  assert_int_equal(child, waitpid(child, &status, 0));
  assert_true(WIFEXITED(status));
  return WEXITSTATUS(status);
}

static bool
write_text(const char* const path, const char* const text)
{
  FILE* const file = fopen(path, "w");
  return file && fputs(text, file) >= 0 && !fclose(file);
}

static bool
write_map(const char* const path, const long inside, const long outside)
{
  char text[64];
  snprintf(text, sizeof(text), "%ld %ld 1", inside, outside);
  return write_text(path, text);
}

/// Have a name space of mounts of our own, as root or as an ordinary user who is root in it
static bool
may_mount(void)
{
  const long user  = (long)geteuid();
  const long group = (long)getegid();
  if (unshare(CLONE_NEWNS) &&
      (unshare(CLONE_NEWUSER | CLONE_NEWNS) || !write_text("/proc/self/setgroups", "deny") ||
       !write_map("/proc/self/uid_map", 0, user) || !write_map("/proc/self/gid_map", 0, group))) {
    return false;
  }
  return !mount("none", "/", NULL, MS_REC | MS_PRIVATE, NULL) &&
         !mount("none", folder, "tmpfs", 0, "size=64k,mode=777");
}

static int
fill_a_small_disk(void)
{
  static char large[1U << 20U];
  if (!may_mount()) {
    return CANNOT_DO;
  }

  QfError error = {0};
  if (qf_file_write(in_folder("kept"), "old", 3U, NULL)) {
    return 1;
  }
  if (qf_file_write(in_folder("kept"), large, sizeof(large), &error) != QF_ERR_FULL) {
    return 2;
  }
  if (!strstr(error.text, strerror(ENOSPC))) {
    return 3;
  }
  if (!holds(in_folder("kept"), "old", 3U)) {
    return 4;
  }
  return count_files(folder) == 1U ? 0 : 5;
}

static void
test_a_full_disk_leaves_the_old_file(void** const state)
{
  (void)state;
  const int status = in_child(fill_a_small_disk);
  if (status == CANNOT_DO) {
    print_message("skipped: no small file system may be mounted here\n");
    skip();
  }
  assert_int_equal(0, status);
}

static int
write_without_permission(void)
{
  if (geteuid() == 0 && setresuid(NOBODY, NOBODY, NOBODY)) {
    return CANNOT_DO;
  }
  QfError error = {0};
  if (qf_file_write(in_folder("new"), "x", 1U, &error) != QF_ERR_IO) {
    return 1;
  }
  if (!strstr(error.text, strerror(EACCES))) {
    return 2;
  }
  void*  data   = NULL;
  size_t length = 0U;
  return qf_file_read(in_folder("secret"), &data, &length, NULL) == QF_ERR_IO ? 0 : 3;
}

static int
write_over_read_only(void)
{
  if (geteuid() == 0 && setresuid(NOBODY, NOBODY, NOBODY)) {
    return CANNOT_DO;
  }
  return qf_file_write(in_folder("locked"), "new", 3U, NULL) == QF_ERR_IO ? 0 : 1;
}

static void
test_permissions_are_respected(void** const state)
{
  (void)state;
  assert_int_equal(QF_OK, qf_file_write(in_folder("secret"), "x", 1U, NULL));
  assert_int_equal(0, chmod(in_folder("secret"), 0));
  assert_int_equal(0, chmod(folder, 0555));
  const size_t n_files   = count_files(folder);
  const int    forbidden = in_child(write_without_permission);
  assert_int_equal(n_files, count_files(folder));

  assert_int_equal(0, chmod(folder, 0777));
  assert_int_equal(QF_OK, qf_file_write(in_folder("locked"), "old", 3U, NULL));
  assert_int_equal(0, chmod(in_folder("locked"), 0444));
  const int locked = in_child(write_over_read_only);

  if (forbidden == CANNOT_DO || locked == CANNOT_DO) {
    print_message("skipped: rights cannot be given up here\n");
    skip();
  }
  assert_int_equal(0, forbidden);
  assert_int_equal(0, locked);
  assert_true(holds(in_folder("locked"), "old", 3U));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_what_is_written_is_read),
    cmocka_unit_test(test_a_replaced_file_keeps_its_mode),
    cmocka_unit_test(test_a_symbolic_link_stays_a_link),
    cmocka_unit_test(test_missing_things_are_named),
    cmocka_unit_test(test_a_limit_on_size_leaves_the_old_file),
    cmocka_unit_test(test_a_full_device_is_reported),
    cmocka_unit_test(test_a_full_disk_leaves_the_old_file),
    cmocka_unit_test(test_permissions_are_respected),
  };
  return cmocka_run_group_tests_name("file", tests, make_folder, remove_folder);
}
