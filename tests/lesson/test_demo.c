// SPDX-License-Identifier: MIT
#include "../partwriting/checker.h"
#include "lesson_support.h"

#include "quintfall/file.h"
#include "quintfall/slice.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
  const char* name;
  const char* key;
  const char* links; ///< Key and numeral of every link, by blanks; a key holds until the next
} Demo;

// Worked out by hand from the notes, before anything labelled them.
static const Demo demos[] = {
  {"lantern-walk", "A major", "I V42 I6 IV V V7 I vi V7/ii V7/V V7 I I6 ii65 Cad64 V7 I"},
  {"ferry-bell", "e minor", "i iv64 i VI iv viio7/V V V7 VI ii/o65 Cad64 V7 i"},
  {"two-piers", "G major", "I V6 I D: ii V7 I IV ii65 Cad64 V7 I G: V42 I6 ii65 V7 I"},
  {"low-water", "d minor", "i V65 i iv iv6 Ger65 Cad64 V V7 i"},
};

enum { N_DEMOS = sizeof(demos) / sizeof(demos[0]), LINKS_SIZE = 512 };

/// Links in the manner of the table, keys transposed back by an interval of fifths
static void
write_links(QfLesson* const lesson, const int n_fifths, char buffer[LINKS_SIZE])
{
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  QfKey                 key;
  size_t                length = 0;
  assert_true(qf_lesson_get_key(lesson, &key));
  buffer[0] = '\0';
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const label                         = qf_labels_get_link(labels, i);
    char                 numeral[QF_NUMERAL_TEXT_SIZE] = "?";
    char                 name[24]                      = "";
    if (label->is_known) {
      qf_numeral_write(&label->numeral, label->key.mode, numeral, sizeof(numeral));
    }
    if (!qf_key_equals(label->key, key)) {
      QfKey plain = {{0, 0}, QF_MAJOR};
      assert_int_equal(
        qf_key_from_fifths(qf_key_fifths(label->key) - n_fifths, label->key.mode, &plain), QF_OK);
      qf_key_write_short(plain, name, sizeof(name));
      strcat(name, ": ");
      key = label->key;
    }
    length +=
      (size_t)snprintf(buffer + length, LINKS_SIZE - length, "%s%s%s", i ? " " : "", name, numeral);
    assert_true(length < LINKS_SIZE);
  }
}

static void
test_demos_read_as_they_were_meant(void** state)
{
  (void)state;
  for (size_t i = 0; i < N_DEMOS; ++i) {
    QfLesson* const lesson = demo_lesson(demos[i].name);
    char            links[LINKS_SIZE];
    QfKey           key;
    write_links(lesson, 0, links);
    assert_true(qf_lesson_get_key(lesson, &key));
    assert_true(qf_key_equals(key, key_of(demos[i].key)));
    if (strcmp(links, demos[i].links) != 0) {
      fail_msg("%s: %s", demos[i].name, links);
    }
    qf_lesson_free(lesson);
  }
}

/// Source: issue of the first form: transposing a lesson through all keys transposes the labels
static void
test_transposing_transposes_the_labels(void** state)
{
  (void)state;
  for (size_t i = 0; i < N_DEMOS; ++i) {
    for (int fifths = -7; fifths <= 7; ++fifths) {
      QfLesson* const lesson = demo_lesson(demos[i].name);
      QfKey           from;
      QfKey           to;
      QfError         error = {0};
      qf_lesson_get_key(lesson, &from);
      assert_int_equal(qf_key_from_fifths(fifths, from.mode, &to), QF_OK);

      QfInterval interval = qf_interval_between_names(from.tonic, to.tonic);
      if (interval.steps > 3) { // Down rather than far up
        interval.steps     = (int16_t)(interval.steps - 7);
        interval.semitones = (int16_t)(interval.semitones - 12);
      }
      const QfStatus st = qf_lesson_transpose(lesson, interval, &error);
      if (st == QF_ERR_RANGE && i == 2 && fifths == 7) {
        qf_lesson_free(lesson); // Its second key would have eight sharps
        continue;
      }
      if (st) {
        fail_msg("%s to %d fifths: %s", demos[i].name, fifths, error.text);
      }

      char links[LINKS_SIZE];
      write_links(lesson, fifths - qf_key_fifths(from), links);
      if (strcmp(links, demos[i].links) != 0) {
        fail_msg("%s at %d fifths: %s", demos[i].name, fifths, links);
      }
      qf_lesson_free(lesson);
    }
  }
}

/// Every slice in range, spaced and uncrossed, no consecutives between any two slices
static void
test_demos_are_well_written(void** state)
{
  (void)state;
  for (size_t i = 0; i < N_DEMOS; ++i) {
    QfLesson* const    lesson   = demo_lesson(demos[i].name);
    const CheckedChord anything = {.n_notes = 0};
    QfSlices           slices;
    QfVoicing          before;
    assert_int_equal(qf_slices_of(qf_lesson_get_score(lesson), &slices), QF_OK);
    for (size_t s = 0; s < slices.n_slices; ++s) {
      QfVoicing voicing;
      assert_int_equal(slices.slices[s].n_notes, 4);
      CheckedChord chord = {.n_notes = 0, .inversion = 1};
      for (size_t v = 0; v < 4; ++v) {
        const QfNote* const note =
          qf_score_note_at(qf_lesson_get_score(lesson), v, slices.slices[s].start);
        voicing.pitch[v]           = note->pitch;
        chord.notes[chord.n_notes] = qf_pitch_name(note->pitch);
        ++chord.n_notes;
      }
      chord.notes[0]    = qf_pitch_name(voicing.pitch[3]);
      chord.notes[3]    = qf_pitch_name(voicing.pitch[0]);
      const char* fault = check_chord(&chord, &voicing);
      if (!fault && s > 0) {
        fault = check_connection(&anything, &before, &anything, &voicing);
      }
      if (fault) {
        char place[48];
        qf_score_write_place(qf_lesson_get_score(lesson), slices.slices[s].start, place,
                             sizeof(place));
        fail_msg("%s, %s: %s", demos[i].name, place, fault);
      }
      before = voicing;
    }
    qf_slices_clear(&slices);
    qf_lesson_free(lesson);
  }
}

static void
test_demos_are_complete_lessons(void** state)
{
  (void)state;
  for (size_t i = 0; i < N_DEMOS; ++i) {
    QfLesson* const      lesson   = demo_lesson(demos[i].name);
    const QfScore* const score    = qf_lesson_get_score(lesson);
    size_t               n_givens = 0;
    for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
      for (size_t n = 0; n < qf_score_n_notes(score, v); ++n) {
        n_givens += qf_lesson_is_given(lesson, qf_score_get_note(score, v, n)->id);
      }
    }
    assert_true(n_givens > 0);
    assert_true(strlen(qf_lesson_get_notes_text(lesson)) > 80);
    assert_true(qf_lesson_get_hearing(lesson).level_db <= -12.0); // Starts quiet
    assert_false(qf_lesson_is_modified(lesson));
    assert_false(qf_lesson_is_read_only(lesson));
    qf_lesson_free(lesson);
  }
}

/// The files are in the form the program itself writes, so that saving makes no needless change
static void
test_demos_are_saved_as_they_are(void** state)
{
  (void)state;
  for (size_t i = 0; i < N_DEMOS; ++i) {
    char   path[512];
    void*  data   = NULL;
    size_t length = 0;
    snprintf(path, sizeof(path), "%s/resources/lessons/%s.json", QF_SOURCE_ROOT, demos[i].name);
    assert_int_equal(qf_file_read(path, &data, &length, NULL), QF_OK);

    QfLesson* const lesson = demo_lesson(demos[i].name);
    char* const     json   = json_of(lesson);
    assert_int_equal(strlen(json), length);
    assert_memory_equal(json, data, length);
    free(json);
    free(data);
    qf_lesson_free(lesson);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_demos_read_as_they_were_meant),
    cmocka_unit_test(test_transposing_transposes_the_labels),
    cmocka_unit_test(test_demos_are_well_written),
    cmocka_unit_test(test_demos_are_complete_lessons),
    cmocka_unit_test(test_demos_are_saved_as_they_are),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
