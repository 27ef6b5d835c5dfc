// SPDX-License-Identifier: MIT
#ifndef QF_GRADES_TABLE_H
#define QF_GRADES_TABLE_H

#include "quintfall/results.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// A table with a row an answer, to be sorted by any column
typedef struct QfGradesTable QfGradesTable;

/// A row was activated
typedef void (*QfGradesOpen)(const QfResult* result, gpointer data);

/// (transfer full) `results` is lent, and must outlive the table
QfGradesTable*
qf_grades_table_new(const QfResults* results, QfGradesOpen open, gpointer data);

void
qf_grades_table_free(QfGradesTable* self);

/// (transfer none)
GtkWidget*
qf_grades_table_get_widget(QfGradesTable* self);

/// The last of the results is new
void
qf_grades_table_add_last(QfGradesTable* self);

/// Show the columns of the layers that are asked, each with what the class has of it
void
qf_grades_table_update(QfGradesTable* self);

G_END_DECLS

#endif // QF_GRADES_TABLE_H
