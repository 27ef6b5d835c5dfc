// SPDX-License-Identifier: MIT
#include "quintfall/rules.h"

#include <json.h>

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

// Source: tests/data/references/partwriting_cases.json, 64 cases from IBMT, MT21C, OMT, Reger's
// modulations and common practice, with the complete findings under the rules of
// partwriting_profiles.json. Its "standard" is our common, its "relaxed" our free.

enum { MAX_CHORDS = 16, MAX_LINES = 64, LINE_SIZE = 96 };

static const char* const profile_keys[QF_PROFILE_N_KINDS] = {"strict", "standard", "relaxed"};
static const char* const voice_keys[QF_SATB]              = {"S", "A", "T", "B"};

typedef struct {
  size_t n_lines;
  char   lines[MAX_LINES][LINE_SIZE];
} Lines;

typedef struct {
  const char* id;
  QfKey       key;
  QfScore*    score;
  QfLink      links[MAX_CHORDS];
  size_t      n_links;
} Case;

static const char*
text_of(json_object* const object, const char* const member)
{
  return json_object_get_string(json_object_object_get(object, member));
}

static Case
read_case(json_object* const object, const QfInterval shift)
{
  Case         test = {.id = text_of(object, "id")};
  QfMetre      metre;
  char         name[32];
  QfNoteName   tonic  = {0, 0};
  const char*  mode   = text_of(object, "mode");
  json_object* chords = json_object_object_get(object, "chords");
  assert_int_equal(qf_note_name_parse(text_of(object, "key"), &tonic, NULL, NULL), QF_OK);
  assert_int_equal(qf_note_name_transpose(tonic, shift, &tonic), QF_OK);
  qf_note_name_write(tonic, name, sizeof(name));
  snprintf(name + strlen(name), sizeof(name) - strlen(name), " %s", mode);
  if (qf_key_parse(name, &test.key, NULL)) {
    return test; // More than seven signs: no such key
  }

  qf_metre(4, 4, &metre);
  test.n_links = json_object_array_length(chords);
  test.score   = qf_score_new_satb(test.key, metre, QF_TIME_ZERO, test.n_links / 4U + 1U);
  assert_non_null(test.score);
  for (size_t i = 0; i < test.n_links; ++i) {
    json_object* const chord = json_object_array_get_idx(chords, i);
    const QfTime       start = qf_time((int64_t)i, 4);
    test.links[i]            = (QfLink){.key = test.key, .start = start, .duration = qf_time(1, 4)};
    assert_int_equal(
      qf_numeral_parse(text_of(chord, "numeral"), test.key.mode, &test.links[i].numeral, NULL),
      QF_OK);
    for (size_t v = 0; v < QF_SATB; ++v) {
      QfPitch pitch = {0, 0, 0};
      assert_int_equal(qf_pitch_parse(text_of(chord, voice_keys[v]), &pitch, NULL), QF_OK);
      assert_int_equal(qf_pitch_transpose(pitch, shift, &pitch), QF_OK);
      assert_int_equal(
        qf_score_put_note(test.score, v, start, qf_time(1, 4), pitch, QF_NO_NOTE, NULL), QF_OK);
    }
  }
  return test;
}

static int
compare_lines(const void* const a, const void* const b)
{
  return strcmp((const char*)a, (const char*)b);
}

static void
add_line(Lines* const      lines,
         const char* const rule,
         const char* const voices,
         const int         from,
         const int         to,
         const char* const severity)
{
  assert_true(lines->n_lines < MAX_LINES);
  snprintf(lines->lines[lines->n_lines++], LINE_SIZE, "%s %s %d-%d %s", rule, voices, from, to,
           severity);
}

static Lines
expected_lines(json_object* const object, const QfProfile profile)
{
  Lines              lines  = {0};
  json_object* const expect = json_object_object_get(object, "expect");
  for (size_t i = 0; i < json_object_array_length(expect); ++i) {
    json_object* const item    = json_object_array_get_idx(expect, i);
    json_object* const members = json_object_object_get(item, "voices");
    const char* const  severity =
      text_of(json_object_object_get(item, "severity"), profile_keys[profile]);
    char voices[8] = "";
    for (size_t v = 0; v < json_object_array_length(members); ++v) {
      strcat(voices, json_object_get_string(json_object_array_get_idx(members, v)));
    }
    if (strcmp(severity, "off") != 0) {
      add_line(&lines, text_of(item, "rule"), voices,
               json_object_get_int(json_object_object_get(item, "from_chord")),
               json_object_get_int(json_object_object_get(item, "to_chord")), severity);
    }
  }
  qsort(lines.lines, lines.n_lines, LINE_SIZE, compare_lines);
  return lines;
}

/// Is it a rule the reference speaks about?
static bool
is_in_reference(json_object* const profiles, const char* const id)
{
  json_object* const rules = json_object_object_get(profiles, "rules");
  for (size_t i = 0; i < json_object_array_length(rules); ++i) {
    if (!strcmp(text_of(json_object_array_get_idx(rules, i), "rule"), id)) {
      return true;
    }
  }
  return false;
}

static int
chord_of_time(const QfTime time)
{
  return (int)(qf_time_to_double(time) * 4.0 + 0.5);
}

static Lines
found_lines(const Case* const test, const QfProfile profile, json_object* const profiles)
{
  Lines      lines    = {0};
  QfFindings findings = {0};
  assert_int_equal(
    qf_check_links(test->score, test->links, test->n_links, profile, &findings, NULL), QF_OK);
  for (size_t i = 0; i < findings.n_findings; ++i) {
    const QfFinding* const finding   = &findings.findings[i];
    const char* const      id        = qf_rule_get_text(finding->rule)->id;
    char                   voices[8] = "";
    for (size_t v = 0; v < finding->n_voices; ++v) {
      strcat(voices, voice_keys[finding->voices[v]]);
    }
    if (!profiles || is_in_reference(profiles, id)) {
      add_line(&lines, id, voices, chord_of_time(finding->from), chord_of_time(finding->to),
               qf_severity_name(finding->severity));
    }
  }
  qf_findings_clear(&findings);
  qsort(lines.lines, lines.n_lines, LINE_SIZE, compare_lines);
  return lines;
}

/// Names every difference; gives their number
static size_t
count_differences(const char* const  id,
                  const char* const  profile,
                  const Lines* const expected,
                  const Lines* const found)
{
  size_t n = 0;
  size_t e = 0;
  size_t f = 0;
  while (e < expected->n_lines || f < found->n_lines) {
    const int order = e == expected->n_lines ? 1
                      : f == found->n_lines  ? -1
                                             : strcmp(expected->lines[e], found->lines[f]);
    if (order) {
      print_error("%s, %s: %s %s\n", id, profile, order < 0 ? "missed" : "unexpected",
                  order < 0 ? expected->lines[e] : found->lines[f]);
      ++n;
    }
    e += order <= 0;
    f += order >= 0;
  }
  return n;
}

typedef struct {
  json_object* cases;
  json_object* profiles;
} Reference;

static int
open_reference(void** state)
{
  static Reference reference;
  reference.cases    = json_object_from_file(QF_TEST_DATA "/references/partwriting_cases.json");
  reference.profiles = json_object_from_file(QF_TEST_DATA "/references/partwriting_profiles.json");
  *state             = &reference;
  return reference.cases && reference.profiles ? 0 : -1;
}

static int
close_reference(void** state)
{
  Reference* const reference = (Reference*)*state;
  json_object_put(reference->cases);
  json_object_put(reference->profiles);
  return 0;
}

static void
test_all_cases_have_exactly_their_findings(void** state)
{
  const Reference* const reference = (const Reference*)*state;
  json_object* const     cases     = json_object_object_get(reference->cases, "cases");
  size_t                 n_wrong   = 0;
  assert_int_equal(json_object_array_length(cases), 64);
  for (size_t i = 0; i < json_object_array_length(cases); ++i) {
    json_object* const object = json_object_array_get_idx(cases, i);
    const Case         test   = read_case(object, (QfInterval){0, 0});
    for (int p = 0; p < QF_PROFILE_N_KINDS; ++p) {
      const Lines expected = expected_lines(object, (QfProfile)p);
      const Lines found    = found_lines(&test, (QfProfile)p, reference->profiles);
      n_wrong += count_differences(test.id, profile_keys[p], &expected, &found);
    }
    qf_score_free(test.score);
  }
  assert_int_equal(n_wrong, 0);
}

/// The rules' plain severities are those of the published profiles
static void
test_rules_have_the_profiles_severities(void** state)
{
  const Reference* const reference = (const Reference*)*state;
  json_object* const     rules     = json_object_object_get(reference->profiles, "rules");
  for (size_t i = 0; i < json_object_array_length(rules); ++i) {
    json_object* const item  = json_object_array_get_idx(rules, i);
    bool               found = false;
    for (int r = 0; r < QF_RULE_N_KINDS; ++r) {
      const QfRuleText* const rule = qf_rule_get_text((QfRule)r);
      if (strcmp(rule->id, text_of(item, "rule")) != 0) {
        continue;
      }
      found = true;
      for (int p = 0; p < QF_PROFILE_N_KINDS; ++p) {
        // The profile's text turns a leading tone that leaps off in relaxed, its own case
        // pub-contrary-octaves keeps a warning: the case is followed.
        const bool is_exception = r == QF_RULE_LEADING_TONE_RESOLUTION && p == QF_PROFILE_FREE;
        if (!is_exception &&
            strcmp(qf_severity_name(rule->severity[p]), text_of(item, profile_keys[p])) != 0) {
          fail_msg("%s is %s in %s", rule->id, qf_severity_name(rule->severity[p]),
                   profile_keys[p]);
        }
      }
    }
    if (!found) {
      fail_msg("no rule %s", text_of(item, "rule"));
    }
  }
}

/// Whatever is found is found in every key, ranges aside
static void
test_findings_do_not_depend_on_the_key(void** state)
{
  static const char* const intervals[] = {"m2", "M2", "m3", "M3", "P4", "-m2", "-M2", "-m3", "A1"};

  const Reference* const reference = (const Reference*)*state;
  json_object* const     cases     = json_object_object_get(reference->cases, "cases");
  size_t                 n_tried   = 0;
  for (size_t i = 0; i < json_object_array_length(cases); ++i) {
    json_object* const object = json_object_array_get_idx(cases, i);
    const Case         plain  = read_case(object, (QfInterval){0, 0});
    for (size_t k = 0; k < sizeof(intervals) / sizeof(intervals[0]); ++k) {
      QfInterval shift = {0, 0};
      assert_int_equal(qf_interval_parse(intervals[k], &shift, NULL), QF_OK);
      const Case moved = read_case(object, shift);
      for (int p = 0; moved.score && p < QF_PROFILE_N_KINDS; ++p) {
        Lines all[2] = {found_lines(&plain, (QfProfile)p, NULL),
                        found_lines(&moved, (QfProfile)p, NULL)};
        for (size_t a = 0; a < 2; ++a) { // Ranges do not move with the key
          Lines kept = {0};
          for (size_t n = 0; n < all[a].n_lines; ++n) {
            if (strncmp(all[a].lines[n], "range ", 6) != 0) {
              memcpy(kept.lines[kept.n_lines++], all[a].lines[n], LINE_SIZE);
            }
          }
          all[a] = kept;
        }
        assert_int_equal(count_differences(plain.id, intervals[k], &all[0], &all[1]), 0);
        ++n_tried;
      }
      qf_score_free(moved.score);
    }
    qf_score_free(plain.score);
  }
  assert_true(n_tried > 1000);
}

/// Errors found, as lines, in a passage
static Lines
errors_of(const Case* const test, const QfProfile profile)
{
  Lines       errors = {0};
  const Lines all    = found_lines(test, profile, NULL);
  for (size_t i = 0; i < all.n_lines; ++i) {
    if (strstr(all.lines[i], " error")) {
      memcpy(errors.lines[errors.n_lines++], all.lines[i], LINE_SIZE);
    }
  }
  return errors;
}

static bool
contains(const Lines* const lines, const char* const line)
{
  for (size_t i = 0; i < lines->n_lines; ++i) {
    if (!strcmp(lines->lines[i], line)) {
      return true;
    }
  }
  return false;
}

/// Every mend that is offered takes its finding away and adds no error
static void
test_mends_mend(void** state)
{
  const Reference* const reference = (const Reference*)*state;
  json_object* const     cases     = json_object_object_get(reference->cases, "cases");
  size_t                 n_errors  = 0;
  size_t                 n_mended  = 0;
  for (size_t i = 0; i < json_object_array_length(cases); ++i) {
    json_object* const object = json_object_array_get_idx(cases, i);
    const Case         test   = read_case(object, (QfInterval){0, 0});
    for (int p = 0; p < QF_PROFILE_N_KINDS; ++p) {
      QfFindings findings = {0};
      assert_int_equal(
        qf_check_links(test.score, test.links, test.n_links, (QfProfile)p, &findings, NULL), QF_OK);
      const Lines before = errors_of(&test, (QfProfile)p);
      for (size_t f = 0; f < findings.n_findings; ++f) {
        const QfFinding* const finding = &findings.findings[f];
        QfMend                 mend    = {0};
        assert_int_equal(
          qf_find_mend_links(test.score, test.links, test.n_links, (QfProfile)p, finding, &mend),
          QF_OK);
        n_errors += finding->severity == QF_SEVERITY_ERROR;
        if (!mend.n_changes) {
          continue;
        }
        n_mended += finding->severity == QF_SEVERITY_ERROR;
        Case mended  = test;
        mended.score = qf_score_dup(test.score);
        for (size_t c = 0; c < mend.n_changes; ++c) {
          assert_int_equal(
            qf_score_set_pitch(mended.score, mend.changes[c].note, mend.changes[c].pitch), QF_OK);
        }
        const Lines after = errors_of(&mended, (QfProfile)p);
        for (size_t n = 0; n < after.n_lines; ++n) {
          if (!contains(&before, after.lines[n])) {
            fail_msg("%s: mending \"%s\" adds %s", test.id, finding->text, after.lines[n]);
          }
        }
        QfFindings left = {0};
        assert_int_equal(
          qf_check_links(mended.score, mended.links, mended.n_links, (QfProfile)p, &left, NULL),
          QF_OK);
        for (size_t n = 0; n < left.n_findings; ++n) {
          const QfFinding* const other = &left.findings[n];
          if (other->rule == finding->rule && !qf_time_compare(other->to, finding->to) &&
              !qf_time_compare(other->from, finding->from) &&
              other->n_voices == finding->n_voices &&
              !memcmp(other->voices, finding->voices, sizeof(other->voices))) {
            fail_msg("%s: \"%s\" is still there", test.id, finding->text);
          }
        }
        qf_findings_clear(&left);
        qf_score_free(mended.score);
      }
      qf_findings_clear(&findings);
    }
    qf_score_free(test.score);
  }
  print_message("%zu of %zu errors have a mend of one or two notes\n", n_mended, n_errors);
  assert_true(2U * n_mended > n_errors);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_all_cases_have_exactly_their_findings),
    cmocka_unit_test(test_rules_have_the_profiles_severities),
    cmocka_unit_test(test_findings_do_not_depend_on_the_key),
    cmocka_unit_test(test_mends_mend),
  };
  return cmocka_run_group_tests(tests, open_reference, close_reference);
}
