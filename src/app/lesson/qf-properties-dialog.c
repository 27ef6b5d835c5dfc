// SPDX-License-Identifier: MIT
#include "qf-properties-dialog.h"

#include "common/qf-choices.h"
#include "practice/qf-difficulty-row.h"
#include "qf-app.h"

#include <math.h>
#include <string.h>

struct _QfPropertiesDialog {
  AdwWindow            parent_instance;
  GtkWidget*           apply; ///< Template child, as all widgets below
  GtkEditable*         title_row;
  GtkEditable*         composer_row;
  AdwComboRow*         key_row;
  AdwComboRow*         metre_row;
  GtkSpinButton*       tempo;
  GtkTextView*         remarks;
  GtkSwitch*           may_modulate;
  GtkSpinButton*       least_beats;
  GtkSpinButton*       cadence_beats;
  AdwPreferencesGroup* study;
  QfLessonItem*        item; ///< Owned reference
};

G_DEFINE_FINAL_TYPE(QfPropertiesDialog, qf_properties_dialog, ADW_TYPE_WINDOW)

static const QfScore*
score_of(const QfPropertiesDialog* const self)
{
  return qf_lesson_item_get_score(self->item);
}

static QfLesson*
lesson_of(const QfPropertiesDialog* const self)
{
  return qf_lesson_item_get_lesson(self->item);
}

static gboolean
differs(const char* const a, const char* const b)
{
  return g_strcmp0(a ? a : "", b ? b : "") != 0;
}

static QfStatus
apply_texts(QfPropertiesDialog* const self, QfError* const error)
{
  const char* const    title    = gtk_editable_get_text(self->title_row);
  const char* const    composer = gtk_editable_get_text(self->composer_row);
  GtkTextBuffer* const buffer   = gtk_text_view_get_buffer(self->remarks);
  g_autofree char*     remarks  = NULL;
  QfStatus             st       = QF_OK;

  g_object_get(buffer, "text", &remarks, NULL);
  if (differs(title, qf_score_get_title(score_of(self)))) {
    st = qf_lesson_set_title(lesson_of(self), title, error);
  }
  if (!st && differs(composer, qf_score_get_composer(score_of(self)))) {
    st = qf_lesson_set_composer(lesson_of(self), composer, error);
  }
  if (!st && differs(remarks, qf_lesson_get_notes_text(lesson_of(self)))) {
    st = qf_lesson_set_notes_text(lesson_of(self), remarks, error);
  }

  return st;
}

/// Place of the lesson's key in the list: the first entry has it found from the notes
static guint
key_choice(const QfPropertiesDialog* const self)
{
  QfKey key = {{0, 0}, QF_MAJOR};
  return qf_lesson_get_key(lesson_of(self), &key) ? qf_choice_of_key(key) + 1U : 0U;
}

static guint
metre_choice(const QfPropertiesDialog* const self)
{
  const size_t n_bars = qf_score_n_bars(score_of(self));
  return n_bars ? qf_choice_of_metre(qf_score_get_bar(score_of(self), n_bars - 1)->metre)
                : GTK_INVALID_LIST_POSITION;
}

static QfStatus
apply_choices(QfPropertiesDialog* const self, QfError* const error)
{
  const guint  key_index   = adw_combo_row_get_selected(self->key_row);
  const guint  metre_index = adw_combo_row_get_selected(self->metre_row);
  const double tempo       = gtk_spin_button_get_value(self->tempo);
  QfStatus     st          = QF_OK;

  if (key_index != key_choice(self)) {
    const QfKey key = qf_choice_key(key_index ? key_index - 1U : 0U);
    st              = qf_lesson_set_key(lesson_of(self), key_index ? &key : NULL, error);
  }
  if (!st && metre_index != GTK_INVALID_LIST_POSITION && metre_index != metre_choice(self)) {
    QfMetre metre = {0};
    st            = qf_metre_parse(qf_choice_metres()[metre_index], &metre, error);
    st            = st ? st : qf_lesson_set_metre(lesson_of(self), metre, error);
  }
  if (!st && fabs(tempo - qf_score_get_tempo(score_of(self))) > 0.05) {
    st = qf_lesson_set_tempo(lesson_of(self), tempo, error);
  }

  return st;
}

static QfStatus
apply_key_changes(QfPropertiesDialog* const self, QfError* const error)
{
  const bool            may_modulate = gtk_switch_get_active(self->may_modulate);
  const QfKeyThresholds old          = qf_lesson_get_key_thresholds(lesson_of(self));
  const QfKeyThresholds wanted       = {gtk_spin_button_get_value(self->least_beats),
                                        gtk_spin_button_get_value(self->cadence_beats)};
  QfStatus              st           = QF_OK;

  // After the key: declaring one turns changes off at first.
  if (may_modulate != qf_lesson_get_may_modulate(lesson_of(self))) {
    st = qf_lesson_set_may_modulate(lesson_of(self), may_modulate, error);
  }
  if (!st && (fabs(wanted.least_beats - old.least_beats) > 0.05 ||
              fabs(wanted.cadence_beats - old.cadence_beats) > 0.05)) {
    st = qf_lesson_set_key_thresholds(lesson_of(self), wanted, error);
  }

  return st;
}

static void
apply_cb(QfPropertiesDialog* const self)
{
  const uint64_t before = qf_lesson_get_revision(lesson_of(self));
  QfError        error  = {0};
  QfStatus       st     = apply_texts(self, &error);

  st = st ? st : apply_choices(self, &error);
  st = st ? st : apply_key_changes(self, &error);
  // What was changed before a refusal stays, and shows.
  if (qf_lesson_get_revision(lesson_of(self)) != before) {
    qf_lesson_item_finish(self->item, QF_OK, NULL);
  }
  if (st) {
    qf_lesson_item_finish(self->item, st, &error);
  }

  gtk_window_close(GTK_WINDOW(self));
}

static void
fill(QfPropertiesDialog* const self)
{
  const char* const     title      = qf_score_get_title(score_of(self));
  const char* const     composer   = qf_score_get_composer(score_of(self));
  const char* const     remarks    = qf_lesson_get_notes_text(lesson_of(self));
  const QfKeyThresholds thresholds = qf_lesson_get_key_thresholds(lesson_of(self));

  gtk_editable_set_text(self->title_row, title ? title : "");
  gtk_editable_set_text(self->composer_row, composer ? composer : "");
  gtk_text_buffer_set_text(gtk_text_view_get_buffer(self->remarks), remarks ? remarks : "", -1);
  adw_combo_row_set_selected(self->key_row, key_choice(self));
  adw_combo_row_set_selected(self->metre_row, metre_choice(self));
  gtk_switch_set_active(self->may_modulate, qf_lesson_get_may_modulate(lesson_of(self)));
  gtk_spin_button_set_value(self->least_beats, thresholds.least_beats);
  gtk_spin_button_set_value(self->cadence_beats, thresholds.cadence_beats);
  gtk_spin_button_set_value(self->tempo, qf_score_get_tempo(score_of(self)));
  gtk_widget_set_sensitive(self->apply, !qf_lesson_is_read_only(lesson_of(self)));

  QfDifficulty difficulty = {0};
  if (!qf_difficulty_of(lesson_of(self), &difficulty, NULL)) {
    adw_preferences_group_add(self->study, qf_difficulty_row_new(&difficulty));
  }
}

static void
qf_properties_dialog_dispose(GObject* const object)
{
  g_clear_object(&QF_PROPERTIES_DIALOG(object)->item);
  G_OBJECT_CLASS(qf_properties_dialog_parent_class)->dispose(object);
}

static void
qf_properties_dialog_class_init(QfPropertiesDialogClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_properties_dialog_dispose;
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-properties-dialog.ui");
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, apply);
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, title_row);
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, composer_row);
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, key_row);
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, metre_row);
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, tempo);
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, remarks);
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, may_modulate);
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, least_beats);
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, cadence_beats);
  gtk_widget_class_bind_template_child(widget_class, QfPropertiesDialog, study);
  gtk_widget_class_bind_template_callback(widget_class, apply_cb);
}

static void
qf_properties_dialog_init(QfPropertiesDialog* const self)
{
  g_autoptr(GtkStringList) keys   = gtk_string_list_new(NULL);
  g_autoptr(GtkStringList) metres = gtk_string_list_new(qf_choice_metres());

  gtk_widget_init_template(GTK_WIDGET(self));
  gtk_string_list_append(keys, "Find it from the notes");
  qf_choices_add_keys(keys);
  adw_combo_row_set_model(self->key_row, G_LIST_MODEL(keys));
  adw_combo_row_set_model(self->metre_row, G_LIST_MODEL(metres));
  gtk_window_set_default_widget(GTK_WINDOW(self), self->apply);
  gtk_widget_grab_focus(GTK_WIDGET(self->title_row)); // Not the first button
}

GtkWidget*
qf_properties_dialog_new(GtkWindow* const parent, QfLessonItem* const item)
{
  QfPropertiesDialog* const self =
    g_object_new(QF_TYPE_PROPERTIES_DIALOG, "transient-for", parent, NULL);

  self->item = g_object_ref(item);
  fill(self);
  return GTK_WIDGET(self);
}
