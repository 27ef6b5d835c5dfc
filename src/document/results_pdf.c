// SPDX-License-Identifier: MIT
#include "comments.h"
#include "results_impl.h"

#include "quintfall/text.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/// A file's name without its ending
static size_t
stem_length(const char* const name)
{
  const char* const dot = strrchr(name, '.');
  return dot && dot > name ? (size_t)(dot - name) : strlen(name);
}

static bool
have_same_stem(const char* const a, const char* const b)
{
  const size_t length = stem_length(a);
  return length == stem_length(b) && !strncmp(a, b, length);
}

/// Path of an answer's comments (transfer full); a name that was used before gets a number
static char*
path_of(const QfResults* const results, const size_t index, const char* const folder)
{
  const char* const name = result_base_name(results->items[index].path);
  size_t            n    = 1;
  QfText            text = {0};
  for (size_t i = 0; i < index; ++i) {
    n += have_same_stem(name, result_base_name(results->items[i].path));
  }
  qf_text_addf(&text, "%s/%.*s", folder, (int)stem_length(name), name);
  if (n > 1) {
    qf_text_addf(&text, " (%zu)", n);
  }
  qf_text_add(&text, ".pdf");
  return qf_text_take(&text);
}

QfStatus
qf_results_write_pdfs(const QfResults* const results,
                      QfLesson* const        lesson,
                      const QfCommentsKind   kind,
                      const char* const      folder,
                      QfError* const         error)
{
  QfStatus result = QF_OK;
  if (mkdir(folder, 0777) && errno != EEXIST) {
    return qf_error_set(error, QF_ERR_IO, "%s: %s", folder, strerror(errno));
  }
  for (size_t i = 0; i < results->n_items; ++i) {
    char* const path = path_of(results, i, folder);
    if (!path) {
      return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
    }
    // One page that cannot be written leaves the others; the first fault is told.
    const QfStatus st =
      comments_write(results, &results->items[i], lesson, kind, path, result ? NULL : error);
    result = result ? result : st;
    free(path);
  }
  return result;
}
