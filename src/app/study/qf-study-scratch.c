// SPDX-License-Identifier: MIT
#include "qf-note-words.h"
#include "qf-rhythm-row.h"
#include "qf-study-private.h"

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
}

/// What stands on the scratch line at the caret
static QfScratch
scratch_at_caret(const QfStudyWindow* const self)
{
  const QfTry* const attempt = qf_answer_item_get_try(self->item);

  for (size_t i = 0; attempt && i < qf_try_n_scratches(attempt); ++i) {
    const QfScratch* const scratch = qf_try_get_scratch(attempt, i);
    if (scratch->voice == self->caret.voice && !qf_time_compare(scratch->start, self->caret.time)) {
      return *scratch;
    }
  }
  return (QfScratch){.voice = (uint8_t)self->caret.voice, .start = self->caret.time};
}

static gboolean
put_scratch(QfStudyWindow* const self, const QfScratch scratch)
{
  QfError error = {0};
  return qf_study_may_write(self) &&
         qf_answer_item_finish(self->item, qf_answer_put_scratch(answer_of(self), scratch, &error),
                               &error);
}

static void
go_on(QfStudyWindow* const self)
{
  g_action_group_activate_action(G_ACTION_GROUP(self), "caret-right", NULL);
}

static void
scratch_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  static const char* const shapes[QF_CONTOUR_N_KINDS] = {
    [QF_CONTOUR_NONE] = "none",       [QF_CONTOUR_SAME] = "same",
    [QF_CONTOUR_STEP_UP] = "step-up", [QF_CONTOUR_STEP_DOWN] = "step-down",
    [QF_CONTOUR_LEAP_UP] = "leap-up", [QF_CONTOUR_LEAP_DOWN] = "leap-down",
  };
  QfStudyWindow* const self = data;
  const char* const    name = g_variant_get_string(parameter, NULL);

  (void)action;
  for (int i = 0; i < QF_CONTOUR_N_KINDS; ++i) {
    if (g_str_equal(shapes[i], name)) {
      QfScratch scratch = scratch_at_caret(self);
      scratch.contour   = (QfContour)i;
      if (put_scratch(self, scratch)) {
        go_on(self);
      }
      return;
    }
  }
}

static gboolean
write_degree(QfStudyWindow* const self, const QfNoteWord word, const QfKey key)
{
  QfScratch scratch = scratch_at_caret(self);
  int       degree = 0, alter = 0;

  qf_key_degree_of(key, word.name, &degree, &alter);
  scratch.degree = (int8_t)degree;
  scratch.alter  = (int8_t)alter;
  return put_scratch(self, scratch);
}

static gboolean
write_word(QfStudyWindow* const self, const QfNoteWord word, const QfKey key)
{
  const QfTry* const attempt  = qf_answer_item_get_try(self->item);
  QfTime             start    = QF_TIME_ZERO;
  QfTime             duration = QF_TIME_ZERO;
  QfError            error    = {0};
  QfStatus           st       = QF_OK;

  if (!attempt || !qf_study_may_write(self)) {
    return FALSE;
  }
  qf_study_place_at_caret(self, &start, &duration);
  if (gtk_toggle_button_get_active(self->degrees_only)) {
    int degree = 0, alter = 0;
    qf_key_degree_of(key, word.name, &degree, &alter);
    st = qf_answer_put_degree(answer_of(self), self->caret.voice, start, duration, degree, alter,
                              NULL, &error);
  } else {
    QfPitch pitch =
      qf_caret_nearest_pitch(qf_try_get_score(attempt), self->caret, word.name.letter);
    if (word.has_octave) {
      pitch.octave = word.octave;
    }
    pitch.alter = word.name.alter;
    st =
      qf_answer_put_note(answer_of(self), self->caret.voice, start, duration, pitch, NULL, &error);
  }
  return qf_answer_item_finish(self->item, st, &error);
}

void
qf_study_write_words(QfStudyWindow* const self, const char* const text)
{
  const QfKey           key        = qf_answer_get_key(answer_of(self));
  const QfNoteWordSense sense      = {key, qf_preferences_get_view(self->preferences).solfege};
  const gboolean        is_scratch = gtk_toggle_button_get_active(self->scratch_only);
  g_auto(GStrv) words              = g_strsplit_set(text, " \t,", -1);

  // Nothing is written unless every word can be read.
  for (int i = 0; words[i]; ++i) {
    QfNoteWord word  = {0};
    QfError    error = {0};
    if (words[i][0] && qf_note_word_parse(words[i], sense, &word, &error)) {
      qf_study_toast(self, error.text);
      return;
    }
  }
  for (int i = 0; words[i]; ++i) {
    QfNoteWord word = {0};
    if (!words[i][0] || qf_note_word_parse(words[i], sense, &word, NULL)) {
      continue;
    }
    if (!(is_scratch ? write_degree(self, word, key) : write_word(self, word, key))) {
      return;
    }
    go_on(self);
  }
  gtk_editable_set_text(GTK_EDITABLE(self->note_entry), "");
}

void
qf_study_add_scratch_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "scratch", .activate = scratch_cb, .parameter_type = "s"},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
