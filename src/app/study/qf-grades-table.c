// SPDX-License-Identifier: MIT
#include "qf-grades-table.h"

#include <stdlib.h>

/// Columns before and after those of the layers
enum {
  COLUMN_STUDENT,
  COLUMN_FILE,
  COLUMN_ATTEMPT,
  COLUMN_HEARINGS,
  COLUMN_POINTS,
  COLUMN_PERCENT,
  COLUMN_GRADE,
  COLUMN_LAYERS,
  COLUMN_WEAKEST = COLUMN_LAYERS + QF_LAYER_N_KINDS,
  N_COLUMNS,
};

/// Columns whose texts are longer than their titles
static const int fixed_widths[N_COLUMNS] = {
  [COLUMN_STUDENT] = 190, [COLUMN_FILE] = 110,    [COLUMN_POINTS] = 105,
  [COLUMN_GRADE] = 130,   [COLUMN_WEAKEST] = 230,
};

struct QfGradesTable {
  GtkWidget*           scroll; ///< Owned reference
  GtkColumnView*       view;
  GtkColumnViewColumn* columns[N_COLUMNS];
  GtkStringList*       rows; ///< Owned: index of each result as text, for the table's model
  const QfResults*     results;
  QfGradesOpen         open;
  gpointer             data;
};

/// A sorter's place: the table and the column
typedef struct {
  const QfGradesTable* table;
  int                  column;
} Place;

static const QfResult*
result_of(const QfGradesTable* const self, GtkStringObject* const row)
{
  const guint64 index = g_ascii_strtoull(gtk_string_object_get_string(row), NULL, 10);
  return index < self->results->n_items ? &self->results->items[index] : NULL;
}

/// Share of a layer, or less than nothing where it is not asked
static double
share_of(const QfGrade* const grade, const QfLayer layer)
{
  const double possible = qf_grade_get_layer_possible(grade, layer);
  return qf_grade_has_layer(grade, layer) && possible > 0.0
           ? qf_grade_get_layer_points(grade, layer) / possible
           : -1.0;
}

static char*
weakest_text(const QfResult* const result)
{
  const QfTally* const weakest = qf_result_weakest(result);
  char                 words[QF_CONCEPT_NAME_SIZE + 32];

  if (!weakest) {
    return g_strdup("\u2013");
  }
  qf_tally_describe(weakest, words, sizeof(words));
  return g_strdup(words);
}

/// What a cell says (transfer full)
static char*
cell_text(const QfGradesTable* const self, const QfResult* const result, const int column)
{
  switch (column) {
    case COLUMN_STUDENT:
      return g_strdup(qf_result_name(result));
    case COLUMN_FILE:
      return g_path_get_basename(result->path);
    case COLUMN_ATTEMPT:
      return g_strdup_printf("%zu", result->attempt);
    case COLUMN_HEARINGS:
      return g_strdup_printf("%zu", qf_answer_n_heard(result->answer));
    case COLUMN_POINTS:
      return g_strdup_printf("%.4g of %.4g", qf_grade_get_points(result->grade),
                             qf_grade_get_possible(result->grade));
    case COLUMN_PERCENT:
      return g_strdup_printf("%.0f %%", qf_grade_get_percent(result->grade));
    case COLUMN_GRADE:
      return g_strdup_printf("%s%s", qf_grade_get_text(result->grade),
                             qf_result_has_passed(self->results, result) ? "" : " (not passed)");
    case COLUMN_WEAKEST:
      return weakest_text(result);
    default:
      break;
  }

  const QfLayer layer = (QfLayer)(column - COLUMN_LAYERS);
  return qf_grade_has_layer(result->grade, layer)
           ? g_strdup_printf("%.4g of %.4g", qf_grade_get_layer_points(result->grade, layer),
                             qf_grade_get_layer_possible(result->grade, layer))
           : g_strdup("\u2013");
}

static void
setup_cb(GtkSignalListItemFactory* const factory, GtkListItem* const item, gpointer data)
{
  GtkWidget* const label = gtk_label_new(NULL);

  (void)factory;
  (void)data;
  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
  gtk_list_item_set_child(item, label);
}

static void
bind_cb(GtkSignalListItemFactory* const factory, GtkListItem* const item, QfGradesTable* const self)
{
  const int             column = GPOINTER_TO_INT(g_object_get_data(G_OBJECT(factory), "column"));
  const QfResult* const result = result_of(self, gtk_list_item_get_item(item));

  if (result) {
    g_autofree char* text  = cell_text(self, result, column);
    GtkWidget* const label = gtk_list_item_get_child(item);
    gtk_label_set_text(GTK_LABEL(label), text);
    // What is cut off can be read under the pointer.
    gtk_widget_set_tooltip_text(
      label,
      column == COLUMN_STUDENT || column == COLUMN_FILE || column == COLUMN_WEAKEST ? text : NULL);
  }
}

// ---- order

static int
compare_numbers(const double a, const double b)
{
  return a < b ? -1 : a > b;
}

/// What a column of numbers is sorted by
static double
number_of(const QfGradesTable* const self, const QfResult* const result, const int column)
{
  const QfTally* const weakest = qf_result_weakest(result);

  switch (column) {
    case COLUMN_ATTEMPT:
      return (double)result->attempt;
    case COLUMN_HEARINGS:
      return (double)qf_answer_n_heard(result->answer);
    case COLUMN_GRADE:
      return qf_result_has_passed(self->results, result) ? 1.0 : 0.0;
    case COLUMN_POINTS:
      return qf_grade_get_points(result->grade);
    case COLUMN_PERCENT:
      return qf_grade_get_percent(result->grade);
    case COLUMN_WEAKEST:
      return weakest ? weakest->asked - weakest->right : 0.0;
    default:
      return share_of(result->grade, (QfLayer)(column - COLUMN_LAYERS));
  }
}

static int
compare_cb(GtkStringObject* const a, GtkStringObject* const b, const Place* const place)
{
  const QfResult* const left  = result_of(place->table, a);
  const QfResult* const right = result_of(place->table, b);

  if (!left || !right) {
    return 0;
  }
  if (place->column == COLUMN_STUDENT) {
    return g_utf8_collate(qf_result_name(left), qf_result_name(right));
  }
  if (place->column == COLUMN_FILE) {
    return g_utf8_collate(left->path, right->path);
  }
  return compare_numbers(number_of(place->table, left, place->column),
                         number_of(place->table, right, place->column));
}

static void
add_column(QfGradesTable* const self, const char* const title, const int column)
{
  GtkListItemFactory* const  factory = gtk_signal_list_item_factory_new();
  GtkColumnViewColumn* const view    = gtk_column_view_column_new(title, factory);
  Place* const               place   = g_new(Place, 1);

  *place = (Place){self, column};
  g_object_set_data(G_OBJECT(factory), "column", GINT_TO_POINTER(column));
  g_signal_connect(factory, "setup", G_CALLBACK(setup_cb), NULL);
  g_signal_connect(factory, "bind", G_CALLBACK(bind_cb), self);
  gtk_column_view_column_set_resizable(view, TRUE);
  if (fixed_widths[column]) {
    gtk_column_view_column_set_fixed_width(view, fixed_widths[column]);
  }
  GtkSorter* const sorter =
    GTK_SORTER(gtk_custom_sorter_new((GCompareDataFunc)compare_cb, place, g_free));
  gtk_column_view_column_set_sorter(view, sorter);
  g_object_unref(sorter);
  gtk_column_view_append_column(self->view, view);
  self->columns[column] = view;
  g_object_unref(view);
}

/// "Bass", or "Bass 82 %" where the class has something to show (transfer full)
static char*
layer_title(const QfGradesTable* const self, const QfLayer layer, gboolean* const is_asked)
{
  double           points   = 0.0;
  double           possible = 0.0;
  g_autofree char* name     = g_strdup(qf_layer_name(layer));

  name[0]   = g_ascii_toupper(name[0]);
  *is_asked = self->results->n_items == 0;
  for (size_t i = 0; i < self->results->n_items; ++i) {
    const QfGrade* const grade = self->results->items[i].grade;
    if (qf_grade_has_layer(grade, layer)) {
      points += qf_grade_get_layer_points(grade, layer);
      possible += qf_grade_get_layer_possible(grade, layer);
      *is_asked = TRUE;
    }
  }
  return possible > 0.0 ? g_strdup_printf("%s %.0f %%", name, 100.0 * points / possible)
                        : g_strdup(name);
}

void
qf_grades_table_update(QfGradesTable* const self)
{
  for (int layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    gboolean         is_asked = FALSE;
    g_autofree char* title    = layer_title(self, (QfLayer)layer, &is_asked);
    gtk_column_view_column_set_title(self->columns[COLUMN_LAYERS + layer], title);
    gtk_column_view_column_set_visible(self->columns[COLUMN_LAYERS + layer], is_asked);
  }
}

void
qf_grades_table_add_last(QfGradesTable* const self)
{
  g_autofree char* index = g_strdup_printf("%zu", self->results->n_items - 1);

  gtk_string_list_append(self->rows, index);
}

static void
activated_cb(QfGradesTable* const self, const guint position)
{
  GListModel* const model        = G_LIST_MODEL(gtk_column_view_get_model(self->view));
  g_autoptr(GtkStringObject) row = g_list_model_get_item(model, position);
  const QfResult* const result   = row ? result_of(self, row) : NULL;

  if (result) {
    self->open(result, self->data);
  }
}

static void
add_columns(QfGradesTable* const self)
{
  add_column(self, "Student", COLUMN_STUDENT);
  add_column(self, "File", COLUMN_FILE);
  add_column(self, "Attempt", COLUMN_ATTEMPT);
  add_column(self, "Hearings", COLUMN_HEARINGS);
  add_column(self, "Points", COLUMN_POINTS);
  add_column(self, "Percent", COLUMN_PERCENT);
  add_column(self, "Grade", COLUMN_GRADE);
  for (int layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    add_column(self, qf_layer_name((QfLayer)layer), COLUMN_LAYERS + layer);
  }
  add_column(self, "Missed most", COLUMN_WEAKEST);
}

QfGradesTable*
qf_grades_table_new(const QfResults* const results, const QfGradesOpen open, const gpointer data)
{
  QfGradesTable* const self = g_new0(QfGradesTable, 1);

  self->results = results;
  self->open    = open;
  self->data    = data;
  self->scroll  = g_object_ref_sink(gtk_scrolled_window_new());
  self->rows    = gtk_string_list_new(NULL);
  self->view    = GTK_COLUMN_VIEW(gtk_column_view_new(NULL));
  add_columns(self);

  GtkSortListModel* const sorted = gtk_sort_list_model_new(
    g_object_ref(G_LIST_MODEL(self->rows)), g_object_ref(gtk_column_view_get_sorter(self->view)));
  GtkSingleSelection* const selection = gtk_single_selection_new(G_LIST_MODEL(sorted));
  gtk_column_view_set_model(self->view, GTK_SELECTION_MODEL(selection));
  g_object_unref(selection);
  gtk_column_view_sort_by_column(self->view, self->columns[COLUMN_STUDENT], GTK_SORT_ASCENDING);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->view), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Graded answers", -1);
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(self->scroll), GTK_WIDGET(self->view));
  gtk_widget_set_vexpand(self->scroll, TRUE);
  g_signal_connect_swapped(self->view, "activate", G_CALLBACK(activated_cb), self);
  qf_grades_table_update(self);
  return self;
}

void
qf_grades_table_free(QfGradesTable* const self)
{
  g_object_unref(self->scroll);
  g_object_unref(self->rows);
  g_free(self);
}

GtkWidget*
qf_grades_table_get_widget(QfGradesTable* const self)
{
  return self->scroll;
}
