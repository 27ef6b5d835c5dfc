// SPDX-License-Identifier: MIT
#include "quintfall/plan_shelf.h"

#include "quintfall/text.h"

#include <ctype.h>
#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <unistd.h>

enum { MAX_SAME_STEM = 1000 };

static const char ending[] = ".json";

char*
qf_plan_shelf_folder(void)
{
  // Source: XDG Base Directory Specification, XDG_DATA_HOME; a relative one is ignored.
  const char* const data = getenv("XDG_DATA_HOME");
  const char* const home = getenv("HOME");
  QfText            path = {0};
  if (data && data[0] == '/') {
    qf_text_add(&path, data);
  } else {
    qf_text_addf(&path, "%s/.local/share", home ? home : "");
  }
  qf_text_add(&path, "/quintfall/plans");
  return qf_text_take(&path);
}

static char*
join(const char* const folder, const char* const name)
{
  QfText path = {0};
  qf_text_addf(&path, "%s/%s", folder, name);
  return qf_text_take(&path);
}

static bool
is_plan_name(const char* const name)
{
  const size_t length = strlen(name);
  return name[0] != '.' && length >= sizeof(ending) &&
         !strcmp(name + length - (sizeof(ending) - 1U), ending);
}

/// Add a plan to the list (takes the path)
static QfStatus
add(QfPlanShelf* const shelf, const char* const name, char* const path)
{
  QfKeptPlan* const plans =
    (QfKeptPlan*)realloc(shelf->plans, (shelf->n_plans + 1U) * sizeof(QfKeptPlan));
  char* const copy = strdup(name);
  shelf->plans     = plans ? plans : shelf->plans;
  if (!plans || !copy) {
    free(copy);
    free(path);
    return QF_ERR_NO_MEM;
  }
  plans[shelf->n_plans++] = (QfKeptPlan){copy, path};
  return QF_OK;
}

static QfStatus
read_entry(QfPlanShelf* const shelf, const char* const folder, const char* const name)
{
  char* const path = join(folder, name);
  QfPlan*     plan = NULL;
  if (!path) {
    return QF_ERR_NO_MEM;
  }
  if (qf_plan_load(path, &plan, NULL)) {
    free(path);
    return QF_OK;
  }

  const QfStatus st = add(shelf, qf_plan_get_name(plan), path);
  qf_plan_free(plan);
  return st;
}

static int
compare_names(const void* const a, const void* const b)
{
  return strcasecmp(((const QfKeptPlan*)a)->name, ((const QfKeptPlan*)b)->name);
}

QfStatus
qf_plan_shelf_read(const char* const folder, QfPlanShelf* const result)
{
  *result = (QfPlanShelf){0};

  DIR* const dir = opendir(folder);
  if (!dir) {
    return QF_OK;
  }
  QfStatus st = QF_OK;
  for (const struct dirent* entry = NULL; !st && (entry = readdir(dir));) {
    st = is_plan_name(entry->d_name) ? read_entry(result, folder, entry->d_name) : QF_OK;
  }
  closedir(dir);
  if (st) {
    qf_plan_shelf_clear(result);
    return st;
  }
  if (result->n_plans) {
    qsort(result->plans, result->n_plans, sizeof(QfKeptPlan), compare_names);
  }
  return QF_OK;
}

void
qf_plan_shelf_clear(QfPlanShelf* const shelf)
{
  for (size_t i = 0; i < shelf->n_plans; ++i) {
    free(shelf->plans[i].name);
    free(shelf->plans[i].path);
  }
  free(shelf->plans);
  *shelf = (QfPlanShelf){0};
}

/// The plan of a name, or NULL
static const QfKeptPlan*
find(const QfPlanShelf* const shelf, const char* const name)
{
  for (size_t i = 0; i < shelf->n_plans; ++i) {
    if (!strcasecmp(shelf->plans[i].name, name)) {
      return &shelf->plans[i];
    }
  }
  return NULL;
}

static QfStatus
make_folder(const char* const folder, QfError* const error)
{
  char* const path = strdup(folder);
  QfStatus    st   = path ? QF_OK : QF_ERR_NO_MEM;
  for (char* slash = path; !st && slash;) {
    slash = strchr(slash + 1, '/');
    if (slash) {
      *slash = '\0';
    }
    if (mkdir(path, 0700) && errno != EEXIST) {
      st = qf_error_set(error, QF_ERR_IO, "%s: %s", path, strerror(errno));
    }
    if (slash) {
      *slash = '/';
    }
  }
  free(path);
  return st;
}

/// A path that is not taken, made of what a name's characters allow
static char*
free_path(const char* const folder, const char* const name)
{
  QfText stem = {0};
  for (const char* c = name; *c; ++c) {
    const bool is_plain = isalnum((unsigned char)*c) || (unsigned char)*c >= 0x80U;
    qf_text_addf(&stem, "%c", is_plain ? tolower((unsigned char)*c) : '-');
  }
  char* path = NULL;
  for (int i = 1; i < MAX_SAME_STEM; ++i) {
    QfText text = {0};
    qf_text_addf(&text, "%s/%s", folder, stem.length ? stem.data : "plan");
    if (i > 1) {
      qf_text_addf(&text, "-%d", i);
    }
    qf_text_add(&text, ending);
    path = qf_text_take(&text);
    if (!path || access(path, F_OK)) {
      break;
    }
    free(path);
    path = NULL;
  }
  qf_text_free(&stem);
  return path;
}

QfStatus
qf_plan_shelf_keep(const char* const folder, const QfPlan* const plan, QfError* const error)
{
  QfPlanShelf shelf = {0};
  QfStatus    st    = make_folder(folder, error);
  st                = st ? st : qf_plan_shelf_read(folder, &shelf);
  if (st) {
    return st;
  }

  const QfKeptPlan* const old = find(&shelf, qf_plan_get_name(plan));
  char* const path            = old ? strdup(old->path) : free_path(folder, qf_plan_get_name(plan));
  st = path ? qf_plan_save(plan, path, error) : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  free(path);
  qf_plan_shelf_clear(&shelf);
  return st;
}

QfStatus
qf_plan_shelf_remove(const char* const folder, const char* const name, QfError* const error)
{
  QfPlanShelf shelf = {0};
  QfStatus    st    = qf_plan_shelf_read(folder, &shelf);
  if (st) {
    return st;
  }

  const QfKeptPlan* const kept = find(&shelf, name);
  if (!kept) {
    st = qf_error_set(error, QF_ERR_IO, "there is no kept plan \"%.80s\"", name);
  } else if (unlink(kept->path)) {
    st = qf_error_set(error, QF_ERR_IO, "%s: %s", kept->path, strerror(errno));
  }
  qf_plan_shelf_clear(&shelf);
  return st;
}

/// Save a plan under another name in its place
static QfStatus
save_renamed(const QfKeptPlan* const kept, const char* const wanted, QfError* const error)
{
  QfPlan*  plan = NULL;
  QfStatus st   = qf_plan_load(kept->path, &plan, error);
  if (!st) {
    qf_plan_set_name(plan, wanted);
    st = qf_plan_save(plan, kept->path, error);
    qf_plan_free(plan);
  }
  return st;
}

QfStatus
qf_plan_shelf_rename(const char* const folder,
                     const char* const name,
                     const char* const wanted,
                     QfError* const    error)
{
  QfPlanShelf shelf = {0};
  QfStatus    st    = qf_plan_shelf_read(folder, &shelf);
  if (st) {
    return st;
  }

  const QfKeptPlan* const kept  = find(&shelf, name);
  const QfKeptPlan* const other = find(&shelf, wanted);
  if (!kept) {
    st = qf_error_set(error, QF_ERR_IO, "there is no kept plan \"%.80s\"", name);
  } else if (!wanted[0]) {
    st = qf_error_set(error, QF_ERR_RANGE, "a plan needs a name");
  } else if (other && other != kept) {
    st = qf_error_set(error, QF_ERR_RANGE, "there is a plan \"%.80s\" already", wanted);
  } else {
    st = save_renamed(kept, wanted, error);
  }
  qf_plan_shelf_clear(&shelf);
  return st;
}

QfStatus
qf_plan_find(const char* const folder,
             const char* const name_or_path,
             QfPlan** const    result,
             QfError* const    error)
{
  for (size_t i = 0; i < qf_n_ready_plans(); ++i) {
    QfPlan* const ready = qf_ready_plan_new(i);
    if (ready && !strcasecmp(qf_plan_get_name(ready), name_or_path)) {
      *result = ready;
      return QF_OK;
    }
    qf_plan_free(ready);
  }

  QfPlanShelf shelf = {0};
  QfStatus    st    = qf_plan_shelf_read(folder, &shelf);
  if (!st) {
    const QfKeptPlan* const kept = find(&shelf, name_or_path);
    st                           = qf_plan_load(kept ? kept->path : name_or_path, result, error);
    if (st == QF_ERR_IO && !kept && !strchr(name_or_path, '/')) {
      qf_error_set(error, st, "there is no plan \"%.80s\", neither ready nor kept nor as a file",
                   name_or_path);
    }
  }
  qf_plan_shelf_clear(&shelf);
  return st;
}
