// SPDX-License-Identifier: MIT
#include "task.h"

#include "quintfall/file.h"
#include "quintfall/formats.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool
read_word(FILE* const file, Task* const task)
{
  int      mode;
  int      entry;
  int      inversion;
  Identity w;

  if (fscanf(file, "%d %d %d %d %d %d %d %d %d %d", &mode, &entry, &inversion, &w.degree,
             &w.quality, &w.inversion, &w.step, &w.root, &w.points_at, &w.applied) != 10 ||
      mode < 0 || mode > 1 || entry < 0 || entry >= QF_N_WORDS || inversion < 0 ||
      inversion >= N_MEMBERS) {
    return false;
  }
  task->words[mode][entry][inversion] = w;
  return true;
}

static bool
read_reading(FILE* const file, Gold* const gold)
{
  Reading r;

  if (fscanf(file, "%d %d %d %d %d %d %d %d %d", &r.key, &r.mode, &r.chord.degree, &r.chord.quality,
             &r.chord.inversion, &r.chord.step, &r.chord.root, &r.chord.points_at,
             &r.chord.applied) != 9) {
    return false;
  }
  if (gold->n_readings < MAX_READINGS) {
    gold->readings[gold->n_readings++] = r;
  }
  return true;
}

static bool
read_line(FILE* const file, const char what, Task* const task)
{
  Piece* const piece = task->n_pieces ? &task->pieces[task->n_pieces - 1] : NULL;
  Gold* const  gold  = piece && piece->n_golds ? &piece->golds[piece->n_golds - 1] : NULL;

  switch (what) {
    case 'W':
      return read_word(file, task);
    case 'P': {
      if (task->n_pieces == MAX_PIECES) {
        return false;
      }
      Piece* const next = &task->pieces[task->n_pieces++];

      next->golds = (Gold*)calloc(MAX_GOLDS, sizeof(Gold));
      return next->golds && fscanf(file, "%31s %63s %d %511s", next->kind, next->name, &next->fold,
                                   next->path) == 4;
    }
    case 'M': {
      if (!piece || piece->n_measures == MAX_MEASURES) {
        return false;
      }
      const int i = piece->n_measures++;

      return fscanf(file, "%d %lf", &piece->numbers[i], &piece->starts[i]) == 2;
    }
    case 'G': {
      if (!piece || piece->n_golds == MAX_GOLDS) {
        return false;
      }
      Gold* const next = &piece->golds[piece->n_golds++];
      int         n;

      return fscanf(file, "%lf %lf %d", &next->start, &next->end, &n) == 3;
    }
    case 'R':
      return gold && read_reading(file, gold);
    default:
      return false;
  }
}

static void
fill_members(Task* const task)
{
  memset(task->members, -1, sizeof(task->members));
  for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
    for (int m = 0; m < qf_chord_kind_size((QfChordKind)k); ++m) {
      task->members[k][qf_member_fifths((QfChordKind)k, m) + 32] = (int8_t)m;
    }
  }
}

bool
task_read(const char* const path, Task* const task)
{
  FILE* const file = fopen(path, "r");
  char        what;

  if (!file) {
    fprintf(stderr, "cannot open %s\n", path);
    return false;
  }
  for (int line = 1; fscanf(file, " %c", &what) == 1; ++line) {
    if (!read_line(file, what, task)) {
      fprintf(stderr, "%s: entry %d is malformed, out of place, or one too many\n", path, line);
      fclose(file);
      return false;
    }
  }
  fclose(file);
  fill_members(task);

  for (int i = 0; i < task->n_pieces; ++i) {
    void*   data   = NULL;
    size_t  length = 0;
    QfError error  = {0};

    if (qf_file_read(task->pieces[i].path, &data, &length, &error) ||
        qf_musicxml_read(data, length, &task->pieces[i].score, NULL, &error)) {
      fprintf(stderr, "%s: %s\n", task->pieces[i].path, error.text);
      free(data);
      return false;
    }
    free(data);
  }
  return true;
}

void
task_free(Task* const task)
{
  for (int i = 0; task && i < task->n_pieces; ++i) {
    free(task->pieces[i].golds);
    qf_score_free(task->pieces[i].score);
  }
  free(task);
}
