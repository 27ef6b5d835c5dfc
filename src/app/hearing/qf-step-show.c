// SPDX-License-Identifier: MIT
#include "qf-step-private.h"

#include "common/qf-message.h"
#include "qf-plan-place.h"

#include "quintfall/sound.h"

#include <math.h>

static const char pattern_rules[] =
  "Degrees from 1, the tonic, up to 15; -5 lies an octave lower; #4 and b6 are altered. Set "
  "blanks between; join what sounds together by +, as in 1+3+5. r is a rest, _ holds on, 5:2 "
  "lasts two beats and 5:1/2 half a beat, | is a bar line.";

static void
show_length(GtkSpinButton* const amount, GtkDropDown* const unit, const QfLength length)
{
  gtk_spin_button_set_value(amount, length.amount);
  gtk_drop_down_set_selected(unit, length.unit == QF_UNIT_SECONDS ? 1U : 0U);
}

static void
show_prelude(QfStepEditor* const self, const QfPreludeStep* const prelude)
{
  adw_combo_row_set_selected(self->prelude_kind, prelude->kind);
  gtk_editable_set_text(self->pattern, prelude->pattern);
  gtk_spin_button_set_value(self->prelude_tempo, prelude->beats_per_minute);
  qf_instruments_show(self->instruments, self->prelude_program, prelude->program);
}

/// What an entry says of a place: nothing where the passage begins or ends
static void
write_place(const QfStepEditor* const self, const QfTime time, const bool is_open, char* buffer)
{
  buffer[0] = '\0';
  if (!is_open) {
    qf_plan_place_write(self->score, time, buffer, QF_STEP_PLACE_SIZE);
  }
}

void
qf_step_write_stretch(const QfStepEditor* const self,
                      const QfTime              start,
                      const QfTime              end,
                      char* const               from,
                      char* const               to)
{
  const bool is_open =
    qf_time_compare(end, start) <= 0 || qf_time_compare(end, qf_score_get_end(self->score)) >= 0;

  write_place(self, start, start.num == 0, from);
  write_place(self, end, is_open, to);
}

static void
show_stretch(QfStepEditor* const self,
             const QfTime        start,
             const QfTime        end,
             GtkEditable* const  from_entry,
             GtkEditable* const  to_entry)
{
  char from[QF_STEP_PLACE_SIZE];
  char to[QF_STEP_PLACE_SIZE];

  qf_step_write_stretch(self, start, end, from, to);
  gtk_editable_set_text(from_entry, from);
  gtk_editable_set_text(to_entry, to);
}

static void
show_pass(QfStepEditor* const self, const QfPassStep* const pass)
{
  const uint32_t voices = qf_voices_resolve(pass->voices, self->n_voices);
  for (guint i = 0; i < G_N_ELEMENTS(qf_step_forwards); ++i) {
    if (qf_step_forwards[i] == pass->forward) {
      adw_combo_row_set_selected(self->forward, i);
    }
  }
  for (guint v = 0; v < self->n_voices; ++v) {
    gtk_check_button_set_active(self->checks[v], (voices & QF_VOICE_BIT(v)) != 0);
  }
  gtk_switch_set_active(self->spread, pass->is_spread);
  gtk_spin_button_set_value(self->pass_tempo, round(100.0 * pass->tempo_factor));
  gtk_spin_button_set_value(self->repeats, pass->repeats);
  show_length(self->gap, self->gap_unit, pass->gap);
  show_stretch(self, pass->from, pass->to, self->from, self->to);
  gtk_spin_button_set_value(self->softening, pass->softening_db);
  gtk_spin_button_set_value(self->gain, pass->forward_gain_db);
  gtk_spin_button_set_value(self->lead, pass->lead_ms);
  qf_instruments_show(self->instruments, self->program, pass->program);
  qf_instruments_show(self->instruments, self->forward_program, pass->forward_program);
}

static void
show_sung_gap(QfStepEditor* const self, const QfSungGapStep* const gap)
{
  const guint last = self->n_voices ? self->n_voices - 1U : 0U;
  adw_combo_row_set_selected(self->sung_voice,
                             gap->voice == QF_VOICE_LOWEST ? last : MIN(gap->voice, last));
  show_length(self->sung, self->sung_unit, gap->length);
  gtk_spin_button_set_value(self->sung_tempo, round(100.0 * gap->tempo_factor));
  show_stretch(self, gap->from, gap->to, self->sung_from, self->sung_to);
}

void
qf_step_show_kind(QfStepEditor* const self)
{
  const QfPlanStep* const step = &self->step;

  switch (step->kind) {
    case QF_STEP_PRELUDE:
      show_prelude(self, &step->prelude);
      break;
    case QF_STEP_COUNT_IN:
      gtk_spin_button_set_value(self->bars, step->count_in.bars);
      break;
    case QF_STEP_PASS:
      show_pass(self, &step->pass);
      break;
    case QF_STEP_SILENCE:
      show_length(self->silence, self->silence_unit, step->silence.length);
      break;
    case QF_STEP_SUNG_GAP:
      show_sung_gap(self, &step->sung_gap);
      break;
    case QF_STEP_TITLE:
      gtk_editable_set_text(self->title_text, step->title.text);
      gtk_editable_set_text(self->audio, step->title.audio);
      break;
    case QF_STEP_OTHER:
    case QF_STEP_N_KINDS:
      break;
  }
}

static void
mark(GtkEditable* const entry, const bool is_good)
{
  if (is_good) {
    gtk_widget_remove_css_class(GTK_WIDGET(entry), "error");
  } else {
    gtk_widget_add_css_class(GTK_WIDGET(entry), "error");
  }
}

static void
show_pattern_state(QfStepEditor* const self)
{
  const bool is_own = adw_combo_row_get_selected(self->prelude_kind) == QF_PRELUDE_OWN;
  QfError    error  = {0};
  QfPattern  pattern;

  gtk_widget_set_visible(GTK_WIDGET(self->pattern), is_own);
  gtk_widget_set_visible(GTK_WIDGET(self->pattern_help), is_own);
  if (is_own) {
    const bool is_good = !qf_pattern_parse(gtk_editable_get_text(self->pattern), &pattern, &error);
    g_autofree char* why = qf_sentence_dup(error.text);
    gtk_label_set_text(self->pattern_help, is_good ? pattern_rules : why);
    mark(self->pattern, is_good);
  }
}

/// Say how long a spoken title is, or why it cannot be played
static void
show_audio_state(QfStepEditor* const self)
{
  g_autofree char* path     = qf_step_dup_audio(self);
  QfError          error    = {0};
  double           length_s = 0.0;
  const bool       is_good  = !path || !qf_sound_clip_length(path, &length_s, &error);
  g_autofree char* why      = is_good ? NULL : qf_sentence_dup(error.text);
  g_autofree char* length   = path ? g_strdup_printf("Spoken for %.1f seconds.", length_s) : NULL;

  gtk_widget_set_visible(GTK_WIDGET(self->audio_help), path != NULL);
  gtk_label_set_text(self->audio_help, why ? why : length ? length : "");
  mark(self->audio, is_good);
}

void
qf_step_show_state(QfStepEditor* const self)
{
  const guint heard = adw_combo_row_get_selected(self->forward);

  gtk_widget_set_visible(self->voices_row, heard == 1U);
  gtk_widget_set_visible(self->spread_row, heard == 2U);
  show_pattern_state(self);
  if (self->has_step && self->step.kind == QF_STEP_TITLE) {
    show_audio_state(self);
  }
}
