// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "input/qf-played.h"
#include "qf-application.h"

static gboolean
is_entry_on(QfWindow* const self)
{
  g_autoptr(GVariant) state = g_action_group_get_action_state(G_ACTION_GROUP(self), "midi-entry");
  return g_variant_get_boolean(state);
}

/// Name keys in the key at the caret
static void
name_keys(QfWindow* const self, const char* const how, const GArray* const keys)
{
  char name[QF_PLAYED_NAME_SIZE];

  qf_played_describe((const uint8_t*)(const void*)keys->data, keys->len,
                     qf_window_key_at(self, self->caret.time),
                     qf_preferences_get_view(self->preferences).naming, name, sizeof(name));
  g_autofree char* text = g_strdup_printf("%s: %s", how, name);
  gtk_label_set_text(self->status, text);
}

static void
pressed_cb(QfWindow* const self, const guint key, GArray* const keys)
{
  (void)key;
  if (gtk_window_is_active(GTK_WINDOW(self))) {
    name_keys(self, "Held", keys);
  }
}

/// What was played together is written once the last key is let go of
static void
released_cb(QfWindow* const self, GArray* const keys)
{
  const QfScore* const score                  = qf_lesson_item_get_score(self->item);
  const size_t         n_voices               = qf_score_n_voices(score);
  const uint8_t* const midi                   = (const uint8_t*)(const void*)keys->data;
  const QfKey          key                    = qf_window_key_at(self, self->caret.time);
  const QfTime         duration               = qf_caret_duration(self->caret);
  QfPitch              pitches[QF_MAX_VOICES] = {{0}};
  bool                 is_put[QF_MAX_VOICES]  = {false};
  QfError              error                  = {0};

  if (!gtk_window_is_active(GTK_WINDOW(self))) {
    return;
  }
  if (!is_entry_on(self) || !n_voices) {
    name_keys(self, "Played", keys);
    return;
  }

  if (keys->len == 1) {
    pitches[self->caret.voice] = qf_played_pitch(midi[0], key);
    is_put[self->caret.voice]  = true;
  } else {
    qf_played_share(midi, keys->len, key, n_voices, pitches, is_put);
  }
  if (qf_lesson_item_finish(self->item,
                            qf_lesson_put_chord(qf_lesson_item_get_lesson(self->item),
                                                self->caret.time, duration, pitches, is_put,
                                                &error),
                            &error)) {
    qf_window_set_caret(self, self->caret.voice, qf_time_add(self->caret.time, duration));
    if (keys->len > n_voices && keys->len > 1) {
      g_autofree char* text =
        g_strdup_printf("%u keys for %zu voices: inner notes were left out", keys->len, n_voices);
      qf_window_toast(self, text);
    }
  }
}

static void
told_cb(QfWindow* const self, const char* const text)
{
  qf_window_toast(self, text);
}

static void
entry_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  g_simple_action_set_state(action, state);
  if (g_variant_get_boolean(state)) {
    qf_window_toast(data, "Keys played one by one are written in the caret's voice, chords in all "
                          "voices");
  }
}

void
qf_window_add_midi_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "midi-entry", .change_state = entry_cb, .state = "false"},
  };
  QfMidiKeys* const keys =
    qf_application_get_midi_keys(gtk_window_get_application(GTK_WINDOW(self)));

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(keys, "pressed", G_CALLBACK(pressed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(keys, "released", G_CALLBACK(released_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(keys, "told", G_CALLBACK(told_cb), self, G_CONNECT_SWAPPED);
}
