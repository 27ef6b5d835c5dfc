// SPDX-License-Identifier: MIT
#include "tsv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static char*
read_file(const char* const path)
{
  FILE* const file = fopen(path, "rb");
  if (!file) {
    return NULL;
  }

  fseek(file, 0, SEEK_END);
  const long size = ftell(file);
  rewind(file);
  char* const text = (char*)calloc((size_t)size + 1U, 1);
  const bool  done = text && fread(text, 1, (size_t)size, file) == (size_t)size;
  fclose(file);
  if (!done) {
    free(text);
    return NULL;
  }
  return text;
}

static size_t
count(const char* text, const char c)
{
  size_t n = 0;
  for (; *text; ++text) {
    n += *text == c;
  }
  return n;
}

Tsv
tsv_open(const char* const name)
{
  char path[512];
  snprintf(path, sizeof(path), "%s/references/%s.tsv", QF_TEST_DATA, name);

  Tsv tsv  = {0};
  tsv.text = read_file(path);
  if (!tsv.text) {
    fail_msg("cannot read %s", path);
  }

  char*  rest   = tsv.text;
  size_t n_tabs = 0;
  for (const char* c = rest; *c && *c != '\n'; ++c) {
    n_tabs += *c == '\t';
  }
  tsv.n_columns = n_tabs + 1U;
  tsv.cells     = (char**)calloc((count(rest, '\n') + 1U) * tsv.n_columns, sizeof(char*));

  size_t n_lines = 0;
  for (char* line = strsep(&rest, "\n"); line; line = strsep(&rest, "\n")) {
    if (!*line) {
      continue;
    }
    for (size_t i = 0; i < tsv.n_columns; ++i) {
      char* const cell                       = strsep(&line, "\t");
      tsv.cells[n_lines * tsv.n_columns + i] = cell;
      if (!cell) {
        fail_msg("%s: line %zu has too few cells", path, n_lines + 1U);
      }
    }
    ++n_lines;
  }
  if (n_lines < 2) {
    fail_msg("%s has no rows", path);
  }
  tsv.n_rows = n_lines - 1U;
  return tsv;
}

const char*
tsv_cell(const Tsv* const tsv, const size_t row, const char* const column)
{
  for (size_t i = 0; i < tsv->n_columns; ++i) {
    if (!strcmp(tsv->cells[i], column)) {
      return tsv->cells[(row + 1U) * tsv->n_columns + i];
    }
  }
  fail_msg("no column \"%s\"", column);
  return NULL;
}

int
tsv_int(const Tsv* const tsv, const size_t row, const char* const column)
{
  const char* const cell  = tsv_cell(tsv, row, column);
  char*             end   = NULL;
  const long        value = strtol(cell, &end, 10);
  if (end == cell || *end) {
    fail_msg("row %zu: \"%s\" in column \"%s\" is not a number", row + 1U, cell, column);
  }
  return (int)value;
}

void
tsv_free(Tsv* const tsv)
{
  free(tsv->cells);
  free(tsv->text);
  *tsv = (Tsv){0};
}
