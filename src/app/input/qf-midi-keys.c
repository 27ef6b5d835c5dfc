// SPDX-License-Identifier: MIT
#include "qf-midi-keys.h"

#include "quintfall/keyboard_in.h"

enum {
  POLL_MS = 10,  ///< Short enough to seem at once
  WAIT_MS = 400, ///< While no keyboard is there to be played
  N_KEYS  = 128,
};

struct _QfMidiKeys {
  GObject       parent_instance;
  QfKeyboardIn* input; ///< Owned; NULL if the machine has no sequencer
  guint         poll;
  guint         interval_ms; ///< Of the poll
  gboolean      is_held[N_KEYS];
  gboolean      was_held[N_KEYS]; ///< Since the last time none was
  guint         n_held;
};

G_DEFINE_FINAL_TYPE(QfMidiKeys, qf_midi_keys, G_TYPE_OBJECT)

enum { PRESSED, RELEASED, TOLD, N_SIGNALS };
static guint signals[N_SIGNALS];

static GArray*
keys_of(const gboolean* const set)
{
  GArray* const keys = g_array_new(FALSE, FALSE, sizeof(guint8));

  for (guint i = 0; i < N_KEYS; ++i) {
    const guint8 key = (guint8)i;
    if (set[i]) {
      g_array_append_val(keys, key);
    }
  }
  return keys;
}

void
qf_midi_keys_take(QfMidiKeys* const self, const guint8 key, const gboolean is_down)
{
  if (key >= N_KEYS || self->is_held[key] == is_down) {
    return;
  }

  self->is_held[key] = is_down;
  if (is_down) {
    ++self->n_held;
    self->was_held[key]   = TRUE;
    g_autoptr(GArray) now = keys_of(self->is_held);
    g_signal_emit(self, signals[PRESSED], 0, (guint)key, now);
  } else if (--self->n_held == 0) {
    g_autoptr(GArray) together = keys_of(self->was_held);
    for (guint i = 0; i < N_KEYS; ++i) {
      self->was_held[i] = FALSE;
    }
    g_signal_emit(self, signals[RELEASED], 0, together);
  }
}

static gboolean
poll_cb(gpointer data);

/// Ask again after a time; gives what the callback it may be called from returns
static gboolean
poll_every(QfMidiKeys* const self, const guint interval_ms)
{
  if (self->interval_ms == interval_ms) {
    return G_SOURCE_CONTINUE;
  }
  self->interval_ms = interval_ms;
  self->poll        = g_timeout_add(interval_ms, poll_cb, self);
  return G_SOURCE_REMOVE;
}

static gboolean
poll_cb(gpointer data)
{
  QfMidiKeys* const self  = data;
  QfKeyboardEvent   event = {0};

  while (qf_keyboard_in_poll(self->input, &event)) {
    if (event.kind == QF_KEYBOARD_KEY_DOWN || event.kind == QF_KEYBOARD_KEY_UP) {
      qf_midi_keys_take(self, event.key, event.kind == QF_KEYBOARD_KEY_DOWN);
    } else {
      g_autofree char* text =
        g_strdup_printf(event.kind == QF_KEYBOARD_CONNECTED ? "MIDI keyboard connected: %s"
                                                            : "MIDI keyboard gone: %s",
                        event.name);
      g_signal_emit(self, signals[TOLD], 0, text);
    }
  }
  return poll_every(self, qf_keyboard_in_n_connected(self->input) ? POLL_MS : WAIT_MS);
}

static void
qf_midi_keys_finalize(GObject* const object)
{
  QfMidiKeys* const self = QF_MIDI_KEYS(object);

  g_clear_handle_id(&self->poll, g_source_remove);
  qf_keyboard_in_free(self->input);
  G_OBJECT_CLASS(qf_midi_keys_parent_class)->finalize(object);
}

static void
qf_midi_keys_class_init(QfMidiKeysClass* const klass)
{
  const GType type = G_TYPE_FROM_CLASS(klass);

  G_OBJECT_CLASS(klass)->finalize = qf_midi_keys_finalize;
  signals[PRESSED]  = g_signal_new("pressed", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                   G_TYPE_NONE, 2, G_TYPE_UINT, G_TYPE_ARRAY);
  signals[RELEASED] = g_signal_new("released", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                   G_TYPE_NONE, 1, G_TYPE_ARRAY);
  signals[TOLD] = g_signal_new("told", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 1,
                               G_TYPE_STRING);
}

static void
qf_midi_keys_init(QfMidiKeys* const self)
{
  if (!qf_keyboard_in_new(g_getenv("QUINTFALL_MIDI"), &self->input, NULL)) {
    poll_every(self, POLL_MS);
  }
}

QfMidiKeys*
qf_midi_keys_new(void)
{
  return g_object_new(QF_TYPE_MIDI_KEYS, NULL);
}
