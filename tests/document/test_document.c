// SPDX-License-Identifier: MIT
#include "quintfall/document.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
  const char* path;
  QfFileKind  kind;
} KindCase;

// Source: MusicXML 4.0 suffixes .musicxml and .mxl; RFC and registry endings of the others,
// common practice.
static const KindCase kind_cases[] = {
  {"a/b.musicxml", QF_FILE_MUSICXML}, {"b.XML", QF_FILE_MUSICXML},     {"b.mxl", QF_FILE_MXL},
  {"song.mid", QF_FILE_MIDI},         {"song.tar.flac", QF_FILE_FLAC}, {"pdf", QF_FILE_PDF},
  {"lesson.json", QF_FILE_LESSON},    {"lesson", QF_FILE_UNKNOWN},     {"lesson.", QF_FILE_UNKNOWN},
};

static void
test_kind_is_told_by_the_ending(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(kind_cases) / sizeof(kind_cases[0]); ++i) {
    if (qf_file_kind_of_path(kind_cases[i].path) != kind_cases[i].kind) {
      fail_msg("%s", kind_cases[i].path);
    }
  }
}

static QfLesson*
read_text(const char* const text, QfError* const error)
{
  QfLesson* lesson = NULL;
  return qf_document_read(text, strlen(text), &lesson, NULL, error) ? NULL : lesson;
}

typedef struct {
  const char* place;
  const char* key;
  const char* numeral;
} Expected;

// Source: syntax of Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019: a
// pickup is m0 and counts its beats as if the bar were full; a pivot's later reading is kept.
static const char analysis[] = "Composer: Nobody\n"
                               "Title: Three bars\n"
                               "Time Signature: 3/4\n\n"
                               "m0 b3 C: V7\n"
                               "m1 I b2 V65/V b3 V\n"
                               "m2 vi || G: ii b2 V7\n"
                               "m3 I\n";

static const Expected expected[] = {
  {"m0 b3", "C major", "V7"}, {"m1 b1", "C major", "I"},  {"m1 b2", "C major", "V65/V"},
  {"m1 b3", "C major", "V"},  {"m2 b1", "G major", "ii"}, {"m2 b2", "G major", "V7"},
  {"m3 b1", "G major", "I"},
};

static void
test_romantext_becomes_a_realised_lesson(void** state)
{
  (void)state;
  QfError         error  = {0};
  QfLesson* const lesson = read_text(analysis, &error);
  if (!lesson) {
    fail_msg("%s", error.text);
  }

  const QfScore* const  score  = qf_lesson_get_score(lesson);
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  assert_string_equal(qf_score_get_title(score), "Three bars");
  assert_int_equal(qf_score_n_voices(score), 4);
  assert_int_equal(qf_labels_n_links(labels), sizeof(expected) / sizeof(expected[0]));
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);
    char                 text[QF_NUMERAL_TEXT_SIZE];
    qf_score_write_place(score, link->start, text, sizeof(text));
    assert_string_equal(text, expected[i].place);
    qf_key_write(link->key, text, sizeof(text));
    assert_string_equal(text, expected[i].key);
    qf_numeral_write(&link->numeral, link->key.mode, text, sizeof(text));
    assert_string_equal(text, expected[i].numeral);
    assert_true(link->is_pinned);
  }

  // Opening a file is no edit
  assert_false(qf_lesson_can_undo(lesson));
  assert_false(qf_lesson_is_modified(lesson));

  qf_lesson_free(lesson);
}

/// What an analysis becomes: "place numeral" of every link
static void
assert_lesson(const char* const text, const char* const expected_links)
{
  QfError         error  = {0};
  QfLesson* const lesson = read_text(text, &error);
  if (!lesson) {
    fail_msg("%s", error.text);
  }
  const QfScore* const  score      = qf_lesson_get_score(lesson);
  const QfLabels* const labels     = qf_lesson_get_labels(lesson);
  char                  found[600] = "";
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);
    char                 place[40];
    char                 numeral[QF_NUMERAL_TEXT_SIZE];
    qf_score_write_place(score, link->start, place, sizeof(place));
    qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
    snprintf(found + strlen(found), sizeof(found) - strlen(found), "%s%s %s", i ? "; " : "", place,
             numeral);
  }
  assert_string_equal(found, expected_links);
  qf_lesson_free(lesson);
}

static void
test_romantext_changes_metre_and_has_endings(void** state)
{
  (void)state;
  // Each by the format's rules: a time signature holds for the measures after it, 6/8 has two
  // beats, 5/8 five; endings a and b are bars of their own; an excerpt keeps its numbers.
  assert_lesson("Time Signature: 3/4\nm1 C: I b3 V\nTime Signature: 6/8\nm2 I b2 IV\nm4 V b1.66 "
                "I\n",
                "m1 b1 I; m1 b3 V; m2 b1 I; m2 b2 IV; m4 b1 V; m4 b1.66 I");
  assert_lesson("Time Signature: 5/8\nm7 C: I b4 V\nm8 I\n", "m7 b1 I; m7 b4 V; m8 b1 I");
  assert_lesson("m1 C: I\nm2a V b3 IV\nm2b V b2 V7\nm3 I\n",
                "m1 b1 I; m2a b1 V; m2a b3 IV; m2b b1 V; m2b b2 V7; m3 b1 I");

  QfError error = {0};
  assert_null(read_text("m1 C: I b5 V\n", &error));
  assert_int_equal(error.status, QF_ERR_BAD_FILE);
  assert_non_null(strstr(error.text, "beyond its measure"));
  assert_null(read_text("m0 C: b9 V\n", &error));
  assert_null(read_text("m4 C: I\nm2 V\n", &error));
  assert_non_null(strstr(error.text, "in order of time"));
}

static void
test_every_kind_is_told_by_its_content(void** state)
{
  (void)state;
  static const QfFileKind kinds[] = {QF_FILE_LESSON, QF_FILE_MUSICXML, QF_FILE_MXL, QF_FILE_MIDI,
                                     QF_FILE_ROMANTEXT};

  QfError         error  = {0};
  QfLesson* const lesson = read_text(analysis, &error);
  assert_non_null(lesson);

  for (size_t i = 0; i < sizeof(kinds) / sizeof(kinds[0]); ++i) {
    void*     data   = NULL;
    size_t    length = 0;
    QfLesson* again  = NULL;
    char*     notes  = NULL;
    if (qf_document_write(lesson, kinds[i], &data, &length, &error) ||
        qf_document_read(data, length, &again, &notes, &error)) {
      fail_msg("%s: %s", qf_file_kind_ending(kinds[i]), error.text);
    }

    const QfScore* const a = qf_lesson_get_score(lesson);
    const QfScore* const b = qf_lesson_get_score(again);
    assert_int_equal(qf_time_compare(qf_score_get_end(a), qf_score_get_end(b)), 0);
    assert_int_equal(qf_score_n_voices(a), qf_score_n_voices(b));
    free(notes);
    free(data);
    qf_lesson_free(again);
  }

  qf_lesson_free(lesson);
}

typedef struct {
  const char* name;
  const char* text;
  size_t      length;
  QfStatus    status;
} BadCase;

static const BadCase bad_cases[] = {
  {"empty", "", 0, QF_ERR_BAD_FILE},
  {"blank", " \n\t ", 4, QF_ERR_UNSUPPORTED},
  {"binary", "a\0b", 3, QF_ERR_UNSUPPORTED},
  {"cut archive", "PK\003\004xx", 6, QF_ERR_BAD_FILE},
  {"cut MIDI", "MThd\0\0", 6, QF_ERR_BAD_FILE},
  {"cut XML", "<score-partwise>", 16, QF_ERR_BAD_FILE},
  {"cut JSON", "{\"format\":", 10, QF_ERR_BAD_FILE},
};

static void
test_bad_content_is_refused_in_words(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bad_cases) / sizeof(bad_cases[0]); ++i) {
    const BadCase* const bad    = &bad_cases[i];
    QfLesson*            lesson = NULL;
    QfError              error  = {0};
    const QfStatus       st     = qf_document_read(bad->text, bad->length, &lesson, NULL, &error);
    if (st != bad->status || lesson || !error.text[0]) {
      fail_msg("%s: status %d, \"%s\"", bad->name, (int)st, error.text);
    }
  }
}

static void
test_json_that_is_no_lesson_is_told_as_json(void** state)
{
  (void)state;
  QfError error = {0};
  assert_null(read_text("[1, 2]", &error));
  assert_int_equal(error.status, QF_ERR_BAD_FILE);
  assert_non_null(strstr(error.text, "an object that holds a lesson"));
}

static void
test_a_newer_lesson_is_not_written_as_a_lesson(void** state)
{
  (void)state;
  QfError   error  = {0};
  void*     data   = NULL;
  size_t    length = 0;
  QfLesson* lesson = read_text(
    "{\"format\": \"quintfall-lesson\", \"version\": 2, \"bars\": [{\"metre\": \"4/4\"}], "
    "\"staves\": [{\"clef\": \"treble\"}], \"voices\": [{\"staff\": 0}]}",
    &error);
  assert_non_null(lesson);
  assert_int_equal(qf_document_write(lesson, QF_FILE_LESSON, &data, &length, &error),
                   QF_ERR_READ_ONLY);
  assert_null(data);
  assert_int_equal(qf_document_write(lesson, QF_FILE_MIDI, &data, &length, &error), QF_OK);
  free(data);
  qf_lesson_free(lesson);
}

static void
test_chords_out_of_order_are_refused(void** state)
{
  (void)state;
  QfError         error  = {0};
  QfLesson* const lesson = read_text("m2 C: I\nm1 V\n", &error);
  assert_null(lesson);
  assert_int_equal(error.status, QF_ERR_BAD_FILE);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_kind_is_told_by_the_ending),
    cmocka_unit_test(test_romantext_becomes_a_realised_lesson),
    cmocka_unit_test(test_romantext_changes_metre_and_has_endings),
    cmocka_unit_test(test_every_kind_is_told_by_its_content),
    cmocka_unit_test(test_bad_content_is_refused_in_words),
    cmocka_unit_test(test_chords_out_of_order_are_refused),
    cmocka_unit_test(test_json_that_is_no_lesson_is_told_as_json),
    cmocka_unit_test(test_a_newer_lesson_is_not_written_as_a_lesson),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
