// SPDX-License-Identifier: MIT
#include "qf-grades-class.h"

#include <stdlib.h>
#include <string.h>

enum {
  MAX_ROWS    = 30,
  LIST_HEIGHT = 150,
};

struct QfGradesClass {
  GtkWidget*       box; ///< Owned reference
  GtkListBox*      missed;
  GtkListBox*      faults;
  GtkWidget*       fault_side; ///< Visible while there are faults
  const QfResults* results;
};

static void
add_row(GtkListBox* const list, const char* const text)
{
  GtkWidget* const label = gtk_label_new(text);

  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_list_box_append(list, label);
  GtkWidget* const row = gtk_widget_get_parent(label);
  gtk_list_box_row_set_activatable(GTK_LIST_BOX_ROW(row), FALSE);
  gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
}

static void
clear_list(GtkListBox* const list)
{
  for (GtkWidget* row = NULL; (row = gtk_widget_get_first_child(GTK_WIDGET(list)));) {
    gtk_list_box_remove(list, row);
  }
}

void
qf_grades_class_update(QfGradesClass* const self)
{
  QfTally* tallies = NULL;
  size_t   n       = 0;
  size_t   n_shown = 0;

  clear_list(self->missed);
  if (qf_results_tallies(self->results, &tallies, &n, NULL)) {
    return;
  }
  for (size_t i = 0; i < n && n_shown < MAX_ROWS; ++i) {
    // The layers stand in the heads of the table's columns.
    if (tallies[i].right < tallies[i].asked && !g_str_has_prefix(tallies[i].concept, "layer/")) {
      char             words[QF_CONCEPT_NAME_SIZE + 32];
      const double     percent = 100.0 * tallies[i].right / tallies[i].asked;
      g_autofree char* text    = NULL;
      qf_tally_describe(&tallies[i], words, sizeof(words));
      text = g_strdup_printf("%s right (%.0f %%)", words, percent);
      add_row(self->missed, text);
      ++n_shown;
    }
  }
  free(tallies);
  gtk_widget_set_visible(self->box, n_shown || gtk_widget_get_visible(self->fault_side));
}

void
qf_grades_class_add_fault(QfGradesClass* const self,
                          const char* const    path,
                          const char* const    reason)
{
  g_autofree char* base = g_path_get_basename(path);
  g_autofree char* text = g_strdup_printf("%s: %s", base, reason);

  add_row(self->faults, text);
  gtk_widget_set_visible(self->fault_side, TRUE);
  gtk_widget_set_visible(self->box, TRUE);
}

/// A list under its heading
static GtkWidget*
new_side(const char* const title, GtkListBox** const list)
{
  GtkWidget* const side    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 6);
  GtkWidget* const heading = gtk_label_new(title);
  GtkWidget* const scroll  = gtk_scrolled_window_new();
  GtkWidget* const view    = gtk_list_box_new();

  *list = GTK_LIST_BOX(view);
  gtk_list_box_set_selection_mode(*list, GTK_SELECTION_NONE);
  gtk_label_set_xalign(GTK_LABEL(heading), 0.0F);
  gtk_widget_add_css_class(heading, "heading");
  gtk_accessible_update_property(GTK_ACCESSIBLE(view), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scroll), view);
  gtk_scrolled_window_set_min_content_height(GTK_SCROLLED_WINDOW(scroll), LIST_HEIGHT);
  gtk_scrolled_window_set_policy(GTK_SCROLLED_WINDOW(scroll), GTK_POLICY_NEVER,
                                 GTK_POLICY_AUTOMATIC);
  gtk_widget_set_hexpand(side, TRUE);
  gtk_box_append(GTK_BOX(side), heading);
  gtk_box_append(GTK_BOX(side), scroll);
  return side;
}

QfGradesClass*
qf_grades_class_new(const QfResults* const results)
{
  QfGradesClass* const self = g_new0(QfGradesClass, 1);

  self->results = results;
  self->box     = g_object_ref_sink(gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 24));
  gtk_widget_set_margin_start(self->box, 12);
  gtk_widget_set_margin_end(self->box, 12);
  gtk_widget_set_margin_top(self->box, 8);
  gtk_box_set_homogeneous(GTK_BOX(self->box), TRUE);
  gtk_box_append(GTK_BOX(self->box), new_side("What the class missed most", &self->missed));
  self->fault_side = new_side("Not graded", &self->faults);
  gtk_box_append(GTK_BOX(self->box), self->fault_side);
  gtk_widget_set_visible(self->fault_side, FALSE);
  gtk_widget_set_visible(self->box, FALSE);
  return self;
}

void
qf_grades_class_free(QfGradesClass* const self)
{
  g_object_unref(self->box);
  g_free(self);
}

GtkWidget*
qf_grades_class_get_widget(QfGradesClass* const self)
{
  return self->box;
}
