// SPDX-License-Identifier: MIT
#include "score_test.h"

#include "quintfall/spelling.h"

#include <stdio.h>
#include <string.h>

static QfSymbols
symbols_of(const QfScore* const score, const size_t voice)
{
  QfSymbols symbols = {0};
  assert_int_equal(qf_symbols_of(score, voice, &symbols), QF_OK);
  return symbols;
}

/// Write symbols as "4. 8~ r4 8(3) R": value, dots, tuplet, tie; r a rest, R that of a whole bar
static void
describe(const QfScore* const score, const QfSymbols* const symbols, char* text, size_t size)
{
  size_t bar = 0;
  for (size_t i = 0; i < symbols->n_symbols; ++i) {
    const QfSymbol* const symbol    = &symbols->symbols[i];
    const size_t          at        = qf_score_bar_at(score, symbol->start);
    const char* const     gap       = i == 0 ? "" : at != bar ? " | " : " ";
    const char* const     rest      = symbol->note == QF_NO_NOTE ? "r" : "";
    char                  tuplet[8] = "";
    char                  value[8]  = "0"; // a breve
    bar                             = at;
    if (symbol->tuplet) {
      snprintf(tuplet, sizeof(tuplet), "(%d)", symbol->tuplet);
    }
    if (symbol->value >= 0) {
      snprintf(value, sizeof(value), "%d", 1 << symbol->value);
    }

    const int length = symbol->is_whole_bar ? snprintf(text, size, "%sR", gap)
                                            : snprintf(text, size, "%s%s%s%s%s%s", gap, rest, value,
                                                       symbol->dots == 2   ? ".."
                                                       : symbol->dots == 1 ? "."
                                                                           : "",
                                                       tuplet, symbol->is_tied ? "~" : "");
    assert_true(length > 0 && (size_t)length < size);
    text += length;
    size -= (size_t)length;
  }
}

typedef struct {
  const char* metre;
  const char* pickup;
  const char* voice; ///< Durations one after another, r before a rest
  const char* written;
} SymbolCase;

// Common practice of writing rhythm: ties at bar lines and beats, the middle of a four-four
// bar shown, plain syncopations in one value, beats of compound time shown, rests on the beats
static const SymbolCase symbol_cases[] = {
  // Plain values
  {"4/4", "0", "1", "1"},
  {"4/4", "0", "3/4 1/4", "2. 4"},
  {"4/4", "0", "3/8 1/8 1/2", "4. 8 2"},
  {"4/4", "0", "7/16 1/16 1/2", "4.. 16 2"},
  {"4/4", "0", "7/8 1/8", "2.~ 8 8"},
  {"3/4", "0", "3/4", "2."},
  {"3/4", "0", "1/4 1/2", "4 2"},
  {"6/8", "0", "3/4", "2."},
  {"12/8", "0", "3/2", "1."},
  {"4/2", "0", "2", "0"},
  {"5/4", "0", "5/4", "2.~ 2"},
  {"7/8", "0", "7/8", "2~ 4."},
  {"5/8", "0", "5/8", "4.~ 4"},
  {"2/2", "0", "1", "1"},
  // Ties over the bar line
  {"4/4", "0", "3/4 1/2 3/4", "2. 4~ | 4 2."},
  {"3/4", "0", "3/2", "2.~ | 2."},
  {"4/4", "0", "3", "1~ | 1~ | 1"},
  // Syncopations, and what would hide the middle of the bar
  {"4/4", "0", "1/4 1/2 1/4", "4 2 4"},
  {"4/4", "0", "1/8 1/4 1/8 1/2", "8 4 8 2"},
  {"4/4", "0", "1/4 1/8 1/4 3/8", "4 8 8~ 8 4."},
  {"4/4", "0", "1/4 3/4", "4 2."},
  {"4/4", "0", "1/4 3/8 3/8", "4 4~ 8 4."},
  {"4/4", "0", "1/8 7/8", "8 8~ 4~ 2"},
  {"4/4", "0", "5/8 3/8", "2~ 8 4."},
  {"2/4", "0", "1/16 1/8 1/16 1/4", "16 8 16 4"},
  {"2/4", "0", "3/16 1/16 1/16 3/16", "8. 16 16 8."},
  {"2/2", "0", "1/4 1/2 1/4", "4 2 4"},
  // Compound time shows its beats
  {"6/8", "0", "1/2 1/4", "4.~ 8 4"},
  {"6/8", "0", "1/4 1/2", "4 8~ 4."},
  {"6/8", "0", "1/4 1/8 1/8 1/4", "4 8 8 4"},
  {"6/8", "0", "1/4 1/4 1/4", "4 8~ 8 4"},
  {"9/8", "0", "3/4 3/8", "2. 4."},
  {"6/8", "0", "3/16 3/16 3/8", "8. 8. 4."}, // two against three needs no tuplet
  // Rests
  {"4/4", "0", "1/4 r3/4", "4 r4 r2"},
  {"4/4", "0", "r1/2 1/2", "r2 2"},
  {"4/4", "0", "r1/4 1/4 r1/2", "r4 4 r2"},
  {"4/4", "0", "1/4 r1/2 1/4", "4 r4 r4 4"},
  {"3/4", "0", "1/4 r1/2", "4 r4 r4"},
  {"3/4", "0", "r1/2 1/4", "r4 r4 4"},
  {"4/4", "0", "r3/8 1/8 1/2", "r4 r8 8 2"},
  {"4/4", "0", "r3/16 1/16 3/4", "r8 r16 16 2."},
  {"4/4", "0", "1/8 r3/8 1/2", "8 r8 r4 2"},
  {"4/4", "0", "3/16 r1/16 r3/4", "8. r16 r4 r2"},
  {"6/8", "0", "3/8 r3/8", "4. r4."},
  {"6/8", "0", "r1/4 1/8 3/8", "r4 8 4."},
  {"6/8", "0", "1/8 r1/4 3/8", "8 r8 r8 4."},
  {"12/8", "0", "r3/4 3/4", "r2. 2."},
  {"4/4", "0", "r1 1", "R | 1"},
  {"3/4", "0", "r3/4 3/4", "R | 2."},
  {"4/2", "0", "r2 2", "R | 0"},
  // Pickups count from the end of the bar
  {"4/4", "1/4", "1/4 1", "4 | 1"},
  {"4/4", "3/8", "3/8 1", "4. | 1"},
  {"4/4", "1/2", "r1/4 1/4 1", "r4 4 | 1"},
  {"6/8", "1/8", "1/8 3/4", "8 | 2."},
  // Tuplets
  {"4/4", "0", "1/12 1/12 1/12 3/4", "8(3) 8(3) 8(3) 2."},
  {"4/4", "0", "1/6 1/12 3/4", "4(3) 8(3) 2."},
  {"4/4", "0", "1/12 1/6 3/4", "8(3) 4(3) 2."},
  {"4/4", "0", "1/6 1/6 1/6 1/2", "4(3) 4(3) 4(3) 2"},
  {"4/4", "0", "1/3 1/6 1/2", "2(3) 4(3) 2"},
  {"4/4", "0", "1/3 1/3 1/3", "2(3) 2(3) 2(3)"},
  {"4/4", "0", "1/20 1/20 1/20 1/20 1/20 3/4", "16(5) 16(5) 16(5) 16(5) 16(5) 2."},
  {"4/4", "0", "1/28 1/28 1/28 1/28 1/28 1/28 1/28 3/4",
   "16(7) 16(7) 16(7) 16(7) 16(7) 16(7) 16(7) 2."},
  {"4/4", "0", "1/24 1/24 1/24 1/8 3/4", "16(3) 16(3) 16(3) 8 2."},
  {"4/4", "0", "1/12 r1/12 1/12 3/4", "8(3) r8(3) 8(3) 2."},
  {"4/4", "0", "1/12 r11/12", "8(3) r8(3) r8(3) r4 r2"},
  {"4/4", "0", "1/4 1/12 1/12 7/12", "4 8(3) 8(3) 8(3)~ 2"},
  {"4/4", "0", "1/12 1/12 1/6 1/6 1/2", "8(3) 8(3) 4(3) 4(3) 2"},
  {"2/2", "0", "1/6 1/6 1/6 1/2", "4(3) 4(3) 4(3) 2"},
  {"6/8", "0", "1/12 1/12 1/12 1/8 3/8", "8(3) 8(3) 8(3) 8 4."},
  {"6/8", "0", "1/8 1/12 1/12 1/12 3/8", "8 8(3) 8(3) 8(3) 4."},
  {"4/4", "1/4", "1/12 1/12 1/12 1", "8(3) 8(3) 8(3) | 1"},
  {"3/4", "0", "1/6 1/6 1/6 1/4", "4(3) 4(3) 4(3) 4"},
  {"3/4", "0", "1/4 1/6 1/6 1/6", "4 4(3) 4(3) 4(3)"},
};

static void
fill(QfScore* const score, const char* durations)
{
  QfTime time = QF_TIME_ZERO;
  while (*durations) {
    const bool  is_rest  = *durations == 'r';
    const char* start    = durations + (is_rest ? 1 : 0);
    char        text[32] = "";
    size_t      length   = strcspn(start, " ");
    memcpy(text, start, length);
    durations = start + length + (start[length] ? 1 : 0);

    const QfTime duration = time_of(text);
    if (!is_rest) {
      assert_int_equal(
        qf_score_put_note(score, 0, time, duration, pitch_of("B4"), QF_NO_NOTE, NULL), QF_OK);
    }
    time = qf_time_add(time, duration);
  }
}

static void
test_rhythms_are_written_as_practice_has_it(void** const state)
{
  (void)state;
  int n_failed = 0;
  for (size_t i = 0; i < N_ITEMS(symbol_cases); ++i) {
    const SymbolCase* const row       = &symbol_cases[i];
    const size_t            n_bars    = strcmp(row->pickup, "0") ? 0 : 1;
    QfScore* const          score     = new_score("C", row->metre, row->pickup, n_bars);
    char                    text[512] = "";
    fill(score, row->voice);

    QfSymbols symbols = symbols_of(score, 0);
    describe(score, &symbols, text, sizeof(text));
    if (strcmp(text, row->written) != 0) {
      print_error("%s, %s: wrote %s, not %s\n", row->metre, row->voice, text, row->written);
      ++n_failed;
    }
    qf_symbols_clear(&symbols);
    qf_score_free(score);
  }
  assert_int_equal(n_failed, 0);
}

/// The length a symbol shows, by the rules of notation
static QfTime
shown_length(const QfSymbol* const symbol)
{
  const QfTime plain =
    symbol->value < 0 ? qf_time(1 << -symbol->value, 1) : qf_time(1, 1 << symbol->value);
  const QfTime dotted = qf_time_mul(plain, qf_time((2 << symbol->dots) - 1, 1 << symbol->dots));
  int          base   = 1;
  while (base * 2 <= symbol->tuplet) {
    base *= 2;
  }
  return symbol->tuplet ? qf_time_mul(dotted, qf_time(base, symbol->tuplet)) : dotted;
}

static void
check_symbol(const QfScore* const score, const size_t voice, const QfSymbol* const symbol)
{
  const QfTime        end  = qf_time_add(symbol->start, symbol->duration);
  const size_t        at   = qf_score_bar_at(score, symbol->start);
  const QfBar* const  bar  = qf_score_get_bar(score, at);
  const QfNote* const note = qf_score_note_at(score, voice, symbol->start);

  assert_true(symbol->value >= -1 && symbol->value <= 10 && symbol->dots <= 2);
  assert_true(symbol->tuplet == 0 || (symbol->tuplet >= 3 && symbol->tuplet % 2 == 1));
  assert_true(qf_time_compare(end, qf_time_add(bar->start, bar->length)) <= 0);
  if (!symbol->is_whole_bar) {
    assert_int_equal(qf_time_compare(shown_length(symbol), symbol->duration), 0);
  }

  assert_int_equal(symbol->note, note ? note->id : (uint32_t)QF_NO_NOTE);
  if (note) {
    const QfTime note_end = qf_time_add(note->start, note->duration);
    assert_true(qf_pitch_equals(symbol->pitch, note->pitch));
    assert_true(qf_time_compare(end, note_end) <= 0);
    assert_int_equal(symbol->is_tied, qf_time_compare(end, note_end) < 0);
  } else {
    assert_false(symbol->is_tied);
  }
}

static void
test_symbols_fill_every_bar(void** const state)
{
  (void)state;
  static const char* const metres[] = {"4/4", "3/4", "2/2", "6/8", "9/8", "12/8",
                                       "5/8", "7/8", "2/4", "3/8", "5/4", "3+3+2/8"};
  static const uint32_t    odds[]   = {1, 3, 5, 7, 9};
  for (uint64_t seed = 1; seed <= 60; ++seed) {
    TestRandom     random = {seed, odds[seed % N_ITEMS(odds)]};
    QfScore* const score =
      new_score("C", metres[seed % N_ITEMS(metres)], seed % 3 ? "0" : "1/8", 2);
    // Few changes leave plain rhythms, many leave tangled ones
    scribble(score, &random, (int)(4 * seed), 6);
    for (size_t voice = 0; voice < 4; ++voice) {
      QfSymbols symbols = symbols_of(score, voice);
      QfTime    time    = QF_TIME_ZERO;
      for (size_t i = 0; i < symbols.n_symbols; ++i) {
        assert_int_equal(qf_time_compare(symbols.symbols[i].start, time), 0);
        check_symbol(score, voice, &symbols.symbols[i]);
        time = qf_time_add(time, symbols.symbols[i].duration);
      }
      assert_int_equal(qf_time_compare(time, qf_score_get_end(score)), 0);
      qf_symbols_clear(&symbols);
    }
    qf_score_free(score);
  }
}

static void
test_what_cannot_be_written_keeps_its_length(void** const state)
{
  (void)state;
  QfScore* const score = new_score("C", "4/4", "0", 1);
  put(score, 0, "0", "1/997", "C5");
  put(score, 0, "1/4", "1/4096", "C5");
  put(score, 0, "1/2", "999999/1000000", "C5");

  QfSymbols symbols = symbols_of(score, 0);
  QfTime    time    = QF_TIME_ZERO;
  for (size_t i = 0; i < symbols.n_symbols; ++i) {
    const QfSymbol* const symbol = &symbols.symbols[i];
    assert_int_equal(qf_time_compare(symbol->start, time), 0);
    assert_true(symbol->duration.num > 0);
    assert_true(symbol->value >= -1 && symbol->value <= 10);
    time = qf_time_add(time, symbol->duration);
  }
  assert_int_equal(qf_time_compare(time, qf_score_get_end(score)), 0);
  assert_int_equal(symbols.symbols[0].value, 10);
  qf_symbols_clear(&symbols);
  qf_score_free(score);
}

static void
test_odd_bars_are_filled(void** const state)
{
  (void)state;
  // A bar longer than its metre, and one of a third of a whole note
  QfScore* const score = new_score("C", "3/4", "0", 1);
  QfBar          bar   = {.length = qf_time(9, 8), .number = 2, .metre = metre_of("3/4")};
  assert_int_equal(qf_score_append_bar(score, bar), QF_OK);
  bar.length = qf_time(1, 3);
  assert_int_equal(qf_score_append_bar(score, bar), QF_OK);
  put(score, 0, "3/4", "9/8", "C5");
  put(score, 0, "15/8", "1/6", "C5");

  char      text[256] = "";
  QfSymbols symbols   = symbols_of(score, 0);
  QfTime    time      = QF_TIME_ZERO;
  for (size_t i = 0; i < symbols.n_symbols; ++i) {
    assert_int_equal(qf_time_compare(symbols.symbols[i].start, time), 0);
    time = qf_time_add(time, symbols.symbols[i].duration);
  }
  assert_int_equal(qf_time_compare(time, qf_score_get_end(score)), 0);
  describe(score, &symbols, text, sizeof(text));
  assert_memory_equal(text, "R | 2.~ 4. | ", 13);
  qf_symbols_clear(&symbols);
  qf_score_free(score);
}

static void
test_no_such_voice(void** const state)
{
  (void)state;
  QfScore* const score   = new_score("C", "4/4", "0", 1);
  QfSymbols      symbols = {0};
  assert_int_equal(qf_symbols_of(score, 4, &symbols), QF_ERR_RANGE);
  assert_null(symbols.symbols);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_rhythms_are_written_as_practice_has_it),
    cmocka_unit_test(test_symbols_fill_every_bar),
    cmocka_unit_test(test_what_cannot_be_written_keeps_its_length),
    cmocka_unit_test(test_odd_bars_are_filled),
    cmocka_unit_test(test_no_such_voice),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
