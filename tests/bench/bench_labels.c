// SPDX-License-Identifier: MIT
#include "quintfall/label.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

// How long it takes to label a passage from the beginning, how that grows with its length, and how
// much less it takes after an edit. A pattern of four bars in four voices, with passing notes and a
// suspension, is repeated. The quickest of several rounds counts.

enum {
  N_VOICES  = 4,
  N_ROUNDS  = 5,
  N_NOTES   = 8, // Most notes of a voice in a bar
  PATTERN   = 4, // Bars
  CHORALE   = 14,
  LONG_TIME = 200,
};

/// One note: pitch as text, length in eighths; a length of 0 ends the bar
typedef struct {
  const char* pitch;
  int         eighths;
} Note;

static const Note pattern[PATTERN][N_VOICES][N_NOTES] = {
  {{{"C5", 2}, {"D5", 2}, {"E5", 2}, {"D5", 1}, {"C5", 1}},
   {{"G4", 2}, {"G4", 2}, {"G4", 2}, {"A4", 2}},
   {{"E4", 2}, {"D4", 1}, {"B3", 1}, {"C4", 2}, {"F4", 1}, {"E4", 1}},
   {{"C3", 2}, {"B2", 2}, {"C3", 1}, {"E3", 1}, {"F3", 2}}},
  {{{"B4", 2}, {"C5", 2}, {"D5", 4}},
   {{"G4", 2}, {"G4", 2}, {"A4", 2}, {"B4", 2}},
   {{"D4", 2}, {"E4", 2}, {"F#4", 2}, {"G4", 2}},
   {{"G3", 1}, {"F3", 1}, {"E3", 2}, {"D3", 2}, {"G2", 2}}},
  {{{"E5", 2}, {"D5", 2}, {"C5", 2}, {"B4", 2}},
   {{"G#4", 2}, {"A4", 1}, {"G#4", 1}, {"A4", 2}, {"G#4", 2}},
   {{"B3", 2}, {"B3", 2}, {"A3", 2}, {"E4", 1}, {"D4", 1}},
   {{"E3", 2}, {"F3", 2}, {"A3", 1}, {"A2", 1}, {"E3", 2}}},
  {{{"C5", 2}, {"A4", 2}, {"D5", 1}, {"C5", 1}, {"B4", 2}},
   {{"A4", 2}, {"F4", 2}, {"F4", 2}, {"F4", 2}},
   {{"C4", 2}, {"C4", 2}, {"A3", 2}, {"D4", 2}},
   {{"A2", 2}, {"F3", 2}, {"F3", 1}, {"D3", 1}, {"G3", 2}}},
};

static double
now_s(void)
{
  struct timespec now;

  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static QfScore*
make_score(const int n_bars)
{
  const QfKey    key   = {{0, 0}, QF_MAJOR};
  QfMetre        metre = {0};
  QfScore* const score =
    qf_metre(4, 4, &metre) ? NULL : qf_score_new_satb(key, metre, QF_TIME_ZERO, (size_t)n_bars);

  for (int bar = 0; score && bar < n_bars; ++bar) {
    for (size_t v = 0; v < N_VOICES; ++v) {
      QfTime start = qf_time(bar, 1);

      for (int i = 0; i < N_NOTES && pattern[bar % PATTERN][v][i].eighths; ++i) {
        const Note   note     = pattern[bar % PATTERN][v][i];
        const QfTime duration = qf_time(note.eighths, 8);
        QfPitch      pitch    = {0};

        if (qf_pitch_parse(note.pitch, &pitch, NULL) ||
            qf_score_put_note(score, v, start, duration, pitch, QF_NO_NOTE, NULL)) {
          qf_score_free(score);
          return NULL;
        }
        start = qf_time_add(start, duration);
      }
    }
  }
  return score;
}

/// Milliseconds to label so many bars, or less than zero if it failed
static double
measure(const int n_bars, size_t* const n_links)
{
  const QfLabelOptions options = {.may_modulate = true};
  QfScore* const       score   = make_score(n_bars);
  double               best    = -1.0;

  for (int round = 0; score && round < N_ROUNDS; ++round) {
    QfLabels*    labels = NULL;
    const double start  = now_s();

    if (qf_labels_new(score, options, &labels, NULL)) {
      break;
    }

    const double took = 1e3 * (now_s() - start);

    best     = best < 0.0 || took < best ? took : best;
    *n_links = qf_labels_n_links(labels);
    qf_labels_free(labels);
  }
  qf_score_free(score);
  return best;
}

/// Milliseconds to bring the labels of so many bars up to date after one note has changed, in the
/// middle of the passage and back again, or less than zero if it failed
static double
measure_edit(const int n_bars)
{
  const QfLabelOptions options = {.may_modulate = true};
  QfScore* const       score   = make_score(n_bars);
  QfLabels*            labels  = NULL;
  double               best    = -1.0;

  if (!score || qf_labels_update(&labels, score, options, NULL)) {
    qf_score_free(score);
    return -1.0;
  }

  const size_t  middle = qf_score_n_notes(score, 0) / 2;
  const QfNote  note   = *qf_score_get_note(score, 0, middle);
  const QfPitch other  = qf_score_get_note(score, 0, middle + 1)->pitch;

  for (int round = 0; round < 4 * N_ROUNDS; ++round) {
    if (qf_score_set_pitch(score, note.id, round % 2 ? note.pitch : other)) {
      break;
    }

    const double start = now_s();

    if (qf_labels_update(&labels, score, options, NULL)) {
      break;
    }

    const double took = 1e3 * (now_s() - start);

    best = best < 0.0 || took < best ? took : best;
  }
  qf_labels_free(labels);
  qf_score_free(score);
  return best;
}

int
main(void)
{
  size_t       n_links = 0;
  const double once    = measure(CHORALE, &n_links);

  if (once < 0.0) {
    fputs("no labels\n", stderr);
    return 1;
  }
  printf("chorale of %d bars: %.2f ms, %zu links, %.2f of a frame of 16 ms\n", CHORALE, once,
         n_links, once / 16.0);
  for (int times = 2; times <= 8; times *= 2) {
    const double took = measure(times * CHORALE, &n_links);

    printf("%d times as long: %.2f ms, %.2f times the time for each bar\n", times, took,
           took / once / times);
  }

  const double took = measure(LONG_TIME, &n_links);

  const double edit = measure_edit(LONG_TIME);

  printf("%d bars from the beginning: %.2f ms, %.2f of a frame\n", LONG_TIME, took, took / 16.0);
  printf("%d bars after an edit: %.2f ms, %.2f of a frame, %.2f of the time from the beginning\n",
         LONG_TIME, edit, edit / 16.0, edit / took);
  return 0;
}
