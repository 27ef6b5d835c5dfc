// SPDX-License-Identifier: MIT
#include "explain.h"
#include "words.h"

#include <stdio.h>

/// ", prepared in m1 b2 and resolved to B"
static void
add_course(const QfCase* const c, const QfForeign* const foreign, QfText* const text)
{
  const QfScore* const score       = c->labelling->passage.score;
  const QfNote* const  preparation = qf_score_find_note(score, foreign->preparation, NULL);
  const QfNote* const  resolution  = qf_score_find_note(score, foreign->resolution, NULL);
  char                 words[QF_NAME_ROOM + 8];

  if (preparation) {
    qf_score_write_place(score, preparation->start, words, sizeof(words));
    qf_text_addf(text, ", prepared at %s", words);
  }
  if (resolution) {
    qf_word_note(qf_pitch_name(resolution->pitch), c->labelling->options.naming, words,
                 sizeof(words));
    qf_text_addf(text, "%s resolved to %s", preparation ? " and" : ",", words);
  }
}

void
qf_case_explain_foreign(const QfCase* const c, const QfForeign* const foreign)
{
  const char* const   word = qf_foreign_kind_name(foreign->kind);
  size_t              at   = 0;
  const QfNote* const note = qf_score_find_note(c->labelling->passage.score, foreign->note, &at);
  QfText              text = {0};
  char                name[QF_NAME_ROOM];
  char                voice[QF_NAME_SIZE + 8];

  qf_word_note(qf_pitch_name(note->pitch), c->labelling->options.naming, name, sizeof(name));
  qf_case_voice_name(c, at, voice, sizeof(voice));
  qf_text_addf(&text, "%s in %s does not belong to the chord", name, voice);
  if (foreign->kind == QF_FOREIGN_FREE) {
    qf_text_add(&text, " and is left free");
  } else if (foreign->figure) {
    qf_text_addf(&text, ": %s %d-%d %s", foreign->figure == 8 ? "an" : "a", foreign->figure,
                 foreign->goal_figure, word);
  } else {
    qf_text_addf(&text, ": %s %s", qf_word_article(word), word);
  }
  add_course(c, foreign, &text);
  qf_text_add(&text, ".");
  qf_case_add_reason(c->label, QF_REASON_FOREIGN, &text);
}
