// SPDX-License-Identifier: MIT
#include "qf-step-private.h"

#include "qf-app.h"

G_DEFINE_FINAL_TYPE(QfStepEditor, qf_step_editor, GTK_TYPE_WIDGET)

enum { CHANGED, N_SIGNALS };
static guint signals[N_SIGNALS];

static const char* const page_names[QF_STEP_N_KINDS] = {
  [QF_STEP_PRELUDE] = "prelude", [QF_STEP_COUNT_IN] = "count-in", [QF_STEP_PASS] = "pass",
  [QF_STEP_SILENCE] = "silence", [QF_STEP_SUNG_GAP] = "sung-gap", [QF_STEP_TITLE] = "title",
  [QF_STEP_OTHER] = "other",
};

static char*
dup_voice_name(const QfScore* const score, const guint voice)
{
  const char* const name = qf_score_get_voice(score, voice)->name;
  return name[0] ? g_strdup(name) : g_strdup_printf("Voice %u", voice + 1U);
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

void
qf_step_editor_set_lesson(QfStepEditor* const  self,
                          const QfScore* const score,
                          const char* const    folder,
                          const char* const    soundfont)
{
  self->is_filling = TRUE;
  self->score      = score;
  self->n_voices   = (guint)qf_score_n_voices(score);
  g_free(self->folder);
  self->folder = g_strdup(folder);
  fill_voices(self);

  g_clear_pointer(&self->instruments, qf_instruments_free);
  self->instruments = qf_instruments_new(soundfont);
  qf_instruments_offer(self->instruments, self->prelude_program, "The lesson’s");
  qf_instruments_offer(self->instruments, self->program, "The lesson’s");
  qf_instruments_offer(self->instruments, self->forward_program, "As the others");
  self->is_filling = FALSE;
}

void
qf_step_editor_show(QfStepEditor* const self, const QfPlanStep* const step)
{
  self->is_filling = TRUE;
  self->has_step   = step != NULL;
  self->fault      = NULL;
  if (step) {
    self->step = *step;
    qf_step_show_kind(self);
  }
  gtk_stack_set_visible_child_name(self->stack, step ? page_names[step->kind] : "none");
  qf_step_show_state(self);
  self->is_filling = FALSE;
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
    qf_step_read(self);
    qf_step_show_state(self);
    g_signal_emit(self, signals[CHANGED], 0);
  }
}

static void
qf_step_editor_dispose(GObject* const object)
{
  QfStepEditor* const self = QF_STEP_EDITOR(object);

  g_clear_object(&self->chooser);
  g_clear_pointer(&self->folder, g_free);
  g_clear_pointer(&self->instruments, qf_instruments_free);
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
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, sung_from);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, sung_to);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, title_text);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, audio_help);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, audio);
  gtk_widget_class_bind_template_child(widget_class, QfStepEditor, choose_audio);
  gtk_widget_class_bind_template_callback(widget_class, edited_cb);
  gtk_widget_class_bind_template_callback_full(widget_class, "choose_audio_cb",
                                               G_CALLBACK(qf_step_choose_audio));

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
