// SPDX-License-Identifier: MIT
#include "command.h"

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

typedef enum {
  ACTION_LIST,
  ACTION_DUE,
  ACTION_CHART,
  ACTION_ADD,
  ACTION_EXPORT,
  ACTION_DELETE,
} Action;

typedef struct {
  Action      action;
  const char* record;
  const char* concept;
  const char* output;
  QfAttempt   added[MAX_ADDED];
  size_t      n_added;
} Options;

/// Read "target/V=3/4"
static bool
take_attempt(Options* const options)
{
  QfAttempt         attempt = {.when_s = (int64_t)time(NULL)};
  const char* const equals  = strrchr(optarg, '=');
  char              rest    = '\0';
  if (options->n_added == MAX_ADDED || !equals ||
      (size_t)(equals - optarg) >= sizeof(attempt.concept) ||
      sscanf(equals, "=%d/%d%c", &attempt.right, &attempt.asked, &rest) != 2) {
    usage_error(usage, "--add takes CONCEPT=RIGHT/ASKED, not \"%s\"", optarg);
    return false;
  }
  memcpy(attempt.concept, optarg, (size_t)(equals - optarg));
  options->action                    = ACTION_ADD;
  options->added[options->n_added++] = attempt;
  return true;
}

static bool
take_option(const int c, void* const data)
{
  Options* const options = (Options*)data;
  switch (c) {
    case 'r':
      options->record = optarg;
      return true;
    case 'd':
      options->action = ACTION_DUE;
      return true;
    case 'c':
      options->action  = ACTION_CHART;
      options->concept = optarg;
      return true;
    case 'a':
      return take_attempt(options);
    case 'e':
      options->action = ACTION_EXPORT;
      options->output = optarg;
      return true;
    case 'D':
      options->action = ACTION_DELETE;
      return true;
    default:
      usage_error(usage, "option not understood");
      return false;
  }
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
  const bool       is_due  = options->action == ACTION_DUE;
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
  if (!st && is_due && !records.n_records) {
    qf_text_add(text, "Nothing is due.\n");
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
  qf_practice_series_clear(&series);
  return st;
}

static QfStatus
write_export(QfPractice* const    practice,
             const Options* const options,
             QfText* const        text,
             QfError* const       error)
{
  const char* const ending = strrchr(options->output, '.');
  const bool        is_csv = ending && !strcmp(ending, ".csv");
  char*             all    = NULL;
  if (!is_csv && (!ending || strcmp(ending, ".json") != 0)) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED, "the output must end in .csv or .json");
  }
  const QfStatus st =
    qf_practice_export(practice, is_csv ? QF_PRACTICE_CSV : QF_PRACTICE_JSON, &all, error);
  qf_text_add(text, all ? all : "");
  free(all);
  return st;
}

static QfStatus
act(QfPractice* const practice, const Options* const options, QfText* const text, QfError* error)
{
  switch (options->action) {
    case ACTION_CHART:
      return write_chart(practice, options, text, error);
    case ACTION_ADD:
      return qf_practice_record(practice, options->added, options->n_added, error);
    case ACTION_EXPORT:
      return write_export(practice, options, text, error);
    case ACTION_DELETE:
      return qf_practice_delete_all(practice, error);
    default:
      return write_records(practice, options, text, error);
  }
}

static QfExit
run(const char* const path, const Options* const options)
{
  QfError     error    = {0};
  QfText      text     = {0};
  QfPractice* practice = NULL;
  char*       remark   = NULL;
  QfStatus    st = qf_practice_open(path, local_offset_s(time(NULL)), &practice, &remark, &error);
  if (remark) {
    fprintf(stderr, "%s: note: %s\n", path, remark);
    free(remark);
  }
  st = st ? st : act(practice, options, &text, &error);
  qf_practice_free(practice);

  QfExit result = st ? fail(&error, path) : text.failed ? QF_EXIT_MACHINE : QF_EXIT_DONE;
  if (!result && text.length) {
    result = write_output(options->output, text.data, text.length);
  }
  qf_text_free(&text);
  return result;
}

QfExit
practice_command(int argc, char** argv)
{
  static const struct option table[] = {
    {"record", required_argument, NULL, 'r'}, {"due", no_argument, NULL, 'd'},
    {"chart", optional_argument, NULL, 'c'},  {"add", required_argument, NULL, 'a'},
    {"export", required_argument, NULL, 'e'}, {"delete", no_argument, NULL, 'D'},
    {"help", no_argument, NULL, 'h'},         {NULL, 0, NULL, 0},
  };
  Options   options = {.action = ACTION_LIST};
  const int early =
    take_options(argc, argv, (OptionTable){"r:dc::a:e:Dh", table, usage}, take_option, &options);
  if (early >= 0) {
    return (QfExit)early;
  }
  char path[PATH_SIZE];
  if (argc != optind || (!options.record && !write_usual_path(path, sizeof(path)))) {
    return usage_error(usage, "practice takes options only, and a home folder or --record FILE");
  }
  return run(options.record ? options.record : path, &options);
}
