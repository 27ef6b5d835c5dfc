// SPDX-License-Identifier: MIT
#include "qf-make-dialog.h"

#include "common/qf-message.h"
#include "common/qf-rows.h"

#include "quintfall/workbook.h"

#include <string.h>

enum {
  PROGRESS_INTERVAL_MS = 100,
  N_INVERSIONS         = 3,
  REQUIRED_OF_LEVEL    = 0, ///< Rows of what must appear; those of the uses follow
  REQUIRED_NONE        = 1,
  REQUIRED_USES        = 2,
  N_FOREIGN            = 3,
  N_PARTS              = 4,
};

/// The dialog's widgets, and the set that is being written; freed with its window
typedef struct {
  GtkWindow*       window;
  AdwToastOverlay* toasts;
  AdwComboRow*     level;
  GtkSpinButton*   seed;
  GtkSwitch*       uses[QF_USE_N_BITS];
  GtkEditable*     degrees;
  GtkSwitch*       inversions[N_INVERSIONS];
  GtkSwitch*       foreign[N_FOREIGN];
  GtkSwitch*       modulates;
  GtkSpinButton*   n_foreign;
  AdwComboRow*     required;
  GtkSpinButton*   chords;
  GtkSpinButton*   bars;
  GtkEditable*     metre;
  GtkEditable*     keys;
  AdwComboRow*     rhythm;
  AdwComboRow*     givens;
  AdwComboRow*     weights;
  GtkSpinButton*   tempo;
  GtkSpinButton*   count;
  GtkSwitch*       parts[N_PARTS];
  GtkWidget*       progress;
  GtkProgressBar*  bar;
  GtkWidget*       write;
  QfMakeOpen       open;
  gpointer         data;

  QfWorkbookOptions options; ///< Of the set that is being written
  char*             folder;
  GThread*          thread;
  guint             tick;
  gint              is_cancelled; ///< Atomic, as the next two
  gint              permille;
  gint              is_over;
  QfStatus          status;
  size_t            n_done;
  QfError           error;
} Dialog;

static const char* const inversion_names[N_INVERSIONS] = {"First inversion", "Second inversion",
                                                          "Third inversion"};
static const char* const foreign_names[N_FOREIGN]      = {"Passing notes", "Neighbour notes",
                                                          "Suspensions"};
static const char* const part_names[N_PARTS]           = {"Worksheets", "Answer keys", "Recordings",
                                                          "Tasks to hand out"};

static void
end_thread(Dialog* const self)
{
  g_clear_handle_id(&self->tick, g_source_remove);
  if (self->thread) {
    g_thread_join(g_steal_pointer(&self->thread));
  }
}

static void
dialog_free(Dialog* const self)
{
  g_atomic_int_set(&self->is_cancelled, TRUE);
  end_thread(self);
  g_free(self->folder);
  g_free(self);
}

// ---- options

static void
show_options(Dialog* const self, const QfExerciseOptions* const options)
{
  char  metre[32];
  char  degrees[8] = "";
  gsize n          = 0;

  for (int i = 0; i < QF_USE_N_BITS; ++i) {
    gtk_switch_set_active(self->uses[i], options->uses & 1U << i);
  }
  for (int d = 1; d <= 7; ++d) {
    if (options->applied_degrees & 1U << d) {
      degrees[n++] = (char)('0' + d);
    }
  }
  degrees[n] = '\0';
  gtk_editable_set_text(self->degrees, degrees);
  for (int i = 0; i < N_INVERSIONS; ++i) {
    gtk_switch_set_active(self->inversions[i], options->inversions & 1U << i);
  }
  for (int i = 0; i < N_FOREIGN; ++i) {
    gtk_switch_set_active(self->foreign[i], options->foreign & 1U << i);
  }
  gtk_switch_set_active(self->modulates, options->modulates);
  gtk_spin_button_set_value(self->n_foreign, (double)options->n_foreign);
  adw_combo_row_set_selected(self->required, REQUIRED_OF_LEVEL);
  gtk_spin_button_set_value(self->chords, (double)options->n_chords);
  gtk_spin_button_set_value(self->bars, (double)options->n_bars);
  qf_metre_write(options->metre, metre, sizeof(metre));
  gtk_editable_set_text(self->metre, metre);
  adw_combo_row_set_selected(self->rhythm, options->rhythm);
  adw_combo_row_set_selected(self->givens, options->givens);
  adw_combo_row_set_selected(self->weights, options->weights);
  gtk_spin_button_set_value(self->tempo, options->tempo);
}

static int
chosen_level(const Dialog* const self)
{
  return (int)adw_combo_row_get_selected(self->level) + 1;
}

static void
level_cb(Dialog* const self)
{
  const QfExerciseOptions options =
    qf_exercise_options(chosen_level(self), (uint64_t)gtk_spin_button_get_value(self->seed));

  adw_action_row_set_subtitle(ADW_ACTION_ROW(self->level),
                              qf_exercise_level_text(chosen_level(self)));
  show_options(self, &options);
}

/// Read "C major, A minor"; an empty text leaves the level's keys
static QfStatus
read_keys(const char* const text, QfExerciseOptions* const options, QfError* const error)
{
  g_auto(GStrv) names = g_strsplit(text, ",", -1);
  size_t n            = 0;

  for (int i = 0; names[i] && n < QF_EXERCISE_MAX_KEYS; ++i) {
    g_strstrip(names[i]);
    if (names[i][0]) {
      const QfStatus st = qf_key_parse(names[i], &options->keys[n], error);
      if (st) {
        return st;
      }
      ++n;
    }
  }
  options->n_keys = n ? n : options->n_keys;
  return QF_OK;
}

/// What is new at the level as far as it is allowed, nothing, or the one that was chosen
static unsigned
required_of(const Dialog* const self, const QfExerciseOptions* const options)
{
  const guint row = adw_combo_row_get_selected(self->required);

  return row == REQUIRED_OF_LEVEL ? options->required & options->uses
         : row == REQUIRED_NONE   ? 0U
                                  : 1U << (row - REQUIRED_USES);
}

static QfStatus
read_options(const Dialog* const self, QfExerciseOptions* const options, QfError* const error)
{
  const char* const degrees = gtk_editable_get_text(self->degrees);

  *options =
    qf_exercise_options(chosen_level(self), (uint64_t)gtk_spin_button_get_value(self->seed));
  options->uses            = 0;
  options->applied_degrees = 0;
  options->inversions      = 0;
  options->foreign         = 0;
  for (int i = 0; i < QF_USE_N_BITS; ++i) {
    options->uses |= gtk_switch_get_active(self->uses[i]) ? 1U << i : 0U;
  }
  for (const char* c = degrees; *c; ++c) {
    if (*c >= '1' && *c <= '7') {
      options->applied_degrees |= 1U << (*c - '0');
    } else if (*c != ' ' && *c != ',') {
      return qf_error_set(error, QF_ERR_BAD_TEXT, "write the degrees as figures, such as 2 5 6");
    }
  }
  for (int i = 0; i < N_INVERSIONS; ++i) {
    options->inversions |= gtk_switch_get_active(self->inversions[i]) ? 1U << i : 0U;
  }
  for (int i = 0; i < N_FOREIGN; ++i) {
    options->foreign |= gtk_switch_get_active(self->foreign[i]) ? 1U << i : 0U;
  }
  options->n_foreign = (size_t)gtk_spin_button_get_value(self->n_foreign);
  options->required  = required_of(self, options);
  options->modulates = gtk_switch_get_active(self->modulates);
  options->n_chords  = (size_t)gtk_spin_button_get_value(self->chords);
  options->n_bars    = (size_t)gtk_spin_button_get_value(self->bars);
  options->rhythm    = (QfHarmonicRhythm)adw_combo_row_get_selected(self->rhythm);
  options->givens    = (QfExerciseGivens)adw_combo_row_get_selected(self->givens);
  options->weights   = (QfWeights)adw_combo_row_get_selected(self->weights);
  options->tempo     = gtk_spin_button_get_value(self->tempo);

  QfStatus st = qf_metre_parse(gtk_editable_get_text(self->metre), &options->metre, error);
  st          = st ? st : read_keys(gtk_editable_get_text(self->keys), options, error);
  return st ? st : qf_exercise_options_check(options, error);
}

// ---- one exercise

static void
open_cb(Dialog* const self)
{
  QfExerciseOptions options  = {0};
  QfExercise        exercise = {0};
  QfError           error    = {0};

  if (read_options(self, &options, &error) || qf_exercise_make(&options, &exercise, &error)) {
    qf_message_toast(self->toasts, error.text);
    return;
  }

  QfLesson* const lesson = exercise.lesson;
  exercise.lesson        = NULL;
  qf_exercise_clear(&exercise);
  // The next press makes another one.
  gtk_spin_button_set_value(self->seed, gtk_spin_button_get_value(self->seed) + 1.0);
  self->open(lesson, self->data);
}

// ---- a set

static bool
progress_func(const QfWorkbookProgress progress, void* const data)
{
  Dialog* const self = data;

  g_atomic_int_set(&self->permille, (gint)(1000 * progress.done / MAX(progress.count, 1)));
  return !g_atomic_int_get(&self->is_cancelled);
}

static gpointer
thread_func(const gpointer data)
{
  Dialog* const self = data;

  self->status = qf_workbook_write(self->folder, &self->options, &self->n_done, &self->error);
  g_atomic_int_set(&self->is_over, TRUE);
  return NULL;
}

static gboolean
tick_cb(gpointer data)
{
  Dialog* const self = data;

  gtk_progress_bar_set_fraction(self->bar, g_atomic_int_get(&self->permille) / 1000.0);
  if (!g_atomic_int_get(&self->is_over)) {
    return G_SOURCE_CONTINUE;
  }

  self->tick = 0;
  end_thread(self);
  gtk_widget_set_visible(self->progress, FALSE);
  gtk_widget_set_sensitive(self->write, TRUE);
  if (self->status && self->status != QF_ERR_CANCELLED) {
    qf_message_toast(self->toasts, self->error.text);
  } else {
    g_autofree char* text = g_strdup_printf(self->status ? "Cancelled; %zu exercises are complete"
                                                         : "%zu exercises are written",
                                            self->n_done);
    qf_message_toast(self->toasts, text);
  }
  return G_SOURCE_REMOVE;
}

static void
folder_cb(GtkNativeDialog* const dialog, const int response, Dialog* const self)
{
  if (response == GTK_RESPONSE_ACCEPT && !self->thread) {
    g_autoptr(GFile) file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));

    g_free(self->folder);
    self->folder       = g_file_get_path(file);
    self->is_cancelled = self->permille = self->is_over = 0;
    self->n_done                                        = 0;
    self->error                                         = (QfError){0};
    gtk_widget_set_visible(self->progress, TRUE);
    gtk_widget_set_sensitive(self->write, FALSE);
    self->thread = g_thread_new("workbook", thread_func, self);
    self->tick   = g_timeout_add(PROGRESS_INTERVAL_MS, tick_cb, self);
  }
  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static void
write_cb(Dialog* const self)
{
  QfExerciseOptions exercises = {0};
  QfError           error     = {0};

  if (read_options(self, &exercises, &error)) {
    qf_message_toast(self->toasts, error.text);
    return;
  }

  self->options          = qf_workbook_options(exercises);
  self->options.count    = (size_t)gtk_spin_button_get_value(self->count);
  self->options.parts    = 0;
  self->options.progress = progress_func;
  self->options.data     = self;
  for (int i = 0; i < N_PARTS; ++i) {
    self->options.parts |= gtk_switch_get_active(self->parts[i]) ? 1U << i : 0U;
  }

  GtkFileChooserNative* const dialog =
    gtk_file_chooser_native_new("Folder for the Exercises", self->window,
                                GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER, "_Write Here", "_Cancel");
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  g_signal_connect(dialog, "response", G_CALLBACK(folder_cb), self);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

static void
cancel_cb(Dialog* const self)
{
  g_atomic_int_set(&self->is_cancelled, TRUE);
}

// ---- widgets

static void
add_choice_rows(Dialog* const self, AdwPreferencesPage* const page)
{
  const char*                levels[QF_EXERCISE_N_LEVELS + 1] = {NULL};
  const char*                rhythms[QF_RHYTHM_N_KINDS + 1]   = {NULL};
  const char*                givens[QF_GIVE_N_KINDS + 1]      = {NULL};
  const char*                weights[QF_WEIGHTS_N_KINDS + 1]  = {NULL};
  static const char* const   numbers[] = {"Level 1", "Level 2", "Level 3", "Level 4",
                                          "Level 5", "Level 6", "Level 7", "Level 8"};
  AdwPreferencesGroup* const what =
    qf_rows_add_group(page, "Exercise", "The same seed and settings give the same exercises");
  AdwPreferencesGroup* const uses = qf_rows_add_group(page, "Chords that may appear", NULL);
  AdwPreferencesGroup* const more = qf_rows_add_group(page, "Shape", NULL);

  g_autoptr(GStrvBuilder) required = g_strv_builder_new();
  g_strv_builder_add(required, "What is new at the level");
  g_strv_builder_add(required, "Nothing in particular");
  G_STATIC_ASSERT(G_N_ELEMENTS(numbers) == QF_EXERCISE_N_LEVELS);
  for (int i = 0; i < QF_EXERCISE_N_LEVELS; ++i) {
    levels[i] = numbers[i];
  }
  for (int i = 0; i < QF_RHYTHM_N_KINDS; ++i) {
    rhythms[i] = qf_harmonic_rhythm_name((QfHarmonicRhythm)i);
  }
  for (int i = 0; i < QF_GIVE_N_KINDS; ++i) {
    givens[i] = qf_exercise_givens_name((QfExerciseGivens)i);
  }
  for (int i = 0; i < QF_WEIGHTS_N_KINDS; ++i) {
    weights[i] = qf_weights_name((QfWeights)i);
  }

  self->level = qf_rows_add_choice(what, "Level", levels, 3);
  self->seed  = qf_rows_add_spin(what, "Seed", NULL, 0, 999999999, 1, 1);
  self->keys  = qf_rows_add_text(what, "Keys, as C major, A minor; empty for the level's", "");
  for (int i = 0; i < QF_USE_N_BITS; ++i) {
    g_autofree char* name  = qf_sentence_dup(qf_use_name((QfUse)(1U << i)));
    name[strlen(name) - 1] = '\0'; // The full stop
    self->uses[i]          = qf_rows_add_switch(uses, name, NULL, FALSE);
    g_strv_builder_add(required, name);
  }
  g_auto(GStrv) requirements = g_strv_builder_end(required);
  self->required =
    qf_rows_add_choice(uses, "Must appear", (const char* const*)requirements, REQUIRED_OF_LEVEL);
  self->degrees = qf_rows_add_text(uses, "Degrees with applied dominants; empty for all", "");
  for (int i = 0; i < N_INVERSIONS; ++i) {
    self->inversions[i] = qf_rows_add_switch(uses, inversion_names[i], NULL, FALSE);
  }
  for (int i = 0; i < N_FOREIGN; ++i) {
    self->foreign[i] = qf_rows_add_switch(uses, foreign_names[i], NULL, FALSE);
  }
  self->n_foreign =
    qf_rows_add_spin(uses, "Most notes outside the chords", NULL, 0, QF_EXERCISE_MAX_CHORDS, 1, 0);
  self->modulates = qf_rows_add_switch(uses, "Modulation to a near key", NULL, FALSE);
  self->chords =
    qf_rows_add_spin(more, "Chords", "0 leaves it to the level", 0, QF_EXERCISE_MAX_CHORDS, 1, 0);
  self->bars    = qf_rows_add_spin(more, "Bars", "0 for as many as the chords need", 0,
                                   QF_EXERCISE_MAX_BARS, 1, 0);
  self->metre   = qf_rows_add_text(more, "Metre", "4/4");
  self->rhythm  = qf_rows_add_choice(more, "Chords change by", rhythms, 0);
  self->givens  = qf_rows_add_choice(more, "The student is given", givens, 0);
  self->weights = qf_rows_add_choice(more, "Which chords follow which", weights, 0);
  self->tempo   = qf_rows_add_spin(more, "Quarter notes a minute", NULL, 20, 240, 1, 72);
}

static void
add_set_rows(Dialog* const self, AdwPreferencesPage* const page)
{
  AdwPreferencesGroup* const set =
    qf_rows_add_group(page, "Set", "No two exercises of a set have the same functions");

  self->count = qf_rows_add_spin(set, "Exercises", NULL, 1, 1000, 1, 10);
  for (int i = 0; i < N_PARTS; ++i) {
    self->parts[i] = qf_rows_add_switch(set, part_names[i], NULL, TRUE);
  }
}

static GtkWidget*
new_progress(Dialog* const self)
{
  GtkWidget* const box    = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget* const bar    = gtk_progress_bar_new();
  GtkWidget* const cancel = gtk_button_new_with_mnemonic("_Cancel");

  self->progress = box;
  self->bar      = GTK_PROGRESS_BAR(bar);
  gtk_widget_set_hexpand(bar, TRUE);
  gtk_widget_set_valign(bar, GTK_ALIGN_CENTER);
  gtk_widget_add_css_class(box, "qf-findings-foot");
  gtk_widget_set_visible(box, FALSE);
  gtk_accessible_update_property(GTK_ACCESSIBLE(bar), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Exercises written", -1);
  gtk_box_append(GTK_BOX(box), bar);
  gtk_box_append(GTK_BOX(box), cancel);
  g_signal_connect_swapped(cancel, "clicked", G_CALLBACK(cancel_cb), self);
  return box;
}

void
qf_make_dialog_present(GtkWindow* const parent, const QfMakeOpen open, const gpointer data)
{
  Dialog* const             self   = g_new0(Dialog, 1);
  GtkWidget* const          window = adw_window_new();
  GtkWidget* const          box    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget* const          header = adw_header_bar_new();
  GtkWidget* const          one    = gtk_button_new_with_mnemonic("_Open One");
  GtkWidget* const          set    = gtk_button_new_with_mnemonic("_Write the Set…");
  AdwPreferencesPage* const page   = ADW_PREFERENCES_PAGE(adw_preferences_page_new());

  self->window = GTK_WINDOW(window);
  self->toasts = ADW_TOAST_OVERLAY(adw_toast_overlay_new());
  self->open   = open;
  self->data   = data;
  self->write  = set;
  add_choice_rows(self, page);
  add_set_rows(self, page);
  level_cb(self);
  gtk_widget_add_css_class(one, "suggested-action");
  gtk_widget_set_tooltip_text(one, "Make one exercise and open it as a lesson");
  gtk_widget_set_tooltip_text(set, "Lessons, sheets, answers and recordings in a folder");
  adw_header_bar_pack_start(ADW_HEADER_BAR(header), one);
  adw_header_bar_pack_end(ADW_HEADER_BAR(header), set);
  gtk_widget_set_vexpand(GTK_WIDGET(self->toasts), TRUE);
  adw_toast_overlay_set_child(self->toasts, GTK_WIDGET(page));
  gtk_box_append(GTK_BOX(box), header);
  gtk_box_append(GTK_BOX(box), GTK_WIDGET(self->toasts));
  gtk_box_append(GTK_BOX(box), new_progress(self));
  adw_window_set_content(ADW_WINDOW(window), box);
  gtk_window_set_title(self->window, "Make Exercises");
  gtk_window_set_transient_for(self->window, parent);
  gtk_window_set_default_size(self->window, 620, 720);
  g_object_set_data_full(G_OBJECT(window), "dialog", self, (GDestroyNotify)dialog_free);
  g_signal_connect_swapped(self->level, "notify::selected", G_CALLBACK(level_cb), self);
  g_signal_connect_swapped(one, "clicked", G_CALLBACK(open_cb), self);
  g_signal_connect_swapped(set, "clicked", G_CALLBACK(write_cb), self);
  gtk_window_present(self->window);
}
