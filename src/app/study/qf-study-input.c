// SPDX-License-Identifier: MIT
#include "qf-study-private.h"

#include "input/qf-played.h"
#include "qf-application.h"

enum {
  FIRST_NOTE_MS = 1600, ///< The starting note has died away by then
};

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

static gboolean
listen_cb(gpointer data)
{
  QfStudyWindow* const self    = data;
  QfSungOptions        options = {.tuning     = qf_preferences_get_tuning(self->preferences),
                                  .any_octave = true};
  QfError              error   = {0};

  self->sing_timeout = 0;
  options.tuning.key = qf_answer_get_key(answer_of(self));
  if (qf_sing_strip_begin(self->sing, passage_of(self), self->caret.voice, QF_TIME_ZERO,
                          QF_TIME_ZERO, options, qf_preferences_get_view(self->preferences).naming,
                          &error)) {
    gtk_widget_set_visible(GTK_WIDGET(self->sing), TRUE);
  } else {
    qf_study_toast(self, error.text);
  }
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

  const QfPitch first = qf_score_get_note(score, self->caret.voice, 0)->pitch;
  qf_study_sound_pitches(self, &first, 1, 1.2);
  g_clear_handle_id(&self->sing_timeout, g_source_remove);
  self->sing_timeout = g_timeout_add(FIRST_NOTE_MS, listen_cb, self);
}

static void
closed_cb(QfStudyWindow* const self)
{
  gtk_widget_set_visible(GTK_WIDGET(self->sing), FALSE);
  gtk_widget_grab_focus(GTK_WIDGET(qf_study_sheet_get_score_view(self->sheet)));
}

void
qf_study_add_input_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "sing", .activate = sing_cb},
  };
  QfMidiKeys* const keys =
    qf_application_get_midi_keys(gtk_window_get_application(GTK_WINDOW(self)));

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(keys, "released", G_CALLBACK(released_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(keys, "told", G_CALLBACK(told_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(self->sing, "closed", G_CALLBACK(closed_cb), self, G_CONNECT_SWAPPED);
}
