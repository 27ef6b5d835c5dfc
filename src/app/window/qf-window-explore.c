// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "quintfall/explore.h"

enum {
  EXPLORE_DELAY_MS = 120, ///< So that a caret on its way does not explore every link
};

static const char* const explore_page = "explore";

static const QfLabels*
labels_of(const QfWindow* const self)
{
  return qf_lesson_item_get_labels(self->item);
}

static gboolean
is_page_shown(const QfWindow* const self)
{
  return g_strcmp0(gtk_stack_get_visible_child_name(self->side_stack), explore_page) == 0 &&
         adw_flap_get_reveal_flap(self->flap);
}

static QfLink
link_of(const QfLabel* const label)
{
  return (QfLink){label->key, label->numeral, label->start, qf_time_sub(label->end, label->start)};
}

/// What sounds in the four voices right up to a time; false unless there are four that do
static gboolean
find_voicing_before(const QfScore* const score, const QfTime time, QfVoicing* const voicing)
{
  static const QfTime moment = {1, 1000000};
  const QfTime        before = qf_time_sub(time, moment);

  for (size_t v = 0; v < QF_SATB && qf_score_n_voices(score) == QF_SATB; ++v) {
    const QfNote* const note = qf_score_note_at(score, v, before);
    if (!note) {
      return FALSE;
    }
    voicing->pitch[v] = note->pitch;
  }
  return qf_score_n_voices(score) == QF_SATB;
}

static gboolean
find_voicing_at(const QfScore* const score, const QfTime time, QfVoicing* const voicing)
{
  for (size_t v = 0; v < QF_SATB && qf_score_n_voices(score) == QF_SATB; ++v) {
    const QfNote* const note = qf_score_note_at(score, v, time);
    if (!note) {
      return FALSE;
    }
    voicing->pitch[v] = note->pitch;
  }
  return qf_score_n_voices(score) == QF_SATB;
}

/// The link that begins where another ends, or NULL
static const QfLabel*
label_after(const QfLabels* const labels, const size_t index)
{
  const QfLabel* const label = qf_labels_get_link(labels, index);
  const QfLabel* const next =
    index + 1U < qf_labels_n_links(labels) ? qf_labels_get_link(labels, index + 1U) : NULL;
  return next && !qf_time_compare(next->start, label->end) ? next : NULL;
}

/// Where a continuation of a link is written: over the next link, or into the rest that follows
static QfLink
place_after(const QfWindow* const self, const size_t index)
{
  const QfLabels* const labels = labels_of(self);
  const QfLabel* const  here   = qf_labels_get_link(labels, index);
  QfLink                link   = link_of(here);

  link.start = here->end;
  if (index + 1U < qf_labels_n_links(labels)) {
    const QfLabel* const next = qf_labels_get_link(labels, index + 1U);
    const QfTime         gap  = qf_time_sub(next->start, here->end);
    link.duration =
      gap.num <= 0 ? qf_time_sub(next->end, next->start) : qf_time_min(link.duration, gap);
  }
  return link;
}

/// The notes that are given where a link is to be written, the first of each voice
static size_t
find_given(const QfWindow* const self, const QfLink link, QfKept kept[QF_SATB])
{
  const QfScore* const  score  = qf_lesson_item_get_score(self->item);
  const QfLesson* const lesson = qf_lesson_item_get_lesson(self->item);
  const QfTime          end    = qf_time_add(link.start, link.duration);
  size_t                n_kept = 0;

  for (size_t v = 0; v < MIN(qf_score_n_voices(score), (size_t)QF_SATB); ++v) {
    bool is_found = false;
    for (size_t i = 0; i < qf_score_n_notes(score, v) && !is_found; ++i) {
      const QfNote* const note = qf_score_get_note(score, v, i);
      if (qf_time_compare(note->start, end) < 0 &&
          qf_time_compare(qf_time_add(note->start, note->duration), link.start) > 0 &&
          qf_lesson_is_given(lesson, note->id)) {
        kept[n_kept++] = (QfKept){.voice = v, .pitch = note->pitch};
        is_found       = true;
      }
    }
  }
  return n_kept;
}

/// Explore from a link of the passage
static QfStatus
explore_from(const QfWindow* const  self,
             const size_t           index,
             QfContinuations* const found,
             QfError* const         error)
{
  const QfScore* const score         = qf_lesson_item_get_score(self->item);
  const QfLabel* const here          = qf_labels_get_link(labels_of(self), index);
  const QfLabel* const next          = label_after(labels_of(self), index);
  const QfLabel* const after         = next ? label_after(labels_of(self), index + 1U) : NULL;
  const QfLink         next_link     = next ? link_of(next) : (QfLink){0};
  const QfLink         after_link    = after ? link_of(after) : (QfLink){0};
  QfVoicing            voicing       = {0};
  QfVoicing            after_voicing = {0};
  const gboolean       has_voicing   = find_voicing_before(score, here->end, &voicing);
  const gboolean       has_after =
    after && after->is_known && find_voicing_at(score, after->start, &after_voicing);
  QfKept              kept[QF_SATB] = {{0}};
  const size_t        n_kept        = find_given(self, place_after(self, index), kept);
  const QfProfile     profile       = qf_preferences_get_profile(self->preferences);
  const QfNamingKind  naming        = qf_preferences_get_view(self->preferences).naming;
  const QfExploreFrom from          = {.link          = link_of(here),
                                       .kept          = kept,
                                       .n_kept        = n_kept,
                                       .voicing       = has_voicing ? &voicing : NULL,
                                       .next          = next && next->is_known ? &next_link : NULL,
                                       .after         = has_after ? &after_link : NULL,
                                       .after_voicing = has_after ? &after_voicing : NULL,
                                       .profile       = profile,
                                       .naming        = naming};

  return qf_explore(&from, found, error);
}

/// The link at the caret if it has a name, or SIZE_MAX with the reason
static size_t
link_to_explore(const QfWindow* const self, const char** const why)
{
  const size_t index = qf_window_get_link(self);

  *why = "Go to a chord first; what could follow it appears here.";
  if (index == SIZE_MAX) {
    return SIZE_MAX;
  }
  *why = "No chord could be named here, so that nothing can be said of what could follow.";
  return qf_labels_get_link(labels_of(self), index)->is_known ? index : SIZE_MAX;
}

static gboolean
has_focus_inside(QfWindow* const self)
{
  GtkWidget* const focus = gtk_window_get_focus(GTK_WINDOW(self));
  return focus && gtk_widget_is_ancestor(focus, GTK_WIDGET(self->explore));
}

static void
explore_now(QfWindow* const self)
{
  const char*     why   = NULL;
  const size_t    index = link_to_explore(self, &why);
  const gboolean  has   = has_focus_inside(self);
  QfContinuations found = {0};
  QfError         error = {0};

  g_clear_handle_id(&self->explore_timeout, g_source_remove);
  if (index == SIZE_MAX) {
    qf_explore_pane_clear(self->explore, why);
  } else if (explore_from(self, index, &found, &error)) {
    qf_explore_pane_clear(self->explore, error.text);
  } else {
    const QfLink link = link_of(qf_labels_get_link(labels_of(self), index));
    qf_explore_pane_take(self->explore, &found, &link,
                         qf_preferences_get_view(self->preferences).naming);
  }
  qf_window_set_enabled(self, "hear-continuation",
                        qf_explore_pane_get_chosen(self->explore) != NULL);
  qf_window_set_enabled(self, "take-continuation",
                        qf_explore_pane_get_chosen(self->explore) != NULL);
  if (has) {
    qf_explore_pane_focus(self->explore);
  }
}

static gboolean
explore_cb(gpointer data)
{
  QfWindow* const self = data;

  self->explore_timeout = 0;
  explore_now(self);
  return G_SOURCE_REMOVE;
}

void
qf_window_explore_later(QfWindow* const self)
{
  g_clear_handle_id(&self->explore_timeout, g_source_remove);
  if (is_page_shown(self)) {
    self->explore_timeout = g_timeout_add(EXPLORE_DELAY_MS, explore_cb, self);
  }
}

static void
hear_chosen(QfWindow* const self)
{
  const QfContinuation* const item = qf_explore_pane_get_chosen(self->explore);

  if (item) {
    const QfVoicing voicings[] = {*qf_explore_pane_get_start(self->explore), item->voicing};
    qf_window_sound_voicings(self, voicings, G_N_ELEMENTS(voicings));
  }
}

static void
take_chosen(QfWindow* const self)
{
  const QfContinuation* const item  = qf_explore_pane_get_chosen(self->explore);
  const char*                 why   = NULL;
  const size_t                index = link_to_explore(self, &why);
  QfError                     error = {0};

  if (!item || index == SIZE_MAX || self->explore_timeout) {
    return; // What is shown is not of this link any more
  }

  if (!item->has_kept) {
    qf_window_toast(self, "This chord does not fit the notes that are given there, and these stay");
    return;
  }

  QfLesson* const lesson = qf_lesson_item_get_lesson(self->item);
  QfLink          link   = place_after(self, index);
  link.numeral           = item->numeral;
  const QfStatus st      = qf_lesson_place_voicings(lesson, &link, &item->voicing, 1, 0, &error);
  if (qf_lesson_item_finish(self->item, st, &error)) {
    qf_window_set_caret(self, self->caret.voice, link.start);
  }
}

static void
show_page(QfWindow* const self)
{
  gtk_stack_set_visible_child_name(self->side_stack, explore_page);
  adw_flap_set_reveal_flap(self->flap, TRUE);
}

static void
explore_action_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  show_page(self);
  explore_now(self);
  qf_explore_pane_focus(self->explore);
  hear_chosen(self);
}

static void
hear_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  hear_chosen(data);
}

static void
take_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  take_chosen(data);
}

static void
leave_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  gtk_widget_grab_focus(GTK_WIDGET(qf_passage_view_get_score_view(self->passage)));
}

void
qf_window_add_explore_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "explore", .activate = explore_action_cb},
    {.name = "hear-continuation", .activate = hear_cb},
    {.name = "take-continuation", .activate = take_cb},
    {.name = "leave-pane", .activate = leave_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(self->explore, "chosen", G_CALLBACK(hear_chosen), self,
                          G_CONNECT_SWAPPED);
  g_signal_connect_object(self->explore, "taken", G_CALLBACK(take_chosen), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(self->side_stack, "notify::visible-child",
                          G_CALLBACK(qf_window_explore_later), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(self->flap, "notify::reveal-flap", G_CALLBACK(qf_window_explore_later),
                          self, G_CONNECT_SWAPPED);
}
