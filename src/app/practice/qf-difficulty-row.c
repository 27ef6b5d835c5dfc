// SPDX-License-Identifier: MIT
#include "qf-difficulty-row.h"

#include <math.h>

enum {
  N_TOLD = 3, ///< Parts that are told without opening the row
};

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

/// The part that counts most of those that count less than a bound, or none
static int
largest_below(const QfDifficulty* const difficulty, const double bound)
{
  int largest = -1;

  for (int part = 0; part < QF_DIFFICULTY_N_PARTS; ++part) {
    const double points = difficulty->points[part];
    if (points < bound && points > (largest < 0 ? 0.0 : difficulty->points[largest])) {
      largest = part;
    }
  }
  return largest;
}

/// "Above all 12 chords, 9 different functions, 8 chromatic notes" (transfer full)
static char*
largest_parts(const QfDifficulty* const difficulty)
{
  GString* const text  = g_string_new("Above all");
  double         bound = INFINITY;

  for (int i = 0; i < N_TOLD; ++i) {
    const int part = largest_below(difficulty, bound);
    if (part >= 0) {
      bound = difficulty->points[part];
      g_string_append_printf(text, "%s %.3g %s", i ? "," : "", difficulty->counts[part],
                             qf_difficulty_part_name((QfDifficultyPart)part));
    }
  }
  return g_string_free(text, FALSE);
}

GtkWidget*
qf_difficulty_row_new(const QfDifficulty* const difficulty)
{
  GtkWidget* const row     = adw_expander_row_new();
  g_autofree char* largest = largest_parts(difficulty);
  g_autofree char* title   = g_strdup_printf("Difficulty %.1f", difficulty->total);

  adw_preferences_row_set_title(ADW_PREFERENCES_ROW(row), title);
  adw_expander_row_set_subtitle(ADW_EXPANDER_ROW(row), largest);
  for (int part = 0; part < QF_DIFFICULTY_N_PARTS; ++part) {
    if (difficulty->points[part] > 0.0) {
      adw_expander_row_add_row(ADW_EXPANDER_ROW(row), new_part(difficulty, (QfDifficultyPart)part));
    }
  }
  return row;
}
