// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TESTS_TSV_H
#define QUINTFALL_TESTS_TSV_H

#include <stddef.h>

/// A table of tab-separated text whose first line names its columns
typedef struct {
  char*  text;  ///< Whole file, cut into cells; owned
  char** cells; ///< Row by row, header first; owned
  size_t n_rows;
  size_t n_columns;
} Tsv;

/// Read tests/data/references/NAME.tsv; fails the running test if it cannot
Tsv
tsv_open(const char* name);

/// Cell of a row (from 0, without the header) by its column's name; fails the test if unknown
const char*
tsv_cell(const Tsv* tsv, size_t row, const char* column);

/// The same as a whole number
int
tsv_int(const Tsv* tsv, size_t row, const char* column);

void
tsv_free(Tsv* tsv);

#endif // QUINTFALL_TESTS_TSV_H
