// SPDX-License-Identifier: MIT
#include "qf-numeral-entry.h"

#include "qf-app.h"

struct _QfNumeralEntry {
  GtkWidget  parent_instance;
  GtkWidget* box;   ///< Template child
  GtkLabel*  place; ///< Template child
  GtkEntry*  entry; ///< Template child
  GtkLabel*  error; ///< Template child
};

G_DEFINE_FINAL_TYPE(QfNumeralEntry, qf_numeral_entry, GTK_TYPE_WIDGET)

enum { ENTERED, LEFT, N_SIGNALS };
static guint signals[N_SIGNALS];

void
qf_numeral_entry_set_place(QfNumeralEntry* const self, const char* const place)
{
  gtk_label_set_text(self->place, place);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->entry), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                 place, -1);
}

void
qf_numeral_entry_set_error(QfNumeralEntry* const self, const char* const message)
{
  const gboolean is_wrong = message && message[0];

  gtk_label_set_text(self->error, is_wrong ? message : "");
  gtk_widget_set_visible(GTK_WIDGET(self->error), is_wrong);
  if (is_wrong) {
    gtk_widget_add_css_class(GTK_WIDGET(self->entry), "error");
  } else {
    gtk_widget_remove_css_class(GTK_WIDGET(self->entry), "error");
  }
}

void
qf_numeral_entry_clear(QfNumeralEntry* const self)
{
  gtk_editable_set_text(GTK_EDITABLE(self->entry), "");
  qf_numeral_entry_set_error(self, NULL);
}

void
qf_numeral_entry_begin(QfNumeralEntry* const self, const char* const text)
{
  if (text) {
    gtk_editable_set_text(GTK_EDITABLE(self->entry), text);
  }

  gtk_entry_grab_focus_without_selecting(self->entry);
  gtk_editable_set_position(GTK_EDITABLE(self->entry), -1);
}

static void
activate_cb(QfNumeralEntry* const self)
{
  const char* const text = gtk_editable_get_text(GTK_EDITABLE(self->entry));
  if (text[0]) {
    g_signal_emit(self, signals[ENTERED], 0, text);
  }
}

static void
changed_cb(QfNumeralEntry* const self)
{
  qf_numeral_entry_set_error(self, NULL);
}

static void
leave_cb(GtkWidget* const widget, const char* const action, GVariant* const parameter)
{
  (void)action;
  (void)parameter;
  qf_numeral_entry_clear(QF_NUMERAL_ENTRY(widget));
  g_signal_emit(widget, signals[LEFT], 0);
}

static void
qf_numeral_entry_dispose(GObject* const object)
{
  g_clear_pointer(&QF_NUMERAL_ENTRY(object)->box, gtk_widget_unparent);
  G_OBJECT_CLASS(qf_numeral_entry_parent_class)->dispose(object);
}

static void
qf_numeral_entry_class_init(QfNumeralEntryClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_numeral_entry_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-numeral-entry.ui");
  gtk_widget_class_bind_template_child(widget_class, QfNumeralEntry, box);
  gtk_widget_class_bind_template_child(widget_class, QfNumeralEntry, place);
  gtk_widget_class_bind_template_child(widget_class, QfNumeralEntry, entry);
  gtk_widget_class_bind_template_child(widget_class, QfNumeralEntry, error);
  gtk_widget_class_bind_template_callback(widget_class, activate_cb);
  gtk_widget_class_bind_template_callback(widget_class, changed_cb);
  gtk_widget_class_install_action(widget_class, "numeral.leave", NULL, leave_cb);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_Escape, 0, "numeral.leave", NULL);

  signals[ENTERED] = g_signal_new("entered", QF_TYPE_NUMERAL_ENTRY, G_SIGNAL_RUN_LAST, 0, NULL,
                                  NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
  signals[LEFT]    = g_signal_new("left", QF_TYPE_NUMERAL_ENTRY, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                  NULL, G_TYPE_NONE, 0);
}

static void
qf_numeral_entry_init(QfNumeralEntry* const self)
{
  gtk_widget_init_template(GTK_WIDGET(self));
}
