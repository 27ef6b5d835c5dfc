// SPDX-License-Identifier: MIT
#include "qf-difficulty-row.h"

static GtkWidget*
new_part(const QfDifficulty* const difficulty, const QfDifficultyPart part)
{
  GtkWidget* const row = adw_action_row_new();
  g_autofree char* title =
    g_strdup_printf("%.3g %s", difficulty->counts[part], qf_difficulty_part_name(part));
  g_autofree char* points = g_strdup_printf("%.1f", difficulty->points[part]);
  GtkWidget* const label  = gtk_label_new(points);

  adw_preferences_row_set_title(ADW_PREFERENCES_ROW(row), title);
  gtk_widget_add_css_class(label, "numeric");
  adw_action_row_add_suffix(ADW_ACTION_ROW(row), label);
  return row;
}

GtkWidget*
qf_difficulty_row_new(const QfDifficulty* const difficulty)
{
  GtkWidget* const row   = adw_expander_row_new();
  g_autofree char* title = g_strdup_printf("Difficulty %.1f", difficulty->total);

  adw_preferences_row_set_title(ADW_PREFERENCES_ROW(row), title);
  adw_expander_row_set_subtitle(ADW_EXPANDER_ROW(row), "The sum of these points");
  for (int part = 0; part < QF_DIFFICULTY_N_PARTS; ++part) {
    if (difficulty->points[part] > 0.0) {
      adw_expander_row_add_row(ADW_EXPANDER_ROW(row), new_part(difficulty, (QfDifficultyPart)part));
    }
  }
  return row;
}
