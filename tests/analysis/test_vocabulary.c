// SPDX-License-Identifier: MIT
#include "passage.h"
#include "tsv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

// Source: tests/data/references/roman_numerals.tsv, every numeral of all 30 keys. Each row stands
// in a short context of chords from the same table; the label in the row's own key must be the
// row's.

enum {
  N_VOICES     = 4,
  MAX_NOTES    = 4,
  MAX_CONTEXT  = 4,
  CONTEXT_SIZE = 64,
  MAX_NUMERALS = 256,
};

/// The rows of one key
typedef struct {
  const Tsv*  tsv;
  size_t      first;
  size_t      end;
  QfKey       key;
  const char* numerals[MAX_NUMERALS]; ///< Of its rows, in their order
} KeyRows;

/// A chord as the table gives it
typedef struct {
  QfPitch notes[MAX_NOTES]; ///< Bass first, close position
  size_t  n_notes;
} Block;

/// How the row's chord is set
typedef struct {
  bool     is_spread; ///< Upper notes in any order and octave, one doubled
  bool     has_fifth;
  uint32_t seed;
} Setting;

static uint32_t
draw(uint32_t* const seed, const uint32_t n)
{
  // Source: Numerical Recipes in C, 2nd edition, section 7.1, "quick and dirty" generator.
  *seed = *seed * 1664525U + 1013904223U;
  return (*seed >> 16U) % n;
}

static Block
block_of(const char* const text)
{
  Block block = {.n_notes = 0};
  char  words[64];

  snprintf(words, sizeof(words), "%s", text);
  char* rest = NULL;

  for (char* word = strtok_r(words, " ", &rest); word; word = strtok_r(NULL, " ", &rest)) {
    assert_true(block.n_notes < MAX_NOTES);
    assert_int_equal(qf_pitch_parse(word, &block.notes[block.n_notes++], NULL), QF_OK);
  }
  return block;
}

/// The rows of the key that begins with a row
static KeyRows
rows_from(const Tsv* const tsv, const size_t first)
{
  const char* const tonic = tsv_cell(tsv, first, "key");
  const char* const mode  = tsv_cell(tsv, first, "mode");
  KeyRows           rows  = {tsv, first, first, key_of(tonic, mode), {NULL}};

  while (rows.end < tsv->n_rows && !strcmp(tsv_cell(tsv, rows.end, "key"), tonic) &&
         !strcmp(tsv_cell(tsv, rows.end, "mode"), mode)) {
    assert_true(rows.end - first < MAX_NUMERALS);
    rows.numerals[rows.end - first] = tsv_cell(tsv, rows.end, "rntxt_ascii");
    ++rows.end;
  }
  return rows;
}

/// Row of a numeral; fails the test if there is none
static size_t
row_of(const KeyRows* const rows, const char* const text)
{
  for (size_t i = 0; i < rows->end - rows->first; ++i) {
    if (!strcmp(rows->numerals[i], text)) {
      return rows->first + i;
    }
  }
  fail_msg("no row %s", text);
  return 0;
}

static bool
begins_with(const char* const text, const char* const start)
{
  return !strncmp(text, start, strlen(start));
}

/// What stands around a row: the chords before and after it, "_" for the row itself
static void
context_of(const Tsv* const tsv, const size_t row, char context[CONTEXT_SIZE])
{
  const bool        is_minor = !strcmp(tsv_cell(tsv, row, "mode"), "minor");
  const char* const tonic    = is_minor ? "i" : "I";
  const char* const text     = tsv_cell(tsv, row, "rntxt_ascii");
  const char* const goal     = tsv_cell(tsv, row, "resolves_to");
  const char* const usage    = tsv_cell(tsv, row, "usage");
  const bool        is_sixth = !strcmp(tsv_cell(tsv, row, "class"), "augmented sixth");

  if (!strcmp(text, "Cad64")) {
    // On the strong half of its bar, before the dominant on the weak half. Common practice.
    snprintf(context, CONTEXT_SIZE, "%s %s _ V %s", tonic, is_minor ? "iv" : "IV", tonic);
  } else if (begins_with(goal, "Cad64")) {
    snprintf(context, CONTEXT_SIZE, "%s _ Cad64 V %s", tonic, tonic);
  } else if (is_sixth || begins_with(text, "N")) {
    snprintf(context, CONTEXT_SIZE, "%s _ V %s", tonic, tonic);
  } else if (goal[0]) {
    snprintf(context, CONTEXT_SIZE, "%s _ %s V %s", tonic, goal, tonic);
  } else if (!strcmp(usage, "Picardy third")) {
    snprintf(context, CONTEXT_SIZE, "%s V _", tonic);
  } else if (!strcmp(text, tonic)) {
    snprintf(context, CONTEXT_SIZE, "V _ V %s", tonic);
  } else if (begins_with(text, "I64") || begins_with(text, "i64")) {
    snprintf(context, CONTEXT_SIZE, "%s _ %s %s", tonic, is_minor ? "iv" : "IV", tonic);
  } else if (begins_with(text, "V") && !begins_with(text, "VI")) {
    snprintf(context, CONTEXT_SIZE, "%s _ %s", tonic, tonic);
  } else {
    snprintf(context, CONTEXT_SIZE, "%s _ V %s", tonic, tonic);
  }
}

static bool
is_fifth_of(const Tsv* const tsv, const size_t row, const QfPitch note)
{
  QfNoteName root;

  assert_int_equal(qf_note_name_parse(tsv_cell(tsv, row, "root"), &root, NULL, NULL), QF_OK);
  return (note.letter - root.letter + 7) % 7 == 4;
}

/// Set a block in four voices, the lowest note kept
static void
spread(const Block block, Setting* const setting, QfPitch pitches[N_VOICES])
{
  size_t order[N_VOICES - 1];

  // Every upper note once, then doublings (common practice: root, or what comes).
  for (size_t i = 0; i + 1 < N_VOICES; ++i) {
    order[i] = i + 1 < block.n_notes ? i + 1 : draw(&setting->seed, (uint32_t)block.n_notes);
  }
  for (size_t i = N_VOICES - 2; i > 0 && setting->is_spread; --i) {
    const size_t j    = draw(&setting->seed, (uint32_t)i + 1);
    const size_t swap = order[i];

    order[i] = order[j];
    order[j] = swap;
  }

  QfPitch bass = block.notes[0];

  bass.octave = 2;
  for (size_t i = 0; i + 1 < N_VOICES; ++i) {
    QfPitch pitch = block.notes[order[i]];

    if (setting->is_spread) {
      pitch.octave = (int8_t)(4 + draw(&setting->seed, 2));
    } else if (i + 1 >= block.n_notes) {
      pitch.octave = (int8_t)(pitch.octave + 1);
    }
    pitches[i] = pitch;
  }
  pitches[N_VOICES - 1] = setting->is_spread ? bass : block.notes[0];
}

static void
add_row(Passage* const passage, const Tsv* const tsv, const size_t row, Setting setting)
{
  Block   block = block_of(tsv_cell(tsv, row, "notes_bass_to_top_close"));
  Block   kept  = {.n_notes = 0};
  QfPitch pitches[N_VOICES];

  for (size_t i = 0; i < block.n_notes; ++i) {
    if (setting.has_fifth || !is_fifth_of(tsv, row, block.notes[i])) {
      kept.notes[kept.n_notes++] = block.notes[i];
    }
  }

  spread(kept, &setting, pitches);
  passage_add_pitches(passage, pitches, N_VOICES, qf_time(1, 2));
}

/// Numerals that are the same chord by references.md section 2 (IBMT 15a, MT21C, When in Rome)
static bool
are_equal(const char* const a, const char* const b)
{
  static const char* const pairs[][2] = {
    {"V/IV", "I"},
    {"V6/IV", "I6"},
    {"V64/IV", "I64"},
    {"V/III", "VII"},
    {"V6/III", "VII6"},
    {"V64/III", "VII64"},
    {"V7/III", "VII7"},
    {"V65/III", "VII65"},
    {"V43/III", "VII43"},
    {"V42/III", "VII42"},
    {"viio/III", "iio"},
    {"viio6/III", "iio6"},
    {"viio64/III", "iio64"},
    {"V/VI", "III"},
    {"V6/VI", "III6"},
    {"V64/VI", "III64"},
    {"vii/o7/III", "ii/o7"},
    {"vii/o65/III", "ii/o65"},
    {"vii/o43/III", "ii/o43"},
    {"vii/o42/III", "ii/o42"},
    {"I64", "Cad64"},
    {"i64", "Cad64"},
  };

  if (!strcmp(a, b)) {
    return true;
  }
  for (size_t i = 0; i < sizeof(pairs) / sizeof(pairs[0]); ++i) {
    if ((!strcmp(a, pairs[i][0]) && !strcmp(b, pairs[i][1])) ||
        (!strcmp(a, pairs[i][1]) && !strcmp(b, pairs[i][0]))) {
      return true;
    }
  }
  return false;
}

/// True if two rows have the same notes once their fifths are left out
static bool
are_same_without_fifth(const Tsv* const tsv, const size_t a, const size_t b)
{
  const Block first  = block_of(tsv_cell(tsv, a, "notes_bass_to_top_close"));
  const Block second = block_of(tsv_cell(tsv, b, "notes_bass_to_top_close"));

  if (strcmp(tsv_cell(tsv, a, "root"), tsv_cell(tsv, b, "root")) != 0 ||
      first.n_notes != second.n_notes) {
    return false;
  }
  for (size_t i = 0; i < first.n_notes; ++i) {
    if (!is_fifth_of(tsv, a, first.notes[i]) && !qf_pitch_equals(first.notes[i], second.notes[i])) {
      return false;
    }
  }
  return true;
}

static bool
is_accepted(const KeyRows* const rows,
            const size_t         row,
            const Setting        setting,
            const char* const    got)
{
  const Tsv* const tsv = rows->tsv;

  if (are_equal(got, tsv_cell(tsv, row, "rntxt_ascii"))) {
    return true;
  }

  for (size_t r = rows->first; r < rows->end && !setting.has_fifth; ++r) {
    if (are_same_without_fifth(tsv, row, r) && are_equal(got, tsv_cell(tsv, r, "rntxt_ascii"))) {
      return true;
    }
  }
  return false;
}

static bool
check_row(const KeyRows* const rows, const size_t row, const Setting setting)
{
  const Tsv* const tsv     = rows->tsv;
  Passage          passage = passage_new(rows->key, N_VOICES);
  size_t           place   = 0;
  size_t           n       = 0;
  char             context[CONTEXT_SIZE];
  char             got[400];
  char             text[QF_NUMERAL_TEXT_SIZE] = "?";

  char* rest = NULL;

  context_of(tsv, row, context);
  for (char* word = strtok_r(context, " ", &rest); word; word = strtok_r(NULL, " ", &rest), ++n) {
    const Setting plain = {false, true, 1};

    if (!strcmp(word, "_")) {
      place = n;
      add_row(&passage, tsv, row, setting);
    } else {
      add_row(&passage, tsv, row_of(rows, word), plain);
    }
  }

  QfLabels* const labels = passage_label(&passage, rows->key, false);
  const size_t    index  = qf_labels_link_at(labels, qf_time((int64_t)place, 2));
  const bool      is_right =
    index != SIZE_MAX && is_accepted(rows, row, setting, link_text(labels, index, text));

  if (!is_right) {
    labels_text(labels, got, sizeof(got));
    print_error("%s %s %s%s: %s instead, in \"%s\"\n", tsv_cell(tsv, row, "key"),
                tsv_cell(tsv, row, "mode"), tsv_cell(tsv, row, "rntxt_ascii"),
                setting.has_fifth ? "" : " without fifth", text, got);
  }
  qf_labels_free(labels);
  passage_free(&passage);
  return is_right;
}

/// Root-position triads and sevenths, the chords that are said to do without their fifth
static bool
may_omit_fifth(const Tsv* const tsv, const size_t row)
{
  const char* const quality = tsv_cell(tsv, row, "quality");

  return !strcmp(tsv_cell(tsv, row, "inversion"), "0") && !strstr(quality, "augmented");
}

static void
check_all(const bool is_spread, const bool has_fifth)
{
  Tsv      tsv     = tsv_open("roman_numerals");
  size_t   n_wrong = 0;
  size_t   n_rows  = 0;
  uint32_t seed    = 20240;

  for (size_t first = 0; first < tsv.n_rows;) {
    const KeyRows rows = rows_from(&tsv, first);

    for (size_t row = rows.first; row < rows.end; ++row) {
      if (has_fifth || may_omit_fifth(&tsv, row)) {
        draw(&seed, 2);
        n_wrong += !check_row(&rows, row, (Setting){is_spread, has_fifth, seed});
        ++n_rows;
      }
    }
    first = rows.end;
  }

  print_message("%zu rows, %zu wrong\n", n_rows, n_wrong);
  assert_true(n_rows > (has_fifth ? 5000U : 1000U));
  assert_int_equal(n_wrong, 0);
  tsv_free(&tsv);
}

static void
test_every_numeral_is_named_in_close_position(void** state)
{
  (void)state;
  check_all(false, true);
}

static void
test_every_numeral_is_named_in_any_voicing(void** state)
{
  (void)state;
  check_all(true, true);
}

static void
test_every_numeral_is_named_without_its_fifth(void** state)
{
  (void)state;
  check_all(true, false);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_every_numeral_is_named_in_close_position),
    cmocka_unit_test(test_every_numeral_is_named_in_any_voicing),
    cmocka_unit_test(test_every_numeral_is_named_without_its_fifth),
  };

  return cmocka_run_group_tests(tests, NULL, NULL);
}
