// SPDX-License-Identifier: MIT
#include "lesson_support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

// The least a lesson can be.
#define HEAD "\"format\": \"quintfall-lesson\", \"version\": 1"
#define STAVES "\"staves\": [{\"clef\": \"treble\"}]"
#define VOICES "\"voices\": [{\"staff\": 0, \"notes\": []}]"
#define BARS "\"bars\": [{\"metre\": \"4/4\"}]"
#define LESSON(more) "{" HEAD ", " BARS ", " STAVES ", " VOICES more "}"
#define WITH_NOTES(notes)                                                                          \
  "{" HEAD ", " BARS ", " STAVES ", \"voices\": [{\"staff\": 0, \"notes\": [" notes "]}]}"
#define NOTE(id, start, duration, pitch)                                                           \
  "{\"id\": " id ", \"start\": " start ", \"duration\": " duration ", \"pitch\": " pitch "}"

static void
test_the_least_lesson_is_read(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of_json(LESSON(""));
  QfKey           key;
  assert_false(qf_lesson_get_key(lesson, &key));
  assert_true(qf_lesson_get_may_modulate(lesson));
  assert_int_equal(qf_score_n_bars(qf_lesson_get_score(lesson)), 1);
  assert_int_equal(qf_lesson_get_hearing(lesson).repeats, 1);
  qf_lesson_free(lesson);
}

typedef struct {
  const char* json;
  QfStatus    status;
  const char* words; ///< Must occur in the message
} BadCase;

static const BadCase bad_cases[] = {
  {"", QF_ERR_BAD_FILE, "ends too early"},
  {"{", QF_ERR_BAD_FILE, "ends too early"},
  {"[]", QF_ERR_BAD_FILE, "the file: expected an object"},
  {"null ", QF_ERR_BAD_FILE, "the file: expected an object"},
  {"{} x", QF_ERR_BAD_FILE, "not well-formed"},
  {"{\"a\": NaN}", QF_ERR_BAD_FILE, ""},
  {"{\"a\": 1e999}", QF_ERR_BAD_FILE, "too large"},
  {"{\"format\": \"x\xC3(\"}", QF_ERR_BAD_FILE, "not well-formed"},
  {"{}", QF_ERR_BAD_FILE, "format: expected a text, found nothing"},
  {"{\"format\": \"recipe\", \"version\": 1}", QF_ERR_BAD_FILE,
   "\"quintfall-lesson\", found \"recipe\""},
  {"{\"format\": \"quintfall-lesson\"}", QF_ERR_BAD_FILE, "version: expected a whole number"},
  {"{\"format\": \"quintfall-lesson\", \"version\": 0}", QF_ERR_BAD_FILE,
   "version: expected 1, the first"},
  {"{\"format\": \"quintfall-lesson\", \"version\": 1.5}", QF_ERR_BAD_FILE,
   "version: expected a whole number"},
  {"{" HEAD "}", QF_ERR_BAD_FILE, "bars: expected a list, found nothing"},
  {"{" HEAD ", \"bars\": []}", QF_ERR_BAD_FILE, "bars: expected at least one bar"},
  {"{" HEAD ", \"bars\": [7]}", QF_ERR_BAD_FILE, "bars[0]: expected an object, found 7"},
  {"{" HEAD ", \"bars\": [{}]}", QF_ERR_BAD_FILE, "bars[0].metre: expected a text"},
  {"{" HEAD ", \"bars\": [{\"metre\": \"4/5\"}]}", QF_ERR_BAD_FILE,
   "bars[0].metre: expected a metre"},
  {"{" HEAD ", \"bars\": [{\"metre\": \"4/4\", \"count\": 10001}]}", QF_ERR_BAD_FILE,
   "bars[0].count"},
  {"{" HEAD ", \"bars\": [{\"metre\": \"4/4\", \"count\": 9999}, {\"count\": 2}]}", QF_ERR_BAD_FILE,
   "bars[1]: expected a bar of positive length, and at most 10000"},
  {"{" HEAD ", \"bars\": [{\"metre\": \"4/4\", \"length\": \"0\"}]}", QF_ERR_BAD_FILE,
   "bars[0]: expected a bar of positive length"},
  {"{" HEAD ", \"bars\": [{\"metre\": \"4/4\", \"length\": \"1000000000\"}]}", QF_ERR_BAD_FILE,
   "bars[0]"},
  {"{" HEAD ", " BARS "}", QF_ERR_BAD_FILE, "staves: expected a list"},
  {"{" HEAD ", " BARS ", \"staves\": [{\"clef\": \"drum\"}]}", QF_ERR_BAD_FILE, "staves[0].clef"},
  {"{" HEAD ", " BARS ", " STAVES "}", QF_ERR_BAD_FILE, "voices: expected a list"},
  {"{" HEAD ", " BARS ", " STAVES ", \"voices\": [{\"staff\": 1}]}", QF_ERR_BAD_FILE,
   "voices[0].staff: expected a whole number from 0 to 0, found 1"},
  {WITH_NOTES("5"), QF_ERR_BAD_FILE, "voices[0].notes[0]: expected an object, found 5"},
  {WITH_NOTES("{}"), QF_ERR_BAD_FILE, "voices[0].notes[0].id: expected a whole number"},
  {WITH_NOTES(NOTE("0", "\"0\"", "\"1\"", "\"A4\"")), QF_ERR_BAD_FILE,
   "notes[0].id: expected a whole number from 1"},
  {WITH_NOTES(NOTE("99999999999999999999", "\"0\"", "\"1\"", "\"A4\"")), QF_ERR_BAD_FILE,
   "notes[0].id"},
  {WITH_NOTES(NOTE("1", "0", "\"1\"", "\"A4\"")), QF_ERR_BAD_FILE,
   "notes[0].start: expected a text, found 0"},
  {WITH_NOTES(NOTE("1", "\"-1/4\"", "\"1\"", "\"A4\"")), QF_ERR_BAD_FILE,
   "notes[0].start: expected a time in whole notes such as \"3/8\", found \"-1/4\""},
  {WITH_NOTES(NOTE("1", "\"1/0\"", "\"1\"", "\"A4\"")), QF_ERR_BAD_FILE, "notes[0].start"},
  {WITH_NOTES(NOTE("1", "\"0\"", "\"0\"", "\"A4\"")), QF_ERR_BAD_FILE,
   "notes[0].duration: expected a length above zero"},
  {WITH_NOTES(NOTE("1", "\"0\"", "\"1\"", "\"H4\"")), QF_ERR_BAD_FILE,
   "notes[0].pitch: expected a pitch such as"},
  {WITH_NOTES(NOTE("1", "\"0\"", "\"1\"", "\"C12\"")), QF_ERR_BAD_FILE, "notes[0]"},
  {WITH_NOTES(NOTE("1", "\"1/2\"", "\"1\"", "\"A4\"")), QF_ERR_BAD_FILE,
   "notes[0]: expected a note that ends within the last bar"},
  {WITH_NOTES(
     NOTE("1", "\"0\"", "\"1/2\"", "\"A4\"") ", " NOTE("1", "\"1/2\"", "\"1/2\"", "\"A4\"")),
   QF_ERR_BAD_FILE, "notes[1].id: expected a number that no other note has"},
  {WITH_NOTES(
     NOTE("1", "\"0\"", "\"1/2\"", "\"A4\"") ", " NOTE("2", "\"1/4\"", "\"1/2\"", "\"A4\"")),
   QF_ERR_BAD_FILE, "notes[1].start: expected a time not before the end of the note before"},
  {LESSON(", \"title\": 7"), QF_ERR_BAD_FILE, "title: expected a text, found 7"},
  {LESSON(", \"title\": \"a\\u0000b\""), QF_ERR_BAD_FILE, "title: expected a text without a NUL"},
  {LESSON(", \"key\": \"H major\""), QF_ERR_BAD_FILE, "key: expected a key such as"},
  {LESSON(", \"key\": \"G# major\""), QF_ERR_BAD_FILE, "key: expected a key such as"},
  {LESSON(", \"may_modulate\": 1"), QF_ERR_BAD_FILE,
   "may_modulate: expected true or false, found 1"},
  {LESSON(", \"modulation_beats\": -1"), QF_ERR_BAD_FILE,
   "modulation_beats: expected a number from 0 to 1000, found -1"},
  {LESSON(", \"cadence_beats\": \"4\""), QF_ERR_BAD_FILE, "cadence_beats: expected a number"},
  {LESSON(", \"tempo\": 9"), QF_ERR_BAD_FILE, "tempo: expected a number from 10 to 400, found 9"},
  {LESSON(", \"tempo\": \"72\""), QF_ERR_BAD_FILE, "tempo: expected a number"},
  {LESSON(", \"signatures\": {}"), QF_ERR_BAD_FILE, "signatures: expected a list, found an object"},
  {LESSON(", \"signatures\": [{\"start\": \"0\"}]"), QF_ERR_BAD_FILE,
   "signatures[0].key: expected a text, found nothing"},
  {LESSON(", \"pins\": [{\"start\": \"0\", \"key\": \"C major\", \"numeral\": \"Q\"}]"),
   QF_ERR_BAD_FILE, "pins[0].numeral: expected a Roman numeral"},
  {LESSON(", \"fermatas\": [\"0\"]"), QF_ERR_BAD_FILE,
   "fermatas[0]: expected a time at which a note starts, found \"0\""},
  {LESSON(", \"fermatas\": [0]"), QF_ERR_BAD_FILE, "fermatas[0]: expected a time"},
  {LESSON(", \"fermatas\": [\"-1/4\"]"), QF_ERR_BAD_FILE, "fermatas[0]: expected a time"},
  {LESSON(", \"fermatas\": {}"), QF_ERR_BAD_FILE, "fermatas: expected a list"},
  {LESSON(", \"givens\": [3]"), QF_ERR_BAD_FILE, "givens[0]: expected the id of a note, found 3"},
  {LESSON(", \"givens\": [\"3\"]"), QF_ERR_BAD_FILE, "givens[0]: expected the id of a note"},
  {LESSON(", \"hearing\": []"), QF_ERR_BAD_FILE, "hearing: expected an object, found a list"},
  {LESSON(", \"hearing\": {\"level_db\": 12}"), QF_ERR_BAD_FILE,
   "hearing.level_db: expected a number from -40 to 0, found 12"},
  {LESSON(", \"hearing\": {\"forward\": \"tuba\"}"), QF_ERR_BAD_FILE, "hearing.forward"},
  {LESSON(", \"hearing\": {\"repeats\": 0}"), QF_ERR_BAD_FILE, "hearing.repeats"},
};

static void
test_a_malformed_member_is_named_with_its_place(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bad_cases) / sizeof(bad_cases[0]); ++i) {
    const BadCase* const bad    = &bad_cases[i];
    QfLesson*            lesson = NULL;
    QfError              error  = {0};
    const QfStatus       st = qf_lesson_from_json(bad->json, strlen(bad->json), &lesson, &error);
    if (st != bad->status || error.status != st || !strstr(error.text, bad->words) || lesson) {
      fail_msg("%s\n%s: %s", bad->json, qf_status_text(st), error.text);
    }
  }
}

static void
test_a_fault_of_syntax_has_its_line(void** state)
{
  (void)state;
  static const char text[] = "{\n  \"format\": \"quintfall-lesson\",\n  \"version\": ?\n}\n";
  QfLesson*         lesson = NULL;
  QfError           error  = {0};
  assert_int_equal(qf_lesson_from_json(text, strlen(text), &lesson, &error), QF_ERR_BAD_FILE);
  assert_int_equal(error.line, 3);
}

static void
test_unknown_members_are_kept(void** state)
{
  (void)state;
  static const char text[] =
    "{" HEAD ", " BARS ", \"staves\": [{\"clef\": \"treble\", \"colour\": \"blue\"}], "
    "\"voices\": [{\"staff\": 0, \"singers\": [1, 2.50], \"notes\": ["
    "{\"id\": 5, \"start\": \"0\", \"duration\": \"1\", \"pitch\": \"A4\", \"lyric\": \"la\"}]}], "
    "\"hearing\": {\"room\": {\"size\": null}}, \"choir\": {\"names\": [\"\\u00e9/\"]}}";

  QfLesson* const lesson = lesson_of_json(text);
  assert_int_equal(qf_lesson_set_title(lesson, "Kept", NULL), QF_OK);
  assert_int_equal(qf_lesson_move_note(lesson, 5, qf_time(1, 4), NULL), QF_OK);
  char* const json = json_of(lesson);

  static const char* const kept[] = {"\"colour\": \"blue\"", "\"singers\": [1, 2.50]",
                                     "\"lyric\": \"la\"", "\"room\": {\"size\": null}",
                                     "\"choir\": {\"names\": [\"\u00e9/\"]}"};
  for (size_t i = 0; i < sizeof(kept) / sizeof(kept[0]); ++i) {
    if (!strstr(json, kept[i])) {
      fail_msg("%s is lost:\n%s", kept[i], json);
    }
  }

  QfLesson* const read  = lesson_of_json(json);
  char* const     again = json_of(read);
  assert_string_equal(again, json);
  free(again);
  qf_lesson_free(read);
  free(json);
  qf_lesson_free(lesson);
}

static void
test_fermatas_come_back_and_are_absent_without(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  char* const     plain  = json_of(lesson);
  assert_null(strstr(plain, "fermatas"));

  const QfTime at = qf_score_get_note(qf_lesson_get_score(lesson), 0, 1)->start;
  assert_int_equal(qf_lesson_set_fermata(lesson, at, true, NULL), QF_OK);
  char* const     json = json_of(lesson);
  QfLesson* const read = lesson_of_json(json);
  assert_true(qf_score_equals(qf_lesson_get_score(read), qf_lesson_get_score(lesson)));
  assert_true(qf_score_has_fermata(qf_lesson_get_score(read), at));

  assert_int_equal(qf_lesson_set_fermata(read, at, false, NULL), QF_OK);
  char* const again = json_of(read);
  assert_string_equal(again, plain);
  free(again);
  free(json);
  free(plain);
  qf_lesson_free(read);
  qf_lesson_free(lesson);
}

static void
test_a_newer_version_is_read_only(void** state)
{
  (void)state;
  static const char text[] = "{\"format\": \"quintfall-lesson\", \"version\": 2, " BARS ", " STAVES
                             ", " VOICES ", \"novelty\": true}";
  QfLesson* const lesson = lesson_of_json(text);
  QfError         error  = {0};
  assert_true(qf_lesson_is_read_only(lesson));
  assert_int_equal(qf_lesson_set_title(lesson, "x", &error), QF_ERR_READ_ONLY);
  assert_non_null(strstr(error.text, "newer version"));
  assert_int_equal(qf_lesson_save(lesson, "never-written.json", &error), QF_ERR_READ_ONLY);
  assert_int_equal(qf_lesson_get_revision(lesson), 0);
  qf_lesson_free(lesson);
}

static void
test_a_newer_version_that_differs_says_so(void** state)
{
  (void)state;
  static const char text[] = "{\"format\": \"quintfall-lesson\", \"version\": 99}";
  QfLesson*         lesson = NULL;
  QfError           error  = {0};
  assert_int_equal(qf_lesson_from_json(text, strlen(text), &lesson, &error), QF_ERR_BAD_FILE);
  assert_null(lesson);
  assert_non_null(strstr(error.text, "bars: expected a list"));
  assert_non_null(strstr(error.text, "newer version of the program (format 99)"));
}

static void
test_irregular_bars_and_signatures_come_back(void** state)
{
  (void)state;
  static const char text[] =
    "{" HEAD ", \"bars\": [{\"number\": 0, \"metre\": \"3/4\", \"length\": \"1/4\", \"offset\": "
    "\"1/2\"}, {\"metre\": \"3/4\", \"count\": 6, \"starts_repeat\": false}, {\"metre\": \"3/4\", "
    "\"length\": \"1/2\", \"ends_repeat\": true}, {\"number\": 7, \"suffix\": \"a\", \"metre\": "
    "\"3/4\", \"length\": \"1/4\", \"offset\": \"1/2\"}, {\"metre\": \"2+3/8\", \"count\": 2}], "
    "\"signatures\": [{\"start\": \"0\", \"key\": \"A major\"}, {\"start\": \"4\", \"key\": \"F# "
    "minor\"}], " STAVES ", " VOICES "}";
  QfLesson* const      lesson = lesson_of_json(text);
  const QfScore* const score  = qf_lesson_get_score(lesson);
  assert_int_equal(qf_score_n_bars(score), 11);
  assert_int_equal(qf_score_get_bar(score, 6)->number, 6);
  assert_int_equal(qf_score_get_bar(score, 8)->suffix, 'a');
  assert_int_equal(qf_score_get_bar(score, 10)->number, 9);
  assert_true(qf_score_get_bar(score, 7)->ends_repeat);
  assert_int_equal(qf_score_get_bar(score, 10)->metre.groups[0], 2);
  assert_true(qf_key_equals(qf_score_signature_at(score, qf_time(9, 2)), key_of("F# minor")));

  char* const     json  = json_of(lesson);
  QfLesson* const read  = lesson_of_json(json);
  char* const     again = json_of(read);
  assert_string_equal(again, json);
  assert_true(qf_score_equals(score, qf_lesson_get_score(read)));
  free(again);
  free(json);
  qf_lesson_free(read);
  qf_lesson_free(lesson);
}

static void
test_text_that_is_no_utf8_is_written_readably(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  assert_int_equal(
    qf_lesson_set_title(lesson, "caf\xE9 \xF0\x9F\x8E\xB5 \xED\xA0\x80 \xC0\xAF", NULL), QF_OK);
  char* const     json = json_of(lesson);
  QfLesson* const read = lesson_of_json(json);
  assert_string_equal(qf_score_get_title(qf_lesson_get_score(read)),
                      "caf\xEF\xBF\xBD \xF0\x9F\x8E\xB5 \xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD "
                      "\xEF\xBF\xBD\xEF\xBF\xBD");
  free(json);
  qf_lesson_free(read);
  qf_lesson_free(lesson);
}

/// Whatever comes in, there is a lesson that can be written, or a message, and no third
static void
feed(const char* const json, const size_t length)
{
  QfLesson*      lesson = NULL;
  QfError        error  = {0};
  const QfStatus st     = qf_lesson_from_json(json, length, &lesson, &error);
  if (st) {
    assert_null(lesson);
    assert_true(error.text[0] != '\0');
    return;
  }

  char* const written = json_of(lesson);
  QfLesson*   again   = NULL;
  if (qf_lesson_from_json(written, strlen(written), &again, &error)) {
    fail_msg("written but not read: %s\n%s", error.text, written);
  }
  qf_lesson_free(again);
  free(written);
  qf_lesson_free(lesson);
}

static void
test_truncated_files_do_no_harm(void** state)
{
  (void)state;
  QfLesson* const lesson = small_lesson();
  char* const     json   = json_of(lesson);
  const size_t    length = strlen(json);
  for (size_t cut = 0; cut < length; ++cut) {
    char* const part = (char*)malloc(cut + 1U); // Of its own, so that a read beyond shows
    memcpy(part, json, cut);
    feed(part, cut);
    free(part);
  }
  free(json);
  qf_lesson_free(lesson);
}

static void
test_flipped_bytes_do_no_harm(void** state)
{
  (void)state;
  QfLesson* const lesson = demo_lesson("low-water");
  char* const     json   = json_of(lesson);
  const size_t    length = strlen(json);
  uint32_t        seed   = 7;
  for (int i = 0; i < 3000; ++i) {
    char* const copy = (char*)malloc(length);
    memcpy(copy, json, length);
    for (int k = 0; k < 1 + i % 3; ++k) {
      static const char likely[] = "0123456789\"{}[],:-/#beE.\\";
      seed                       = seed * 1664525U + 1013904223U;
      const size_t place         = (seed >> 8U) % length;
      seed                       = seed * 1664525U + 1013904223U;
      copy[place] = i % 2 ? likely[(seed >> 8U) % (sizeof(likely) - 1U)] : (char)(seed >> 16U);
    }
    feed(copy, length);
    free(copy);
  }
  free(json);
  qf_lesson_free(lesson);
}

static void
test_deep_nesting_is_refused(void** state)
{
  (void)state;
  enum { DEPTH = 100000 };
  char* const text = (char*)malloc(2U * DEPTH);
  memset(text, '[', DEPTH);
  memset(text + DEPTH, ']', DEPTH);
  QfLesson* lesson = NULL;
  QfError   error  = {0};
  assert_int_equal(qf_lesson_from_json(text, 2U * DEPTH, &lesson, &error), QF_ERR_BAD_FILE);
  assert_true(error.text[0] != '\0');
  free(text);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_the_least_lesson_is_read),
    cmocka_unit_test(test_a_malformed_member_is_named_with_its_place),
    cmocka_unit_test(test_a_fault_of_syntax_has_its_line),
    cmocka_unit_test(test_unknown_members_are_kept),
    cmocka_unit_test(test_fermatas_come_back_and_are_absent_without),
    cmocka_unit_test(test_a_newer_version_is_read_only),
    cmocka_unit_test(test_a_newer_version_that_differs_says_so),
    cmocka_unit_test(test_irregular_bars_and_signatures_come_back),
    cmocka_unit_test(test_text_that_is_no_utf8_is_written_readably),
    cmocka_unit_test(test_truncated_files_do_no_harm),
    cmocka_unit_test(test_flipped_bytes_do_no_harm),
    cmocka_unit_test(test_deep_nesting_is_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
