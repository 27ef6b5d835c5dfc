// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "page/qf-note-mark.h"

#include <string.h>

static const QfScore*
score_of(const QfWindow* const self)
{
  return qf_lesson_item_get_score(self->item);
}

/// The links from the selection's anchor to the caret; false if there are none
gboolean
qf_window_find_links(const QfWindow* const self, size_t* const first, size_t* const last)
{
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  const size_t          here   = qf_window_get_link(self);
  const size_t there = labels && self->has_anchor ? qf_labels_link_at(labels, self->anchor) : here;

  if (here == SIZE_MAX && there == SIZE_MAX) {
    return FALSE;
  }
  *first = MIN(here, there);
  *last  = here == SIZE_MAX ? there : there == SIZE_MAX ? here : MAX(here, there);
  return TRUE;
}

static void
say_kept(const QfWindow* const self, GString* const text)
{
  gboolean has_any = FALSE;

  for (size_t v = 0; v < qf_score_n_voices(score_of(self)); ++v) {
    if (self->kept_voices >> v & 1U) {
      const char* const name = qf_score_get_voice(score_of(self), v)->name;
      g_string_append_printf(text, "%s%s", has_any ? ", " : "; keeping ", name[0] ? name : "voice");
      has_any = TRUE;
    }
  }
}

gboolean
qf_window_get_selection(const QfWindow* const self, QfTime* const start, QfTime* const end)
{
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  size_t                first  = 0;
  size_t                last   = 0;

  if (!self->has_anchor || !qf_window_find_links(self, &first, &last)) {
    return FALSE;
  }
  *start = qf_labels_get_link(labels, first)->start;
  *end   = qf_labels_get_link(labels, last)->end;
  return TRUE;
}

void
qf_window_show_selection(QfWindow* const self)
{
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  size_t                first  = SIZE_MAX;
  size_t                last   = SIZE_MAX;
  g_autoptr(GString) text      = g_string_new("No chord is selected");

  if (qf_window_find_links(self, &first, &last)) {
    char         place[64];
    const size_t n = last - first + 1U;
    qf_place_speak(score_of(self), qf_labels_get_link(labels, first)->start, place, sizeof(place));
    place[0] = g_ascii_tolower(place[0]);
    g_string_printf(text, "%zu chord%s from %s", n, n == 1 ? "" : "s", place);
  }
  say_kept(self, text);
  qf_realise_bar_set_span(self->realise_bar, text->str);
  qf_passage_view_set_selection(self->passage, self->has_anchor ? first : SIZE_MAX, last);
}

void
qf_window_extend_selection(QfWindow* const self, const size_t link)
{
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  const QfTime          anchor = self->has_anchor ? self->anchor : self->caret.time;

  if (labels && link < qf_labels_n_links(labels)) {
    qf_window_set_caret(self, self->caret.voice, qf_labels_get_link(labels, link)->start);
    self->anchor     = anchor;
    self->has_anchor = TRUE;
    qf_window_show_selection(self);

    QfChainView* const chain = qf_passage_view_get_chain_view(self->passage);
    if (gtk_widget_get_state_flags(GTK_WIDGET(chain)) & GTK_STATE_FLAG_FOCUS_WITHIN) {
      qf_chain_view_focus_current(chain); // The arrow keys go on from there
    }
  }
}

static void
select_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const       self   = data;
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  const size_t          n      = labels ? qf_labels_n_links(labels) : 0;
  const size_t          here   = qf_window_get_link(self);
  const bool            is_on  = g_str_equal(g_action_get_name(G_ACTION(action)), "select-right");

  (void)parameter;
  if (here == SIZE_MAX) {
    qf_window_extend_selection(self, is_on ? 0 : n - 1U);
  } else if (is_on ? here + 1U < n : here > 0) {
    qf_window_extend_selection(self, is_on ? here + 1U : here - 1U);
  }
}

static void
select_all_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const       self   = data;
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);

  (void)action;
  (void)parameter;
  if (labels && qf_labels_n_links(labels)) {
    qf_window_set_caret(self, self->caret.voice, qf_labels_get_link(labels, 0)->start);
    qf_window_extend_selection(self, qf_labels_n_links(labels) - 1U);
  }
}

/// "Best of 64 ways", "2nd of 64 ways, costs 3 more than the best"
static char*
dup_way(const size_t nth, const QfWays* const ways)
{
  static const char* const endings[] = {"th", "st", "nd", "rd"};
  const size_t             number    = nth + 1U;
  const gboolean           is_teen   = number % 100U / 10U == 1U;
  const char* const        ending    = endings[!is_teen && number % 10U < 4U ? number % 10U : 0];
  g_autofree char* ordinal = nth ? g_strdup_printf("%zu%s", number, ending) : g_strdup("Best");
  const gboolean   is_full = ways->n_ways == QF_WRITING_MAX_BEST;
  const int        more    = ways->cost - ways->least_cost;
  g_autofree char* cost    = more ? g_strdup_printf(", costs %d more than the best", more)
                                  : g_strdup(nth ? ", as good as the best" : "");

  return ways->n_ways == 1 ? g_strdup("The only way")
                           : g_strdup_printf("%s of %s%zu ways%s", ordinal,
                                             is_full ? "the first " : "", ways->n_ways, cost);
}

/// Say which way it is and what part-writing has to remark on it
static void
tell_way(QfWindow* const self, const QfWays* const ways)
{
  g_autofree char* way  = dup_way(self->nth_way, ways);
  g_autofree char* text = g_strdup_printf("%s%s%s", way, self->way_found ? "; " : "",
                                          self->way_found ? self->way_found : "");
  qf_realise_bar_set_way(self->realise_bar, text);
  qf_window_toast(self, text);
}

/// Remarks on the links that were written, in words (transfer full), or NULL
static char*
dup_remarks(const QfWindow* const self, const QfTime start, const QfTime end)
{
  const QfLabels* const labels  = qf_lesson_item_get_labels(self->item);
  QfFindings            all     = {0};
  QfFindings            within  = {0};
  const QfProfile       profile = qf_preferences_get_profile(self->preferences);
  char*                 text    = NULL;

  if (!labels || qf_check(score_of(self), labels, profile, &all, NULL)) {
    return NULL;
  }
  within.findings = g_new0(QfFinding, all.n_findings + 1U);
  for (size_t i = 0; i < all.n_findings; ++i) {
    const QfFinding* const finding = &all.findings[i];
    if (qf_time_compare(finding->to, start) >= 0 && qf_time_compare(finding->from, end) < 0) {
      within.findings[within.n_findings++] = *finding;
    }
  }
  text = within.n_findings ? qf_findings_describe(&within) : g_strdup("no remark on it");
  g_free(within.findings);
  qf_findings_clear(&all);
  return text;
}

/// True if the lesson is as the last writing left it
static gboolean
goes_on(const QfWindow* const self)
{
  return self->way_revision &&
         self->way_revision == qf_lesson_get_revision(qf_lesson_item_get_lesson(self->item));
}

/// Write the selection in the Nth best way; it takes the place of the way before it
static void
realise(QfWindow* const self, const size_t nth)
{
  QfLesson* const lesson = qf_lesson_item_get_lesson(self->item);
  const QfTime    caret  = self->caret.time;
  const gboolean  had    = self->has_anchor;
  const gboolean  is_on  = goes_on(self);
  size_t          first  = 0;
  size_t          last   = 0;
  QfWays          ways   = {0};
  QfError         error  = {0};

  if (!is_on) {
    if (!qf_window_find_links(self, &first, &last)) {
      qf_window_toast(self, "There is no chord at the caret to write anew");
      return;
    }
    const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
    self->way_start              = qf_labels_get_link(labels, first)->start;
    self->way_end                = qf_labels_get_link(labels, last)->end;
  }

  // One step of undo, however many ways are tried.
  const gboolean        is_undone = is_on && !qf_lesson_undo(lesson);
  const QfRealiseWishes wishes    = {.profile     = qf_preferences_get_profile(self->preferences),
                                     .kept_voices = self->kept_voices,
                                     .nth         = nth};
  const QfStatus        st =
    qf_lesson_realise_span(lesson, self->way_start, self->way_end, wishes, &ways, &error);
  if (st && is_undone) {
    qf_lesson_redo(lesson);
  }
  if (st) {
    const gboolean is_end = is_on && st == QF_ERR_RANGE;
    qf_window_toast(self, is_end ? "There is no further way" : error.text);
    self->way_revision = is_undone ? qf_lesson_get_revision(lesson) : 0;
    return;
  }

  const QfTime anchor = self->anchor;
  self->nth_way       = nth;
  self->way_revision  = qf_lesson_get_revision(lesson);
  qf_lesson_item_finish(self->item, QF_OK, NULL);
  qf_window_set_caret(self, self->caret.voice, caret);
  self->anchor     = anchor;
  self->has_anchor = had;
  qf_window_show_selection(self);
  g_clear_pointer(&self->way_found, g_free);
  self->way_found = dup_remarks(self, self->way_start, self->way_end);
  tell_way(self, &ways);
}

static void
realise_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  self->way_revision = 0;
  realise(self, 0);
}

static void
next_way_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  realise(self, goes_on(self) ? self->nth_way + 1U : 0);
}

static void
previous_way_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  if (!goes_on(self) || !self->nth_way) {
    qf_window_toast(self, goes_on(self) ? "This is the best way already"
                                        : "Write the selection anew first (Ctrl+R)");
    return;
  }
  realise(self, self->nth_way - 1U);
}

static void
keep_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self  = data;
  const char*     name  = g_action_get_name(G_ACTION(action));
  const unsigned  voice = (unsigned)(name[strlen(name) - 1U] - '0');
  const uint32_t  bit   = UINT32_C(1) << voice;

  g_simple_action_set_state(action, state);
  self->kept_voices =
    g_variant_get_boolean(state) ? self->kept_voices | bit : self->kept_voices & ~bit;
  self->way_revision = 0;

  const gboolean had    = self->has_anchor;
  const QfTime   anchor = self->anchor;
  qf_window_set_caret(self, self->caret.voice, self->caret.time);
  self->has_anchor = had;
  self->anchor     = anchor;
  qf_window_show_selection(self);
}

/// Keep the caret's voice, or let it go
static void
keep_here_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const  self = data;
  g_autofree char* name = g_strdup_printf("keep-voice-%zu", self->caret.voice);

  (void)action;
  (void)parameter;
  if (self->caret.voice >= QF_MAX_KEEPS) {
    qf_window_toast(self, "Only the voices of a lesson in three to five parts can be kept");
    return;
  }
  g_action_group_activate_action(G_ACTION_GROUP(self), name, NULL);
  const bool        is_kept = self->kept_voices >> self->caret.voice & 1U;
  const char* const called  = qf_score_get_voice(score_of(self), self->caret.voice)->name;
  g_autofree char*  text    = g_strdup_printf("%s %s", called[0] ? called : "The voice",
                                          is_kept ? "is kept" : "is written anew");
  qf_window_toast(self, text);
}

void
qf_window_reset_ways(QfWindow* const self)
{
  for (int v = 0; v < QF_MAX_KEEPS; ++v) {
    g_autofree char* name = g_strdup_printf("keep-voice-%d", v);
    qf_window_set_state(self, name, g_variant_new_boolean(FALSE));
  }
  self->kept_voices  = 0;
  self->way_revision = 0;
  self->has_anchor   = FALSE;
  qf_realise_bar_set_way(self->realise_bar, "");
}

void
qf_window_show_voices(QfWindow* const self)
{
  qf_realise_bar_set_voices(self->realise_bar, score_of(self));
  if (!goes_on(self)) {
    qf_realise_bar_set_way(self->realise_bar, "");
  }
}

void
qf_window_add_realise_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "select-left", .activate = select_cb},
    {.name = "select-right", .activate = select_cb},
    {.name = "select-all", .activate = select_all_cb},
    {.name = "realise", .activate = realise_cb},
    {.name = "next-way", .activate = next_way_cb},
    {.name = "previous-way", .activate = previous_way_cb},
    {.name = "keep-voice", .activate = keep_here_cb},
    {.name = "keep-voice-0", .change_state = keep_cb, .state = "false"},
    {.name = "keep-voice-1", .change_state = keep_cb, .state = "false"},
    {.name = "keep-voice-2", .change_state = keep_cb, .state = "false"},
    {.name = "keep-voice-3", .change_state = keep_cb, .state = "false"},
    {.name = "keep-voice-4", .change_state = keep_cb, .state = "false"},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
