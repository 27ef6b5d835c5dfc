// SPDX-License-Identifier: MIT
#include "lesson_support.h"

#include "quintfall/plan.h"
#include "quintfall/plan_shelf.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

/// A pattern and its tones as "start-end:degree", in beats, worked out by hand
typedef struct {
  const char* text;
  QfStatus    status;
  const char* tones;
  const char* length;
} PatternCase;

// Rules: qf_pattern_parse() in plan.h.
static const PatternCase patterns[] = {
  {"1 3 5 8", QF_OK, "0-1:1 1-2:3 2-3:5 3-4:1'", "4"},
  {"  -5  | -b6\t#4 ", QF_OK, "0-1:5, 1-2:6b, 2-3:4#", "3"},
  {"--1 15 9", QF_OK, "0-1:1,, 1-2:1'' 2-3:2'", "3"},
  {"1+3+5:2 r _ 7", QF_OK, "0-2:1 0-2:3 0-2:5 4-5:7", "5"},
  {"1:1/2 2:3/4 r:1/4 3 _ _", QF_OK, "0-1/2:1 1/2-5/4:2 3/2-9/2:3", "9/2"},
  {"_ 1+-5 _", QF_OK, "1-3:1 1-3:5,", "3"},
  {"bb7", QF_OK, "0-1:7bb", "1"},
  {"", QF_ERR_BAD_TEXT, "", ""},
  {" | r", QF_ERR_BAD_TEXT, "", ""},
  {"1 x", QF_ERR_BAD_TEXT, "", ""},
  {"1,3", QF_ERR_BAD_TEXT, "", ""},
  {"1+", QF_ERR_BAD_TEXT, "", ""},
  {"+1", QF_ERR_BAD_TEXT, "", ""},
  {"#b3", QF_ERR_BAD_TEXT, "", ""},
  {"0", QF_ERR_RANGE, "", ""},
  {"16", QF_ERR_RANGE, "", ""},
  {"###1", QF_ERR_RANGE, "", ""},
  {"1:0", QF_ERR_RANGE, "", ""},
  {"1:1/0", QF_ERR_RANGE, "", ""},
  {"1:", QF_ERR_RANGE, "", ""},
  {"1:64 1:64 1:64 1:64 1:64 1:64 1:64 1:64 1", QF_ERR_RANGE, "", ""},
};

static void
write_pattern(const QfPattern* const pattern, char* const buffer, const size_t size)
{
  size_t length = 0;
  buffer[0]     = '\0';
  for (size_t i = 0; i < pattern->n_tones; ++i) {
    const QfPatternTone* const tone = &pattern->tones[i];
    char                       start[48];
    char                       end[48];
    qf_time_write(tone->start, start, sizeof(start));
    qf_time_write(qf_time_add(tone->start, tone->duration), end, sizeof(end));
    length += (size_t)snprintf(buffer + length, size - length, "%s%s-%s:%d", i ? " " : "", start,
                               end, tone->degree);
    for (int n = 0; n < abs(tone->alter); ++n) {
      length += (size_t)snprintf(buffer + length, size - length, tone->alter > 0 ? "#" : "b");
    }
    for (int n = 0; n < abs(tone->octave); ++n) {
      length += (size_t)snprintf(buffer + length, size - length, tone->octave > 0 ? "'" : ",");
    }
  }
}

static void
test_patterns_are_read(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(patterns) / sizeof(patterns[0]); ++i) {
    const PatternCase* const row = &patterns[i];
    QfPattern                pattern;
    QfError                  error = {0};
    const QfStatus           st    = qf_pattern_parse(row->text, &pattern, &error);
    if (st != row->status || (st && !error.text[0])) {
      fail_msg("\"%s\": %s", row->text, qf_status_text(st));
    }
    if (!st) {
      char tones[512];
      char length[48];
      write_pattern(&pattern, tones, sizeof(tones));
      qf_time_write(pattern.length, length, sizeof(length));
      if (strcmp(tones, row->tones) || strcmp(length, row->length)) {
        fail_msg("\"%s\": %s, %s beats; expected %s, %s beats", row->text, tones, length,
                 row->tones, row->length);
      }
    }
  }
}

static void
test_a_pattern_is_bounded(void** state)
{
  (void)state;
  char text[QF_PATTERN_MAX_TONES * 8 + 8] = "";
  for (int i = 0; i < QF_PATTERN_MAX_TONES; ++i) {
    strcat(text, "1:1/8 ");
  }
  QfPattern pattern;
  assert_int_equal(qf_pattern_parse(text, &pattern, NULL), QF_OK);
  strcat(text, "1");
  assert_int_equal(qf_pattern_parse(text, &pattern, NULL), QF_ERR_RANGE);
}

static void
test_the_offset_of_a_fault_is_told(void** state)
{
  (void)state;
  QfPattern pattern;
  QfError   error = {0};
  assert_int_equal(qf_pattern_parse("1 3 sol 5", &pattern, &error), QF_ERR_BAD_TEXT);
  assert_int_equal(error.offset, 4);
  assert_non_null(strstr(error.text, "\"sol\""));
}

static void
test_every_ready_prelude_can_be_read(void** state)
{
  (void)state;
  for (int kind = 0; kind < QF_PRELUDE_OWN; ++kind) {
    for (int mode = QF_MAJOR; mode <= QF_MINOR; ++mode) {
      QfPattern pattern;
      assert_int_equal(qf_pattern_parse(qf_prelude_pattern((QfPreludeKind)kind, (QfMode)mode, "x"),
                                        &pattern, NULL),
                       QF_OK);
    }
  }
  assert_string_equal(qf_prelude_pattern(QF_PRELUDE_OWN, QF_MAJOR, "5 1"), "5 1");
}

/// Steps as letters, and the hearing each belongs to
typedef struct {
  const char* steps;
  const char* hearings;
} HearingCase;

// k prelude, c count-in, P pass, s silence, g sung gap, t title. Rule: qf_plan_hearing_of().
static const HearingCase hearing_cases[] = {
  {"kcPs", "0000"},       {"PsP", "001"},         {"kcPstcPs", "00001111"}, {"PstscPs", "0011111"},
  {"PcgstcP", "0000111"}, {"PtgsktP", "0000111"}, {"PPP", "012"},           {"stk", "000"},
  {"Pskt", "0000"},       {"sPsPst", "000111"},
};

static QfPlan*
plan_of(const char* const letters)
{
  static const char kinds[] = "kcPsgt";
  QfPlan* const     plan    = qf_plan_new("Test");
  assert_non_null(plan);
  for (size_t i = 0; letters[i]; ++i) {
    const QfStepKind kind = (QfStepKind)(strchr(kinds, letters[i]) - kinds);
    assert_int_equal(qf_plan_insert_step(plan, SIZE_MAX, qf_plan_step_default(kind)), QF_OK);
  }
  return plan;
}

static void
test_steps_belong_to_hearings(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(hearing_cases) / sizeof(hearing_cases[0]); ++i) {
    const HearingCase* const row                          = &hearing_cases[i];
    char                     found[QF_PLAN_MAX_STEPS + 1] = "";
    QfPlan* const            plan                         = plan_of(row->steps);
    for (size_t n = 0; n < qf_plan_n_steps(plan); ++n) {
      found[n] = (char)('0' + qf_plan_hearing_of(plan, n));
    }
    if (strcmp(found, row->hearings)) {
      fail_msg("%s: %s; expected %s", row->steps, found, row->hearings);
    }
    qf_plan_free(plan);
  }
}

/// First letters of the kinds
static void
write_kinds(const QfPlan* const plan, char buffer[QF_PLAN_MAX_STEPS + 1])
{
  size_t i = 0;
  for (; i < qf_plan_n_steps(plan); ++i) {
    buffer[i] = "kcPsgt"[qf_plan_get_step(plan, i)->kind];
  }
  buffer[i] = '\0';
}

static void
test_steps_move(void** state)
{
  (void)state;
  char          kinds[QF_PLAN_MAX_STEPS + 1];
  QfPlan* const plan = plan_of("kcPsgt");
  QfPlan* const copy = qf_plan_dup(plan);
  assert_true(qf_plan_equals(plan, copy));

  qf_plan_move_step(plan, 0, 2);
  write_kinds(plan, kinds);
  assert_string_equal(kinds, "cPksgt");
  assert_false(qf_plan_equals(plan, copy));
  qf_plan_move_step(plan, 5, 0);
  write_kinds(plan, kinds);
  assert_string_equal(kinds, "tcPksg");
  qf_plan_move_step(plan, 0, 6); // No such place
  qf_plan_remove_step(plan, 9);
  qf_plan_remove_step(plan, 2);
  write_kinds(plan, kinds);
  assert_string_equal(kinds, "tcksg");
  assert_int_equal(qf_plan_insert_step(plan, 2, qf_plan_step_default(QF_STEP_PASS)), QF_OK);
  write_kinds(plan, kinds);
  assert_string_equal(kinds, "tcPksg");

  while (qf_plan_n_steps(plan) < QF_PLAN_MAX_STEPS) {
    assert_int_equal(qf_plan_insert_step(plan, 0, qf_plan_step_default(QF_STEP_TITLE)), QF_OK);
  }
  assert_int_equal(qf_plan_insert_step(plan, 0, qf_plan_step_default(QF_STEP_TITLE)), QF_ERR_RANGE);
  qf_plan_free(copy);
  qf_plan_free(plan);
}

static void
test_values_are_clamped(void** state)
{
  (void)state;
  QfPlanStep step           = qf_plan_step_default(QF_STEP_PASS);
  step.pass.forward         = (QfForwardKind)17;
  step.pass.voices          = UINT32_MAX;
  step.pass.tempo_factor    = NAN;
  step.pass.from            = (QfTime){-1, 4};
  step.pass.to              = (QfTime){1, 0};
  step.pass.repeats         = 99;
  step.pass.gap             = (QfLength){1e9, (QfLengthUnit)5};
  step.pass.forward_gain_db = 40.0;
  step.pass.softening_db    = -1.0;
  step.pass.lead_ms         = 500.0;
  step.pass.program         = -7;
  step.pass.forward_program = 300;
  const QfPassStep pass     = qf_plan_step_clamp(step).pass;
  assert_int_equal(pass.forward, QF_FORWARD_ALL);
  assert_true(pass.tempo_factor == 0.25 && pass.from.num == 0 && pass.to.den == 1);
  assert_true(pass.repeats == 20 && pass.gap.amount == 600.0 && pass.gap.unit == QF_UNIT_BEATS);
  assert_true(pass.forward_gain_db == 9.0 && pass.softening_db == 0.0 && pass.lead_ms == 80.0);
  assert_true(pass.program == QF_PROGRAM_SAME && pass.forward_program == 127);
  assert_int_equal(pass.voices & QF_VOICE_BIT(24), 0);

  // A text is cut before a character that does not fit whole.
  QfPlanStep title = qf_plan_step_default(QF_STEP_TITLE);
  memset(title.title.text, 'x', sizeof(title.title.text) - 2);
  memcpy(title.title.text + sizeof(title.title.text) - 2, "\xC3\xA9", 2);
  title = qf_plan_step_clamp(title);
  assert_int_equal(strlen(title.title.text), sizeof(title.title.text) - 2);
}

typedef struct {
  uint32_t    voices;
  size_t      n_voices;
  uint32_t    resolved;
  const char* words;
} VoicesCase;

static const VoicesCase voices_cases[] = {
  {QF_VOICE_BIT(QF_VOICE_LOWEST), 4, 8, "bass"},
  {QF_VOICE_BIT(QF_VOICE_LOWEST), 2, 2, "bass"},
  {QF_VOICE_BIT(QF_VOICE_LOWEST), 0, 0, "bass"},
  {QF_VOICE_BIT(QF_VOICE_LOWEST) | 1, 4, 9, "soprano and bass"},
  {7, 4, 7, "soprano, alto and tenor"},
  {4, 2, 0, "tenor"},
  {QF_VOICE_BIT(4), 5, QF_VOICE_BIT(4), "voice 5"},
  {0, 4, 0, "no voice"},
};

static void
test_voices_are_named_and_found(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(voices_cases) / sizeof(voices_cases[0]); ++i) {
    const VoicesCase* const row = &voices_cases[i];
    char                    words[QF_VOICES_TEXT_SIZE];
    qf_voices_write(row->voices, words, sizeof(words));
    assert_string_equal(words, row->words);
    assert_int_equal(qf_voices_resolve(row->voices, row->n_voices), row->resolved);
  }
  for (uint8_t voice = 0; voice <= QF_VOICE_LOWEST; voice = voice == 23 ? 31 : voice + 1) {
    char    name[16];
    uint8_t read = 99;
    qf_voice_write(voice, name, sizeof(name));
    assert_int_equal(qf_voice_parse(name, &read, NULL), QF_OK);
    assert_int_equal(read, voice);
  }
}

/// A plan in which nothing is as it is by default
static QfPlan*
new_full_plan(void)
{
  QfPlan* const plan = plan_of("kcPsgtP");
  QfPlanStep    step = *qf_plan_get_step(plan, 0);
  step.prelude       = (QfPreludeStep){QF_PRELUDE_OWN, 72.5, 19, "1 3 5 | -7+#4:1/2"};
  qf_plan_set_step(plan, 0, step);
  step               = *qf_plan_get_step(plan, 1);
  step.count_in.bars = 2;
  qf_plan_set_step(plan, 1, step);
  step      = *qf_plan_get_step(plan, 2);
  step.pass = (QfPassStep){.forward         = QF_FORWARD_VOICE,
                           .voices          = QF_VOICE_BIT(QF_VOICE_LOWEST) | QF_VOICE_BIT(6) | 1,
                           .tempo_factor    = 0.85,
                           .from            = {3, 8},
                           .to              = {7, 4},
                           .repeats         = 3,
                           .gap             = {2.5, QF_UNIT_SECONDS},
                           .forward_gain_db = 3.5,
                           .softening_db    = 11.0,
                           .lead_ms         = 25.0,
                           .program         = 52,
                           .forward_program = 68};
  qf_plan_set_step(plan, 2, step);
  step                = *qf_plan_get_step(plan, 3);
  step.silence.length = (QfLength){7.0, QF_UNIT_BEATS};
  qf_plan_set_step(plan, 3, step);
  step          = *qf_plan_get_step(plan, 4);
  step.sung_gap = (QfSungGapStep){1, {12.0, QF_UNIT_BEATS}, 0.9, {1, 4}, {1, 2}};
  qf_plan_set_step(plan, 4, step);
  step       = *qf_plan_get_step(plan, 5);
  step.title = (QfTitleStep){"\xE2\x99\xAD \"two\"", "spoken/second hearing.ogg"};
  qf_plan_set_step(plan, 5, step);
  step                = *qf_plan_get_step(plan, 6);
  step.pass.forward   = QF_FORWARD_QUALITY;
  step.pass.is_spread = true;
  qf_plan_set_step(plan, 6, step);
  return plan;
}

static void
test_a_plan_survives_its_file(void** state)
{
  (void)state;
  char      path[] = "/tmp/qf-plan-XXXXXX";
  const int file   = mkstemp(path);
  assert_true(file >= 0);
  close(file);

  for (size_t i = 0; i <= qf_n_ready_plans(); ++i) {
    QfPlan* const plan  = i < qf_n_ready_plans() ? qf_ready_plan_new(i) : new_full_plan();
    QfPlan*       read  = NULL;
    QfError       error = {0};
    assert_int_equal(qf_plan_save(plan, path, &error), QF_OK);
    if (qf_plan_load(path, &read, &error)) {
      fail_msg("%s", error.text);
    }
    assert_true(qf_plan_equals(plan, read));
    qf_plan_free(read);
    qf_plan_free(plan);
  }
  unlink(path);

  QfPlan* none = NULL;
  assert_int_equal(qf_plan_load("/nonexistent/plan.json", &none, NULL), QF_ERR_IO);
  assert_null(none);
}

static void
test_a_lesson_keeps_its_plan(void** state)
{
  (void)state;
  QfMetre       metre = {0};
  const QfKey   key   = {{0, 0}, QF_MAJOR};
  QfPlan* const plan  = new_full_plan();
  assert_int_equal(qf_metre(4, 4, &metre), QF_OK);
  QfLesson* const lesson = qf_lesson_new(key, metre, QF_TIME_ZERO, 2);
  assert_non_null(lesson);
  assert_null(qf_lesson_get_plan(lesson));

  assert_int_equal(qf_lesson_set_plan(lesson, plan, NULL), QF_OK);
  assert_true(qf_plan_equals(qf_lesson_get_plan(lesson), plan));
  assert_string_equal(qf_lesson_get_undo_name(lesson), "Change the hearing plan");
  char* json = NULL;
  assert_int_equal(qf_lesson_to_json(lesson, &json, NULL), QF_OK);
  QfLesson* const read = lesson_of_json(json);
  assert_true(qf_plan_equals(qf_lesson_get_plan(read), plan));
  char* again = NULL;
  assert_int_equal(qf_lesson_to_json(read, &again, NULL), QF_OK);
  assert_string_equal(json, again);

  assert_int_equal(qf_lesson_set_plan(lesson, NULL, NULL), QF_OK);
  assert_null(qf_lesson_get_plan(lesson));
  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  assert_true(qf_plan_equals(qf_lesson_get_plan(lesson), plan));
  assert_int_equal(qf_lesson_undo(lesson), QF_OK);
  assert_null(qf_lesson_get_plan(lesson));
  assert_int_equal(qf_lesson_redo(lesson), QF_OK);
  assert_non_null(qf_lesson_get_plan(lesson));

  free(again);
  free(json);
  qf_lesson_free(read);
  qf_lesson_free(lesson);
  qf_plan_free(plan);
}

// Rule: design.md, 6: unknown members are kept on saving. What a later version may write: members
// of a plan, of a step and of a length, and a kind of step.
static const char newer_plan[] =
  "{\"format\": \"quintfall-plan\", \"version\": 1, \"name\": \"Later\", \"room\": [1, 2.50], "
  "\"steps\": [{\"step\": \"prelude\", \"hush\": null}, "
  "{\"step\": \"lights\", \"dim\": {\"to\": 0.5, \"beats\": 2}, \"kind\": \"slow\"}, "
  "{\"step\": \"pass\", \"gap\": {\"seconds\": 2, \"fade\": true}, \"pan\": -0.25}]}";

static QfPlan*
plan_of_json(const char* const json)
{
  QfPlan* plan  = NULL;
  QfError error = {0};
  if (qf_plan_from_json(json, strlen(json), &plan, &error)) {
    fail_msg("%s", error.text);
  }
  return plan;
}

static void
assert_kept(const char* const json, const char* const words)
{
  if (!strstr(json, words)) {
    fail_msg("%s is lost:\n%s", words, json);
  }
}

static void
test_what_a_newer_plan_has_is_kept(void** state)
{
  (void)state;
  QfPlan* const plan = plan_of_json(newer_plan);
  char          words[QF_SUMMARY_SIZE];
  assert_int_equal(qf_plan_n_steps(plan), 3);
  assert_int_equal(qf_plan_get_step(plan, 1)->kind, QF_STEP_OTHER);
  qf_plan_step_describe(qf_plan_get_step(plan, 1), words, sizeof(words));
  assert_non_null(strstr(words, "lights"));

  // It goes with its step, through edits, copies, and a lesson that is saved and undone.
  QfPlanStep pass   = *qf_plan_get_step(plan, 2);
  pass.pass.repeats = 3;
  pass.pass.gap     = (QfLength){5.0, QF_UNIT_BEATS};
  qf_plan_set_step(plan, 2, pass);
  qf_plan_move_step(plan, 2, 0);
  assert_int_equal(qf_plan_insert_step(plan, 1, qf_plan_step_default(QF_STEP_SILENCE)), QF_OK);
  QfPlan* const copy = qf_plan_dup(plan);
  assert_true(qf_plan_equals(copy, plan));
  QfLesson* const lesson = small_lesson();
  assert_int_equal(qf_lesson_set_plan(lesson, copy, NULL), QF_OK);
  char* const     saved = json_of(lesson);
  QfLesson* const read  = lesson_of_json(saved);
  assert_true(qf_plan_equals(qf_lesson_get_plan(read), plan));

  char* json = NULL;
  assert_int_equal(qf_plan_to_json(qf_lesson_get_plan(read), &json, NULL), QF_OK);
  assert_kept(json, "\"room\": [1, 2.50]");
  assert_kept(json, "\"hush\": null");
  assert_kept(json, "{\"step\": \"lights\", \"dim\": {\"to\": 0.5, \"beats\": 2}, "
                    "\"kind\": \"slow\"}");
  assert_kept(json, "\"gap\": {\"beats\": 5, \"fade\": true}");
  assert_kept(json, "\"pan\": -0.25");
  assert_true(strstr(json, "-0.25") < strstr(json, "hush")); // The pass had gone first

  qf_plan_remove_step(plan, 0);
  assert_false(qf_plan_equals(copy, plan));
  free(json);
  free(saved);
  qf_lesson_free(read);
  qf_lesson_free(lesson);
  qf_plan_free(copy);
  qf_plan_free(plan);
}

typedef struct {
  const char* steps;
  const char* words; ///< Must occur in the message
} BadPlan;

static const BadPlan bad_plans[] = {
  {"7", "steps: expected a list"},
  {"[3]", "steps[0]: expected an object"},
  {"[{}]", "steps[0].step: expected a text"},
  {"[{\"step\": \"a step whose word is far longer than any version would have it\"}]",
   "steps[0].step"},
  {"[{\"step\": \"pass\", \"voices\": [\"tuba\"]}]", "steps[0].voices"},
  {"[{\"step\": \"title\"}, {\"step\": \"pass\", \"gap\": {\"bars\": 2}}]", "steps[1].gap"},
  {"[{\"step\": \"pass\", \"repeats\": 0}]", "1 to 20"},
  {"[{\"step\": \"silence\", \"length\": {\"seconds\": -1}}]", "steps[0].length.seconds"},
  {"[{\"step\": \"prelude\", \"kind\": \"fugue\"}]", "\"drone\""},
};

static void
test_faults_in_a_plan_are_placed(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bad_plans) / sizeof(bad_plans[0]); ++i) {
    char    json[512];
    QfPlan* plan  = NULL;
    QfError error = {0};
    snprintf(json, sizeof(json),
             "{\"format\": \"quintfall-plan\", \"version\": 1, \"name\": \"x\", \"steps\": %s}",
             bad_plans[i].steps);
    assert_int_equal(qf_plan_from_json(json, strlen(json), &plan, &error), QF_ERR_BAD_FILE);
    assert_null(plan);
    if (!strstr(error.text, bad_plans[i].words)) {
      fail_msg("%s: %s; expected %s", bad_plans[i].steps, error.text, bad_plans[i].words);
    }
  }
}

static void
test_ready_plans_have_what_they_promise(void** state)
{
  (void)state;
  assert_true(qf_n_ready_plans() >= 4);
  for (size_t i = 0; i < qf_n_ready_plans(); ++i) {
    QfPlan* const plan = qf_ready_plan_new(i);
    assert_non_null(plan);
    assert_true(qf_plan_n_hearings(plan) >= 2);
    assert_true(qf_plan_get_name(plan)[0]);
    assert_true(qf_ready_plan_purpose(i)[0]);

    // The key is set before anything is heard.
    size_t first = 0;
    while (qf_plan_get_step(plan, first)->kind == QF_STEP_TITLE) {
      ++first;
    }
    assert_int_equal(qf_plan_get_step(plan, first)->kind, QF_STEP_PRELUDE);
    for (size_t n = 0; n < qf_plan_n_steps(plan); ++n) {
      char words[QF_SUMMARY_SIZE];
      qf_plan_step_describe(qf_plan_get_step(plan, n), words, sizeof(words));
      assert_true(words[0]);
    }
    qf_plan_free(plan);
  }
}

static void
keep(const char* const folder, const char* const name, const size_t ready)
{
  QfPlan* const plan = qf_ready_plan_new(ready);
  qf_plan_set_name(plan, name);
  assert_int_equal(qf_plan_shelf_keep(folder, plan, NULL), QF_OK);
  qf_plan_free(plan);
}

static void
test_own_plans_are_kept_and_found(void** state)
{
  (void)state;
  char root[] = "/tmp/qf-shelf-XXXXXX";
  assert_non_null(mkdtemp(root));
  setenv("XDG_DATA_HOME", root, 1);
  char* const folder = qf_plan_shelf_folder();
  assert_non_null(strstr(folder, root));

  QfPlanShelf shelf = {0};
  assert_int_equal(qf_plan_shelf_read(folder, &shelf), QF_OK); // Not there yet
  assert_int_equal(shelf.n_plans, 0);

  keep(folder, "Tuesday/2", 0);
  keep(folder, "tuesday 2", 1); // The same stem, another plan
  keep(folder,
       "\xC3\x9C"
       "bung",
       2);
  keep(folder, "Tuesday/2", 3); // In place of the first
  assert_int_equal(qf_plan_shelf_read(folder, &shelf), QF_OK);
  assert_int_equal(shelf.n_plans, 3);
  assert_string_equal(shelf.plans[0].name, "tuesday 2");
  assert_string_equal(shelf.plans[1].name, "Tuesday/2");
  qf_plan_shelf_clear(&shelf);

  QfPlan*       found = NULL;
  QfPlan* const third = qf_ready_plan_new(3);
  qf_plan_set_name(third, "Tuesday/2");
  assert_int_equal(qf_plan_find(folder, "TUESDAY/2", &found, NULL), QF_OK);
  assert_true(qf_plan_equals(found, third));
  qf_plan_free(found);
  qf_plan_free(third);
  assert_int_equal(qf_plan_find(folder, "quick check", &found, NULL), QF_OK); // A ready one
  qf_plan_free(found);

  QfError error = {0};
  assert_int_equal(qf_plan_find(folder, "Nobody's", &found, &error), QF_ERR_IO);
  assert_non_null(strstr(error.text, "Nobody's"));
  assert_int_equal(qf_plan_shelf_remove(folder, "Nobody's", &error), QF_ERR_IO);

  // Another name, but neither none nor that of another plan, whatever its case.
  assert_int_equal(qf_plan_shelf_rename(folder, "Nobody's", "x", &error), QF_ERR_IO);
  assert_int_equal(qf_plan_shelf_rename(folder, "Tuesday/2", "", &error), QF_ERR_RANGE);
  assert_int_equal(qf_plan_shelf_rename(folder, "Tuesday/2", "TUESDAY 2", &error), QF_ERR_RANGE);
  assert_int_equal(qf_plan_shelf_rename(folder, "tuesday 2", "Tuesday 2", &error), QF_OK);
  assert_int_equal(qf_plan_shelf_rename(folder, "Tuesday/2", "Friday", &error), QF_OK);
  assert_int_equal(qf_plan_shelf_read(folder, &shelf), QF_OK);
  assert_int_equal(shelf.n_plans, 3);
  assert_string_equal(shelf.plans[0].name, "Friday");
  assert_string_equal(shelf.plans[1].name, "Tuesday 2");
  qf_plan_shelf_clear(&shelf);
  const char* const names[] = {"tuesday 2", "Friday",
                               "\xC3\x9C"
                               "bung"};
  for (size_t i = 0; i < 3; ++i) {
    assert_int_equal(qf_plan_shelf_remove(folder, names[i], &error), QF_OK);
  }
  assert_int_equal(rmdir(folder), 0); // Nothing is left behind
  free(folder);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_patterns_are_read),
    cmocka_unit_test(test_a_pattern_is_bounded),
    cmocka_unit_test(test_the_offset_of_a_fault_is_told),
    cmocka_unit_test(test_every_ready_prelude_can_be_read),
    cmocka_unit_test(test_steps_belong_to_hearings),
    cmocka_unit_test(test_steps_move),
    cmocka_unit_test(test_values_are_clamped),
    cmocka_unit_test(test_voices_are_named_and_found),
    cmocka_unit_test(test_a_plan_survives_its_file),
    cmocka_unit_test(test_a_lesson_keeps_its_plan),
    cmocka_unit_test(test_what_a_newer_plan_has_is_kept),
    cmocka_unit_test(test_faults_in_a_plan_are_placed),
    cmocka_unit_test(test_own_plans_are_kept_and_found),
    cmocka_unit_test(test_ready_plans_have_what_they_promise),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
