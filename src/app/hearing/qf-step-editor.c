// SPDX-License-Identifier: MIT
#include "qf-step-editor.h"

#include "qf-app.h"
#include "qf-plan-place.h"

#include "quintfall/sound.h"

#include <adwaita.h>
#include <math.h>
#include <stdlib.h>

enum {
  PLACE_SIZE = 48,
  N_CHECKS   = QF_MAX_VOICES,
};

struct _QfStepEditor {
  GtkWidget      parent_instance;
  GtkStack*      stack; ///< Template child, as all widgets below
  AdwComboRow*   prelude_kind;
  GtkEditable*   pattern;
  GtkLabel*      pattern_help;
  GtkSpinButton* prelude_tempo;
  AdwComboRow*   prelude_program;
  GtkSpinButton* bars;
  AdwComboRow*   forward;
  GtkWidget*     voices_row;
  GtkFlowBox*    voices;
  GtkWidget*     spread_row;
  GtkSwitch*     spread;
  GtkSpinButton* pass_tempo;
  GtkSpinButton* repeats;
  GtkSpinButton* gap;
  GtkDropDown*   gap_unit;
  GtkEditable*   from;
  GtkEditable*   to;
  GtkSpinButton* softening;
  GtkSpinButton* gain;
  GtkSpinButton* lead;
  AdwComboRow*   program;
  AdwComboRow*   forward_program;
  GtkSpinButton* silence;
  GtkDropDown*   silence_unit;
  AdwComboRow*   sung_voice;
  GtkSpinButton* sung;
  GtkDropDown*   sung_unit;
  GtkSpinButton* sung_tempo;
  GtkEditable*   title_text;
  GtkEditable*   audio;
  GtkWidget*     choose_audio;

  const QfScore*        score; ///< Kept by the caller
  char*                 folder;
  guint                 n_voices;
  GtkCheckButton*       checks[N_CHECKS]; ///< One a voice, owned by `voices`
  int                   programs[128];    ///< Programs of the choices after "the lesson's"
  guint                 n_programs;
  QfPlanStep            step; ///< As last shown or read
  gboolean              has_step;
  gboolean              is_filling; ///< True while the editor itself sets its widgets
  const char*           fault;
  GtkFileChooserNative* chooser;
};

G_DEFINE_FINAL_TYPE(QfStepEditor, qf_step_editor, GTK_TYPE_WIDGET)

enum { CHANGED, N_SIGNALS };
static guint signals[N_SIGNALS];

static const char* const page_names[QF_STEP_N_KINDS] = {
  [QF_STEP_PRELUDE] = "prelude", [QF_STEP_COUNT_IN] = "count-in", [QF_STEP_PASS] = "pass",
  [QF_STEP_SILENCE] = "silence", [QF_STEP_SUNG_GAP] = "sung-gap", [QF_STEP_TITLE] = "title",
  [QF_STEP_OTHER] = "other",
};

/// What is heard, in the order of the choices
static const QfForwardKind forward_kinds[] = {QF_FORWARD_ALL, QF_FORWARD_VOICE, QF_FORWARD_QUALITY};

static const char pattern_rules[] =
  "Degrees from 1, the tonic, up to 15; -5 lies an octave lower; #4 and b6 are altered. Set "
  "blanks between; join what sounds together by +, as in 1+3+5. r is a rest, _ holds on, 5:2 "
  "lasts two beats and 5:1/2 half a beat, | is a bar line.";

//
// Voices and instruments of the lesson
//

static char*
dup_voice_name(const QfScore* const score, const guint voice)
{
  const char* const name = qf_score_get_voice(score, voice)->name;
  return name[0] ? g_strdup(name) : g_strdup_printf("Voice %u", voice + 1U);
}

/// The number a plan knows a voice by: the last is the lowest, whatever the number
static uint8_t
plan_voice(const QfStepEditor* const self, const guint voice)
{
  return voice + 1U == self->n_voices ? QF_VOICE_LOWEST : (uint8_t)voice;
}

static void
edited_cb(QfStepEditor* self);

static void
fill_voices(QfStepEditor* const self)
{
  g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);
  for (guint v = 0; v < self->n_voices; ++v) {
    char* const      name  = dup_voice_name(self->score, v);
    GtkWidget* const check = gtk_check_button_new_with_label(name);

    self->checks[v] = GTK_CHECK_BUTTON(check);
    g_signal_connect_swapped(check, "toggled", G_CALLBACK(edited_cb), self);
    gtk_flow_box_append(self->voices, check);
    gtk_widget_set_focusable(gtk_widget_get_parent(check), FALSE);
    gtk_string_list_take(names, name);
  }
  adw_combo_row_set_model(self->sung_voice, G_LIST_MODEL(names));
}

static GtkStringList*
instrument_names(QfStepEditor* const self, const char* const soundfont)
{
  GtkStringList* const names         = gtk_string_list_new(NULL);
  QfInstrument*        instruments   = NULL;
  size_t               n_instruments = 0;

  gtk_string_list_append(names, "The lesson’s");
  self->n_programs = 0;
  if (!qf_sound_list_instruments(soundfont, &instruments, &n_instruments, NULL)) {
    for (size_t i = 0; i < n_instruments && self->n_programs < G_N_ELEMENTS(self->programs); ++i) {
      if (instruments[i].bank == 0) {
        g_autofree char* name = g_utf8_make_valid(instruments[i].name, -1);
        gtk_string_list_append(names, name);
        self->programs[self->n_programs++] = instruments[i].program;
      }
    }
    free(instruments);
  }
  return names;
}

void
qf_step_editor_set_lesson(QfStepEditor* const  self,
                          const QfScore* const score,
                          const char* const    folder,
                          const char* const    soundfont)
{
  g_autoptr(GtkStringList) names  = instrument_names(self, soundfont);
  g_autoptr(GtkStringList) others = gtk_string_list_new(NULL);

  self->is_filling = TRUE;
  self->score      = score;
  self->n_voices   = (guint)qf_score_n_voices(score);
  g_free(self->folder);
  self->folder = g_strdup(folder);
  fill_voices(self);

  for (guint i = 0; i < g_list_model_get_n_items(G_LIST_MODEL(names)); ++i) {
    gtk_string_list_append(others, i ? gtk_string_list_get_string(names, i) : "As the others");
  }
  adw_combo_row_set_model(self->prelude_program, G_LIST_MODEL(names));
  adw_combo_row_set_model(self->program, G_LIST_MODEL(names));
  adw_combo_row_set_model(self->forward_program, G_LIST_MODEL(others));
  self->is_filling = FALSE;
}

static void
show_program(const QfStepEditor* const self, AdwComboRow* const row, const int program)
{
  guint choice = 0;
  for (guint i = 0; i < self->n_programs; ++i) {
    choice = self->programs[i] == program ? i + 1U : choice;
  }
  adw_combo_row_set_selected(row, choice);
}

/// The program chosen; one that the SoundFont lacks is kept until another is chosen
static int
read_program(const QfStepEditor* const self, AdwComboRow* const row, const int before)
{
  const guint choice = adw_combo_row_get_selected(row);
  if (choice > 0 && choice <= self->n_programs) {
    return self->programs[choice - 1U];
  }

  gboolean is_listed = before == QF_PROGRAM_SAME;
  for (guint i = 0; i < self->n_programs; ++i) {
    is_listed = is_listed || self->programs[i] == before;
  }
  return is_listed ? QF_PROGRAM_SAME : before;
}

//
// Showing
//

static void
show_length(GtkSpinButton* const amount, GtkDropDown* const unit, const QfLength length)
{
  gtk_spin_button_set_value(amount, length.amount);
  gtk_drop_down_set_selected(unit, length.unit == QF_UNIT_SECONDS ? 1U : 0U);
}

static QfLength
read_length(GtkSpinButton* const amount, GtkDropDown* const unit)
{
  return (QfLength){gtk_spin_button_get_value(amount),
                    gtk_drop_down_get_selected(unit) == 1U ? QF_UNIT_SECONDS : QF_UNIT_BEATS};
}

static void
show_prelude(QfStepEditor* const self, const QfPreludeStep* const prelude)
{
  adw_combo_row_set_selected(self->prelude_kind, prelude->kind);
  gtk_editable_set_text(self->pattern, prelude->pattern);
  gtk_spin_button_set_value(self->prelude_tempo, prelude->beats_per_minute);
  show_program(self, self->prelude_program, prelude->program);
}

/// What an entry says of a place: nothing where the passage begins or ends
static void
write_place(const QfStepEditor* const self, const QfTime time, const bool is_open, char* buffer)
{
  buffer[0] = '\0';
  if (!is_open) {
    qf_plan_place_write(self->score, time, buffer, PLACE_SIZE);
  }
}

static void
write_from(const QfStepEditor* const self, const QfPassStep* const pass, char* const buffer)
{
  write_place(self, pass->from, pass->from.num == 0, buffer);
}

static void
write_to(const QfStepEditor* const self, const QfPassStep* const pass, char* const buffer)
{
  const bool is_open = qf_time_compare(pass->to, pass->from) <= 0 ||
                       qf_time_compare(pass->to, qf_score_get_end(self->score)) >= 0;
  write_place(self, pass->to, is_open, buffer);
}

static void
show_pass(QfStepEditor* const self, const QfPassStep* const pass)
{
  const uint32_t voices = qf_voices_resolve(pass->voices, self->n_voices);
  char           place[PLACE_SIZE];
  for (guint i = 0; i < G_N_ELEMENTS(forward_kinds); ++i) {
    if (forward_kinds[i] == pass->forward) {
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
  write_from(self, pass, place);
  gtk_editable_set_text(self->from, place);
  write_to(self, pass, place);
  gtk_editable_set_text(self->to, place);
  gtk_spin_button_set_value(self->softening, pass->softening_db);
  gtk_spin_button_set_value(self->gain, pass->forward_gain_db);
  gtk_spin_button_set_value(self->lead, pass->lead_ms);
  show_program(self, self->program, pass->program);
  show_program(self, self->forward_program, pass->forward_program);
}

static void
show_sung_gap(QfStepEditor* const self, const QfSungGapStep* const gap)
{
  const guint last = self->n_voices ? self->n_voices - 1U : 0U;
  adw_combo_row_set_selected(self->sung_voice,
                             gap->voice == QF_VOICE_LOWEST ? last : MIN(gap->voice, last));
  show_length(self->sung, self->sung_unit, gap->length);
  gtk_spin_button_set_value(self->sung_tempo, round(100.0 * gap->tempo_factor));
}

static void
show_kind(QfStepEditor* const self, const QfPlanStep* const step)
{
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

/// Show only rows that matter, and mark what is wrong
static void
show_state(QfStepEditor* const self)
{
  const guint heard  = adw_combo_row_get_selected(self->forward);
  const bool  is_own = adw_combo_row_get_selected(self->prelude_kind) == QF_PRELUDE_OWN;
  QfError     error  = {0};
  QfPattern   pattern;

  gtk_widget_set_visible(self->voices_row, heard == 1U);
  gtk_widget_set_visible(self->spread_row, heard == 2U);
  gtk_widget_set_visible(GTK_WIDGET(self->pattern), is_own);
  gtk_widget_set_visible(GTK_WIDGET(self->pattern_help), is_own);
  if (is_own) {
    const bool is_good = !qf_pattern_parse(gtk_editable_get_text(self->pattern), &pattern, &error);
    gtk_label_set_text(self->pattern_help, is_good ? pattern_rules : error.text);
    if (is_good) {
      gtk_widget_remove_css_class(GTK_WIDGET(self->pattern), "error");
    } else {
      gtk_widget_add_css_class(GTK_WIDGET(self->pattern), "error");
    }
  }
}

void
qf_step_editor_show(QfStepEditor* const self, const QfPlanStep* const step)
{
  self->is_filling = TRUE;
  self->has_step   = step != NULL;
  self->fault      = NULL;
  if (step) {
    self->step = *step;
    show_kind(self, step);
  }
  gtk_stack_set_visible_child_name(self->stack, step ? page_names[step->kind] : "none");
  show_state(self);
  self->is_filling = FALSE;
}

//
// Reading
//

static QfPreludeStep
read_prelude(QfStepEditor* const self)
{
  QfPreludeStep prelude    = self->step.prelude;
  prelude.kind             = (QfPreludeKind)adw_combo_row_get_selected(self->prelude_kind);
  prelude.beats_per_minute = gtk_spin_button_get_value(self->prelude_tempo);
  prelude.program          = read_program(self, self->prelude_program, prelude.program);
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
    self->fault = "A pass begins or ends at a bar or beat that is not there";
  }
  return text[0] && !g_strcmp0(text, before_text) ? before : time;
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
  char             from[PLACE_SIZE];
  char             to[PLACE_SIZE];
  write_from(self, &before, from);
  write_to(self, &before, to);
  pass.forward         = forward_kinds[heard];
  pass.voices          = read_voices(self);
  pass.is_spread       = gtk_switch_get_active(self->spread);
  pass.tempo_factor    = gtk_spin_button_get_value(self->pass_tempo) / 100.0;
  pass.repeats         = gtk_spin_button_get_value_as_int(self->repeats);
  pass.gap             = read_length(self->gap, self->gap_unit);
  pass.from            = read_place(self, self->from, from, before.from);
  pass.to              = read_place(self, self->to, to, before.to);
  pass.softening_db    = gtk_spin_button_get_value(self->softening);
  pass.forward_gain_db = gtk_spin_button_get_value(self->gain);
  pass.lead_ms         = gtk_spin_button_get_value(self->lead);
  pass.program         = read_program(self, self->program, before.program);
  pass.forward_program = read_program(self, self->forward_program, before.forward_program);
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

static void
read_step(QfStepEditor* const self)
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

QfPlanStep
qf_step_editor_get_step(const QfStepEditor* const self)
{
  return self->step;
}

const char*
qf_step_editor_get_fault(const QfStepEditor* const self)
{
  return self->fault;
}

static void
edited_cb(QfStepEditor* const self)
{
  if (!self->is_filling && self->has_step) {
    read_step(self);
    show_state(self);
    g_signal_emit(self, signals[CHANGED], 0);
  }
}

//
// Audio files
//

static void
audio_chosen_cb(GtkNativeDialog* const dialog, const int response, QfStepEditor* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file      = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char* path      = g_file_get_path(file);
    g_autofree char* parent    = g_path_get_dirname(path);
    g_autofree char* base      = g_path_get_basename(path);
    const gboolean   is_beside = self->folder && g_str_equal(parent, self->folder);
    gtk_editable_set_text(self->audio, is_beside ? base : path);
  }
  g_clear_object(&self->chooser);
}

static void
choose_audio_cb(QfStepEditor* const self)
{
  GtkRoot* const   root   = gtk_widget_get_root(GTK_WIDGET(self));
  GtkWindow* const parent = GTK_WINDOW(root);

  self->chooser = gtk_file_chooser_native_new("Choose an Audio File", parent,
                                              GTK_FILE_CHOOSER_ACTION_OPEN, "_Choose", "_Cancel");
  g_signal_connect(self->chooser, "response", G_CALLBACK(audio_chosen_cb), self);
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(self->chooser), TRUE);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(self->chooser));
}

//
// Class
//

static void
qf_step_editor_dispose(GObject* const object)
{
  QfStepEditor* const self = QF_STEP_EDITOR(object);

  g_clear_object(&self->chooser);
  g_clear_pointer(&self->folder, g_free);
  if (self->stack) {
    gtk_widget_unparent(GTK_WIDGET(self->stack));
    self->stack = NULL;
  }
  G_OBJECT_CLASS(qf_step_editor_parent_class)->dispose(object);
}

static void
bind_pass_children(GtkWidgetClass* const widget_class)
{
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, forward);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, voices_row);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, voices);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, spread_row);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, spread);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, pass_tempo);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, repeats);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, gap);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, gap_unit);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, from);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, to);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, softening);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, gain);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, lead);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, program);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, forward_program);
}

static void
qf_step_editor_class_init(QfStepEditorClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_step_editor_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-step-editor.ui");
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, stack);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, prelude_kind);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, pattern);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, pattern_help);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, prelude_tempo);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, prelude_program);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, bars);
  bind_pass_children(widget_class);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, silence);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, silence_unit);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, sung_voice);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, sung);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, sung_unit);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, sung_tempo);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, title_text);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, audio);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, choose_audio);
  gtk_widget_class_bind_template_callback(widget_class, edited_cb);
  gtk_widget_class_bind_template_callback(widget_class, choose_audio_cb);

  signals[CHANGED] = g_signal_new("changed", QF_TYPE_STEP_EDITOR, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                  NULL, G_TYPE_NONE, 0);
}

static void
qf_step_editor_init(QfStepEditor* const self)
{
  self->is_filling = TRUE;
  gtk_widget_init_template(GTK_WIDGET(self));
  self->is_filling = FALSE;
}
