// SPDX-License-Identifier: MIT
// Prints the labels of a MusicXML file as RomanText, for measuring against human analyses.
#include "quintfall/file.h"
#include "quintfall/formats.h"
#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void
add_place(const QfScore* const score, const QfTime time, QfText* const text, int* const measure)
{
  const QfPlace      place = qf_score_place_of(score, time);
  const QfBar* const bar   = qf_score_get_bar(score, place.bar);
  char               number[16];

  if (*measure != (int)place.bar) {
    snprintf(number, sizeof(number), "\nm%d%c", bar->number, bar->suffix);
    qf_text_add(text, number);
    *measure = (int)place.bar;
  }

  const double beat = qf_time_to_double(place.beat);

  if (beat != 1.0 || bar->suffix) {
    qf_text_addf(text, " b%.4g", beat);
  }
}

static void
add_link(const QfLabel* const link, const QfLabel* const before, QfText* const text)
{
  char numeral[QF_NUMERAL_TEXT_SIZE];
  char key[8];

  if (!link->is_known) {
    return;
  }
  if (!before || !qf_key_equals(before->key, link->key)) {
    qf_key_write_short(link->key, key, sizeof(key));
    qf_text_addf(text, " %s:", key);
  }
  qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
  qf_text_addf(text, " %s", numeral);
}

static char*
write_labels(const QfScore* const score, const QfLabels* const labels)
{
  QfText         text    = {0};
  int            measure = -1;
  const QfLabel* before  = NULL;
  char           metre[40];

  if (qf_score_n_bars(score)) {
    qf_metre_write(qf_score_get_bar(score, 0)->metre, metre, sizeof(metre));
    qf_text_addf(&text, "Time Signature: %s\n", metre);
  }
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);

    if (link->is_known) {
      add_place(score, link->start, &text, &measure);
      add_link(link, before, &text);
      before = link;
    }
  }
  qf_text_add(&text, "\n");
  return qf_text_take(&text);
}

static QfStatus
print_file(const char* const path, const QfLabelOptions options, QfError* const error)
{
  void*     data   = NULL;
  size_t    length = 0;
  QfScore*  score  = NULL;
  QfLabels* labels = NULL;
  QfStatus  st     = qf_file_read(path, &data, &length, error);

  st = st ? st : qf_musicxml_read(data, length, &score, NULL, error);
  st = st ? st : qf_labels_new(score, options, &labels, error);
  if (!st) {
    char* const text = write_labels(score, labels);

    fputs(text ? text : "", stdout);
    free(text);
  }

  qf_labels_free(labels);
  qf_score_free(score);
  free(data);
  return st;
}

int
main(const int argc, char** const argv)
{
  QfLabelOptions options = {.may_modulate = true};
  QfError        error   = {0};

  if (argc < 2) {
    fputs("usage: print_romantext FILE [KEY]\n", stderr);
    return 2;
  }
  if (argc > 2 && qf_key_parse(argv[2], &options.key, &error)) {
    fprintf(stderr, "%s\n", error.text);
    return 2;
  }

  options.has_key = argc > 2;
  if (print_file(argv[1], options, &error)) {
    fprintf(stderr, "%s: %s\n", argv[1], error.text);
    return 2;
  }
  return 0;
}
