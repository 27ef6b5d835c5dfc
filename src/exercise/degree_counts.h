// SPDX-License-Identifier: MIT
// Made by src/exercise/count_degrees.py from the analyses in tests/data:
// 73 files, 2261 pairs of degrees. Rows from, columns to; parts of a hundred.
// Source: When in Rome corpus, CC BY-SA 4.0, Gotham et al., TISMIR 6(1), 2023.
static const unsigned char degree_counts[2][7][7] = {
  {
    {0, 15, 1, 28, 40, 12, 5},
    {2, 0, 3, 1, 70, 3, 22},
    {6, 6, 0, 52, 10, 26, 0},
    {23, 8, 2, 0, 47, 2, 18},
    {81, 3, 2, 5, 0, 9, 0},
    {15, 31, 6, 17, 25, 0, 6},
    {85, 0, 2, 2, 8, 3, 0},
  },
  {
    {0, 13, 1, 18, 49, 7, 12},
    {3, 0, 5, 1, 85, 0, 6},
    {10, 10, 0, 24, 14, 33, 10},
    {10, 10, 1, 0, 67, 1, 12},
    {80, 4, 2, 5, 0, 8, 2},
    {2, 61, 2, 7, 18, 0, 9},
    {83, 0, 1, 1, 15, 0, 0},
  },
};
