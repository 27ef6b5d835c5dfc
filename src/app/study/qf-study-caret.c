// SPDX-License-Identifier: MIT
// Where the caret of a dictation goes: by the rhythm that is shown, or by beats.
#include "qf-study-private.h"

#include "page/qf-note-entry.h"

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
}

const QfScore*
qf_study_get_score(const QfStudyWindow* const self)
{
  const QfTry* const attempt = qf_answer_item_get_try(self->item);
  return attempt ? qf_try_get_score(attempt) : qf_answer_get_frame(answer_of(self));
}

size_t
qf_study_voice_of(const QfStudyWindow* const self, const QfLayer layer)
{
  const size_t n = qf_score_n_voices(qf_study_get_score(self));

  switch (layer) {
    case QF_LAYER_SOPRANO:
      return 0;
    case QF_LAYER_BASS:
      return n ? n - 1 : 0;
    case QF_LAYER_INNER: // A second time it goes on to the next inner voice
      return n > 3 && self->caret.voice == 1 ? 2 : MIN(1, n ? n - 1 : 0);
    default:
      return self->caret.voice;
  }
}

/// The value that the task shows at a time of a voice, or NULL
static const QfSlot*
slot_at(const QfStudyWindow* const self, const size_t voice, const QfTime time)
{
  for (size_t i = 0; i < qf_answer_n_slots(answer_of(self), voice); ++i) {
    const QfSlot* const slot = qf_answer_get_slot(answer_of(self), voice, i);
    if (qf_time_compare(slot->start, time) <= 0 &&
        qf_time_compare(time, qf_time_add(slot->start, slot->duration)) < 0) {
      return slot;
    }
  }
  return NULL;
}

QfTime
qf_study_next_stop(const QfStudyWindow* const self, const QfTime time)
{
  for (size_t i = 0; i < qf_answer_n_slots(answer_of(self), self->caret.voice); ++i) {
    const QfSlot* const slot = qf_answer_get_slot(answer_of(self), self->caret.voice, i);
    if (qf_time_compare(slot->start, time) > 0) {
      return slot->start;
    }
  }
  return qf_answer_n_slots(answer_of(self), self->caret.voice)
           ? qf_score_get_end(qf_study_get_score(self))
           : qf_caret_next_stop(qf_study_get_score(self), time);
}

QfTime
qf_study_previous_stop(const QfStudyWindow* const self, const QfTime time)
{
  const size_t n = qf_answer_n_slots(answer_of(self), self->caret.voice);

  for (size_t i = n; i-- > 0;) {
    const QfSlot* const slot = qf_answer_get_slot(answer_of(self), self->caret.voice, i);
    if (qf_time_compare(slot->start, time) < 0) {
      return slot->start;
    }
  }
  return n ? QF_TIME_ZERO : qf_caret_previous_stop(qf_study_get_score(self), time);
}

QfTime
qf_study_stop_after(const QfStudyWindow* const self, const QfTime start, const QfTime duration)
{
  return slot_at(self, self->caret.voice, start) ? qf_study_next_stop(self, start)
                                                 : qf_time_add(start, duration);
}

void
qf_study_place_at_caret(const QfStudyWindow* const self,
                        QfTime* const              start,
                        QfTime* const              duration)
{
  const QfSlot* const slot = slot_at(self, self->caret.voice, self->caret.time);

  *start    = slot ? slot->start : self->caret.time;
  *duration = slot ? slot->duration : qf_caret_duration(self->caret);
}

static void
caret_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;
  const char* const    name = g_action_get_name(G_ACTION(action));
  const QfTime         time = self->caret.time;

  // Beside a shown rhythm the caret stops where it has notes, and nowhere else.
  (void)parameter;
  qf_study_set_caret(self, self->caret.voice,
                     g_str_equal(name, "caret-left") ? qf_study_previous_stop(self, time)
                     : g_str_equal(name, "caret-right")
                       ? qf_study_next_stop(self, time)
                       : qf_entry_move(qf_study_get_score(self), name, time));
}

static void
voice_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)parameter;
  qf_study_set_caret(self,
                     qf_entry_voice_beside(g_action_get_name(G_ACTION(action)), self->caret.voice),
                     self->caret.time);
}

static void
value_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  self->caret.value = qf_entry_value(g_variant_get_int32(parameter));
}

static void
dotted_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  self->caret.is_dotted = !self->caret.is_dotted;
}

void
qf_study_add_caret_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "caret-left", .activate = caret_cb},
    {.name = "caret-right", .activate = caret_cb},
    {.name = "caret-bar-left", .activate = caret_cb},
    {.name = "caret-bar-right", .activate = caret_cb},
    {.name = "caret-start", .activate = caret_cb},
    {.name = "caret-end", .activate = caret_cb},
    {.name = "voice-up", .activate = voice_cb},
    {.name = "voice-down", .activate = voice_cb},
    {.name = "value", .activate = value_cb, .parameter_type = "i"},
    {.name = "dotted", .activate = dotted_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
