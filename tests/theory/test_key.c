// SPDX-License-Identifier: MIT
#include "quintfall/key.h"
#include "tsv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static QfKey
key_of(const char* const text)
{
  QfKey   key   = {{0, 0}, QF_MAJOR};
  QfError error = {0};
  if (qf_key_parse(text, &key, &error)) {
    fail_msg("%s", error.text);
  }
  return key;
}

static QfKey
key_of_cells(const char* const tonic, const char* const mode)
{
  char text[32];
  snprintf(text, sizeof(text), "%s %s", tonic, mode);
  return key_of(text);
}

static void
check_signature(const QfKey key, const char* const accidentals)
{
  int  expected[7] = {0};
  char list[64];
  snprintf(list, sizeof(list), "%s", strcmp(accidentals, "-") ? accidentals : "");
  char* rest = list;
  for (char* word = strsep(&rest, " "); word; word = strsep(&rest, " ")) {
    QfNoteName name = {0, 0};
    if (*word && !qf_note_name_parse(word, &name, NULL, NULL)) {
      expected[name.letter] = name.alter;
    }
  }
  for (int letter = 0; letter < 7; ++letter) {
    assert_int_equal(qf_key_alter_of(key, letter), expected[letter]);
    const QfNoteName note = {(int8_t)letter, (int8_t)expected[letter]};
    assert_true(qf_key_has_note(key, note));
  }
}

// Source: tests/data/references/key_signatures.tsv (OMT "Key signatures").
static void
test_keys_have_their_signatures(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("key_signatures");
  assert_int_equal(tsv.n_rows, 30);
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const QfKey key = key_of_cells(tsv_cell(&tsv, i, "tonic"), tsv_cell(&tsv, i, "mode"));
    assert_int_equal(qf_key_fifths(key), tsv_int(&tsv, i, "fifths"));
    check_signature(key, tsv_cell(&tsv, i, "accidentals_in_order"));

    QfKey again = {{0, 0}, QF_MAJOR};
    assert_int_equal(qf_key_from_fifths(qf_key_fifths(key), key.mode, &again), QF_OK);
    assert_true(qf_key_equals(key, again));

    assert_true(qf_key_equals(qf_key_relative(key), key_of(tsv_cell(&tsv, i, "relative_key"))));
    const char* const parallel = tsv_cell(&tsv, i, "parallel_key_with_signature");
    const bool        has_one  = strcmp(parallel, "-") != 0;
    assert_int_equal(qf_key_parallel(key, &again), has_one ? QF_OK : QF_ERR_RANGE);
    if (has_one) {
      assert_true(qf_key_equals(again, key_of(parallel)));
    }
  }
  tsv_free(&tsv);
}

static QfScaleKind
scale_kind(const char* const name)
{
  for (int kind = 0; kind < QF_SCALE_N_KINDS; ++kind) {
    if (!strcmp(qf_scale_name((QfScaleKind)kind), name)) {
      return (QfScaleKind)kind;
    }
  }
  fail_msg("no scale is called \"%s\"", name);
  return QF_SCALE_N_KINDS;
}

// Source: tests/data/references/scales.tsv. The descending melodic scale is listed from the top.
static void
test_scales_have_their_notes(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("scales");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const char* const label = tsv_cell(&tsv, i, "scale");
    const QfScaleKind kind  = scale_kind(label);
    QfNoteName        tonic = {0, 0};
    QfNoteName        notes[7];
    assert_int_equal(qf_note_name_parse(tsv_cell(&tsv, i, "tonic"), &tonic, NULL, NULL), QF_OK);
    assert_int_equal(qf_scale_notes(tonic, kind, notes), QF_OK);

    char  list[64] = "";
    char* tail     = list;
    for (int n = 0; n < 7; ++n) {
      const bool falls = kind == QF_SCALE_MELODIC_MINOR_DOWN;
      char       name[8];
      qf_note_name_write(notes[falls ? 6 - n : n], name, sizeof(name));
      tail += snprintf(tail, sizeof(list) - (size_t)(tail - list), "%s%s", n ? " " : "", name);
    }
    if (strcmp(list, tsv_cell(&tsv, i, "notes_in_order")) != 0) {
      fail_msg("%s %s: %s", tsv_cell(&tsv, i, "tonic"), label, list);
    }
  }
  tsv_free(&tsv);
}

static void
test_degrees_and_back_in_every_key(void** state)
{
  (void)state;
  for (int fifths = -7; fifths <= 7; ++fifths) {
    for (int mode = QF_MAJOR; mode <= QF_MINOR; ++mode) {
      QfKey key = {{0, 0}, QF_MAJOR};
      assert_int_equal(qf_key_from_fifths(fifths, (QfMode)mode, &key), QF_OK);

      char text[16];
      char brief[8];
      qf_key_write(key, text, sizeof(text));
      qf_key_write_short(key, brief, sizeof(brief));
      assert_true(qf_key_equals(key_of(text), key));
      assert_true(qf_key_equals(key_of(brief), key));
      strcat(brief, ":");
      assert_true(qf_key_equals(key_of(brief), key));

      for (int degree = 1; degree <= 7; ++degree) {
        for (int alter = -2; alter <= 2; ++alter) {
          QfNoteName note = {0, 0};
          int        d    = 0;
          int        a    = 0;
          assert_int_equal(qf_key_degree(key, degree, alter, &note), QF_OK);
          qf_key_degree_of(key, note, &d, &a);
          assert_int_equal(d, degree);
          assert_int_equal(a, alter);
        }
      }
    }
  }
}

typedef struct {
  const char* text;
  QfStatus    status;
  const char* written;
} KeyCase;

// Source: the contract in key.h
static const KeyCase key_cases[] = {
  {"Eb major", QF_OK, "Eb major"},
  {"c# minor", QF_OK, "C# minor"},
  {"C# minor", QF_OK, "C# minor"},
  {"A", QF_OK, "A major"},
  {"f#", QF_OK, "F# minor"},
  {"Bb:", QF_OK, "Bb major"},
  {"g:", QF_OK, "G minor"},
  {"b", QF_OK, "B minor"},
  {"bb", QF_OK, "Bb minor"},
  {"B\u266D major", QF_OK, "Bb major"},
  {"G# major", QF_ERR_RANGE, NULL},
  {"Fb", QF_ERR_RANGE, NULL},
  {"db", QF_ERR_RANGE, NULL},
  {"H major", QF_ERR_BAD_TEXT, NULL},
  {"C dorian", QF_ERR_BAD_TEXT, NULL},
  {"", QF_ERR_BAD_TEXT, NULL},
  {"C::", QF_ERR_BAD_TEXT, NULL},
};

static void
test_keys_are_read_or_refused(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(key_cases) / sizeof(key_cases[0]); ++i) {
    QfKey          key   = {{0, 0}, QF_MAJOR};
    QfError        error = {0};
    const QfStatus st    = qf_key_parse(key_cases[i].text, &key, &error);
    char           text[16];
    qf_key_write(key, text, sizeof(text));
    if (st != key_cases[i].status || (!st && strcmp(text, key_cases[i].written) != 0)) {
      fail_msg("\"%s\": status %d, %s", key_cases[i].text, (int)st, error.text);
    }
  }

  QfKey   key   = {{0, 0}, QF_MAJOR};
  QfError error = {0};
  assert_int_equal(qf_key_parse("G# major", &key, &error), QF_ERR_RANGE);
  assert_non_null(strstr(error.text, "8 sharps"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_keys_have_their_signatures),
    cmocka_unit_test(test_scales_have_their_notes),
    cmocka_unit_test(test_degrees_and_back_in_every_key),
    cmocka_unit_test(test_keys_are_read_or_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
