// SPDX-License-Identifier: MIT
// Prints the labels of a MusicXML file as RomanText, for measuring against human analyses.
#include "quintfall/file.h"
#include "quintfall/formats.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static QfStatus
print_file(const char* const path, const QfLabelOptions options, QfError* const error)
{
  void*     data   = NULL;
  size_t    length = 0;
  QfScore*  score  = NULL;
  QfLabels* labels = NULL;
  char*     text   = NULL;
  QfStatus  st     = qf_file_read(path, &data, &length, error);

  st = st ? st : qf_musicxml_read(data, length, &score, NULL, error);
  st = st ? st : qf_labels_new(score, options, &labels, error);
  st = st ? st : qf_romantext_write(score, labels, &text, error);
  if (!st) {
    fputs(text, stdout);
  }

  free(text);
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
