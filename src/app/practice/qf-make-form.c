// SPDX-License-Identifier: MIT
#include "qf-make-form.h"

#include "common/qf-message.h"
#include "common/qf-rows.h"

#include <string.h>

enum {
  N_INVERSIONS      = 3,
  REQUIRED_OF_LEVEL = 0, ///< Rows of what must appear; those of the uses follow
  REQUIRED_NONE     = 1,
  REQUIRED_USES     = 2,
  N_FOREIGN         = 3,
  N_PARTS           = 4,
};

struct QfMakeForm {
  AdwComboRow*   level;
  GtkSpinButton* seed;
  GtkEditable*   keys;
  GtkSwitch*     uses[QF_USE_N_BITS];
  GtkEditable*   degrees;
  GtkSwitch*     inversions[N_INVERSIONS];
  GtkSwitch*     foreign[N_FOREIGN];
  GtkSpinButton* n_foreign;
  AdwComboRow*   required;
  AdwComboRow*   modulation;
  GtkSpinButton* chords;
  GtkSpinButton* bars;
  GtkEditable*   metres;
  GtkSwitch*     rhythms[QF_RHYTHM_N_KINDS];
  AdwComboRow*   givens;
  AdwComboRow*   weights;
  GtkSpinButton* tempo;
  GtkSpinButton* count;
  GtkSwitch*     parts[N_PARTS];
};

static const char* const inversion_names[N_INVERSIONS] = {"First inversion", "Second inversion",
                                                          "Third inversion"};
static const char* const foreign_names[N_FOREIGN]      = {"Passing notes", "Neighbour notes",
                                                          "Suspensions"};
static const char* const part_names[N_PARTS]           = {"Worksheets", "Answer keys", "Recordings",
                                                          "Tasks to hand out"};

static const char* const rhythm_names[QF_RHYTHM_N_KINDS] = {
  [QF_RHYTHM_BARS]  = "Chords change each bar",
  [QF_RHYTHM_HALF]  = "Chords change each half-bar",
  [QF_RHYTHM_BEATS] = "Chords change each beat",
  [QF_RHYTHM_MIXED] = "Chords change as drawn, bar by bar",
};

static const char* const modulation_names[QF_MODULATION_N_KINDS + 1] = {
  [QF_MODULATION_STAY]   = "Stays in its key",
  [QF_MODULATION_LEAVE]  = "Ends in a near key",
  [QF_MODULATION_RETURN] = "Goes to a near key and comes home",
  [QF_MODULATION_EITHER] = "Ends in a near key or comes home",
};

static const char* const given_names[QF_GIVE_N_KINDS + 1] = {
  [QF_GIVE_OUTER]       = "Soprano and bass",
  [QF_GIVE_BASS]        = "The bass",
  [QF_GIVE_FIRST_CHORD] = "The first chord",
  [QF_GIVE_FIRST_OUTER] = "The first notes of soprano and bass",
  [QF_GIVE_NOTHING]     = "Nothing",
};

static const char* const weight_names[QF_WEIGHTS_N_KINDS + 1] = {
  [QF_WEIGHTS_COMMON_PRACTICE] = "As the textbooks say",
  [QF_WEIGHTS_CORPUS]          = "As counted in the open corpus",
};

// ---- options

static void
show_switches(GtkSwitch* const* const switches, const int n, const unsigned bits)
{
  for (int i = 0; i < n; ++i) {
    gtk_switch_set_active(switches[i], bits >> i & 1U);
  }
}

static unsigned
read_switches(GtkSwitch* const* const switches, const int n)
{
  unsigned bits = 0;
  for (int i = 0; i < n; ++i) {
    bits |= gtk_switch_get_active(switches[i]) ? 1U << i : 0U;
  }
  return bits;
}

static void
show_options(QfMakeForm* const self, const QfExerciseOptions* const options)
{
  g_autoptr(GString) metres = g_string_new(NULL);

  for (size_t i = 0; i < options->n_metres; ++i) {
    char metre[40];
    qf_metre_write(options->metres[i], metre, sizeof(metre));
    g_string_append_printf(metres, "%s%s", i ? ", " : "", metre);
  }
  show_switches(self->uses, QF_USE_N_BITS, options->uses);
  show_switches(self->inversions, N_INVERSIONS, options->inversions);
  show_switches(self->foreign, N_FOREIGN, options->foreign);
  show_switches(self->rhythms, QF_RHYTHM_N_KINDS, options->rhythms);
  gtk_editable_set_text(self->degrees, "");
  gtk_editable_set_text(self->metres, metres->str);
  gtk_spin_button_set_value(self->n_foreign, (double)options->n_foreign);
  gtk_spin_button_set_value(self->chords, (double)options->n_chords);
  gtk_spin_button_set_value(self->bars, (double)options->n_bars);
  gtk_spin_button_set_value(self->tempo, options->tempo);
  adw_combo_row_set_selected(self->required, REQUIRED_OF_LEVEL);
  adw_combo_row_set_selected(self->modulation, options->modulation);
  adw_combo_row_set_selected(self->givens, options->givens);
  adw_combo_row_set_selected(self->weights, options->weights);
}

static int
chosen_level(const QfMakeForm* const self)
{
  return (int)adw_combo_row_get_selected(self->level) + 1;
}

static QfExerciseOptions
options_of_level(const QfMakeForm* const self)
{
  return qf_exercise_options(chosen_level(self), (uint64_t)gtk_spin_button_get_value(self->seed));
}

static void
level_cb(QfMakeForm* const self)
{
  const QfExerciseOptions options = options_of_level(self);

  adw_action_row_set_subtitle(ADW_ACTION_ROW(self->level),
                              qf_exercise_level_text(chosen_level(self)));
  show_options(self, &options);
}

/// Words between commas or blanks, none of them empty; (transfer full)
static GStrv
words_of(GtkEditable* const row, const char* const separators)
{
  g_autoptr(GStrvBuilder) words = g_strv_builder_new();
  g_auto(GStrv) parts           = g_strsplit_set(gtk_editable_get_text(row), separators, -1);

  for (int i = 0; parts[i]; ++i) {
    g_strstrip(parts[i]);
    if (parts[i][0]) {
      g_strv_builder_add(words, parts[i]);
    }
  }
  return g_strv_builder_end(words);
}

/// Read "C major, A minor"; an empty text leaves the level's keys
static QfStatus
read_keys(const QfMakeForm* const self, QfExerciseOptions* const options, QfError* const error)
{
  g_auto(GStrv) names = words_of(self->keys, ",;");
  const size_t n      = g_strv_length(names);

  for (size_t i = 0; i < n && i < QF_EXERCISE_MAX_KEYS; ++i) {
    const QfStatus st = qf_key_parse(names[i], &options->keys[i], error);
    if (st) {
      return st;
    }
  }
  options->n_keys = n ? n : options->n_keys;
  return QF_OK;
}

/// Read "4/4, 3/4"; an empty text leaves the level's metres
static QfStatus
read_metres(const QfMakeForm* const self, QfExerciseOptions* const options, QfError* const error)
{
  g_auto(GStrv) names = words_of(self->metres, ",; ");
  const size_t n      = g_strv_length(names);

  for (size_t i = 0; i < n && i < QF_EXERCISE_MAX_METRES; ++i) {
    const QfStatus st = qf_metre_parse(names[i], &options->metres[i], error);
    if (st) {
      return st;
    }
  }
  options->n_metres = n ? n : options->n_metres;
  return QF_OK;
}

/// Read "2 5 6" or "ii, V, vi"
static QfStatus
read_degrees(const QfMakeForm* const self, unsigned* const degrees, QfError* const error)
{
  g_auto(GStrv) names = words_of(self->degrees, ",; ");

  *degrees = 0;
  for (int i = 0; names[i]; ++i) {
    g_autofree char* use    = g_strdup_printf("applied/%s", names[i]);
    unsigned         uses   = 0;
    unsigned         degree = 0;
    if (names[i][0] >= '1' && names[i][0] <= '7' && !names[i][1]) {
      degree = 1U << (names[i][0] - '0');
    } else if (qf_uses_parse(use, &uses, &degree, NULL)) {
      return qf_error_set(error, QF_ERR_BAD_TEXT, "\"%s\" is no degree; write 2 5 6, or ii V vi",
                          names[i]);
    }
    *degrees |= degree;
  }
  return QF_OK;
}

/// What is new at the level as far as it is allowed, nothing, or the one that was chosen
static unsigned
required_of(const QfMakeForm* const self, const QfExerciseOptions* const options)
{
  const guint row = adw_combo_row_get_selected(self->required);

  return row == REQUIRED_OF_LEVEL ? options->required & options->uses
         : row == REQUIRED_NONE   ? 0U
                                  : 1U << (row - REQUIRED_USES);
}

QfStatus
qf_make_form_read(const QfMakeForm* const  self,
                  QfExerciseOptions* const options,
                  QfError* const           error)
{
  *options            = options_of_level(self);
  options->uses       = read_switches(self->uses, QF_USE_N_BITS);
  options->inversions = read_switches(self->inversions, N_INVERSIONS);
  options->foreign    = read_switches(self->foreign, N_FOREIGN);
  options->rhythms    = read_switches(self->rhythms, QF_RHYTHM_N_KINDS);
  options->n_foreign  = (size_t)gtk_spin_button_get_value(self->n_foreign);
  options->required   = required_of(self, options);
  options->modulation = (QfModulation)adw_combo_row_get_selected(self->modulation);
  options->n_chords   = (size_t)gtk_spin_button_get_value(self->chords);
  options->n_bars     = (size_t)gtk_spin_button_get_value(self->bars);
  options->givens     = (QfExerciseGivens)adw_combo_row_get_selected(self->givens);
  options->weights    = (QfWeights)adw_combo_row_get_selected(self->weights);
  options->tempo      = gtk_spin_button_get_value(self->tempo);

  QfStatus st = read_degrees(self, &options->applied_degrees, error);
  st          = st ? st : read_metres(self, options, error);
  st          = st ? st : read_keys(self, options, error);
  return st ? st : qf_exercise_options_check(options, error);
}

QfStatus
qf_make_form_read_set(const QfMakeForm* const  self,
                      QfWorkbookOptions* const options,
                      QfError* const           error)
{
  QfExerciseOptions exercises = {0};
  const QfStatus    st        = qf_make_form_read(self, &exercises, error);

  if (!st) {
    *options       = qf_workbook_options(exercises);
    options->count = (size_t)gtk_spin_button_get_value(self->count);
    options->parts = read_switches(self->parts, N_PARTS);
  }
  return st;
}

void
qf_make_form_next_seed(QfMakeForm* const self)
{
  gtk_spin_button_set_value(self->seed, gtk_spin_button_get_value(self->seed) + 1.0);
}

// ---- rows

static void
add_switches(AdwPreferencesGroup* const group,
             const char* const* const   names,
             const int                  n,
             const gboolean             is_on,
             GtkSwitch** const          switches)
{
  for (int i = 0; i < n; ++i) {
    switches[i] = qf_rows_add_switch(group, names[i], NULL, is_on);
  }
}

static void
add_exercise_rows(QfMakeForm* const self, AdwPreferencesPage* const page)
{
  static const char* const levels[QF_EXERCISE_N_LEVELS + 1] = {
    "Level 1", "Level 2", "Level 3", "Level 4", "Level 5", "Level 6", "Level 7", "Level 8"};
  AdwPreferencesGroup* const group =
    qf_rows_add_group(page, "Exercise", "The same seed and settings give the same exercises");

  self->level = qf_rows_add_choice(group, "Level", levels, 3);
  self->seed  = qf_rows_add_spin(group, "Seed", NULL, 0, 999999999, 1, 1);
  self->keys  = qf_rows_add_text(group, "Keys, as C major, A minor; empty for the level's", "");
}

static void
add_chord_rows(QfMakeForm* const self, AdwPreferencesPage* const page)
{
  AdwPreferencesGroup* const group = qf_rows_add_group(page, "Chords that may appear", NULL);
  g_autoptr(GStrvBuilder) required = g_strv_builder_new();

  g_strv_builder_add(required, "What is new at the level");
  g_strv_builder_add(required, "Nothing in particular");
  for (int i = 0; i < QF_USE_N_BITS; ++i) {
    g_autofree char* name  = qf_sentence_dup(qf_use_name((QfUse)(1U << i)));
    name[strlen(name) - 1] = '\0'; // The full stop
    self->uses[i]          = qf_rows_add_switch(group, name, NULL, FALSE);
    g_strv_builder_add(required, name);
  }
  g_auto(GStrv) requirements = g_strv_builder_end(required);
  self->required =
    qf_rows_add_choice(group, "Must appear", (const char* const*)requirements, REQUIRED_OF_LEVEL);
  self->degrees =
    qf_rows_add_text(group, "Degrees with applied dominants, as ii V vi; empty for all", "");
  add_switches(group, inversion_names, N_INVERSIONS, FALSE, self->inversions);
  add_switches(group, foreign_names, N_FOREIGN, FALSE, self->foreign);
  self->n_foreign =
    qf_rows_add_spin(group, "Most notes outside the chords", NULL, 0, QF_EXERCISE_MAX_CHORDS, 1, 0);
  self->modulation = qf_rows_add_choice(group, "Key", modulation_names, QF_MODULATION_STAY);
}

static void
add_shape_rows(QfMakeForm* const self, AdwPreferencesPage* const page)
{
  AdwPreferencesGroup* const group =
    qf_rows_add_group(page, "Shape", "Of several metres and ways to change, each exercise has one");

  self->chords =
    qf_rows_add_spin(group, "Chords", "0 leaves it to the bars", 0, QF_EXERCISE_MAX_CHORDS, 1, 0);
  self->bars   = qf_rows_add_spin(group, "Bars", "0 for as many as the chords need", 0,
                                  QF_EXERCISE_MAX_BARS, 1, 0);
  self->metres = qf_rows_add_text(group, "Metres, as 4/4, 3/4; empty for the level's", "");
  add_switches(group, rhythm_names, QF_RHYTHM_N_KINDS, FALSE, self->rhythms);
  self->givens  = qf_rows_add_choice(group, "The student is given", given_names, 0);
  self->weights = qf_rows_add_choice(group, "Which chords follow which", weight_names, 0);
  self->tempo   = qf_rows_add_spin(group, "Quarter notes a minute", NULL, 20, 240, 1, 72);
}

static void
add_set_rows(QfMakeForm* const self, AdwPreferencesPage* const page)
{
  AdwPreferencesGroup* const group =
    qf_rows_add_group(page, "Set", "No two exercises of a set have the same functions");

  self->count = qf_rows_add_spin(group, "Exercises", NULL, 1, 1000, 1, 10);
  add_switches(group, part_names, N_PARTS, TRUE, self->parts);
}

QfMakeForm*
qf_make_form_new(AdwPreferencesPage* const page)
{
  QfMakeForm* const self = g_new0(QfMakeForm, 1);

  add_exercise_rows(self, page);
  add_chord_rows(self, page);
  add_shape_rows(self, page);
  add_set_rows(self, page);
  level_cb(self);
  g_signal_connect_swapped(self->level, "notify::selected", G_CALLBACK(level_cb), self);
  return self;
}

void
qf_make_form_free(QfMakeForm* const self)
{
  g_free(self);
}
