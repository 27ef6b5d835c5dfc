// SPDX-License-Identifier: MIT
#include "moves.h"

#include "quintfall/explore.h"

#include <string.h>

static const Move moves[] = {
#include "moves_table.inc"
};

static const size_t n_all_moves = sizeof(moves) / sizeof(moves[0]);

void
move_write(QfNumeral numeral, const QfMode mode, char* const buffer, const size_t size)
{
  numeral.n_changes = 0;
  qf_numeral_write(&numeral, mode, buffer, size);
}

bool
move_leaves(const Move* const move)
{
  return move->to[0] == '*';
}

static int
compare(const Move* const move, const QfMode mode, const char* const from)
{
  return move->mode != mode ? (int)move->mode - (int)mode : strcmp(move->from, from);
}

const Move*
moves_from(const QfMode mode, const QfNumeral* const numeral, size_t* const n_moves)
{
  char from[QF_NUMERAL_TEXT_SIZE];
  move_write(*numeral, mode, from, sizeof(from));

  size_t low  = 0;
  size_t high = n_all_moves;
  while (low < high) {
    const size_t middle = low + (high - low) / 2U;
    if (compare(&moves[middle], mode, from) < 0) {
      low = middle + 1U;
    } else {
      high = middle;
    }
  }

  for (high = low; high < n_all_moves && !compare(&moves[high], mode, from);) {
    ++high;
  }
  *n_moves = high - low;
  return &moves[low];
}

unsigned
qf_count_moves(const QfMode mode, const QfNumeral* const from, const QfNumeral* const to)
{
  size_t            n     = 0;
  const Move* const found = moves_from(mode, from, &n);
  char              text[QF_NUMERAL_TEXT_SIZE];
  unsigned          count = 0;

  if (to) {
    move_write(*to, mode, text, sizeof(text));
  }
  for (size_t i = 0; i < n; ++i) {
    count += !to || !strcmp(found[i].to, text) ? found[i].count : 0;
  }
  return count;
}
