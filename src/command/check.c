// SPDX-License-Identifier: MIT
#include "command.h"
#include "findings_text.h"
#include "options.h"

#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf check FILE [--profile strict|common|free] [--key KEY] [--as text|json] [--mends]"
  " [--reasons]\n                [-o OUT]\n\n"
  "Check the part-writing of FILE.\n\n"
  "  --profile P  how severely: strict (an examiner), common (unless given), free\n"
  "  --key KEY    read everything in KEY; otherwise the key is found\n"
  "  --as FORM    text (a line for every finding), or json\n"
  "  --mends      look for the least change that mends each finding\n"
  "  --reasons    say under each finding why it matters, and who says so; json always does\n"
  "  -o OUT       write to OUT instead of standard output\n\n"
  "Exit status 1 if there is an error; warnings and remarks alone do not count.\n";

typedef struct {
  const char* input;
  const char* output;
  QfProfile   profile;
  bool        has_key;
  QfKey       key;
  int         form; ///< Index in text_or_json
  bool        has_mends;
  bool        has_reasons;
} Options;

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  const Option list[] = {
    {"profile", take_profile, &options->profile},
    {"key", take_key, &options->key, &options->has_key},
    {"as", take_word, &options->form, .words = text_or_json},
    {"mends", take_flag, &options->has_mends},
    {"reasons", take_flag, &options->has_reasons},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early >= 0) {
    return early;
  }
  if (argc - first != 1) {
    return (int)usage_error(usage, "check takes one FILE");
  }
  options->input = argv[first];
  return -1;
}

/// Mends in the order of the findings (transfer full, or NULL)
static QfMend*
find_mends(const QfScore* const    score,
           const QfLabels* const   labels,
           const QfProfile         profile,
           const QfFindings* const findings)
{
  QfMend* const mends = (QfMend*)calloc(findings->n_findings + 1U, sizeof(QfMend));
  for (size_t i = 0; mends && i < findings->n_findings; ++i) {
    if (qf_find_mend(score, labels, profile, &findings->findings[i], &mends[i])) {
      free(mends);
      return NULL;
    }
  }
  return mends;
}

static QfExit
report(const QfLesson* const lesson, const QfLabels* const labels, const Options* const options)
{
  const QfScore* const score    = qf_lesson_get_score(lesson);
  QfFindings           findings = {0};
  QfError              error    = {0};
  if (qf_check(score, labels, options->profile, &findings, &error)) {
    return fail(&error, options->input);
  }

  QfMend* const mends =
    options->has_mends ? find_mends(score, labels, options->profile, &findings) : NULL;
  const Report view   = {score,         &findings, mends, options->profile, options->has_reasons,
                         options->input};
  char* const  text   = options->form ? findings_to_json(&view) : findings_to_lines(&view);
  QfExit       result = QF_EXIT_MACHINE;
  if (!text || (options->has_mends && !mends)) {
    qf_error_set(&error, QF_ERR_NO_MEM, "out of memory");
    result = fail(&error, options->input);
  } else {
    result = write_output(options->output, text, strlen(text));
    if (!result && qf_findings_count(&findings, QF_SEVERITY_ERROR)) {
      result = QF_EXIT_FINDINGS;
    }
  }
  free(text);
  free(mends);
  qf_findings_clear(&findings);
  return result;
}

QfExit
check_command(int argc, char** argv)
{
  Options   options = {.profile = QF_PROFILE_COMMON};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfLesson* lesson = NULL;
  QfExit    result = open_document(options.input, &lesson);
  if (result) {
    return result;
  }

  QfError               error  = {0};
  const QfLabels* const labels = options.has_key && qf_lesson_set_key(lesson, &options.key, &error)
                                   ? NULL
                                   : qf_lesson_get_labels(lesson);
  if (labels) {
    result = report(lesson, labels, &options);
  } else {
    if (!error.status) {
      qf_error_set(&error, QF_ERR_NO_MEM, "out of memory");
    }
    result = fail(&error, options.input);
  }
  qf_lesson_free(lesson);
  return result;
}
