// SPDX-License-Identifier: MIT
#include "qf-new-dialog.h"

#include "common/qf-choices.h"
#include "qf-app.h"

struct _QfNewDialog {
  AdwWindow      parent_instance;
  GtkWidget*     create; ///< Template child, as all widgets below
  GtkEditable*   title_row;
  AdwComboRow*   key_row;
  AdwComboRow*   metre_row;
  GtkSpinButton* pickup;
  GtkSpinButton* bars;
  QfLessonItem*  item; ///< Owned reference
};

G_DEFINE_FINAL_TYPE(QfNewDialog, qf_new_dialog, ADW_TYPE_WINDOW)

static void
create_cb(QfNewDialog* const self)
{
  const QfKey       key   = qf_choice_key(adw_combo_row_get_selected(self->key_row));
  const char* const text  = qf_choice_metres()[adw_combo_row_get_selected(self->metre_row)];
  const char* const title = gtk_editable_get_text(self->title_row);
  QfMetre           metre = {0};

  if (qf_metre_parse(text, &metre, NULL)) {
    return; // Every metre offered can be read
  }

  // A pickup is shorter than a bar.
  const int    beats  = MIN(gtk_spin_button_get_value_as_int(self->pickup), metre.n_groups - 1);
  const QfTime pickup = qf_time_mul(qf_metre_beat(metre), qf_time(MAX(0, beats), 1));
  const int    bars   = gtk_spin_button_get_value_as_int(self->bars);
  QfLesson*    lesson = qf_lesson_new(key, metre, pickup, (size_t)bars);
  if (lesson) {
    if (title[0]) {
      qf_lesson_set_title(lesson, title, NULL);
      qf_lesson_forget_history(lesson); // The title is no edit to undo
    }
    qf_lesson_item_take(self->item, lesson, NULL, FALSE);
    gtk_window_close(GTK_WINDOW(self));
  }
}

static void
qf_new_dialog_dispose(GObject* const object)
{
  g_clear_object(&QF_NEW_DIALOG(object)->item);
  G_OBJECT_CLASS(qf_new_dialog_parent_class)->dispose(object);
}

static void
qf_new_dialog_class_init(QfNewDialogClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_new_dialog_dispose;
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-new-dialog.ui");
  gtk_widget_class_bind_template_child(widget_class, QfNewDialog, create);
  gtk_widget_class_bind_template_child(widget_class, QfNewDialog, title_row);
  gtk_widget_class_bind_template_child(widget_class, QfNewDialog, key_row);
  gtk_widget_class_bind_template_child(widget_class, QfNewDialog, metre_row);
  gtk_widget_class_bind_template_child(widget_class, QfNewDialog, pickup);
  gtk_widget_class_bind_template_child(widget_class, QfNewDialog, bars);
  gtk_widget_class_bind_template_callback(widget_class, create_cb);
}

static void
qf_new_dialog_init(QfNewDialog* const self)
{
  static const QfKey c_major      = {{0, 0}, QF_MAJOR};
  g_autoptr(GtkStringList) keys   = gtk_string_list_new(NULL);
  g_autoptr(GtkStringList) metres = gtk_string_list_new(qf_choice_metres());

  gtk_widget_init_template(GTK_WIDGET(self));
  qf_choices_add_keys(keys);
  adw_combo_row_set_model(self->key_row, G_LIST_MODEL(keys));
  adw_combo_row_set_selected(self->key_row, qf_choice_of_key(c_major));
  adw_combo_row_set_model(self->metre_row, G_LIST_MODEL(metres));
  adw_combo_row_set_selected(self->metre_row, 2);
  gtk_window_set_default_widget(GTK_WINDOW(self), self->create);
  gtk_widget_grab_focus(GTK_WIDGET(self->title_row)); // Not the first button
}

GtkWidget*
qf_new_dialog_new(GtkWindow* const parent, QfLessonItem* const item)
{
  QfNewDialog* const self = g_object_new(QF_TYPE_NEW_DIALOG, "transient-for", parent, NULL);
  self->item              = g_object_ref(item);
  return GTK_WIDGET(self);
}
