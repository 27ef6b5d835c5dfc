// SPDX-License-Identifier: MIT
#include "qf-step-private.h"

#include "qf-plan-place.h"

/// The number a plan knows a voice by: the last is the lowest, whatever the number
static uint8_t
plan_voice(const QfStepEditor* const self, const guint voice)
{
  return voice + 1U == self->n_voices ? QF_VOICE_LOWEST : (uint8_t)voice;
}

static QfLength
read_length(GtkSpinButton* const amount, GtkDropDown* const unit)
{
  return (QfLength){gtk_spin_button_get_value(amount),
                    gtk_drop_down_get_selected(unit) == 1U ? QF_UNIT_SECONDS : QF_UNIT_BEATS};
}

static QfPreludeStep
read_prelude(QfStepEditor* const self)
{
  QfPreludeStep prelude    = self->step.prelude;
  prelude.kind             = (QfPreludeKind)adw_combo_row_get_selected(self->prelude_kind);
  prelude.beats_per_minute = gtk_spin_button_get_value(self->prelude_tempo);
  prelude.program = qf_instruments_read(self->instruments, self->prelude_program, prelude.program);
  g_strlcpy(prelude.pattern, gtk_editable_get_text(self->pattern), sizeof(prelude.pattern));

  QfPattern pattern;
  if (prelude.kind == QF_PRELUDE_OWN && qf_pattern_parse(prelude.pattern, &pattern, NULL)) {
    self->fault = "The pattern of a key prelude cannot be read";
  }
  return prelude;
}

/// A place from its entry, or as it was where the entry still says the same
static QfTime
read_place(QfStepEditor* const self,
           GtkEditable* const  entry,
           const char* const   before_text,
           const QfTime        before)
{
  const char* const text = gtk_editable_get_text(entry);
  QfTime            time = QF_TIME_ZERO;
  const bool        is_good =
    !text[0] || !g_strcmp0(text, before_text) || qf_plan_place_parse(self->score, text, &time);

  if (is_good) {
    gtk_widget_remove_css_class(GTK_WIDGET(entry), "error");
  } else {
    gtk_widget_add_css_class(GTK_WIDGET(entry), "error");
    self->fault = "There is no such bar or beat in the passage";
  }
  return text[0] && !g_strcmp0(text, before_text) ? before : time;
}

/// Read where a step begins and ends; both hold what was there before
static void
read_stretch(QfStepEditor* const self,
             GtkEditable* const  from_entry,
             GtkEditable* const  to_entry,
             QfTime* const       from,
             QfTime* const       to)
{
  const QfTime start = *from;
  const QfTime end   = *to;
  char         from_text[QF_STEP_PLACE_SIZE];
  char         to_text[QF_STEP_PLACE_SIZE];

  qf_step_write_stretch(self, start, end, from_text, to_text);
  *from = read_place(self, from_entry, from_text, start);
  *to   = read_place(self, to_entry, to_text, end);
  if (gtk_editable_get_text(to_entry)[0] && !self->fault && qf_time_compare(*to, *from) <= 0) {
    gtk_widget_add_css_class(GTK_WIDGET(to_entry), "error");
    self->fault = "The part ends before it begins";
  }
}

static uint32_t
read_voices(const QfStepEditor* const self)
{
  uint32_t voices = 0;
  for (guint v = 0; v < self->n_voices; ++v) {
    if (gtk_check_button_get_active(self->checks[v])) {
      voices |= QF_VOICE_BIT(plan_voice(self, v));
    }
  }
  return voices;
}

static QfPassStep
read_pass(QfStepEditor* const self)
{
  const QfPassStep before = self->step.pass;
  const guint      heard  = MIN(adw_combo_row_get_selected(self->forward), 2U);
  QfPassStep       pass   = before;
  pass.forward            = qf_step_forwards[heard];
  pass.voices             = read_voices(self);
  pass.is_spread          = gtk_switch_get_active(self->spread);
  pass.tempo_factor       = gtk_spin_button_get_value(self->pass_tempo) / 100.0;
  pass.repeats            = gtk_spin_button_get_value_as_int(self->repeats);
  pass.gap                = read_length(self->gap, self->gap_unit);
  pass.softening_db       = gtk_spin_button_get_value(self->softening);
  pass.forward_gain_db    = gtk_spin_button_get_value(self->gain);
  pass.lead_ms            = gtk_spin_button_get_value(self->lead);
  read_stretch(self, self->from, self->to, &pass.from, &pass.to);
  pass.program = qf_instruments_read(self->instruments, self->program, before.program);
  pass.forward_program =
    qf_instruments_read(self->instruments, self->forward_program, before.forward_program);
  if (pass.forward == QF_FORWARD_VOICE && !pass.voices) {
    self->fault = "Choose a voice to bring forward";
  }
  return pass;
}

static QfSungGapStep
read_sung_gap(QfStepEditor* const self)
{
  QfSungGapStep gap = self->step.sung_gap;
  const guint   row = adw_combo_row_get_selected(self->sung_voice);
  gap.voice         = plan_voice(self, row == GTK_INVALID_LIST_POSITION ? 0U : row);
  gap.length        = read_length(self->sung, self->sung_unit);
  gap.tempo_factor  = gtk_spin_button_get_value(self->sung_tempo) / 100.0;
  read_stretch(self, self->sung_from, self->sung_to, &gap.from, &gap.to);
  return gap;
}

static QfTitleStep
read_title(QfStepEditor* const self)
{
  QfTitleStep title = {0};
  g_strlcpy(title.text, gtk_editable_get_text(self->title_text), sizeof(title.text));
  g_strlcpy(title.audio, gtk_editable_get_text(self->audio), sizeof(title.audio));
  return title;
}

void
qf_step_read(QfStepEditor* const self)
{
  self->fault = NULL;
  switch (self->step.kind) {
    case QF_STEP_PRELUDE:
      self->step.prelude = read_prelude(self);
      break;
    case QF_STEP_COUNT_IN:
      self->step.count_in.bars = gtk_spin_button_get_value_as_int(self->bars);
      break;
    case QF_STEP_PASS:
      self->step.pass = read_pass(self);
      break;
    case QF_STEP_SILENCE:
      self->step.silence.length = read_length(self->silence, self->silence_unit);
      break;
    case QF_STEP_SUNG_GAP:
      self->step.sung_gap = read_sung_gap(self);
      break;
    case QF_STEP_TITLE:
      self->step.title = read_title(self);
      break;
    case QF_STEP_OTHER:
    case QF_STEP_N_KINDS:
      break;
  }
}
