// SPDX-License-Identifier: MIT
#include "qf-result-pane.h"

#include "qf-app.h"

struct _QfResultPane {
  GtkWidget   parent_instance;
  GtkWidget*  box; ///< Template child, as all below
  GtkLabel*   total;
  GtkLabel*   remarks;
  GtkGrid*    layers;
  GtkListBox* list;
};

G_DEFINE_FINAL_TYPE(QfResultPane, qf_result_pane, GTK_TYPE_WIDGET)

enum { CHOSEN, N_SIGNALS };
static guint signals[N_SIGNALS];

static GtkWidget*
make_label(const char* const text, const char* const css_class)
{
  GtkWidget* const label = gtk_label_new(text);

  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_label_set_max_width_chars(GTK_LABEL(label), 30);
  gtk_widget_add_css_class(label, css_class);
  return label;
}

static void
show_layers(QfResultPane* const self, const QfGrade* const grade)
{
  int row = 0;

  for (GtkWidget* child = NULL; (child = gtk_widget_get_first_child(GTK_WIDGET(self->layers)));) {
    gtk_grid_remove(self->layers, child);
  }
  for (QfLayer layer = 0; grade && layer < QF_LAYER_N_KINDS; ++layer) {
    if (!qf_grade_has_layer(grade, layer)) {
      continue;
    }

    const double     points   = qf_grade_get_layer_points(grade, layer);
    const double     possible = qf_grade_get_layer_possible(grade, layer);
    g_autofree char* figures  = g_strdup_printf("%.4g of %.4g", points, possible);
    GtkWidget* const bar      = gtk_level_bar_new_for_interval(0.0, MAX(possible, 0.001));

    gtk_level_bar_set_value(GTK_LEVEL_BAR(bar), CLAMP(points, 0.0, possible));
    gtk_widget_set_hexpand(bar, TRUE);
    gtk_widget_set_valign(bar, GTK_ALIGN_CENTER);
    gtk_accessible_update_property(GTK_ACCESSIBLE(bar), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                   qf_layer_name(layer), -1);
    gtk_grid_attach(self->layers, make_label(qf_layer_name(layer), "body"), 0, row, 1, 1);
    gtk_grid_attach(self->layers, bar, 1, row, 1, 1);
    gtk_grid_attach(self->layers, make_label(figures, "numeric"), 2, row, 1, 1);
    ++row;
  }
}

static const char*
verdict_word(const QfVerdictKind kind)
{
  static const char* const words[] = {
    [QF_VERDICT_RIGHT] = "Right",    [QF_VERDICT_PARTLY] = "Partly right",
    [QF_VERDICT_WRONG] = "Wrong",    [QF_VERDICT_MISSING] = "Missing",
    [QF_VERDICT_EXTRA] = "Too much",
  };
  return words[kind];
}

static void
add_row(QfResultPane* const self, const QfVerdict* const verdict, const size_t index)
{
  GtkWidget* const row   = gtk_list_box_row_new();
  GtkWidget* const lines = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
  g_autofree char* head =
    g_strdup_printf("%s \u2022 %s \u2022 %.4g of %.4g%s", verdict_word(verdict->kind),
                    qf_layer_name(verdict->layer), verdict->points, verdict->possible,
                    verdict->is_doubtful ? " \u2022 you doubted it" : "");

  gtk_box_append(GTK_BOX(lines), make_label(head, "caption"));
  gtk_box_append(GTK_BOX(lines), make_label(verdict->reason, "body"));
  gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(row), lines);
  g_object_set_data(G_OBJECT(row), "verdict", GSIZE_TO_POINTER(index));
  g_autofree char* spoken = g_strdup_printf("%s: %s", head, verdict->reason);
  gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  gtk_list_box_append(self->list, row);
}

static void
show_remarks(QfResultPane* const self, const QfGrade* const grade)
{
  GString* const text = g_string_new(NULL);

  for (size_t i = 0; grade && i < qf_grade_n_remarks(grade); ++i) {
    g_string_append_printf(text, "%s%s", text->len ? "\n" : "", qf_grade_get_remark(grade, i));
  }
  gtk_label_set_text(self->remarks, text->str);
  gtk_widget_set_visible(GTK_WIDGET(self->remarks), text->len > 0);
  g_string_free(text, TRUE);
}

void
qf_result_pane_show(QfResultPane* const self, const QfGrade* const grade)
{
  for (GtkWidget* row = NULL; (row = gtk_widget_get_first_child(GTK_WIDGET(self->list)));) {
    gtk_list_box_remove(self->list, row);
  }
  show_layers(self, grade);
  show_remarks(self, grade);
  if (!grade) {
    gtk_label_set_text(self->total, "Not graded yet");
    return;
  }

  g_autofree char* total = g_strdup_printf(
    "%.4g of %.4g (%.0f %%)%s%s", qf_grade_get_points(grade), qf_grade_get_possible(grade),
    qf_grade_get_percent(grade), qf_grade_get_text(grade)[0] ? ": " : "", qf_grade_get_text(grade));
  gtk_label_set_text(self->total, total);
  for (size_t i = 0; i < qf_grade_n_verdicts(grade); ++i) {
    const QfVerdict* const verdict = qf_grade_get_verdict(grade, i);
    if (verdict->reason[0]) {
      add_row(self, verdict, i);
    }
  }
}

/// Scroll a row into sight without taking the keyboard
static void
show_row(QfResultPane* const self, GtkWidget* const row)
{
  GtkWidget* const scroller = gtk_widget_get_ancestor(row, GTK_TYPE_SCROLLED_WINDOW);
  graphene_rect_t  bounds;

  if (gtk_widget_compute_bounds(row, GTK_WIDGET(self->list), &bounds)) {
    gtk_adjustment_clamp_page(gtk_scrolled_window_get_vadjustment(GTK_SCROLLED_WINDOW(scroller)),
                              bounds.origin.y, bounds.origin.y + bounds.size.height);
  }
}

void
qf_result_pane_choose(QfResultPane* const self, const size_t verdict)
{
  for (GtkWidget* row = gtk_widget_get_first_child(GTK_WIDGET(self->list)); row;
       row            = gtk_widget_get_next_sibling(row)) {
    if (GPOINTER_TO_SIZE(g_object_get_data(G_OBJECT(row), "verdict")) == verdict) {
      gtk_list_box_select_row(self->list, GTK_LIST_BOX_ROW(row));
      show_row(self, row);
      return;
    }
  }
}

static void
activated_cb(QfResultPane* const self, GtkListBoxRow* const row)
{
  g_signal_emit(self, signals[CHOSEN], 0,
                (guint)GPOINTER_TO_SIZE(g_object_get_data(G_OBJECT(row), "verdict")));
}

static void
qf_result_pane_dispose(GObject* const object)
{
  g_clear_pointer(&QF_RESULT_PANE(object)->box, gtk_widget_unparent);
  G_OBJECT_CLASS(qf_result_pane_parent_class)->dispose(object);
}

static void
qf_result_pane_class_init(QfResultPaneClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_result_pane_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-result-pane.ui");
  gtk_widget_class_bind_template_child(widget_class, QfResultPane, box);
  gtk_widget_class_bind_template_child(widget_class, QfResultPane, total);
  gtk_widget_class_bind_template_child(widget_class, QfResultPane, remarks);
  gtk_widget_class_bind_template_child(widget_class, QfResultPane, layers);
  gtk_widget_class_bind_template_child(widget_class, QfResultPane, list);
  gtk_widget_class_bind_template_callback(widget_class, activated_cb);
  signals[CHOSEN] = g_signal_new("chosen", G_TYPE_FROM_CLASS(klass), G_SIGNAL_RUN_LAST, 0, NULL,
                                 NULL, NULL, G_TYPE_NONE, 1, G_TYPE_UINT);
}

static void
qf_result_pane_init(QfResultPane* const self)
{
  gtk_widget_init_template(GTK_WIDGET(self));
}
