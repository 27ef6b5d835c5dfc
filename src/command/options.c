// SPDX-License-Identifier: MIT
#include "options.h"

#include "quintfall/rules.h"
#include "quintfall/text.h"

#include <assert.h>
#include <errno.h>
#include <getopt.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char* const text_or_json[] = {"text", "json", NULL};

QfStatus
take_flag(const Option* const option, const char* const text, QfError* const error)
{
  (void)text;
  (void)error;
  *(bool*)option->target = true;
  return QF_OK;
}

QfStatus
take_text(const Option* const option, const char* const text, QfError* const error)
{
  (void)error;
  *(const char**)option->target = text;
  return QF_OK;
}

QfStatus
take_texts(const Option* const option, const char* const text, QfError* const error)
{
  Texts* const texts = (Texts*)option->target;
  if (texts->n_texts == MAX_TEXTS) {
    return qf_error_set(error, QF_ERR_RANGE, "can be given %d times at most", MAX_TEXTS);
  }
  texts->texts[texts->n_texts++] = text;
  return QF_OK;
}

/// Read a number within the option's bounds
static bool
parse_number(const Option* const option, const char* const text, double* const result)
{
  char* end = NULL;
  *result   = strtod(text, &end);
  return end != text && !*end && *result >= option->low && *result <= option->high;
}

QfStatus
take_number(const Option* const option, const char* const text, QfError* const error)
{
  double value = 0.0;
  if (!parse_number(option, text, &value)) {
    return qf_error_set(error, QF_ERR_RANGE, "expected a number from %g to %g, not \"%.40s\"",
                        option->low, option->high, text);
  }
  *(double*)option->target = value;
  return QF_OK;
}

QfStatus
take_whole(const Option* const option, const char* const text, QfError* const error)
{
  double value = 0.0;
  if (!parse_number(option, text, &value) || value != (double)(int)value) {
    return qf_error_set(error, QF_ERR_RANGE, "expected a whole number from %g to %g, not \"%.40s\"",
                        option->low, option->high, text);
  }
  *(int*)option->target = (int)value;
  return QF_OK;
}

QfStatus
take_seed(const Option* const option, const char* const text, QfError* const error)
{
  char* end = NULL;
  errno     = 0;

  const unsigned long long seed = strtoull(text, &end, 10);
  if (strspn(text, "0123456789") != strlen(text) || end == text || errno == ERANGE) {
    return qf_error_set(error, QF_ERR_RANGE, "expected a whole number below 2^64, not \"%.40s\"",
                        text);
  }
  *(uint64_t*)option->target = seed;
  return QF_OK;
}

/// Add "text, romantext or json"
static void
add_words(QfText* const out, const char* const* const words)
{
  for (size_t i = 0; words[i]; ++i) {
    qf_text_addf(out, "%s%s", !i ? "" : words[i + 1U] ? ", " : " or ", words[i]);
  }
}

QfStatus
take_word(const Option* const option, const char* const text, QfError* const error)
{
  for (int i = 0; option->words[i]; ++i) {
    if (!strcmp(text, option->words[i])) {
      *(int*)option->target = i;
      return QF_OK;
    }
  }

  QfText words = {0};
  add_words(&words, option->words);
  const QfStatus st = qf_error_set(error, QF_ERR_BAD_TEXT, "expected %s, not \"%.40s\"",
                                   words.data ? words.data : "another word", text);
  qf_text_free(&words);
  return st;
}

QfStatus
take_key(const Option* const option, const char* const text, QfError* const error)
{
  return qf_key_parse(text, (QfKey*)option->target, error);
}

QfStatus
take_metre(const Option* const option, const char* const text, QfError* const error)
{
  return qf_metre_parse(text, (QfMetre*)option->target, error);
}

QfStatus
take_profile(const Option* const option, const char* const text, QfError* const error)
{
  return qf_profile_parse(text, (QfProfile*)option->target, error);
}

QfExit
usage_error(const char* const usage, const char* const format, ...)
{
  // How it is called is enough: all of the help would hide what is wrong.
  const char* const help = strstr(usage, "\n\n");
  va_list           args;
  va_start(args, format);
  fprintf(stderr, "qf: ");
  vfprintf(stderr, format, args);
  fprintf(stderr, "\n%.*s\n--help tells more.\n", help ? (int)(help - usage) : (int)strlen(usage),
          usage);
  va_end(args);
  return QF_EXIT_INPUT;
}

/// Hand what was given to the option; false after a complaint
static bool
take(const Option* const option, const char* const text)
{
  char    name[48];
  QfError error = {0};
  if (option->take(option, text, &error)) {
    snprintf(name, sizeof(name), "--%s", option->name);
    fail(&error, name);
    return false;
  }
  if (option->is_given) {
    *option->is_given = true;
  }
  return true;
}

enum { FIRST_VALUE = 256 }; // Of the options for getopt_long(), above every letter

/// The options as getopt_long() wants them
static void
list_options(const OptionTable table, struct option* const list)
{
  for (size_t i = 0; i < table.n_options; ++i) {
    const Option* const option = &table.options[i];
    list[i]                    = (struct option){
                         .name    = option->name,
                         .has_arg = option->take == take_flag ? no_argument
                                    : option->is_optional     ? optional_argument
                                                              : required_argument,
                         .val     = FIRST_VALUE + (int)i,
    };
  }
  list[table.n_options]      = (struct option){.name = "help", .has_arg = no_argument, .val = 'h'};
  list[table.n_options + 1U] = (struct option){0};
}

static const Option*
find_output(const OptionTable table)
{
  for (size_t i = 0; i < table.n_options; ++i) {
    if (!strcmp(table.options[i].name, "output")) {
      return &table.options[i];
    }
  }
  return NULL;
}

/// Complain of what getopt_long() did not understand
static QfExit
refuse(char* const* const argv, const char* const usage)
{
  if (optopt >= FIRST_VALUE) {
    return usage_error(usage, "%s: this option takes no value", argv[optind - 1]);
  }
  if (optopt) {
    return usage_error(usage, "-%c is no option of %s", optopt, argv[0]);
  }
  return usage_error(usage, "%s is no option of %s, or short for several", argv[optind - 1],
                     argv[0]);
}

int
read_options(int argc, char** argv, const OptionTable table, int* const first)
{
  struct option list[MAX_OPTIONS + 2];
  assert(table.n_options <= MAX_OPTIONS);
  list_options(table, list);

  const Option* const output = find_output(table);
  opterr                     = 0;
  for (int c = 0; (c = getopt_long(argc, argv, output ? ":ho:" : ":h", list, NULL)) != -1;) {
    if (c == 'h') {
      return (int)write_output(NULL, table.usage, strlen(table.usage));
    }
    if (c == ':') {
      return (int)usage_error(table.usage, "%s takes a value", argv[optind - 1]);
    }
    if (c == '?') {
      return (int)refuse(argv, table.usage);
    }
    if (!take(c == 'o' ? output : &table.options[c - FIRST_VALUE], optarg)) {
      return QF_EXIT_INPUT;
    }
  }

  *first = optind;
  return -1;
}
