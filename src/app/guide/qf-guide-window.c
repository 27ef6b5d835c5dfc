// SPDX-License-Identifier: MIT
#include "qf-guide-window.h"

#include "qf-guide-text.h"

enum {
  WIDTH      = 820,
  HEIGHT     = 620,
  LINE_CHARS = 66, ///< A comfortable measure for reading (R. Bringhurst's 45 to 75, from memory)
};

typedef struct {
  GtkStack* stack;
  GtkBox*   page; ///< Of the topic being read
} Shelf;

static void
add_label(GtkBox* const box, const char* const markup, const char* const style)
{
  GtkWidget* const label = gtk_label_new(NULL);

  gtk_label_set_markup(GTK_LABEL(label), markup);
  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_label_set_max_width_chars(GTK_LABEL(label), LINE_CHARS);
  gtk_label_set_selectable(GTK_LABEL(label), TRUE);
  gtk_widget_set_hexpand(label, TRUE);
  if (style) {
    gtk_widget_add_css_class(label, style);
  }
  gtk_box_append(box, label);
}

static void
topic_cb(const char* const title, const gpointer data)
{
  Shelf* const     shelf    = (Shelf*)data;
  GtkWidget* const page     = gtk_box_new(GTK_ORIENTATION_VERTICAL, 12);
  GtkWidget* const scrolled = gtk_scrolled_window_new();
  g_autofree char* markup   = g_markup_escape_text(title, -1);

  gtk_widget_add_css_class(page, "qf-guide");
  gtk_scrolled_window_set_policy(GTK_SCROLLED_WINDOW(scrolled), GTK_POLICY_NEVER,
                                 GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scrolled), page);
  gtk_stack_add_titled(shelf->stack, scrolled, title, title);
  shelf->page = GTK_BOX(page);
  add_label(shelf->page, markup, "title-2");
}

static void
paragraph_cb(const QfGuideKind kind, const char* const markup, const gpointer data)
{
  const Shelf* const shelf = (const Shelf*)data;

  if (kind == QF_GUIDE_TEXT) {
    add_label(shelf->page, markup, NULL);
    return;
  }

  GtkWidget* const row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 10);
  GtkWidget* const dot = gtk_label_new("\u2013");
  gtk_widget_set_valign(dot, GTK_ALIGN_START);
  gtk_accessible_update_state(GTK_ACCESSIBLE(dot), GTK_ACCESSIBLE_STATE_HIDDEN, TRUE, -1);
  gtk_box_append(GTK_BOX(row), dot);
  add_label(GTK_BOX(row), markup, NULL);
  gtk_box_append(shelf->page, row);
}

static gboolean
close_cb(GtkWidget* const widget, GVariant* const args, const gpointer data)
{
  (void)args;
  (void)data;
  gtk_window_close(GTK_WINDOW(widget));
  return TRUE;
}

static void
close_on_escape(GtkWidget* const window)
{
  GtkEventController* const keys = gtk_shortcut_controller_new();

  gtk_shortcut_controller_add_shortcut(
    GTK_SHORTCUT_CONTROLLER(keys), gtk_shortcut_new(gtk_keyval_trigger_new(GDK_KEY_Escape, 0),
                                                    gtk_callback_action_new(close_cb, NULL, NULL)));
  gtk_widget_add_controller(window, keys);
}

void
qf_guide_window_present(GtkApplication* const application, GtkWindow* const parent)
{
  static const QfGuideReader reader = {.topic = topic_cb, .paragraph = paragraph_cb};
  GtkWidget* const           window = adw_window_new();
  GtkWidget* const           box    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget* const           header = adw_header_bar_new();
  GtkWidget* const           panes  = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 0);
  GtkWidget* const           topics = gtk_stack_sidebar_new();
  Shelf                      shelf  = {.stack = GTK_STACK(gtk_stack_new())};

  qf_guide_read(application, &reader, &shelf);
  gtk_stack_sidebar_set_stack(GTK_STACK_SIDEBAR(topics), shelf.stack);
  gtk_accessible_update_property(GTK_ACCESSIBLE(topics), GTK_ACCESSIBLE_PROPERTY_LABEL, "Topics",
                                 -1);
  gtk_widget_set_size_request(topics, 220, -1);
  gtk_widget_set_hexpand(GTK_WIDGET(shelf.stack), TRUE);
  gtk_widget_set_vexpand(panes, TRUE);
  gtk_box_append(GTK_BOX(panes), topics);
  gtk_box_append(GTK_BOX(panes), gtk_separator_new(GTK_ORIENTATION_VERTICAL));
  gtk_box_append(GTK_BOX(panes), GTK_WIDGET(shelf.stack));
  gtk_box_append(GTK_BOX(box), header);
  gtk_box_append(GTK_BOX(box), panes);

  adw_window_set_content(ADW_WINDOW(window), box);
  gtk_window_set_title(GTK_WINDOW(window), "Guide");
  gtk_window_set_default_size(GTK_WINDOW(window), WIDTH, HEIGHT);
  gtk_window_set_application(GTK_WINDOW(window), application);
  gtk_window_set_transient_for(GTK_WINDOW(window), parent);
  gtk_window_set_destroy_with_parent(GTK_WINDOW(window), TRUE);
  close_on_escape(window);
  gtk_window_present(GTK_WINDOW(window));
  gtk_widget_child_focus(topics, GTK_DIR_TAB_FORWARD);
}
