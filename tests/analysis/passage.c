// SPDX-License-Identifier: MIT
#include "passage.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

Passage
passage_new(const QfKey key, const size_t n_voices)
{
  Passage passage = {qf_score_new(), n_voices, QF_TIME_ZERO};
  QfMetre metre;

  assert_non_null(passage.score);
  assert_int_equal(qf_metre(4, 4, &metre), QF_OK);
  assert_int_equal(qf_score_add_staff(passage.score, "", QF_CLEF_TREBLE), QF_OK);
  for (size_t v = 0; v < n_voices; ++v) {
    assert_int_equal(qf_score_add_voice(passage.score, "", 0), QF_OK);
  }

  const QfBar bar = {.length = qf_metre_bar(metre), .number = 1, .metre = metre};

  assert_int_equal(qf_score_append_bar(passage.score, bar), QF_OK);
  assert_int_equal(qf_score_set_signature(passage.score, QF_TIME_ZERO, key), QF_OK);
  return passage;
}

void
passage_add_pitches(Passage* const       passage,
                    const QfPitch* const pitches,
                    const size_t         n_pitches,
                    const QfTime         duration)
{
  for (size_t v = 0; v < n_pitches; ++v) {
    const QfStatus st =
      qf_score_put_note(passage->score, v, passage->end, duration, pitches[v], QF_NO_NOTE, NULL);

    assert_int_equal(st, QF_OK);
  }
  passage->end = qf_time_add(passage->end, duration);
}

void
passage_add(Passage* const passage, const char* const* const pitches, const QfTime duration)
{
  for (size_t v = 0; v < passage->n_voices; ++v) {
    QfPitch pitch = {0};

    if (!pitches[v][0]) {
      continue;
    }
    assert_int_equal(qf_pitch_parse(pitches[v], &pitch, NULL), QF_OK);
    assert_int_equal(
      qf_score_put_note(passage->score, v, passage->end, duration, pitch, QF_NO_NOTE, NULL), QF_OK);
  }
  passage->end = qf_time_add(passage->end, duration);
}

QfLabels*
passage_label(const Passage* const passage, const QfKey key, const bool may_modulate)
{
  const QfLabelOptions options = {.has_key = true, .key = key, .may_modulate = may_modulate};
  QfLabels*            labels  = NULL;

  assert_int_equal(qf_labels_new(passage->score, options, &labels, NULL), QF_OK);
  return labels;
}

void
passage_free(Passage* const passage)
{
  qf_score_free(passage->score);
  passage->score = NULL;
}

const char*
link_text(const QfLabels* const labels, const size_t index, char buffer[QF_NUMERAL_TEXT_SIZE])
{
  const QfLabel* const link = qf_labels_get_link(labels, index);

  snprintf(buffer, QF_NUMERAL_TEXT_SIZE, "?");
  if (link->is_known) {
    qf_numeral_write(&link->numeral, link->key.mode, buffer, QF_NUMERAL_TEXT_SIZE);
  }
  return buffer;
}

void
labels_text(const QfLabels* const labels, char* const buffer, const size_t size)
{
  size_t length = 0;

  buffer[0] = '\0';
  for (size_t i = 0; i < qf_labels_n_links(labels) && length < size; ++i) {
    char text[QF_NUMERAL_TEXT_SIZE];

    length += (size_t)snprintf(buffer + length, size - length, "%s%s", i ? " " : "",
                               link_text(labels, i, text));
  }
}

QfKey
key_of(const char* const tonic, const char* const mode)
{
  QfKey key = {{0, 0}, QF_MAJOR};
  char  text[24];

  snprintf(text, sizeof(text), "%s %s", tonic, mode);
  assert_int_equal(qf_key_parse(text, &key, NULL), QF_OK);
  return key;
}
