// SPDX-License-Identifier: MIT
#include "qf-task-dialog.h"

#include "common/qf-rows.h"

#include "quintfall/rubric.h"

/// The dialog's widgets; freed with its window
typedef struct {
  GtkWindow*     window;
  QfLessonItem*  item; ///< Owned reference
  GtkSwitch*     layers[QF_LAYER_N_KINDS];
  GtkSpinButton* hearings;
  GtkSpinButton* attempts;
  GtkSwitch*     rhythm;
  GtkSwitch*     spans;
  GtkSwitch*     questions;
  GtkSwitch*     result;
  AdwComboRow*   shipped;
  GtkSpinButton* worths[QF_LAYER_N_KINDS];
  GtkSpinButton* losses[QF_ASPECT_N_KINDS];
  GtkSpinButton* out_of;
  GtkSpinButton* pass;
  AdwComboRow*   rounding;
  GtkSwitch*     equals[6];
  QfRubric       rubric; ///< What the widgets leave alone comes from here
  gboolean       is_filling;
} Dialog;

static void
dialog_free(Dialog* const self)
{
  g_object_unref(self->item);
  g_free(self);
}

/// What counts as equal, in words, and where the rubric keeps it
static const struct {
  const char* title;
  const char* subtitle;
  gsize       offset;
} equals[] = {
  {"Enharmonic notes are equal", "C sharp for D flat", offsetof(QfRubric, enharmonic_is_equal)},
  {"Ways to write the cadential six-four are equal", "Cad64, I64, V with 6-4",
   offsetof(QfRubric, six_four_is_equal)},
  {"II7 may stand for V7/V", "Degrees for applied dominants",
   offsetof(QfRubric, degree_is_applied)},
  {"A function counts in any key", "Where a modulation is read otherwise",
   offsetof(QfRubric, key_is_free)},
  {"Upper and lower case are one", "Only the figures are judged", offsetof(QfRubric, case_is_free)},
  {"A following error is not charged again", "A right idea after an error counts",
   offsetof(QfRubric, follows_errors)},
};

G_STATIC_ASSERT(G_N_ELEMENTS(equals) == 6);

static bool*
equal_of(QfRubric* const rubric, const gsize index)
{
  return (bool*)((char*)rubric + equals[index].offset);
}

/// The share that a fault costs, as one number for all layers that know it
static double
loss_of(const QfRubric* const rubric, const QfAspect aspect)
{
  double most = 0.0;
  for (QfLayer layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    most = MAX(most, rubric->layers[layer].losses[aspect]);
  }
  return most;
}

static void
show_rubric(Dialog* const self)
{
  self->is_filling = TRUE;
  for (QfLayer layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    gtk_spin_button_set_value(self->worths[layer], self->rubric.layers[layer].worth);
  }
  for (QfAspect aspect = 0; aspect < QF_ASPECT_N_KINDS; ++aspect) {
    gtk_spin_button_set_value(self->losses[aspect], 100.0 * loss_of(&self->rubric, aspect));
  }
  for (gsize i = 0; i < G_N_ELEMENTS(equals); ++i) {
    gtk_switch_set_active(self->equals[i], *equal_of(&self->rubric, i));
  }
  gtk_spin_button_set_value(self->out_of, self->rubric.out_of);
  gtk_spin_button_set_value(self->pass, self->rubric.pass_percent);
  adw_combo_row_set_selected(self->rounding, self->rubric.rounding);
  self->is_filling = FALSE;
}

/// Another rubric was chosen: everything below follows it
static void
shipped_cb(Dialog* const self)
{
  const guint chosen = adw_combo_row_get_selected(self->shipped);

  if (!self->is_filling && chosen > 0 && chosen <= qf_rubric_n_shipped()) {
    self->rubric = *qf_rubric_get_shipped(chosen - 1);
    show_rubric(self);
  }
}

static QfStudy
study_of(const Dialog* const self)
{
  QfStudy study = {
    .max_hearings  = gtk_spin_button_get_value_as_int(self->hearings),
    .max_attempts  = gtk_spin_button_get_value_as_int(self->attempts),
    .shows_rhythm  = gtk_switch_get_active(self->rhythm),
    .shows_spans   = gtk_switch_get_active(self->spans),
    .has_questions = gtk_switch_get_active(self->questions),
    .shows_result  = gtk_switch_get_active(self->result),
  };

  for (QfLayer layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    study.layers |= gtk_switch_get_active(self->layers[layer]) ? 1U << layer : 0U;
  }
  return study;
}

static QfRubric
rubric_of(const Dialog* const self)
{
  QfRubric rubric = self->rubric;

  for (QfLayer layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    rubric.layers[layer].worth = gtk_spin_button_get_value(self->worths[layer]);
  }
  for (QfAspect aspect = 0; aspect < QF_ASPECT_N_KINDS; ++aspect) {
    const double wanted = gtk_spin_button_get_value(self->losses[aspect]) / 100.0;
    const double before = loss_of(&self->rubric, aspect);
    // Layers may weigh a fault differently; turning the dial keeps their proportions.
    for (QfLayer layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
      double* const loss = &rubric.layers[layer].losses[aspect];
      *loss              = before > 0.0 ? CLAMP(*loss * wanted / before, 0.0, 1.0) : wanted;
    }
  }
  for (gsize i = 0; i < G_N_ELEMENTS(equals); ++i) {
    *equal_of(&rubric, i) = gtk_switch_get_active(self->equals[i]);
  }
  rubric.out_of       = gtk_spin_button_get_value(self->out_of);
  rubric.pass_percent = gtk_spin_button_get_value(self->pass);
  rubric.rounding     = (QfRounding)adw_combo_row_get_selected(self->rounding);
  return rubric;
}

static void
apply_cb(Dialog* const self)
{
  QfLesson* const lesson = qf_lesson_item_get_lesson(self->item);
  const QfRubric  rubric = rubric_of(self);
  QfError         error  = {0};
  QfStatus        st     = qf_lesson_set_study(lesson, study_of(self), &error);

  st = st ? st : qf_lesson_set_rubric(lesson, &rubric, &error);
  qf_lesson_item_finish(self->item, st, &error);
  if (!st) {
    gtk_window_close(self->window);
  }
}

static void
add_study(Dialog* const self, AdwPreferencesPage* const page, const QfStudy study)
{
  AdwPreferencesGroup* const layers = qf_rows_add_group(page, "What the student fills in", NULL);
  AdwPreferencesGroup* const shown  = qf_rows_add_group(page, "What the student sees", NULL);
  AdwPreferencesGroup* const limits = qf_rows_add_group(page, "Limits", "0 sets no limit");

  for (QfLayer layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    g_autofree char* name = g_strdup(qf_layer_name(layer));
    name[0]               = g_ascii_toupper(name[0]);
    self->layers[layer]   = qf_rows_add_switch(layers, name, NULL, study.layers & 1U << layer);
  }
  self->rhythm = qf_rows_add_switch(shown, "The rhythm of each voice", NULL, study.shows_rhythm);
  self->spans  = qf_rows_add_switch(shown, "Where the chords change", NULL, study.shows_spans);
  self->questions =
    qf_rows_add_switch(shown, "Leading questions", "May be opened", study.has_questions);
  self->result = qf_rows_add_switch(shown, "The graded result", "May be seen by the student",
                                    study.shows_result);
  self->hearings =
    qf_rows_add_spin(limits, "Hearings", NULL, 0, QF_MAX_HEARINGS, 1, study.max_hearings);
  self->attempts =
    qf_rows_add_spin(limits, "Attempts", NULL, 0, QF_MAX_ATTEMPTS, 1, study.max_attempts);
}

static void
add_rubric(Dialog* const self, AdwPreferencesPage* const page)
{
  static const char* const roundings[] = {"No rounding", "Halves upwards",
                                          "Halves upwards, but never to full marks", NULL};
  g_autoptr(GStrvBuilder) names        = g_strv_builder_new();
  AdwPreferencesGroup* const marks =
    qf_rows_add_group(page, "Marks", "Points of each note or chord, by layer");
  AdwPreferencesGroup* const losses = qf_rows_add_group(
    page, "What a fault costs", "Percent of the note's or chord's points that are lost");
  AdwPreferencesGroup* const equal = qf_rows_add_group(page, "What counts as equal", NULL);

  g_strv_builder_add(names, "As it is");
  for (size_t i = 0; i < qf_rubric_n_shipped(); ++i) {
    g_strv_builder_add(names, qf_rubric_get_shipped(i)->name);
  }
  g_auto(GStrv) choices = g_strv_builder_end(names);
  self->shipped         = qf_rows_add_choice(marks, "Begin with", (const char* const*)choices, 0);
  for (QfLayer layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    g_autofree char* name = g_strdup(qf_layer_name(layer));
    name[0]               = g_ascii_toupper(name[0]);
    self->worths[layer]   = qf_rows_add_spin(marks, name, NULL, 0, 100, 0.5, 0);
    gtk_spin_button_set_digits(self->worths[layer], 1);
  }
  self->out_of =
    qf_rows_add_spin(marks, "Scale the total to", "0 leaves it as it is", 0, 1000, 1, 0);
  self->pass     = qf_rows_add_spin(marks, "Passed from", "Percent", 0, 100, 1, 0);
  self->rounding = qf_rows_add_choice(marks, "Rounding", roundings, 0);
  for (QfAspect aspect = 0; aspect < QF_ASPECT_N_KINDS; ++aspect) {
    g_autofree char* name = g_strdup(qf_aspect_name(aspect));
    name[0]               = g_ascii_toupper(name[0]);
    self->losses[aspect]  = qf_rows_add_spin(losses, name, NULL, 0, 100, 5, 0);
  }
  for (gsize i = 0; i < G_N_ELEMENTS(equals); ++i) {
    self->equals[i] = qf_rows_add_switch(equal, equals[i].title, equals[i].subtitle, FALSE);
  }
  g_signal_connect_swapped(self->shipped, "notify::selected", G_CALLBACK(shipped_cb), self);
}

void
qf_task_dialog_present(GtkWindow* const parent, QfLessonItem* const item)
{
  Dialog* const             self   = g_new0(Dialog, 1);
  AdwPreferencesPage* const page   = ADW_PREFERENCES_PAGE(adw_preferences_page_new());
  QfLesson* const           lesson = qf_lesson_item_get_lesson(item);

  self->item   = g_object_ref(item);
  self->rubric = *qf_lesson_get_rubric(lesson);
  add_study(self, page, qf_lesson_get_study(lesson));
  add_rubric(self, page);
  show_rubric(self);
  self->window = GTK_WINDOW(
    qf_rows_window_new(parent, "Task and Marks", "_Apply", page, G_CALLBACK(apply_cb), self));
  g_object_set_data_full(G_OBJECT(self->window), "dialog", self, (GDestroyNotify)dialog_free);
  gtk_window_present(self->window);
}
