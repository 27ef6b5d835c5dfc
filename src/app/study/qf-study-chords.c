// SPDX-License-Identifier: MIT
// Layers, and what is said of each chord: its quality, its numeral, doubt.
#include "qf-study-private.h"

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
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

void
qf_study_add_chord_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "layer", .activate = layer_cb, .parameter_type = "s", .state = "'bass'"},
    {.name = "write-numeral", .activate = write_numeral_cb},
  };
  QfChordRow* const row = qf_study_sheet_get_chord_row(self->sheet);

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(row, "quality", G_CALLBACK(quality_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(row, "numeral", G_CALLBACK(numeral_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(row, "doubt", G_CALLBACK(chord_doubt_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(row, "entered", G_CALLBACK(cell_entered_cb), self, G_CONNECT_SWAPPED);
}
