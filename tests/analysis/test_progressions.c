// SPDX-License-Identifier: MIT
#include "passage.h"

#include <json-c/json.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

// Source: tests/data/references/progressions.json, passages by Reger, Rimsky-Korsakov, Tchaikovsky
// and Bach with the analyses of the When in Rome corpus (CC BY-SA 4.0), named passage by passage.

enum {
  MAX_CHORDS = 24,
};

typedef struct {
  QfTime      start;
  QfKey       key;
  QfNumeral   numeral;
  const char* text;
} Expected;

typedef struct {
  const char* id;
  Expected    chords[MAX_CHORDS];
  size_t      n_chords;
  bool        is_one_key;
} Answer;

static const char*
text_of(struct json_object* const object, const char* const name)
{
  struct json_object* value = NULL;

  assert_true(json_object_object_get_ex(object, name, &value));
  return json_object_get_string(value);
}

static double
number_of(struct json_object* const object, const char* const name)
{
  struct json_object* value = NULL;

  assert_true(json_object_object_get_ex(object, name, &value));
  return json_object_get_double(value);
}

/// Time of a chord in quarters from the first bar of the passage; every bar has four
static QfTime
time_of(struct json_object* const chord, const int first_measure)
{
  const int eighths = (int)(2.0 * (number_of(chord, "beat") - 1.0) + 0.5);

  return qf_time(8 * ((int)number_of(chord, "measure") - first_measure) + eighths, 8);
}

static Expected
expected_of(struct json_object* const chord, const int first_measure)
{
  Expected expected = {.start = time_of(chord, first_measure), .text = text_of(chord, "numeral")};

  assert_int_equal(qf_key_parse(text_of(chord, "key"), &expected.key, NULL), QF_OK);
  assert_int_equal(qf_numeral_parse(expected.text, expected.key.mode, &expected.numeral, NULL),
                   QF_OK);
  return expected;
}

static Answer
answer_of(struct json_object* const passage)
{
  Answer              answer = {.id = text_of(passage, "id"), .is_one_key = true};
  struct json_object* chords = NULL;

  assert_true(json_object_object_get_ex(passage, "chords", &chords));
  answer.n_chords = json_object_array_length(chords);
  assert_in_range(answer.n_chords, 1, MAX_CHORDS);

  const int first = (int)number_of(json_object_array_get_idx(chords, 0), "measure");

  for (size_t i = 0; i < answer.n_chords; ++i) {
    answer.chords[i] = expected_of(json_object_array_get_idx(chords, i), first);
    answer.is_one_key =
      answer.is_one_key && qf_key_equals(answer.chords[0].key, answer.chords[i].key);
  }
  return answer;
}

static Passage
passage_of(struct json_object* const json, const Answer* const answer)
{
  Passage             passage = passage_new(answer->chords[0].key, 4);
  struct json_object* chords  = NULL;

  json_object_object_get_ex(json, "chords", &chords);
  passage.end = answer->chords[0].start;
  for (size_t i = 0; i < answer->n_chords; ++i) {
    struct json_object* const chord = json_object_array_get_idx(chords, i);

    const char* const pitches[] = {text_of(chord, "S"), text_of(chord, "A"), text_of(chord, "T"),
                                   text_of(chord, "B")};
    const QfTime      end       = i + 1 < answer->n_chords
                                    ? answer->chords[i + 1].start
                                    : qf_time_add(answer->chords[i].start, qf_time(1, 4));

    passage_add(&passage, pitches, qf_time_sub(end, answer->chords[i].start));
  }
  return passage;
}

/// Same root, quality and inversion
static bool
is_same_chord(const QfLabel* const link, const Expected* const expected)
{
  QfChord chord;

  assert_int_equal(qf_numeral_chord(&expected->numeral, expected->key, &chord, NULL), QF_OK);
  return link->is_known && link->chord.kind == chord.kind &&
         qf_note_name_equals(link->chord.root, chord.root) &&
         link->chord.inversion == chord.inversion;
}

/// Same numeral; the corpus takes I64 and Cad64 as the same (When in Rome, syntax notes)
static bool
is_same_numeral(const char* const a, const char* const b)
{
  const bool is_six_four_a = !strcmp(a, "Cad64") || !strcmp(a, "I64") || !strcmp(a, "i64");
  const bool is_six_four_b = !strcmp(b, "Cad64") || !strcmp(b, "I64") || !strcmp(b, "i64");

  return !strcmp(a, b) || (is_six_four_a && is_six_four_b);
}

static size_t
count_wrong(const Answer* const answer, const QfLabels* const labels)
{
  size_t n_wrong = 0;

  for (size_t i = 0; i < answer->n_chords; ++i) {
    const Expected* const expected = &answer->chords[i];
    const size_t          index    = qf_labels_link_at(labels, expected->start);
    char                  text[QF_NUMERAL_TEXT_SIZE];

    assert_true(index != SIZE_MAX);
    link_text(labels, index, text);
    if (!is_same_chord(qf_labels_get_link(labels, index), expected) ||
        (answer->is_one_key && !is_same_numeral(text, expected->text))) {
      print_error("%s, chord %zu: %s instead of %s\n", answer->id, i + 1, text, expected->text);
      ++n_wrong;
    }
  }
  return n_wrong;
}

static void
test_progressions_are_labelled_like_the_books(void** state)
{
  (void)state;

  struct json_object* const file =
    json_object_from_file(QF_TEST_DATA "/references/progressions.json");
  struct json_object* list     = NULL;
  size_t              n_wrong  = 0;
  size_t              n_chords = 0;

  assert_non_null(file);
  assert_true(json_object_object_get_ex(file, "progressions", &list));
  assert_int_equal(json_object_array_length(list), 15);

  for (size_t i = 0; i < json_object_array_length(list); ++i) {
    struct json_object* const json    = json_object_array_get_idx(list, i);
    const Answer              answer  = answer_of(json);
    Passage                   passage = passage_of(json, &answer);
    QfLabels* const labels = passage_label(&passage, answer.chords[0].key, !answer.is_one_key);

    n_wrong += count_wrong(&answer, labels);
    n_chords += answer.n_chords;
    qf_labels_free(labels);
    passage_free(&passage);
  }

  print_message("%zu chords, %zu wrong\n", n_chords, n_wrong);
  assert_int_equal(n_wrong, 0);
  json_object_put(file);
}

// Source: Open Music Theory, "Modulation": without a cadence in the new key it is tonicization. The
// books keep these passages in one key.
static void
test_tonicizations_do_not_leave_the_key(void** state)
{
  (void)state;

  struct json_object* const file =
    json_object_from_file(QF_TEST_DATA "/references/progressions.json");
  struct json_object* list = NULL;

  assert_non_null(file);
  assert_true(json_object_object_get_ex(file, "progressions", &list));
  for (size_t i = 0; i < json_object_array_length(list); ++i) {
    struct json_object* const json    = json_object_array_get_idx(list, i);
    const Answer              answer  = answer_of(json);
    Passage                   passage = passage_of(json, &answer);

    if (answer.is_one_key) {
      QfLabels* const labels = passage_label(&passage, answer.chords[0].key, true);

      if (qf_labels_n_key_spans(labels) != 1) {
        char text[400];

        labels_text(labels, text, sizeof(text));
        fail_msg("%s leaves its key: %s", answer.id, text);
      }
      assert_int_equal(count_wrong(&answer, labels), 0);
      qf_labels_free(labels);
    }
    passage_free(&passage);
  }
  json_object_put(file);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_tonicizations_do_not_leave_the_key),
    cmocka_unit_test(test_progressions_are_labelled_like_the_books),
  };

  return cmocka_run_group_tests(tests, NULL, NULL);
}
