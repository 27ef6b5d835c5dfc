// SPDX-License-Identifier: MIT
#include "qf-study-private.h"

#include <string.h>

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
}

static const QfScore*
score_of(const QfStudyWindow* const self)
{
  const QfTry* const attempt = qf_answer_item_get_try(self->item);
  return attempt ? qf_try_get_score(attempt) : qf_answer_get_frame(answer_of(self));
}

size_t
qf_study_voice_of(const QfStudyWindow* const self, const QfLayer layer)
{
  const size_t n = qf_score_n_voices(score_of(self));

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

static QfTime
next_stop(const QfStudyWindow* const self, const QfTime time)
{
  for (size_t i = 0; i < qf_answer_n_slots(answer_of(self), self->caret.voice); ++i) {
    const QfSlot* const slot = qf_answer_get_slot(answer_of(self), self->caret.voice, i);
    if (qf_time_compare(slot->start, time) > 0) {
      return slot->start;
    }
  }
  return qf_answer_n_slots(answer_of(self), self->caret.voice)
           ? qf_score_get_end(score_of(self))
           : qf_caret_next_stop(score_of(self), time);
}

static QfTime
previous_stop(const QfStudyWindow* const self, const QfTime time)
{
  const size_t n = qf_answer_n_slots(answer_of(self), self->caret.voice);

  for (size_t i = n; i-- > 0;) {
    const QfSlot* const slot = qf_answer_get_slot(answer_of(self), self->caret.voice, i);
    if (qf_time_compare(slot->start, time) < 0) {
      return slot->start;
    }
  }
  return n ? QF_TIME_ZERO : qf_caret_previous_stop(score_of(self), time);
}

/// The note at the caret, or NULL with a hint to the user
static const QfNote*
caret_note(QfStudyWindow* const self)
{
  const QfNote* const note = qf_score_note_at(score_of(self), self->caret.voice, self->caret.time);
  if (!note) {
    qf_study_toast(self, "There is no note at the caret in this voice");
  }
  return note;
}

/// Start and length of the note that would be written at the caret
static void
place_at_caret(const QfStudyWindow* const self, QfTime* const start, QfTime* const duration)
{
  const QfSlot* const slot = slot_at(self, self->caret.voice, self->caret.time);

  *start    = slot ? slot->start : self->caret.time;
  *duration = slot ? slot->duration : qf_caret_duration(self->caret);
}

static void
write_pitch(QfStudyWindow* const self, const QfPitch pitch)
{
  QfTime  start = QF_TIME_ZERO, duration = QF_TIME_ZERO;
  QfError error = {0};

  place_at_caret(self, &start, &duration);
  if (qf_study_may_write(self) &&
      qf_answer_item_finish(self->item,
                            qf_answer_put_note(answer_of(self), self->caret.voice, start, duration,
                                               pitch, NULL, &error),
                            &error)) {
    qf_study_sound_pitches(self, &pitch, 1, 0.8);
    qf_study_set_caret(self, self->caret.voice,
                       slot_at(self, self->caret.voice, start) ? next_stop(self, start)
                                                               : qf_time_add(start, duration));
  }
}

static void
write_note_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  static const char    letters[] = "CDEFGAB";
  QfStudyWindow* const self      = data;
  const char* const    name      = g_variant_get_string(parameter, NULL);
  const char* const    found     = name[0] ? strchr(letters, name[0]) : NULL;

  (void)action;
  if (found) {
    write_pitch(self, qf_caret_nearest_pitch(score_of(self), self->caret, (int)(found - letters)));
  }
}

static void
write_rest_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_study_set_caret(self, self->caret.voice, next_stop(self, self->caret.time));
}

static void
delete_at(QfStudyWindow* const self, const QfTime time)
{
  const QfNote* const note  = qf_score_note_at(score_of(self), self->caret.voice, time);
  QfError             error = {0};

  if (note && qf_study_may_write(self)) {
    qf_answer_item_finish(self->item, qf_answer_delete_note(answer_of(self), note->id, &error),
                          &error);
  }
}

static void
delete_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)parameter;
  if (g_str_equal(g_action_get_name(G_ACTION(action)), "delete-before")) {
    qf_study_set_caret(self, self->caret.voice, previous_stop(self, self->caret.time));
  }
  delete_at(self, self->caret.time);
}

static void
set_pitch(QfStudyWindow* const self, const QfNote* const note, const QfPitch pitch)
{
  QfError error = {0};

  if (qf_study_may_write(self) &&
      qf_answer_item_finish(
        self->item, qf_answer_set_pitch(answer_of(self), note->id, pitch, &error), &error)) {
    qf_study_sound_pitches(self, &pitch, 1, 0.8);
  }
}

/// Steps of the scale a command moves a note by
static const struct {
  const char* action;
  int         steps;
} step_moves[] = {{"step-up", 1}, {"step-down", -1}, {"octave-up", 7}, {"octave-down", -7}};

static void
step_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;
  const char* const    name = g_action_get_name(G_ACTION(action));
  const QfNote* const  note = caret_note(self);

  (void)parameter;
  for (gsize i = 0; note && i < G_N_ELEMENTS(step_moves); ++i) {
    if (g_str_equal(step_moves[i].action, name)) {
      set_pitch(self, note,
                qf_pitch_move_steps(note->pitch, step_moves[i].steps,
                                    qf_score_signature_at(score_of(self), note->start)));
      return;
    }
  }
}

static void
alter_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self     = data;
  const bool           is_sharp = g_str_equal(g_action_get_name(G_ACTION(action)), "sharpen");
  const QfNote* const  note     = caret_note(self);

  (void)parameter;
  if (note) {
    QfPitch   pitch = note->pitch;
    const int alter = pitch.alter + (is_sharp ? 1 : -1);
    if (alter < -2 || alter > 2) {
      qf_study_toast(self, "A written note carries at most a double sharp or a double flat");
      return;
    }
    pitch.alter = (int8_t)alter;
    set_pitch(self, note, pitch);
  }
}

/// Doubt the note at the caret, or trust it again
static void
doubt_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self    = data;
  const QfTry* const   attempt = qf_answer_item_get_try(self->item);
  const QfNote* const  note    = caret_note(self);
  QfError              error   = {0};

  (void)action;
  (void)parameter;
  if (note && attempt && qf_study_may_write(self)) {
    const bool is_doubtful = qf_try_is_doubtful(attempt, note->id);
    qf_answer_item_finish(self->item,
                          qf_answer_set_note_doubt(answer_of(self), note->id, !is_doubtful, &error),
                          &error);
  }
}

static void
set_value_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self  = data;
  const QfNote* const  note  = caret_note(self);
  QfError              error = {0};

  (void)action;
  if (note && qf_study_may_write(self)) {
    const QfCaret wanted = {.value = (int8_t)CLAMP(g_variant_get_int32(parameter), 0, 5)};
    qf_answer_item_finish(
      self->item,
      qf_answer_set_duration(answer_of(self), note->id, qf_caret_duration(wanted), &error), &error);
  }
}

static void
caret_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;
  const char* const    name = g_action_get_name(G_ACTION(action));
  const QfTime         time = self->caret.time;

  (void)parameter;
  qf_study_set_caret(
    self, self->caret.voice,
    g_str_equal(name, "caret-left")        ? previous_stop(self, time)
    : g_str_equal(name, "caret-right")     ? next_stop(self, time)
    : g_str_equal(name, "caret-bar-left")  ? qf_caret_previous_bar(score_of(self), time)
    : g_str_equal(name, "caret-bar-right") ? qf_caret_next_bar(score_of(self), time)
    : g_str_equal(name, "caret-start")     ? QF_TIME_ZERO
                                           : qf_score_get_end(score_of(self)));
}

static void
voice_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self  = data;
  const bool           is_up = g_str_equal(g_action_get_name(G_ACTION(action)), "voice-up");

  (void)parameter;
  if (!is_up || self->caret.voice > 0) {
    qf_study_set_caret(self, is_up ? self->caret.voice - 1 : self->caret.voice + 1,
                       self->caret.time);
  }
}

static void
value_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  self->caret.value = (int8_t)CLAMP(g_variant_get_int32(parameter), 0, 5);
}

static void
dotted_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  self->caret.is_dotted = !self->caret.is_dotted;
}

/// A layer chosen: go where it is written
static void
layer_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self  = data;
  QfLayer              layer = QF_LAYER_BASS;

  if (qf_layer_parse(g_variant_get_string(parameter, NULL), &layer, NULL)) {
    return;
  }

  g_simple_action_set_state(action, parameter);
  QfChordRow* const row  = qf_study_sheet_get_chord_row(self->sheet);
  guint             cell = 0;
  while (cell + 1 < qf_study_sheet_n_spans(self->sheet) &&
         qf_time_compare(qf_study_sheet_get_span(self->sheet, cell + 1), self->caret.time) <= 0) {
    ++cell;
  }
  if (layer == QF_LAYER_QUALITY) {
    qf_chord_row_focus_quality(row, cell);
  } else if (layer == QF_LAYER_NUMERAL) {
    qf_chord_row_focus_numeral(row, cell);
  } else {
    qf_study_set_caret(self, qf_study_voice_of(self, layer), self->caret.time);
    gtk_widget_grab_focus(GTK_WIDGET(qf_study_sheet_get_score_view(self->sheet)));
  }
}

static void
write_numeral_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  g_action_group_activate_action(G_ACTION_GROUP(data), "layer", g_variant_new_string("numeral"));
}

/// A click puts the caret on a note or place; a second one writes a note there
static void
picked_cb(QfStudyWindow* const self, const double x, const double y, const int n_press)
{
  QfHit  hit   = {0};
  size_t voice = self->caret.voice;

  if (!qf_study_sheet_hit(self->sheet, x, y, &hit)) {
    return;
  }

  const QfNote* const note = qf_score_find_note(score_of(self), hit.note, &voice);
  if (note) {
    qf_study_set_caret(self, voice, note->start);
    qf_study_sound_pitches(self, &note->pitch, 1, 0.8);
    return;
  }

  const QfCaret there = {self->caret.voice, hit.time, self->caret.value, self->caret.is_dotted};
  qf_study_set_caret(self, qf_caret_voice_on_staff(score_of(self), there, hit.staff, hit.step),
                     hit.time);
  if (n_press == 2) {
    const QfKey key    = qf_score_signature_at(score_of(self), hit.time);
    const int   letter = ((hit.step % 7) + 7) % 7;
    write_pitch(self, qf_pitch_from_step(hit.step, qf_key_alter_of(key, letter)));
  }
}

static void
dragged_cb(QfStudyWindow* const self, const guint id, const double x, const double y)
{
  size_t              voice = 0;
  QfHit               hit   = {0};
  const QfNote* const note  = qf_score_find_note(score_of(self), id, &voice);

  if (note && qf_study_sheet_hit(self->sheet, x, y, &hit) &&
      hit.step != qf_pitch_step(note->pitch)) {
    set_pitch(self, note,
              qf_pitch_move_steps(note->pitch, hit.step - qf_pitch_step(note->pitch),
                                  qf_score_signature_at(score_of(self), note->start)));
  }
}

// ---- chord cells

static void
quality_cb(QfStudyWindow* const self, const guint cell, const int kind)
{
  const QfChordKind chosen = (QfChordKind)kind;
  QfError           error  = {0};

  if (qf_study_may_write(self)) {
    qf_answer_item_finish(self->item,
                          qf_answer_set_quality(answer_of(self),
                                                qf_study_sheet_get_span(self->sheet, cell),
                                                kind < 0 ? NULL : &chosen, &error),
                          &error);
  }
}

static void
numeral_cb(QfStudyWindow* const self, const guint cell, const char* const text)
{
  const QfTime               start   = qf_study_sheet_get_span(self->sheet, cell);
  const QfTry* const         attempt = qf_answer_item_get_try(self->item);
  const QfAnswerChord* const chord   = attempt ? qf_try_chord_at(attempt, start) : NULL;
  QfError                    error   = {0};

  if (!g_str_equal(text, chord ? chord->numeral : "") && qf_study_may_write(self)) {
    qf_answer_item_finish(
      self->item, qf_answer_set_numeral(answer_of(self), start, text, NULL, &error), &error);
  }
}

static void
chord_doubt_cb(QfStudyWindow* const self, const guint cell, const gboolean is_doubtful)
{
  QfError error = {0};

  if (qf_study_may_write(self)) {
    qf_answer_item_finish(self->item,
                          qf_answer_set_chord_doubt(answer_of(self),
                                                    qf_study_sheet_get_span(self->sheet, cell),
                                                    is_doubtful, &error),
                          &error);
  }
}

static void
cell_entered_cb(QfStudyWindow* const self, const guint cell)
{
  qf_study_set_caret(self, self->caret.voice, qf_study_sheet_get_span(self->sheet, cell));
}

static void
history_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self    = data;
  const bool           is_undo = g_str_equal(g_action_get_name(G_ACTION(action)), "undo");

  (void)parameter;
  if (qf_study_may_write(self) &&
      (is_undo ? qf_answer_can_undo(answer_of(self)) : qf_answer_can_redo(answer_of(self)))) {
    qf_answer_item_finish(
      self->item, is_undo ? qf_answer_undo(answer_of(self)) : qf_answer_redo(answer_of(self)),
      NULL);
  }
}

void
qf_study_add_note_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "write-note", .activate = write_note_cb, .parameter_type = "s"},
    {.name = "write-rest", .activate = write_rest_cb},
    {.name = "delete-note", .activate = delete_cb},
    {.name = "delete-before", .activate = delete_cb},
    {.name = "step-up", .activate = step_cb},
    {.name = "step-down", .activate = step_cb},
    {.name = "octave-up", .activate = step_cb},
    {.name = "octave-down", .activate = step_cb},
    {.name = "sharpen", .activate = alter_cb},
    {.name = "flatten", .activate = alter_cb},
    {.name = "doubt", .activate = doubt_cb},
    {.name = "set-value", .activate = set_value_cb, .parameter_type = "i"},
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
    {.name = "layer", .activate = layer_cb, .parameter_type = "s", .state = "'bass'"},
    {.name = "write-numeral", .activate = write_numeral_cb},
    {.name = "undo", .activate = history_cb},
    {.name = "redo", .activate = history_cb},
  };
  QfScoreView* const view = qf_study_sheet_get_score_view(self->sheet);
  QfChordRow* const  row  = qf_study_sheet_get_chord_row(self->sheet);

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(view, "picked", G_CALLBACK(picked_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(view, "dragged", G_CALLBACK(dragged_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(row, "quality", G_CALLBACK(quality_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(row, "numeral", G_CALLBACK(numeral_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(row, "doubt", G_CALLBACK(chord_doubt_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(row, "entered", G_CALLBACK(cell_entered_cb), self, G_CONNECT_SWAPPED);
}
