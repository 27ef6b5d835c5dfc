// SPDX-License-Identifier: MIT
#include "batch.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

/// Where the outputs go
typedef struct {
  const char* folder;
  const char* ending;
} Target;

static bool
has_output(const Batch* const batch, const char* const output)
{
  for (size_t i = 0; i < batch->n_items; ++i) {
    if (!strcmp(batch->items[i].output, output)) {
      return true;
    }
  }

  return false;
}

/// The output for an input that stands at `place` below the folder named
static char*
output_of(const Batch* const batch, const char* const place, const Target target)
{
  const char* const slash  = strrchr(place, '/');
  const char* const dot    = strrchr(place, '.');
  const bool        is_dot = dot && dot > (slash ? slash + 1 : place);
  const int         stem   = is_dot ? (int)(dot - place) : (int)strlen(place);
  char*             output = NULL;

  if (asprintf(&output, "%s/%.*s.%s", target.folder, stem, place, target.ending) < 0) {
    return NULL;
  }

  // Two inputs that differ by their ending only keep it; more that are named alike are counted
  for (int copy = 1; output && has_output(batch, output); ++copy) {
    free(output);
    const int length =
      copy > 1 ? asprintf(&output, "%s/%s-%d.%s", target.folder, place, copy, target.ending)
               : asprintf(&output, "%s/%s.%s", target.folder, place, target.ending);
    output = length < 0 ? NULL : output;
  }

  return output;
}

static QfStatus
add_item(Batch* const      batch,
         const char* const input,
         const char* const place,
         const Target      target,
         QfError* const    error)
{
  if (batch->n_items == batch->capacity) {
    const size_t     capacity = batch->capacity ? 2U * batch->capacity : 64U;
    BatchItem* const items    = (BatchItem*)realloc(batch->items, capacity * sizeof(BatchItem));
    if (!items) {
      return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
    }
    batch->items    = items;
    batch->capacity = capacity;
  }

  const BatchItem item = {strdup(input), output_of(batch, place, target)};
  if (!item.input || !item.output) {
    free(item.input);
    free(item.output);
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  batch->items[batch->n_items++] = item;
  return QF_OK;
}

/// True for a .json file that says at its beginning that it is a lesson
static bool
is_lesson(const char* const path)
{
  char        start[512] = "";
  FILE* const file       = fopen(path, "rb");
  if (file) {
    start[fread(start, 1, sizeof(start) - 1, file)] = '\0';
    fclose(file);
  }

  // An answer holds a lesson's frame
  return strstr(start, "\"quintfall-lesson\"") && !strstr(start, "\"quintfall-answer\"");
}

static bool
is_music(const char* const path)
{
  switch (qf_file_kind_of_path(path)) {
    case QF_FILE_MUSICXML:
    case QF_FILE_MXL:
    case QF_FILE_MIDI:
      return true;
    case QF_FILE_LESSON:
      return is_lesson(path);
    default:
      return false;
  }
}

static QfStatus
add_folder(Batch* const      batch,
           const char* const folder,
           const size_t      root_length,
           const Target      target,
           QfError* const    error)
{
  struct dirent** entries   = NULL;
  const int       n_entries = scandir(folder, &entries, NULL, alphasort);
  if (n_entries < 0) {
    return qf_error_set(error, QF_ERR_IO, "%s: %s", folder, strerror(errno));
  }

  QfStatus st = QF_OK;
  for (int i = 0; i < n_entries; ++i) {
    const char* const name = entries[i]->d_name;
    char              path[PATH_MAX];
    struct stat       info;
    const int         length = snprintf(path, sizeof(path), "%s/%s", folder, name);

    // Hidden entries and links to folders are passed over, so that no loop is walked
    if (!st && name[0] != '.' && length < (int)sizeof(path) && !lstat(path, &info)) {
      if (S_ISDIR(info.st_mode)) {
        st = add_folder(batch, path, root_length, target, error);
      } else if (is_music(path)) {
        st = add_item(batch, path, path + root_length + 1U, target, error);
      }
    }
    free(entries[i]);
  }

  free(entries);
  return st;
}

QfStatus
batch_collect(Batch* const      batch,
              char* const*      paths,
              const size_t      n_paths,
              const char* const folder,
              const char* const ending,
              QfError* const    error)
{
  const Target target = {folder, ending};
  QfStatus     st     = QF_OK;

  for (size_t i = 0; !st && i < n_paths; ++i) {
    struct stat info;
    if (!stat(paths[i], &info) && S_ISDIR(info.st_mode)) {
      st = add_folder(batch, paths[i], strlen(paths[i]), target, error);
    } else {
      const char* const slash = strrchr(paths[i], '/');
      st = add_item(batch, paths[i], slash ? slash + 1 : paths[i], target, error);
    }
  }

  return st;
}

void
batch_clear(Batch* const batch)
{
  for (size_t i = 0; i < batch->n_items; ++i) {
    free(batch->items[i].input);
    free(batch->items[i].output);
  }

  free(batch->items);
  *batch = (Batch){0};
}

/// Make the folders a file stands in
static bool
make_folders(const char* const path)
{
  char copy[PATH_MAX];
  if (snprintf(copy, sizeof(copy), "%s", path) >= (int)sizeof(copy)) {
    return false;
  }

  for (char* slash = strchr(copy + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
    *slash = '\0';
    if (mkdir(copy, 0777) && errno != EEXIST) {
      fprintf(stderr, "%s: %s\n", copy, strerror(errno));
      return false;
    }
    *slash = '/';
  }

  return true;
}

static pid_t
start(const BatchItem* const item, const BatchFunc run, void* const data)
{
  const pid_t child = fork();
  if (child == 0) {
    const QfExit result = make_folders(item->output) ? run(item, data) : QF_EXIT_MACHINE;
    fflush(NULL);
    _exit((int)result);
  }

  return child;
}

/// Wait for one job; gives how it ended
static QfExit
finish(void)
{
  int status = 0;
  while (wait(&status) < 0) {
    if (errno != EINTR) {
      return QF_EXIT_MACHINE;
    }
  }

  if (!WIFEXITED(status)) {
    fprintf(stderr, "qf: a file stopped its job with signal %d\n", WTERMSIG(status));
    return QF_EXIT_INPUT;
  }

  return (QfExit)WEXITSTATUS(status);
}

static void
show_count(const size_t n_done, const size_t n_failed, const size_t n_items)
{
  if (isatty(STDERR_FILENO)) {
    fprintf(stderr, "\r%zu of %zu files, %zu failed", n_done, n_items, n_failed);
  }
}

QfExit
batch_run(const Batch* const batch,
          const size_t       n_jobs,
          const char* const  verb,
          const BatchFunc    run,
          void* const        data)
{
  QfExit worst     = QF_EXIT_DONE;
  size_t n_started = 0;
  size_t n_running = 0;
  size_t n_failed  = 0;

  while (n_started < batch->n_items || n_running) {
    if (n_started < batch->n_items && n_running < n_jobs) {
      fflush(NULL);
      const pid_t child = start(&batch->items[n_started++], run, data);
      if (child > 0) {
        ++n_running;
        continue;
      }
      fprintf(stderr, "%s: %s\n", batch->items[n_started - 1].input, strerror(errno));
      worst = QF_EXIT_MACHINE;
      ++n_failed;
      continue;
    }

    const QfExit result = finish();
    --n_running;
    n_failed += result != QF_EXIT_DONE;
    worst = result > worst ? result : worst;
    show_count(n_started - n_running, n_failed, batch->n_items);
  }

  const size_t n_done = batch->n_items - n_failed;
  fprintf(stderr, "%s%zu file%s %s, %zu failed\n", isatty(STDERR_FILENO) ? "\r" : "", n_done,
          n_done == 1U ? "" : "s", verb, n_failed);
  return worst;
}
