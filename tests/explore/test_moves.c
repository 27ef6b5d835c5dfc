// SPDX-License-Identifier: MIT
#include "quintfall/explore.h"
#include "quintfall/formats.h"

#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

enum { MAX_MOVES = 4096 };

/// A kind of move, by the texts of its numerals; `to` is "*" for any chord of another key
typedef struct {
  QfMode    mode;
  QfNumeral from;
  QfNumeral to;
  char      text[2][QF_NUMERAL_TEXT_SIZE];
  unsigned  count;
} Move;

typedef struct {
  Move     moves[MAX_MOVES];
  size_t   n_moves;
  unsigned n_all;
  unsigned n_files;
} Tally;

static void
write_plain(QfNumeral numeral, const QfMode mode, char* const text)
{
  numeral.n_changes = 0;
  qf_numeral_write(&numeral, mode, text, QF_NUMERAL_TEXT_SIZE);
}

static void
add_move(Tally* const tally, const QfRomanItem* const from, const QfRomanItem* const to)
{
  char       text[2][QF_NUMERAL_TEXT_SIZE];
  const bool is_inside = qf_key_equals(from->key, to->key);
  write_plain(from->numeral, from->key.mode, text[0]);
  snprintf(text[1], sizeof(text[1]), "*");
  if (is_inside) {
    write_plain(to->numeral, to->key.mode, text[1]);
  }
  if (!strcmp(text[0], text[1])) {
    return;
  }

  ++tally->n_all;
  for (size_t i = 0; i < tally->n_moves; ++i) {
    Move* const move = &tally->moves[i];
    if (move->mode == from->key.mode && !strcmp(move->text[0], text[0]) &&
        !strcmp(move->text[1], text[1])) {
      ++move->count;
      return;
    }
  }
  assert_true(tally->n_moves < MAX_MOVES);
  Move* const move = &tally->moves[tally->n_moves++];
  *move = (Move){.mode = from->key.mode, .from = from->numeral, .to = to->numeral, .count = 1};
  memcpy(move->text, text, sizeof(text));
}

static bool
is_six_four_of_one(const QfNumeral* const numeral)
{
  return numeral->form == QF_NUMERAL_ROMAN && !numeral->n_targets && numeral->inversion == 2 &&
         (numeral->degree == 1 || numeral->degree == 5) && !numeral->alter &&
         (numeral->kind == QF_CHORD_MAJOR || numeral->kind == QF_CHORD_MINOR);
}

static bool
is_dominant_in_root_position(const QfNumeral* const numeral)
{
  return numeral->form == QF_NUMERAL_ROMAN && !numeral->n_targets && numeral->degree == 5 &&
         numeral->inversion == 0 &&
         (numeral->kind == QF_CHORD_MAJOR || qf_chord_kind_is_dominant(numeral->kind));
}

/// The corpus writes I64 or V64 for the cadential six-four as well (its README, "What is equal")
static void
name_cadential(QfRomanItem* const chord, const QfRomanItem* const next)
{
  if (qf_key_equals(chord->key, next->key) && is_six_four_of_one(&chord->numeral) &&
      is_dominant_in_root_position(&next->numeral)) {
    qf_numeral_parse("Cad64", chord->key.mode, &chord->numeral, NULL);
  }
}

static void
add_analysis(Tally* const tally, const QfRomanText* const roman)
{
  QfRomanItem* before = NULL;

  for (size_t i = 0; i < roman->n_lines; ++i) {
    const QfRomanLine* const line = &roman->lines[i];
    if (line->kind != QF_ROMAN_MEASURE) {
      continue;
    }
    for (size_t j = line->first_item; j < line->first_item + line->n_items; ++j) {
      QfRomanItem* const item = &roman->items[j];
      if (item->kind != QF_ROMAN_CHORD) {
        before = item->kind == QF_ROMAN_KEY ? before : NULL;
        continue;
      }
      if (before) {
        name_cadential(before, item);
      }
      before = item;
    }
  }

  // Names first, moves second: a move needs the name of the chord it leads to.
  before = NULL;
  for (size_t i = 0; i < roman->n_lines; ++i) {
    const QfRomanLine* const line = &roman->lines[i];
    if (line->kind != QF_ROMAN_MEASURE) {
      continue;
    }
    for (size_t j = line->first_item; j < line->first_item + line->n_items; ++j) {
      QfRomanItem* const item = &roman->items[j];
      if (item->kind == QF_ROMAN_CHORD && before) {
        add_move(tally, before, item);
      }
      before = item->kind == QF_ROMAN_CHORD ? item : item->kind == QF_ROMAN_KEY ? before : NULL;
    }
  }
}

static void
add_file(Tally* const tally, const char* const path)
{
  static char  text[200000];
  FILE* const  file   = fopen(path, "rb");
  QfRomanText  roman  = {0};
  QfError      error  = {0};
  const size_t length = file ? fread(text, 1, sizeof(text), file) : 0;

  assert_non_null(file);
  fclose(file);
  assert_true(length < sizeof(text));
  if (qf_romantext_read(text, length, &roman, &error)) {
    fail_msg("%s: %s", path, error.text);
  }
  add_analysis(tally, &roman);
  ++tally->n_files;
  qf_romantext_clear(&roman);
}

static void
add_folder(Tally* const tally, const char* const folder)
{
  DIR* const directory = opendir(folder);
  assert_non_null(directory);
  for (const struct dirent* entry = readdir(directory); entry; entry = readdir(directory)) {
    char path[1600];
    snprintf(path, sizeof(path), "%s/%s/analysis.rntxt", folder, entry->d_name);
    if (entry->d_name[0] != '.' && !access(path, R_OK)) {
      add_file(tally, path);
    }
  }
  closedir(directory);
}

/// The table says of every move what counting anew says, and has no others
static void
test_the_table_is_what_the_corpus_has(void** const state)
{
  (void)state;
  static const char* const folders[] = {"chorales", "textbooks", "training/chorales",
                                        "training/textbooks"};
  const char* const        named     = getenv("QUINTFALL_CORPUS");
  Tally* const             tally     = (Tally*)calloc(1, sizeof(Tally));
  assert_non_null(tally);

  for (size_t i = 0; i < sizeof(folders) / sizeof(folders[0]); ++i) {
    char path[1200];
    snprintf(path, sizeof(path), "%s/%s", named ? named : QF_SOURCE_ROOT "/../shared/corpus",
             folders[i]);
    if (access(path, R_OK)) {
      free(tally);
      print_message("skipped: no corpus (set QUINTFALL_CORPUS to its folder)\n");
      skip();
    }
    add_folder(tally, path);
  }

  unsigned in_table = 0;
  unsigned n_wrong  = 0;
  for (size_t i = 0; i < tally->n_moves; ++i) {
    const Move* const move = &tally->moves[i];
    if (strcmp(move->text[1], "*") != 0) {
      const unsigned count = qf_count_moves(move->mode, &move->from, &move->to);
      if (count != move->count) {
        print_message("%s %s %s: %u in the table, %u in the corpus\n",
                      move->mode == QF_MAJOR ? "major" : "minor", move->text[0], move->text[1],
                      count, move->count);
        ++n_wrong;
      }
    }
    // The total of a numeral once, at the first of its moves.
    bool is_first = true;
    for (size_t j = 0; j < i; ++j) {
      is_first &=
        tally->moves[j].mode != move->mode || strcmp(tally->moves[j].text[0], move->text[0]) != 0;
    }
    in_table += is_first ? qf_count_moves(move->mode, &move->from, NULL) : 0;
  }
  print_message("  %u analyses, %u moves\n", tally->n_files, tally->n_all);
  assert_int_equal(0, n_wrong);
  assert_int_equal(tally->n_all, in_table);
  assert_int_equal(292, tally->n_files);
  free(tally);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_the_table_is_what_the_corpus_has),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
