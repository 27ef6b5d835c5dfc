// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include <string.h>

static const char* const show_actions[QF_N_SHOWS] = {"show-quality", "show-symbol", "show-figures",
                                                     "show-solfege", "show-degrees"};

/// Names of a choice's values, in the order of their enum
static const char* const solfege_names[]    = {"do-minor", "la-minor", "fixed", NULL};
static const char* const naming_names[]     = {"english", "german", "romance", NULL};
static const char* const appearance_names[] = {"system", "light", "dark", NULL};

static int
index_of(const char* const* const names, GVariant* const value)
{
  const char* const wanted = g_variant_get_string(value, NULL);
  for (int i = 0; names[i]; ++i) {
    if (g_str_equal(names[i], wanted)) {
      return i;
    }
  }

  return 0;
}

static void
set_view(QfWindow* const self, const QfViewSettings view)
{
  qf_preferences_set_view(self->preferences, view);
  qf_lesson_item_set_naming(self->item, view.naming);
  qf_window_refresh(self);
  qf_passage_view_fit(self->passage);
}

static void
show_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const   self = data;
  const char* const name = g_action_get_name(G_ACTION(action));
  QfViewSettings    view = qf_preferences_get_view(self->preferences);

  for (unsigned i = 0; i < QF_N_SHOWS; ++i) {
    if (g_str_equal(show_actions[i], name)) {
      view.rows = g_variant_get_boolean(state) ? view.rows | (1U << i) : view.rows & ~(1U << i);
    }
  }

  g_simple_action_set_state(action, state);
  set_view(self, view);
}

static void
solfege_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self = data;
  QfViewSettings  view = qf_preferences_get_view(self->preferences);

  view.solfege = (QfSolfegeKind)index_of(solfege_names, state);
  g_simple_action_set_state(action, state);
  set_view(self, view);
}

static void
naming_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self = data;
  QfViewSettings  view = qf_preferences_get_view(self->preferences);

  view.naming = (QfNamingKind)index_of(naming_names, state);
  g_simple_action_set_state(action, state);
  set_view(self, view);
}

static void
courtesy_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self = data;
  QfViewSettings  view = qf_preferences_get_view(self->preferences);

  view.has_courtesy = g_variant_get_boolean(state);
  g_simple_action_set_state(action, state);
  set_view(self, view);
}

static void
foreign_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self = data;
  QfViewSettings  view = qf_preferences_get_view(self->preferences);

  view.has_foreign_signs = g_variant_get_boolean(state);
  g_simple_action_set_state(action, state);
  set_view(self, view);
}

static void
audition_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self = data;

  g_simple_action_set_state(action, state);
  qf_preferences_set_switch(self->preferences, "audition", g_variant_get_boolean(state));
}

static void
side_pane_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self = data;

  g_simple_action_set_state(action, state);
  adw_flap_set_reveal_flap(self->flap, g_variant_get_boolean(state));
  if (!adw_flap_get_folded(self->flap)) {
    qf_preferences_set_switch(self->preferences, "side-pane", g_variant_get_boolean(state));
  }
}

/// The flap also opens and closes by itself when it folds
static void
flap_cb(QfWindow* const self)
{
  qf_window_set_state(self, "side-pane",
                      g_variant_new_boolean(adw_flap_get_reveal_flap(self->flap)));
}

static void
apply_appearance(const int choice)
{
  static const AdwColorScheme schemes[] = {ADW_COLOR_SCHEME_DEFAULT, ADW_COLOR_SCHEME_FORCE_LIGHT,
                                           ADW_COLOR_SCHEME_FORCE_DARK};
  adw_style_manager_set_color_scheme(adw_style_manager_get_default(), schemes[choice]);
}

static void
appearance_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self   = data;
  const int       choice = index_of(appearance_names, state);

  g_simple_action_set_state(action, state);
  qf_preferences_set_switch(self->preferences, "light", choice == 1);
  qf_preferences_set_switch(self->preferences, "dark", choice == 2);
  apply_appearance(choice);
}

/// By the action's name: a factor, or 0 to fit the window again
static void
zoom_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const   self   = data;
  const char* const name   = g_action_get_name(G_ACTION(action));
  QfViewSettings    view   = qf_preferences_get_view(self->preferences);
  const double      factor = g_str_equal(name, "zoom-in")    ? 1.15
                             : g_str_equal(name, "zoom-out") ? 1.0 / 1.15
                                                             : 0.0;

  (void)parameter;
  view.zoom = factor > 0.0 ? CLAMP(view.zoom * factor, 0.5, 3.0) : 1.0;
  set_view(self, view);
}

static void
close_notice_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  gtk_revealer_set_reveal_child(self->notice, FALSE);
}

static int
saved_appearance(const QfPreferences* const preferences)
{
  return qf_preferences_get_switch(preferences, "light", FALSE)  ? 1
         : qf_preferences_get_switch(preferences, "dark", FALSE) ? 2
                                                                 : 0;
}

static void
set_first_states(QfWindow* const self)
{
  const QfPreferences* const preferences = self->preferences;
  const QfViewSettings       view        = qf_preferences_get_view(preferences);
  const gboolean             has_side   = qf_preferences_get_switch(preferences, "side-pane", TRUE);
  const int                  appearance = saved_appearance(preferences);

  for (unsigned i = 0; i < QF_N_SHOWS; ++i) {
    qf_window_set_state(self, show_actions[i], g_variant_new_boolean((view.rows & (1U << i)) != 0));
  }
  qf_window_set_state(self, "solfege", g_variant_new_string(solfege_names[view.solfege]));
  qf_lesson_item_set_naming(self->item, view.naming);
  qf_window_set_state(self, "naming", g_variant_new_string(naming_names[view.naming]));
  qf_window_set_state(self, "courtesy", g_variant_new_boolean(view.has_courtesy));
  qf_window_set_state(self, "show-foreign", g_variant_new_boolean(view.has_foreign_signs));
  qf_window_set_state(
    self, "audition",
    g_variant_new_boolean(qf_preferences_get_switch(preferences, "audition", TRUE)));
  qf_window_set_state(self, "side-pane", g_variant_new_boolean(has_side));
  qf_window_set_state(self, "appearance", g_variant_new_string(appearance_names[appearance]));
  adw_flap_set_reveal_flap(self->flap, has_side);
  if (appearance) {
    apply_appearance(appearance);
  }
}

void
qf_window_add_view_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "show-quality", .change_state = show_cb, .state = "false"},
    {.name = "show-symbol", .change_state = show_cb, .state = "false"},
    {.name = "show-figures", .change_state = show_cb, .state = "false"},
    {.name = "show-solfege", .change_state = show_cb, .state = "false"},
    {.name = "show-degrees", .change_state = show_cb, .state = "false"},
    {.name = "solfege", .change_state = solfege_cb, .parameter_type = "s", .state = "'do-minor'"},
    {.name = "naming", .change_state = naming_cb, .parameter_type = "s", .state = "'english'"},
    {.name = "courtesy", .change_state = courtesy_cb, .state = "false"},
    {.name = "show-foreign", .change_state = foreign_cb, .state = "true"},
    {.name = "audition", .change_state = audition_cb, .state = "true"},
    {.name = "side-pane", .change_state = side_pane_cb, .state = "true"},
    {.name           = "appearance",
     .change_state   = appearance_cb,
     .parameter_type = "s",
     .state          = "'system'"},
    {.name = "zoom-in", .activate = zoom_cb},
    {.name = "zoom-out", .activate = zoom_cb},
    {.name = "zoom-reset", .activate = zoom_cb},
    {.name = "close-notice", .activate = close_notice_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  set_first_states(self);
  g_signal_connect_object(self->flap, "notify::reveal-flap", G_CALLBACK(flap_cb), self,
                          G_CONNECT_SWAPPED);
  g_signal_connect_object(self->preferences, "changed", G_CALLBACK(qf_window_fill_recent), self,
                          G_CONNECT_SWAPPED);
}
