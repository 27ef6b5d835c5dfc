// SPDX-License-Identifier: MIT
// Which notes the student is given.
#include "qf-window-private.h"

static const QfScore*
score_of(const QfWindow* const self)
{
  return qf_lesson_item_get_score(self->item);
}

static void
append_between(const QfWindow* const self,
               const size_t          voice,
               const QfTime          start,
               const QfTime          end,
               GArray* const         notes)
{
  const QfScore* const score = score_of(self);

  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    if (qf_time_compare(note->start, start) >= 0 && qf_time_compare(note->start, end) < 0) {
      g_array_append_val(notes, note->id);
    }
  }
}

/// The notes of the selected chords, or the one at the caret
static GArray*
notes_meant(const QfWindow* const self)
{
  GArray* const notes = g_array_new(FALSE, FALSE, sizeof(uint32_t));
  QfTime        start = QF_TIME_ZERO;
  QfTime        end   = QF_TIME_ZERO;

  if (qf_window_get_selection(self, &start, &end)) {
    for (size_t v = 0; v < qf_score_n_voices(score_of(self)); ++v) {
      append_between(self, v, start, end, notes);
    }
    return notes;
  }

  const QfNote* const note = qf_score_note_at(score_of(self), self->caret.voice, self->caret.time);
  if (note) {
    g_array_append_val(notes, note->id);
  }
  return notes;
}

static GArray*
notes_of_voice(const QfWindow* const self, const size_t voice)
{
  GArray* const notes = g_array_new(FALSE, FALSE, sizeof(uint32_t));
  append_between(self, voice, QF_TIME_ZERO, qf_score_get_end(score_of(self)), notes);
  return notes;
}

static GArray*
given_notes(const QfWindow* const self)
{
  const QfLesson* const lesson = qf_lesson_item_get_lesson(self->item);
  const QfScore* const  score  = score_of(self);
  GArray* const         notes  = g_array_new(FALSE, FALSE, sizeof(uint32_t));

  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      const uint32_t id = qf_score_get_note(score, v, i)->id;
      if (qf_lesson_is_given(lesson, id)) {
        g_array_append_val(notes, id);
      }
    }
  }
  return notes;
}

static gboolean
is_each_given(const QfWindow* const self, const GArray* const notes)
{
  const QfLesson* const lesson = qf_lesson_item_get_lesson(self->item);

  for (guint i = 0; i < notes->len; ++i) {
    if (!qf_lesson_is_given(lesson, g_array_index(notes, uint32_t, i))) {
      return FALSE;
    }
  }
  return TRUE;
}

static void
give(QfWindow* const self, const GArray* const notes, const gboolean is_given)
{
  QfError        error = {0};
  const QfStatus st =
    qf_lesson_give_notes(qf_lesson_item_get_lesson(self->item),
                         (const uint32_t*)(const void*)notes->data, notes->len, is_given, &error);
  g_autofree char* text = g_strdup_printf(is_given ? "The student is given %u note%s"
                                                   : "%u note%s to be found by the student",
                                          notes->len, notes->len == 1 ? "" : "s");

  if (qf_lesson_item_finish(self->item, st, &error)) {
    qf_window_toast(self, text);
  }
}

/// Give them all, or take them back if they all are given
static void
toggle(QfWindow* const self, GArray* const notes)
{
  if (notes->len) {
    give(self, notes, !is_each_given(self, notes));
  } else {
    qf_window_toast(self, "There is no note here to give");
  }
  g_array_unref(notes);
}

static void
note_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  toggle(self, notes_meant(self));
}

static void
voice_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  toggle(self, notes_of_voice(self, self->caret.voice));
}

/// Common practice: a dictation gives the notes on which bass and soprano begin
static void
first_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const      self  = data;
  const QfScore* const score = score_of(self);
  const size_t         n     = qf_score_n_voices(score);
  g_autoptr(GArray) notes    = g_array_new(FALSE, FALSE, sizeof(uint32_t));

  (void)action;
  (void)parameter;
  for (size_t v = 0; v<n; v += n> 1 ? n - 1 : 1) {
    if (qf_score_n_notes(score, v)) {
      g_array_append_val(notes, qf_score_get_note(score, v, 0)->id);
    }
  }
  if (notes->len) {
    give(self, notes, TRUE);
  }
}

static void
none_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self    = data;
  g_autoptr(GArray) notes = given_notes(self);

  (void)action;
  (void)parameter;
  if (notes->len) {
    give(self, notes, FALSE);
  } else {
    qf_window_toast(self, "No note is given");
  }
}

void
qf_window_show_givens(QfWindow* const self)
{
  qf_score_view_take_givens(qf_passage_view_get_score_view(self->passage), given_notes(self));
}

void
qf_window_add_given_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "give-note", .activate = note_cb},
    {.name = "give-voice", .activate = voice_cb},
    {.name = "give-first", .activate = first_cb},
    {.name = "give-none", .activate = none_cb},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
