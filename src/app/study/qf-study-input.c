// SPDX-License-Identifier: MIT
#include "qf-study-private.h"

#include "input/qf-played.h"
#include "qf-application.h"

enum {
  FIRST_NOTE_MS = 1600, ///< The starting note has died away by then
};

static const double first_note_s = 1.2;

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
}

static const QfScore*
passage_of(const QfStudyWindow* const self)
{
  return qf_lesson_get_score(qf_answer_item_get_lesson(self->item));
}

// ---- MIDI keyboard

/// A key played alone is a note at the caret
static void
released_cb(QfStudyWindow* const self, GArray* const keys)
{
  GtkWidget* const     view = GTK_WIDGET(qf_study_sheet_get_score_view(self->sheet));
  const uint8_t* const midi = (const uint8_t*)(const void*)keys->data;
  const bool is_here        = gtk_window_is_active(GTK_WINDOW(self)) && gtk_widget_has_focus(view);

  if (is_here && keys->len == 1) {
    const QfPitch pitch = qf_played_pitch(midi[0], qf_answer_get_key(answer_of(self)));
    char          text[16];
    qf_pitch_write(pitch, text, sizeof(text));
    qf_study_write_words(self, text);
  }
}

static void
told_cb(QfStudyWindow* const self, const char* const text)
{
  qf_study_toast(self, text);
}

// ---- singing back

static QfSungOptions
sung_options(const QfStudyWindow* const self)
{
  QfSungOptions options = {.tuning     = qf_preferences_get_tuning(self->preferences),
                           .any_octave = true};

  options.tuning.key = qf_answer_get_key(answer_of(self));
  return options;
}

/// Show the strip once it listens, or say what is missing
static void
show_strip(QfStudyWindow* const self, const gboolean listens, const QfError* const error)
{
  gtk_widget_set_visible(GTK_WIDGET(self->sing), listens);
  if (!listens) {
    qf_study_toast(self, error->text);
  }
}

static gboolean
listen_cb(gpointer data)
{
  QfStudyWindow* const self  = data;
  const QfSingView     view  = {.sung        = sung_options(self),
                                .naming      = qf_preferences_get_view(self->preferences).naming,
                                .hides_names = TRUE};
  QfError              error = {0};

  self->sing_timeout = 0;
  show_strip(self,
             qf_sing_strip_begin(self->sing, passage_of(self), self->caret.voice, QF_TIME_ZERO,
                                 QF_TIME_ZERO, view, &error),
             &error);
  return G_SOURCE_REMOVE;
}

/// The first note of the voice is given; the rest is sung
static void
sing_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self  = data;
  const QfScore* const score = passage_of(self);

  (void)action;
  (void)parameter;
  if (!qf_score_n_notes(score, self->caret.voice)) {
    qf_study_toast(self, "This voice has no notes to sing");
    return;
  }

  qf_study_end_singing(self);
  qf_study_give_pitch(self, qf_score_get_note(score, self->caret.voice, 0)->pitch, first_note_s);
  self->sing_timeout = g_timeout_add(FIRST_NOTE_MS, listen_cb, self);
}

void
qf_study_end_singing(QfStudyWindow* const self)
{
  g_clear_handle_id(&self->sing_timeout, g_source_remove);
  qf_sing_strip_end(self->sing);
  gtk_widget_set_visible(GTK_WIDGET(self->sing), FALSE);
}

// ---- a sung answer

static void
sing_answer_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const    self     = data;
  const QfQuestion* const question = qf_question_pane_get_current(self->questions);
  QfError                 error    = {0};

  (void)action;
  (void)parameter;
  if (!question || question->form != QF_ASK_SING) {
    qf_study_toast(self, "This question does not ask for a sung note");
    return;
  }

  qf_study_end_singing(self);
  qf_study_stop(self); // The microphone would hear it
  show_strip(self, qf_sing_strip_begin_answer(self->sing, sung_options(self), &error), &error);
}

/// A note was held: it answers as if its degree had been written
static void
held_cb(QfStudyWindow* const self, const int key, const double cents)
{
  const QfQuestion* const question = qf_question_pane_get_current(self->questions);
  char                    degree[QF_QUESTION_CHOICE_SIZE];

  if (!question || qf_question_answer_of_key(question, key, degree, sizeof(degree), NULL)) {
    return;
  }

  g_autofree char* words = qf_sung_cents_dup(cents);
  g_autofree char* text  = g_strdup_printf("You sang degree %s, %s", degree, words);
  qf_sing_strip_tell(self->sing, text);
  if (qf_question_pane_answer(self->questions, degree)) {
    qf_sing_strip_end(self->sing);
  }
}

static void
closed_cb(QfStudyWindow* const self)
{
  qf_study_end_singing(self);
  gtk_widget_grab_focus(GTK_WIDGET(qf_study_sheet_get_score_view(self->sheet)));
}

void
qf_study_add_input_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "sing", .activate = sing_cb},
    {.name = "sing-answer", .activate = sing_answer_cb},
  };
  QfMidiKeys* const keys =
    qf_application_get_midi_keys(gtk_window_get_application(GTK_WINDOW(self)));

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(keys, "released", G_CALLBACK(released_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(keys, "told", G_CALLBACK(told_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(self->sing, "held", G_CALLBACK(held_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(self->sing, "closed", G_CALLBACK(closed_cb), self, G_CONNECT_SWAPPED);
}
