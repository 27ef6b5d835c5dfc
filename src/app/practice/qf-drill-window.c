// SPDX-License-Identifier: MIT
#include "qf-drill-window.h"

#include "qf-record.h"

#include "common/qf-keys.h"
#include "common/qf-message.h"
#include "hearing/qf-new-player.h"
#include "input/qf-sing-strip.h"
#include "study/qf-note-words.h"

#include "quintfall/practice.h"
#include "quintfall/sound.h"

#include <string.h>

/// The window's widgets and the drill on show; freed with the window
typedef struct {
  GtkWindow*       window;
  AdwToastOverlay* toasts;
  GtkDropDown*     kind;
  GtkSpinButton*   level;
  GtkLabel*        question;
  GtkBox*          choices;
  GtkWidget*       typing;
  GtkEditable*     entry;
  GtkLabel*        feedback;
  GtkLabel*        tally;
  GtkWidget*       next;
  QfSingStrip*     sing;
  QfPreferences*   preferences;  ///< Owned reference
  QfPlayer*        player;       ///< Owned; NULL if out of memory
  guint            player_watch; ///< Tells what befalls the player
  char* concept;                 ///< To be about this, or NULL; owned
  QfDrill  drill;
  gboolean has_drill;
  gboolean is_answered;
  int      n_right;
  int      n_asked;
} Drills;

static void
drills_free(Drills* const self)
{
  if (self->has_drill) {
    qf_drill_clear(&self->drill);
  }
  g_clear_handle_id(&self->player_watch, g_source_remove);
  qf_player_free(self->player);
  g_object_unref(self->preferences);
  g_free(self->concept);
  g_free(self);
}

gboolean
qf_drill_for_concept(const char* const concept, QfDrillKind* const kind)
{
  static const struct {
    const char* group;
    QfDrillKind kind;
  } drills[] = {
    {"target/", QF_DRILL_TARGET},         {"quality/", QF_DRILL_QUALITY},
    {"layer/quality", QF_DRILL_QUALITY},  {"function/", QF_DRILL_FUNCTION},
    {"layer/numeral", QF_DRILL_FUNCTION}, {"inversion/", QF_DRILL_INVERSION},
    {"resolution/", QF_DRILL_RESOLUTION},
  };

  if (g_str_has_prefix(concept, "drill/")) {
    return !qf_drill_kind_parse(concept + strlen("drill/"), kind, NULL);
  }
  for (gsize i = 0; i < G_N_ELEMENTS(drills); ++i) {
    if (g_str_has_prefix(concept, drills[i].group)) {
      *kind = drills[i].kind;
      return TRUE;
    }
  }
  return FALSE;
}

static void
told_cb(const char* const text, gpointer data)
{
  qf_message_toast(data, text);
}

static void
hear(Drills* const self)
{
  QfHearing hearing = qf_hearing_default();
  QfEvents  events  = {0};
  QfTuning  tuning  = qf_preferences_get_tuning(self->preferences);

  hearing.level_db    = qf_preferences_get_level(self->preferences);
  hearing.has_prelude = self->drill.has_prelude;
  if (self->has_drill && self->player &&
      !qf_events_of(self->drill.score, NULL, self->drill.key, hearing, QF_TIME_ZERO, QF_TIME_ZERO,
                    &events)) {
    tuning.key = self->drill.key;
    qf_player_stop(self->player);
    qf_player_set_tuning(self->player, tuning);
    qf_player_load(self->player, &events);
    qf_events_clear(&events);
    qf_player_play(self->player);
    qf_player_watch(self->player, told_cb, self->toasts, &self->player_watch);
  }
}

static void
show_tally(Drills* const self)
{
  g_autofree char* text = g_strdup_printf("%d of %d right", self->n_right, self->n_asked);
  gtk_label_set_text(self->tally, text);
}

static void
record(Drills* const self, const gboolean is_right)
{
  QfAttempt attempts[QF_DRILL_MAX_CONCEPTS] = {{{0}}};

  for (size_t i = 0; i < self->drill.n_concepts; ++i) {
    g_strlcpy(attempts[i].concept, self->drill.concepts[i], sizeof(attempts[i].concept));
    attempts[i].right = is_right;
    attempts[i].asked = 1;
  }
  g_autofree char* trouble = qf_record_attempts(attempts, self->drill.n_concepts);
  if (trouble) {
    qf_message_toast(self->toasts, trouble);
  }
}

static void
finish(Drills* const self, const gboolean is_right)
{
  if (self->is_answered) {
    return;
  }

  g_autofree char* text = g_strdup_printf("%s %s", is_right ? "\u2713 Right." : "\u2717 Not this.",
                                          self->drill.explanation);
  self->is_answered     = TRUE;
  ++self->n_asked;
  self->n_right += is_right;
  gtk_label_set_text(self->feedback, text);
  show_tally(self);
  record(self, is_right);
  // An entry that loses its place before its focus is told of neither.
  gtk_widget_grab_focus(self->next);
  gtk_widget_set_sensitive(self->typing, FALSE);
}

// ---- a sung answer

static void
end_singing(Drills* const self)
{
  qf_sing_strip_end(self->sing);
  gtk_widget_set_visible(GTK_WIDGET(self->sing), FALSE);
}

static void
sing(Drills* const self)
{
  QfSungOptions options = {.tuning = qf_preferences_get_tuning(self->preferences)};
  QfError       error   = {0};

  if (!self->has_drill || self->is_answered || self->drill.form != QF_DRILL_ANSWER_PITCH) {
    return;
  }
  if (self->player) {
    qf_player_stop(self->player); // The microphone would hear it
  }
  options.tuning.key     = self->drill.key;
  const gboolean listens = qf_sing_strip_begin_answer(self->sing, options, &error);
  gtk_widget_set_visible(GTK_WIDGET(self->sing), listens);
  if (!listens) {
    qf_message_toast(self->toasts, error.text);
  }
}

/// A note was held: it is the answer, in any octave
static void
held_cb(Drills* const self, const int key, const double cents)
{
  const QfNamingKind naming   = qf_preferences_get_view(self->preferences).naming;
  const gboolean     is_right = qf_drill_accepts_key(&self->drill, key);
  const QfNoteName   name =
    is_right ? qf_pitch_name(self->drill.pitch) : qf_key_spell(self->drill.key, key);
  char note[40];

  qf_note_name_spell_out(name, naming, note, sizeof(note));
  g_autofree char* words = qf_sung_cents_dup(cents);
  g_autofree char* text  = g_strdup_printf("You sang %s, %s", note, words);
  qf_sing_strip_tell(self->sing, text);
  qf_sing_strip_end(self->sing);
  finish(self, is_right);
}

static gboolean
sing_cb(GtkWidget* const widget, GVariant* const arguments, gpointer data)
{
  (void)widget;
  (void)arguments;
  sing(data);
  return TRUE;
}

static void
choice_cb(GtkButton* const button, Drills* const self)
{
  const size_t index = GPOINTER_TO_SIZE(g_object_get_data(G_OBJECT(button), "choice"));

  if (!self->is_answered) {
    gtk_widget_add_css_class(GTK_WIDGET(button), index == self->drill.right ? "suggested-action"
                                                                            : "destructive-action");
  }
  finish(self, index == self->drill.right);
}

static void
typed_cb(Drills* const self)
{
  const QfNoteWordSense sense = {self->drill.key,
                                 qf_preferences_get_view(self->preferences).solfege};
  QfNoteWord            word  = {0};
  QfError               error = {0};

  if (qf_note_word_parse(gtk_editable_get_text(self->entry), sense, &word, &error)) {
    gtk_label_set_text(self->feedback, error.text);
    return;
  }
  finish(self, qf_drill_accepts_pitch(&self->drill, qf_note_word_near(word, self->drill.start)));
}

static void
show_choices(Drills* const self)
{
  for (GtkWidget* child = NULL; (child = gtk_widget_get_first_child(GTK_WIDGET(self->choices)));) {
    gtk_box_remove(self->choices, child);
  }
  for (size_t i = 0; i < self->drill.n_choices; ++i) {
    GtkWidget* const button = gtk_button_new_with_label(self->drill.choices[i]);
    g_object_set_data(G_OBJECT(button), "choice", GSIZE_TO_POINTER(i));
    g_signal_connect(button, "clicked", G_CALLBACK(choice_cb), self);
    gtk_box_append(self->choices, button);
  }
}

static void
show_title(Drills* const self)
{
  char name[QF_CONCEPT_NAME_SIZE];

  if (self->concept) {
    qf_concept_describe(self->concept, name, sizeof(name));
    g_autofree char* title = g_strdup_printf("Drills: %s", name);
    gtk_window_set_title(self->window, title);
  } else {
    gtk_window_set_title(self->window, "Drills");
  }
}

static void
next(Drills* const self)
{
  const QfDrillKind  kind   = (QfDrillKind)gtk_drop_down_get_selected(self->kind);
  const int          level  = gtk_spin_button_get_value_as_int(self->level);
  const QfNamingKind naming = qf_preferences_get_view(self->preferences).naming;
  const uint64_t     seed   = (uint64_t)g_random_int() << 16 ^ g_random_int();
  QfError            error  = {0};

  if (self->has_drill) {
    qf_drill_clear(&self->drill);
    self->has_drill = FALSE;
  }
  end_singing(self);
  if (self->concept && qf_drill_make_on(self->concept, level, seed, naming, &self->drill, &error)) {
    g_clear_pointer(&self->concept, g_free); // No drill is about it alone
  } else if (self->concept) {
    self->has_drill = TRUE;
  }
  if (!self->concept) {
    self->has_drill = !qf_drill_make(kind, level, seed, naming, &self->drill, &error);
  }
  show_title(self);
  self->is_answered = FALSE;
  gtk_label_set_text(self->feedback, "");
  if (!self->has_drill) {
    qf_message_toast(self->toasts, error.text);
    return;
  }

  const gboolean is_typed = self->drill.form == QF_DRILL_ANSWER_PITCH;
  gtk_label_set_text(self->question, self->drill.question);
  gtk_widget_set_visible(self->typing, is_typed);
  gtk_widget_set_sensitive(self->typing, TRUE);
  gtk_editable_set_text(self->entry, "");
  show_choices(self);
  hear(self);
  if (is_typed) {
    gtk_widget_grab_focus(GTK_WIDGET(self->entry));
  } else if (gtk_widget_get_first_child(GTK_WIDGET(self->choices))) {
    gtk_widget_grab_focus(gtk_widget_get_first_child(GTK_WIDGET(self->choices)));
  }
}

/// Another kind is chosen: what was to be practised first is left
static void
kind_cb(Drills* const self)
{
  g_clear_pointer(&self->concept, g_free);
  next(self);
}

static gboolean
hear_again_cb(GtkWidget* const widget, GVariant* const arguments, gpointer data)
{
  (void)widget;
  (void)arguments;
  hear(data);
  return TRUE;
}

static GtkLabel*
new_label(GtkBox* const box, const char* const css_class)
{
  GtkWidget* const label = gtk_label_new(NULL);

  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_label_set_max_width_chars(GTK_LABEL(label), 60);
  gtk_widget_add_css_class(label, css_class);
  gtk_box_append(box, label);
  return GTK_LABEL(label);
}

static GtkWidget*
new_header(Drills* const self, const QfDrillKind kind)
{
  GtkWidget* const header                      = adw_header_bar_new();
  const char*      names[QF_DRILL_N_KINDS + 1] = {NULL};
  GtkWidget* const level = gtk_spin_button_new_with_range(1, QF_DRILL_N_LEVELS, 1);

  for (int i = 0; i < QF_DRILL_N_KINDS; ++i) {
    names[i] = qf_drill_kind_name((QfDrillKind)i);
  }
  self->kind  = GTK_DROP_DOWN(gtk_drop_down_new_from_strings(names));
  self->level = GTK_SPIN_BUTTON(level);
  gtk_drop_down_set_selected(self->kind, kind);
  gtk_widget_set_tooltip_text(level, "Level");
  gtk_accessible_update_property(GTK_ACCESSIBLE(level), GTK_ACCESSIBLE_PROPERTY_LABEL, "Level", -1);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->kind), GTK_ACCESSIBLE_PROPERTY_LABEL, "Drill",
                                 -1);
  adw_header_bar_pack_start(ADW_HEADER_BAR(header), GTK_WIDGET(self->kind));
  adw_header_bar_pack_start(ADW_HEADER_BAR(header), level);
  g_signal_connect_swapped(self->kind, "notify::selected", G_CALLBACK(kind_cb), self);
  g_signal_connect_swapped(level, "value-changed", G_CALLBACK(next), self);
  return header;
}

static GtkWidget*
new_typing(Drills* const self)
{
  GtkWidget* const box   = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 6);
  GtkWidget* const entry = gtk_entry_new();
  GtkWidget* const check = gtk_button_new_with_mnemonic("_Check");
  GtkWidget* const voice = gtk_button_new_with_mnemonic("_Sing It");

  self->entry = GTK_EDITABLE(entry);
  gtk_entry_set_placeholder_text(GTK_ENTRY(entry), "or write it: F#, 4 or fa");
  gtk_editable_set_width_chars(GTK_EDITABLE(entry), 28);
  gtk_accessible_update_property(GTK_ACCESSIBLE(entry), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Your answer", -1);
  gtk_widget_set_halign(box, GTK_ALIGN_CENTER);
  gtk_widget_set_tooltip_text(voice, "Listens for one held note in any octave; nothing is recorded "
                                     "or sent (Ctrl+Shift+T)");
  gtk_box_append(GTK_BOX(box), voice);
  gtk_box_append(GTK_BOX(box), entry);
  gtk_box_append(GTK_BOX(box), check);
  g_signal_connect_swapped(voice, "clicked", G_CALLBACK(sing), self);
  g_signal_connect_swapped(entry, "activate", G_CALLBACK(typed_cb), self);
  g_signal_connect_swapped(check, "clicked", G_CALLBACK(typed_cb), self);
  return box;
}

static GtkWidget*
new_buttons(Drills* const self)
{
  GtkWidget* const box   = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget* const again = gtk_button_new_with_mnemonic("_Hear Again");

  self->next = gtk_button_new_with_mnemonic("_Next");
  gtk_widget_add_css_class(self->next, "suggested-action");
  gtk_widget_add_css_class(self->next, "pill");
  gtk_widget_add_css_class(again, "pill");
  gtk_widget_set_tooltip_text(again, "Hear it again (Ctrl+Space)");
  gtk_widget_set_halign(box, GTK_ALIGN_CENTER);
  gtk_box_append(GTK_BOX(box), again);
  gtk_box_append(GTK_BOX(box), self->next);
  g_signal_connect_swapped(again, "clicked", G_CALLBACK(hear), self);
  g_signal_connect_swapped(self->next, "clicked", G_CALLBACK(next), self);
  return box;
}

static GtkWidget*
new_content(Drills* const self, const QfDrillKind kind)
{
  GtkWidget* const content = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget* const body    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 18);
  GtkWidget* const clamp   = adw_clamp_new();
  GtkWidget* const scroll  = gtk_scrolled_window_new();

  gtk_widget_set_margin_top(body, 30);
  gtk_widget_set_margin_bottom(body, 24);
  gtk_widget_set_margin_start(body, 18);
  gtk_widget_set_margin_end(body, 18);
  gtk_box_append(GTK_BOX(content), new_header(self, kind));
  self->question = new_label(GTK_BOX(body), "title-2");
  self->choices  = GTK_BOX(gtk_box_new(GTK_ORIENTATION_VERTICAL, 6));
  gtk_widget_set_halign(GTK_WIDGET(self->choices), GTK_ALIGN_CENTER);
  gtk_widget_set_size_request(GTK_WIDGET(self->choices), 260, -1);
  gtk_box_append(GTK_BOX(body), GTK_WIDGET(self->choices));
  self->typing = new_typing(self);
  gtk_box_append(GTK_BOX(body), self->typing);
  self->feedback = new_label(GTK_BOX(body), "body");
  gtk_box_append(GTK_BOX(body), new_buttons(self));
  self->tally = new_label(GTK_BOX(body), "dim-label");
  adw_clamp_set_child(ADW_CLAMP(clamp), body);
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scroll), clamp);
  gtk_scrolled_window_set_policy(GTK_SCROLLED_WINDOW(scroll), GTK_POLICY_NEVER,
                                 GTK_POLICY_AUTOMATIC);
  self->toasts = ADW_TOAST_OVERLAY(adw_toast_overlay_new());
  gtk_widget_set_vexpand(GTK_WIDGET(self->toasts), TRUE);
  adw_toast_overlay_set_child(self->toasts, scroll);
  gtk_box_append(GTK_BOX(content), GTK_WIDGET(self->toasts));
  self->sing = g_object_new(QF_TYPE_SING_STRIP, "visible", FALSE, NULL);
  gtk_box_append(GTK_BOX(content), GTK_WIDGET(self->sing));
  g_signal_connect_swapped(self->sing, "held", G_CALLBACK(held_cb), self);
  g_signal_connect_swapped(self->sing, "closed", G_CALLBACK(end_singing), self);
  return content;
}

void
qf_drill_window_present(GtkApplication* const application,
                        GtkWindow* const      parent,
                        QfPreferences* const  preferences,
                        const QfDrillKind     kind,
                        const char* const concept)
{
  Drills* const    self   = g_new0(Drills, 1);
  GtkWidget* const window = adw_window_new();

  self->window      = GTK_WINDOW(window);
  self->preferences = g_object_ref(preferences);
  self->concept     = g_strdup(concept);
  self->player      = qf_new_player(preferences, (QfKey){{0, 0}, QF_MAJOR});
  adw_window_set_content(ADW_WINDOW(window), new_content(self, kind));
  qf_keys_add(window, GDK_KEY_space, GDK_CONTROL_MASK, hear_again_cb, self);
  qf_keys_add(window, GDK_KEY_t, GDK_CONTROL_MASK | GDK_SHIFT_MASK, sing_cb, self);
  qf_keys_close_by_escape(window);
  gtk_window_set_transient_for(self->window, parent);
  gtk_window_set_application(self->window, application);
  gtk_window_set_default_size(self->window, 640, 600);
  g_object_set_data_full(G_OBJECT(window), "drills", self, (GDestroyNotify)drills_free);
  show_tally(self);
  next(self);
  qf_name_buttons(GTK_WIDGET(self->window));
  gtk_window_present(self->window);
}
