// SPDX-License-Identifier: MIT
// What is learned from: scores and what humans read in them.
#ifndef QUINTFALL_SRC_LEARN_TASK_H
#define QUINTFALL_SRC_LEARN_TASK_H

#include "labels_impl.h"

enum {
  MAX_PIECES   = 1024,
  MAX_GOLDS    = 2048,
  MAX_MEASURES = 512,
  MAX_READINGS = 3,
  N_MEMBERS    = 6,
  PATH_SIZE    = 512,
};

/// By what two chords are compared; pitch classes above C, or above the tonic in the word table
typedef struct {
  int degree;
  int quality;
  int inversion;
  int step;
  int root;
  int points_at;
  int applied; ///< Target of a secondary dominant, or -1
} Identity;

typedef struct {
  int      key;
  int      mode;
  Identity chord;
} Reading;

/// A stretch of a human analysis
typedef struct {
  double  start; ///< Quarters
  double  end;
  int     n_readings;
  Reading readings[MAX_READINGS];
} Gold;

typedef struct {
  char     kind[32];
  char     name[64];
  char     path[PATH_SIZE];
  int      fold;
  Gold*    golds;
  int      n_golds;
  int      numbers[MAX_MEASURES];
  double   starts[MAX_MEASURES];
  int      n_measures;
  QfScore* score;
} Piece;

typedef struct {
  Piece    pieces[MAX_PIECES];
  int      n_pieces;
  Identity words[2][QF_N_WORDS][N_MEMBERS];
  int8_t   members[QF_CHORD_N_KINDS][64]; ///< Member so many fifths above the root plus 32, or -1
} Task;

/// Read the file that table.py writes; complains itself
bool
task_read(const char* path, Task* task);

/// NULL is fine
void
task_free(Task* task);

#endif // QUINTFALL_SRC_LEARN_TASK_H
