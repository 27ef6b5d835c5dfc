// SPDX-License-Identifier: MIT
#include "arrivals.h"
#include "words.h"

#include "quintfall/text.h"

#include <stdio.h>

enum { NAME_SIZE = 40 };

/// "V7", with its key if that is not the arrival's
static void
add_chord(const QfCadenceArrival* const arrival, const size_t index, QfText* const text)
{
  const QfLabel* const label = &arrival->labels->labels[index];
  char                 words[QF_NUMERAL_TEXT_SIZE];

  qf_numeral_write(&label->numeral, label->key.mode, words, sizeof(words));
  qf_text_add(text, words);
  if (!qf_key_equals(label->key, arrival->labels->labels[arrival->arrival].key)) {
    qf_word_key(label->key, arrival->labelling->options.naming, words, sizeof(words));
    qf_text_addf(text, " of %s", words);
  }
}

/// Why an authentic cadence is perfect, or is not
static void
add_closure(const QfCadenceArrival* const arrival,
            const QfCadence* const        cadence,
            QfText* const                 text)
{
  const bool is_rooted = qf_arrival_is_root_dominant(arrival, cadence->from) &&
                         qf_arrival_link(arrival, arrival->first)->inversion == 0;
  QfNoteName soprano = {0, 0};
  char       name[NAME_SIZE];

  if (qf_note_name_from_fifths(qf_arrival_soprano(arrival), &soprano)) {
    return;
  }
  qf_word_note(soprano, arrival->labelling->options.naming, name, sizeof(name));
  qf_text_addf(text, "%s, the highest voice on %s", is_rooted ? " in root position" : "", name);
}

void
qf_cadence_explain(const QfCadenceArrival* const arrival, QfCadence* const cadence)
{
  static const char* const ends[] = {
    [QF_END_NONE]     = "",
    [QF_END_LONG]     = "the arrival is long",
    [QF_END_SIX_FOUR] = "a cadential six-four announces it",
    [QF_END_REPEAT]   = "a repeat sign follows",
    [QF_END_REST]     = "a rest follows",
    [QF_END_PASSAGE]  = "the passage ends",
    [QF_END_FERMATA]  = "a fermata ends the phrase",
  };

  const char* const name = qf_cadence_kind_name(cadence->kind);
  QfText            text = {0};
  char              key[48];

  qf_word_key(cadence->key, arrival->labelling->options.naming, key, sizeof(key));
  qf_text_addf(&text, "%s in %s: ", name, key);
  add_chord(arrival, cadence->from, &text);
  qf_text_add(&text, " leads to ");
  add_chord(arrival, arrival->arrival, &text);
  if (cadence->kind == QF_CADENCE_PERFECT || cadence->kind == QF_CADENCE_IMPERFECT) {
    add_closure(arrival, cadence, &text);
  }
  qf_text_addf(&text, "; %s.", ends[arrival->end]);
  snprintf(cadence->reason, sizeof(cadence->reason), "%s", text.data ? text.data : "");
  if (cadence->reason[0] >= 'a' && cadence->reason[0] <= 'z') {
    cadence->reason[0] = (char)(cadence->reason[0] - 'a' + 'A');
  }
  qf_text_free(&text);
}
