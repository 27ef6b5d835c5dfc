// SPDX-License-Identifier: MIT
#include "command.h"
#include "options.h"

#include "quintfall/practice.h"
#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static const char usage[] =
  "Usage: qf practice [--record FILE] [--due | --chart [CONCEPT] | --add CONCEPT=RIGHT/ASKED |\n"
  "                   --export OUT | --delete]\n\n"
  "Tell what was right, by concept; the record never leaves this machine.\n\n"
  "  --record FILE  the record, in the user's data folder unless given\n"
  "  --due          what to practise today, by the SM-2 scheme (P. A. Wozniak, 1990)\n"
  "  --chart        right and asked by week, of all or of --chart=CONCEPT, such as target/V\n"
  "  --add ...      record an answer, such as target/V=3/4; may be repeated\n"
  "  --export OUT   everything as .csv or .json\n"
  "  --delete       forget everything\n";

enum {
  MAX_ADDED = 64,
  PATH_SIZE = 4096,
};

typedef struct {
  const char* record;
  bool        is_due;
  bool        has_chart;
  const char* concept; ///< Of the chart, or NULL for all
  QfAttempt        added[MAX_ADDED];
  size_t           n_added;
  const char*      output; ///< Of an export, or NULL
  QfPracticeFormat format;
  bool             is_deleted;
} Options;

/// Read "target/V=3/4"
static QfStatus
take_attempt(const Option* const option, const char* const text, QfError* const error)
{
  Options* const    options = (Options*)option->target;
  QfAttempt         attempt = {.when_s = (int64_t)time(NULL)};
  const char* const equals  = strrchr(text, '=');
  char              rest    = '\0';
  if (!equals || (size_t)(equals - text) >= sizeof(attempt.concept) ||
      sscanf(equals, "=%d/%d%c", &attempt.right, &attempt.asked, &rest) != 2) {
    return qf_error_set(error, QF_ERR_BAD_TEXT,
                        "expected CONCEPT=RIGHT/ASKED, such as target/V=3/4, not \"%.40s\"", text);
  }
  if (options->n_added == MAX_ADDED) {
    return qf_error_set(error, QF_ERR_RANGE, "can be given %d times at most", MAX_ADDED);
  }
  memcpy(attempt.concept, text, (size_t)(equals - text));
  options->added[options->n_added++] = attempt;
  return QF_OK;
}

/// Take the path of an export, whose ending names the format
static QfStatus
take_export(const Option* const option, const char* const text, QfError* const error)
{
  Options* const    options = (Options*)option->target;
  const char* const ending  = strrchr(text, '.');
  const bool        is_csv  = ending && !strcmp(ending, ".csv");
  if (!is_csv && (!ending || strcmp(ending, ".json") != 0)) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED,
                        "expected a file that ends in .csv or .json, not \"%.80s\"", text);
  }
  options->output = text;
  options->format = is_csv ? QF_PRACTICE_CSV : QF_PRACTICE_JSON;
  return QF_OK;
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  const Option list[] = {
    {"record", take_text, &options->record},
    {"due", take_flag, &options->is_due},
    {"chart", take_text, &options->concept, &options->has_chart, .is_optional = true},
    {"add", take_attempt, options},
    {"export", take_export, options},
    {"delete", take_flag, &options->is_deleted},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early >= 0) {
    return early;
  }
  const int n_actions = (int)options->is_due + (int)options->has_chart + (options->n_added > 0) +
                        (options->output != NULL) + (int)options->is_deleted;
  if (argc != first || n_actions > 1) {
    return (int)usage_error(usage, "practice takes no arguments, and one of --due, --chart, --add, "
                                   "--export and --delete at a time");
  }
  return -1;
}

/// Where the window keeps the record. Source: XDG Base Directory Specification 0.8.
static bool
write_usual_path(char* const path, const size_t size)
{
  const char* const data = getenv("XDG_DATA_HOME");
  const char* const home = getenv("HOME");
  if (data && data[0] == '/') {
    return snprintf(path, size, "%s/quintfall/practice.db", data) < (int)size;
  }
  return home && snprintf(path, size, "%s/.local/share/quintfall/practice.db", home) < (int)size;
}

/**
   True for a file with something in it that is no database.

   The window sets a damaged record aside and begins a new one; what somebody
   names by mistake stays where it is. Source: SQLite database file format, 1.3.1.
*/
static bool
is_foreign(const char* const path)
{
  static const char magic[16] = "SQLite format 3";

  char        start[sizeof(magic)] = "";
  FILE* const file                 = fopen(path, "rb");
  size_t      length               = 0;
  if (file) {
    length = fread(start, 1, sizeof(start), file);
    fclose(file);
  }
  return length && (length < sizeof(magic) || memcmp(start, magic, sizeof(magic)) != 0);
}

static int
local_offset_s(const time_t now)
{
  struct tm local;
  return localtime_r(&now, &local) ? (int)local.tm_gmtoff : 0;
}

static void
add_day(QfText* const text, const int64_t day)
{
  const time_t time = (time_t)(day * 86400);
  struct tm    utc;
  char         buffer[32];
  if (gmtime_r(&time, &utc) && strftime(buffer, sizeof(buffer), "%Y-%m-%d", &utc)) {
    qf_text_add(text, buffer);
  }
}

static QfStatus
write_records(QfPractice* const    practice,
              const Options* const options,
              QfText* const        text,
              QfError* const       error)
{
  QfConceptRecords records = {0};
  const bool       is_due  = options->is_due;
  const QfStatus   st = is_due ? qf_practice_due(practice, (int64_t)time(NULL), &records, error)
                               : qf_practice_list(practice, &records, error);
  for (size_t i = 0; !st && i < records.n_records; ++i) {
    const QfConceptRecord* const record = &records.records[i];
    char                         name[QF_CONCEPT_NAME_SIZE];
    qf_concept_describe(record->concept, name, sizeof(name));
    qf_text_addf(text, "%-24s %5lld of %5lld right, due ", record->concept,
                 (long long)record->right, (long long)record->asked);
    add_day(text, record->due_day);
    qf_text_addf(text, "  %s\n", name);
  }
  if (!st && !records.n_records) {
    qf_text_add(text, is_due ? "Nothing is due.\n" : "Nothing is recorded yet.\n");
  }
  if (!st && is_due) {
    qf_text_addf(text, "%s\n", qf_recall_scheme_text());
  }
  qf_concept_records_clear(&records);
  return st;
}

static QfStatus
write_chart(QfPractice* const    practice,
            const Options* const options,
            QfText* const        text,
            QfError* const       error)
{
  QfPracticeSeries series = {0};
  const QfStatus   st =
    qf_practice_series(practice, options->concept, QF_PERIOD_WEEK, &series, error);
  for (size_t i = 0; !st && i < series.n_points; ++i) {
    const QfPracticePoint* const point   = &series.points[i];
    const int                    percent = (int)(100 * point->right / point->asked);
    add_day(text, point->from_day);
    qf_text_addf(text, " %3d %% of %5lld ", percent, (long long)point->asked);
    for (int bar = 0; bar < percent / 4; ++bar) {
      qf_text_add(text, "#");
    }
    qf_text_add(text, "\n");
  }
  if (!st && !series.n_points) {
    qf_text_add(text, "Nothing is recorded of that yet.\n");
  }
  qf_practice_series_clear(&series);
  return st;
}

static QfStatus
write_export(QfPractice* const    practice,
             const Options* const options,
             QfText* const        text,
             QfError* const       error)
{
  char*          all = NULL;
  const QfStatus st  = qf_practice_export(practice, options->format, &all, error);
  qf_text_add(text, all ? all : "");
  free(all);
  return st;
}

static QfStatus
act(QfPractice* const practice, const Options* const options, QfText* const text, QfError* error)
{
  if (options->has_chart) {
    return write_chart(practice, options, text, error);
  }
  if (options->n_added) {
    return qf_practice_record(practice, options->added, options->n_added, error);
  }
  if (options->output) {
    return write_export(practice, options, text, error);
  }
  if (options->is_deleted) {
    return qf_practice_delete_all(practice, error);
  }
  return write_records(practice, options, text, error);
}

static QfExit
run(const char* const path, const Options* const options)
{
  QfError     error    = {0};
  QfText      text     = {0};
  QfPractice* practice = NULL;
  char*       remark   = NULL;
  QfStatus    st = qf_practice_open(path, local_offset_s(time(NULL)), &practice, &remark, &error);
  print_remarks(path, remark);
  free(remark);
  st = st ? st : act(practice, options, &text, &error);
  qf_practice_free(practice);

  QfExit result = st            ? fail(&error, options->n_added ? "--add" : path)
                  : text.failed ? QF_EXIT_MACHINE
                                : QF_EXIT_DONE;
  if (!result && text.length) {
    result = write_output(options->output, text.data, text.length);
  }
  qf_text_free(&text);
  return result;
}

QfExit
practice_command(int argc, char** argv)
{
  Options   options = {0};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }
  char path[PATH_SIZE];
  if (!options.record && !write_usual_path(path, sizeof(path))) {
    fprintf(stderr, "qf: there is no home folder to keep the record in; name one: --record FILE\n");
    return QF_EXIT_MACHINE;
  }
  if (options.record && is_foreign(options.record)) {
    fprintf(stderr, "%s: this is no practice record; expected one, or a name that is free\n",
            options.record);
    return QF_EXIT_INPUT;
  }
  return run(options.record ? options.record : path, &options);
}
