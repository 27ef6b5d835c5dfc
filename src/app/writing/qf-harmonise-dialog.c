// SPDX-License-Identifier: MIT
#include "qf-harmonise-dialog.h"

#include "common/qf-choices.h"
#include "common/qf-message.h"
#include "qf-app.h"
#include "qf-given-line.h"

enum {
  MAX_CHAINS = 6, ///< Chains offered at once
};

struct _QfHarmoniseDialog {
  AdwWindow       parent_instance;
  GtkWidget*      take; ///< Template child, as all widgets below
  AdwComboRow*    line_row;
  AdwComboRow*    vocabulary_row;
  AdwComboRow*    profile_row;
  AdwComboRow*    key_row;
  GtkSpinButton*  apart;
  GtkLabel*       told;
  GtkListBox*     list;
  QfLessonItem*   item; ///< Owned reference
  QfHarmoniseTask task;
  QfGivenLine     line;
  QfHarmonies     harmonies;         ///< Owned
  size_t          shown[MAX_CHAINS]; ///< Of these, those that fit the given notes
  size_t          n_shown;
  gboolean        is_ready; ///< All rows show what the dialog begins with
};

G_DEFINE_FINAL_TYPE(QfHarmoniseDialog, qf_harmonise_dialog, ADW_TYPE_WINDOW)

enum { HEAR, N_SIGNALS };
static guint signals[N_SIGNALS];

static const QfScore*
score_of(const QfHarmoniseDialog* const self)
{
  return qf_lesson_item_get_score(self->item);
}

static gboolean
is_bass(const QfHarmoniseDialog* const self)
{
  return adw_combo_row_get_selected(self->line_row) == 1;
}

/// The voice that is given; chords are written in the first four
static size_t
line_voice(const QfHarmoniseDialog* const self)
{
  return is_bass(self) ? QF_SATB - 1 : 0;
}

static void
empty_list(QfHarmoniseDialog* const self)
{
  for (GtkWidget* row = NULL; (row = gtk_widget_get_first_child(GTK_WIDGET(self->list)));) {
    gtk_list_box_remove(self->list, row);
  }
  qf_harmonies_clear(&self->harmonies);
  self->n_shown = 0;
}

/// True if a note can stand in the chord that is found for its time
static gboolean
fits_note(const QfHarmoniseDialog* const self,
          const QfHarmony* const         harmony,
          const size_t                   voice,
          const QfNote* const            note)
{
  const QfTime     time = qf_time_sub(note->start, self->line.origin);
  const QfNoteName name = qf_pitch_name(note->pitch);

  for (size_t i = 0; i < self->harmonies.n_links; ++i) {
    const QfLink* const link  = &harmony->links[i];
    QfChord             chord = {0};
    QfNoteName          bass  = {0, 0};
    if (qf_time_compare(time, link->start) >= 0 &&
        qf_time_compare(time, qf_time_add(link->start, link->duration)) < 0 &&
        !qf_numeral_chord(&link->numeral, link->key, &chord, NULL) &&
        !qf_chord_bass(chord, &bass)) {
      return voice == QF_SATB - 1 ? qf_note_name_equals(bass, name)
                                  : qf_chord_member_of(chord, name) >= 0;
    }
  }
  return TRUE;
}

/// Given notes of the other voices stay, so that a chain must have room for them
static gboolean
fits_given(const QfHarmoniseDialog* const self, const QfHarmony* const harmony)
{
  const QfLesson* const lesson = qf_lesson_item_get_lesson(self->item);

  for (size_t v = 0; v < MIN(qf_score_n_voices(score_of(self)), (size_t)QF_SATB); ++v) {
    for (size_t i = 0; v != line_voice(self) && i < qf_score_n_notes(score_of(self), v); ++i) {
      const QfNote* const note = qf_score_get_note(score_of(self), v, i);
      if (qf_time_compare(note->start, self->task.start) >= 0 &&
          qf_time_compare(note->start, self->task.end) < 0 &&
          qf_lesson_is_given(lesson, note->id) && !fits_note(self, harmony, v, note)) {
        return FALSE;
      }
    }
  }
  return TRUE;
}

static void
choose_shown(QfHarmoniseDialog* const self)
{
  for (size_t i = 0; i < self->harmonies.n_harmonies && self->n_shown < MAX_CHAINS; ++i) {
    if (fits_given(self, &self->harmonies.harmonies[i])) {
      self->shown[self->n_shown++] = i;
    }
  }
}

static GtkWidget*
make_label(const char* const text, const char* const css_class)
{
  GtkWidget* const label = gtk_label_new(text);

  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_widget_add_css_class(label, css_class);
  return label;
}

static GtkWidget*
make_row(const QfHarmoniseDialog* const self, const size_t index)
{
  const QfHarmony* const harmony = &self->harmonies.harmonies[self->shown[index]];
  const int              more    = harmony->cost - self->harmonies.harmonies[self->shown[0]].cost;
  g_autofree char*       chain =
    qf_given_line_dup_chain(&self->line, harmony, self->harmonies.n_links, score_of(self));
  g_autofree char* cost =
    index ? g_strdup_printf("Costs %d more than the best", more) : g_strdup("The best");
  g_autofree char* spoken = g_strdup_printf("Chain %zu: %s; %s", index + 1U, chain, cost);
  GtkWidget* const row    = gtk_list_box_row_new();
  GtkWidget* const box    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);

  gtk_box_append(GTK_BOX(box), make_label(chain, "heading"));
  gtk_box_append(GTK_BOX(box), make_label(cost, "caption"));
  gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(row), box);
  gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  return row;
}

static QfHarmoniseOptions
options_of(const QfHarmoniseDialog* const self)
{
  return (QfHarmoniseOptions){
    .key        = qf_choice_key(adw_combo_row_get_selected(self->key_row)),
    .metre      = self->line.metre,
    .pickup     = self->line.pickup,
    .is_bass    = is_bass(self),
    .vocabulary = (QfVocabulary)adw_combo_row_get_selected(self->vocabulary_row),
    .profile    = (QfProfile)adw_combo_row_get_selected(self->profile_row),
    .n_best     = QF_HARMONISE_MAX_BEST,
    .n_apart    = (size_t)gtk_spin_button_get_value_as_int(self->apart),
  };
}

/// What was found, or why nothing was
static void
tell(QfHarmoniseDialog* const self, const QfStatus status, const QfError* const error)
{
  const size_t     n_notes = self->line.n_notes;
  const size_t     n       = self->n_shown;
  g_autofree char* text    = NULL;

  if (!n_notes) {
    text = g_strdup(is_bass(self) ? "There are no notes in the bass here. Write them first."
                                  : "There are no notes in the melody here. Write them first.");
  } else if (status) {
    text = qf_sentence_dup(error->text[0] ? error->text : qf_status_text(status));
  } else if (!n) {
    text = g_strdup("No chain that was found has room for the notes that are given. Take the marks "
                    "away, or choose from more chords.");
  } else {
    text = g_strdup_printf("%zu chain%s for %zu note%s%s", n, n == 1 ? "" : "s", n_notes,
                           n_notes == 1 ? "" : "s",
                           self->line.is_cut ? ", as many as can be harmonised at once" : "");
  }
  gtk_label_set_text(self->told, text);
  gtk_widget_set_sensitive(self->take, n > 0);
  gtk_widget_action_set_enabled(GTK_WIDGET(self), "chain.hear", n > 0);
}

static void
find_cb(QfHarmoniseDialog* const self)
{
  QfError  error = {0};
  QfStatus st    = QF_OK;

  if (!self->is_ready) {
    return;
  }
  empty_list(self);
  self->line.n_notes = 0;
  if (line_voice(self) < qf_score_n_voices(score_of(self))) {
    qf_given_line_collect(&self->line, score_of(self), line_voice(self), self->task.start,
                          self->task.end);
  }
  if (self->line.n_notes) {
    st = qf_harmonise(self->line.notes, self->line.n_notes, options_of(self), &self->harmonies,
                      &error);
  }
  choose_shown(self);
  for (size_t i = 0; i < self->n_shown; ++i) {
    gtk_list_box_append(self->list, make_row(self, i));
  }
  gtk_list_box_select_row(self->list, gtk_list_box_get_row_at_index(self->list, 0));
  tell(self, st, &error);
}

static const QfHarmony*
chosen(const QfHarmoniseDialog* const self)
{
  GtkListBoxRow* const row   = gtk_list_box_get_selected_row(self->list);
  const int            index = row ? gtk_list_box_row_get_index(row) : -1;
  return index >= 0 && (size_t)index < self->n_shown
           ? &self->harmonies.harmonies[self->shown[index]]
           : NULL;
}

static void
hear(QfHarmoniseDialog* const self)
{
  const QfHarmony* const harmony = chosen(self);
  if (!harmony) {
    return;
  }

  const size_t   n = self->harmonies.n_links;
  QfScore* const score =
    qf_score_new_satb(harmony->links[0].key, self->line.metre, self->line.pickup, 1);
  if (score && !qf_realise_into(score, harmony->links, n, harmony->voicings)) {
    qf_score_set_tempo(score, qf_score_get_tempo(score_of(self)));
    g_signal_emit(self, signals[HEAR], 0, score);
  }
  qf_score_free(score);
}

static void
hear_cb(GtkWidget* const widget, const char* const action, GVariant* const parameter)
{
  (void)action;
  (void)parameter;
  hear(QF_HARMONISE_DIALOG(widget));
}

static void
take_cb(QfHarmoniseDialog* const self)
{
  const QfHarmony* const harmony = chosen(self);
  const size_t           n       = self->harmonies.n_links;
  QfError                error   = {0};
  if (!harmony) {
    return;
  }

  QfLink* const links = g_new(QfLink, n);
  for (size_t i = 0; i < n; ++i) {
    links[i]       = harmony->links[i];
    links[i].start = qf_time_add(links[i].start, self->line.origin);
  }
  const QfStatus st =
    qf_lesson_place_voicings(qf_lesson_item_get_lesson(self->item), links, harmony->voicings, n,
                             UINT32_C(1) << line_voice(self), &error);
  g_free(links);
  if (qf_lesson_item_finish(self->item, st, &error)) {
    gtk_window_close(GTK_WINDOW(self));
  } else {
    g_autofree char* text = qf_sentence_dup(error.text);
    gtk_label_set_text(self->told, text);
  }
}

static void
qf_harmonise_dialog_dispose(GObject* const object)
{
  QfHarmoniseDialog* const self = QF_HARMONISE_DIALOG(object);

  qf_harmonies_clear(&self->harmonies);
  g_clear_object(&self->item);
  G_OBJECT_CLASS(qf_harmonise_dialog_parent_class)->dispose(object);
}

static void
qf_harmonise_dialog_class_init(QfHarmoniseDialogClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_harmonise_dialog_dispose;
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-harmonise-dialog.ui");
  gtk_widget_class_install_action(widget_class, "chain.hear", NULL, hear_cb);
  gtk_widget_class_bind_template_child(widget_class, QfHarmoniseDialog, take);
  gtk_widget_class_bind_template_child(widget_class, QfHarmoniseDialog, line_row);
  gtk_widget_class_bind_template_child(widget_class, QfHarmoniseDialog, vocabulary_row);
  gtk_widget_class_bind_template_child(widget_class, QfHarmoniseDialog, profile_row);
  gtk_widget_class_bind_template_child(widget_class, QfHarmoniseDialog, key_row);
  gtk_widget_class_bind_template_child(widget_class, QfHarmoniseDialog, apart);
  gtk_widget_class_bind_template_child(widget_class, QfHarmoniseDialog, told);
  gtk_widget_class_bind_template_child(widget_class, QfHarmoniseDialog, list);
  gtk_widget_class_bind_template_callback(widget_class, find_cb);
  gtk_widget_class_bind_template_callback(widget_class, take_cb);

  signals[HEAR] = g_signal_new("hear", QF_TYPE_HARMONISE_DIALOG, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                               NULL, G_TYPE_NONE, 1, G_TYPE_POINTER);
}

static void
qf_harmonise_dialog_init(QfHarmoniseDialog* const self)
{
  g_autoptr(GtkStringList) keys = gtk_string_list_new(NULL);

  gtk_widget_init_template(GTK_WIDGET(self));
  qf_choices_add_keys(keys);
  adw_combo_row_set_model(self->key_row, G_LIST_MODEL(keys));
}

/// A lesson whose bass alone is written is harmonised from there
static gboolean
has_only_bass(const QfHarmoniseDialog* const self)
{
  const QfScore* const score = score_of(self);
  return qf_score_n_voices(score) == QF_SATB && !qf_score_n_notes(score, 0) &&
         qf_score_n_notes(score, QF_SATB - 1);
}

GtkWidget*
qf_harmonise_dialog_new(GtkWindow* const      parent,
                        QfLessonItem* const   item,
                        const QfHarmoniseTask task)
{
  QfHarmoniseDialog* const self =
    g_object_new(QF_TYPE_HARMONISE_DIALOG, "transient-for", parent, NULL);

  self->item = g_object_ref(item);
  self->task = task;
  adw_combo_row_set_selected(self->key_row, qf_choice_of_key(task.key));
  adw_combo_row_set_selected(self->profile_row, task.profile);
  adw_combo_row_set_selected(self->vocabulary_row, QF_VOCABULARY_APPLIED);
  adw_combo_row_set_selected(self->line_row, has_only_bass(self));
  self->is_ready = TRUE;
  find_cb(self);
  GtkListBoxRow* const first = gtk_list_box_get_row_at_index(self->list, 0);
  if (first) {
    gtk_window_set_focus(GTK_WINDOW(self), GTK_WIDGET(first));
  }
  return GTK_WIDGET(self);
}
