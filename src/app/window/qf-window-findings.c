// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "page/qf-note-mark.h"

#include <string.h>

enum {
  CHECK_DELAY_MS = 120, ///< So that a run of edits is checked once, after its last
};

static const char* const findings_page = "findings";

static const QfScore*
score_of(const QfWindow* const self)
{
  return qf_lesson_item_get_score(self->item);
}

static gboolean
is_page_shown(const QfWindow* const self)
{
  return g_strcmp0(gtk_stack_get_visible_child_name(self->side_stack), findings_page) == 0;
}

/// Rings around the notes of all findings, the chosen one's last so that they stay on top
static void
show_rings(QfWindow* const self)
{
  GArray* const rings = g_array_new(FALSE, FALSE, sizeof(QfNoteRing));

  for (size_t pass = 0; pass < 2 && is_page_shown(self); ++pass) {
    for (size_t i = 0; i < self->findings.n_findings; ++i) {
      const QfFinding* const finding   = &self->findings.findings[i];
      const gboolean         is_chosen = i == self->chosen_finding;
      for (size_t n = 0; n < finding->n_notes && is_chosen == (pass == 1); ++n) {
        const QfNoteRing ring = {finding->notes[n], finding->from, finding->to, finding->severity,
                                 is_chosen};
        g_array_append_val(rings, ring);
      }
    }
  }

  qf_score_view_take_rings(qf_passage_view_get_score_view(self->passage), rings);
}

static void
show_count(QfWindow* const self)
{
  GtkWidget* const    child = gtk_stack_get_child_by_name(self->side_stack, findings_page);
  GtkStackPage* const page  = gtk_stack_get_page(self->side_stack, child);
  g_autofree char*    title = self->findings.n_findings
                                ? g_strdup_printf("Findings (%zu)", self->findings.n_findings)
                                : g_strdup("Findings");
  gtk_stack_page_set_title(page, title);
}

static void
show_list(QfWindow* const self)
{
  g_autoptr(GPtrArray) places = g_ptr_array_new_with_free_func(g_free);

  for (size_t i = 0; i < self->findings.n_findings; ++i) {
    char* const place = g_malloc0(64);
    qf_place_speak(score_of(self), self->findings.findings[i].to, place, 64);
    g_ptr_array_add(places, place);
  }

  qf_findings_pane_show(self->findings_pane, &self->findings, (const char* const*)places->pdata,
                        self->chosen_finding);
}

/// The finding that says of the same notes what one said before, or SIZE_MAX
static size_t
find_again(const QfFindings* const findings, const QfFinding* const wanted)
{
  for (size_t i = 0; i < findings->n_findings; ++i) {
    const QfFinding* const finding = &findings->findings[i];
    if (finding->rule == wanted->rule && finding->n_notes == wanted->n_notes &&
        !memcmp(finding->notes, wanted->notes, wanted->n_notes * sizeof(wanted->notes[0]))) {
      return i;
    }
  }

  return SIZE_MAX;
}

/// True if two lists would be shown alike
static bool
read_alike(const QfFindings* const a, const QfFindings* const b)
{
  bool are_alike = a->n_findings == b->n_findings;

  for (size_t i = 0; i < a->n_findings && are_alike; ++i) {
    const QfFinding* const one   = &a->findings[i];
    const QfFinding* const other = &b->findings[i];
    are_alike                    = one->rule == other->rule && one->severity == other->severity &&
                !qf_time_compare(one->to, other->to) && !strcmp(one->text, other->text);
  }

  return are_alike;
}

static void
check_now(QfWindow* const self)
{
  const QfLabels* const labels  = qf_lesson_item_get_labels(self->item);
  const QfProfile       profile = qf_preferences_get_profile(self->preferences);
  QfFindings            fresh   = {0};

  g_clear_handle_id(&self->check_timeout, g_source_remove);
  if (labels && qf_check(score_of(self), labels, profile, &fresh, NULL)) {
    return; // Out of memory: what was found before stays
  }

  const bool is_news = !read_alike(&self->findings, &fresh);

  self->chosen_finding = self->chosen_finding < self->findings.n_findings
                           ? find_again(&fresh, &self->findings.findings[self->chosen_finding])
                           : SIZE_MAX;
  qf_findings_clear(&self->findings);
  self->findings = fresh;
  show_count(self);
  show_rings(self);
  if (is_page_shown(self) && is_news) {
    show_list(self);
  }
}

static gboolean
check_cb(gpointer data)
{
  QfWindow* const self = data;

  self->check_timeout = 0;
  check_now(self);
  return G_SOURCE_REMOVE;
}

void
qf_window_check_later(QfWindow* const self)
{
  g_clear_handle_id(&self->check_timeout, g_source_remove);
  self->check_timeout = g_timeout_add(CHECK_DELAY_MS, check_cb, self);
}

static void
show_page(QfWindow* const self)
{
  gtk_stack_set_visible_child_name(self->side_stack, findings_page);
  adw_flap_set_reveal_flap(self->flap, TRUE);
}

static void
page_cb(QfWindow* const self)
{
  show_rings(self);
  if (is_page_shown(self)) {
    show_list(self);
  }
}

static void
choose(QfWindow* const self, const size_t index)
{
  if (index >= self->findings.n_findings) {
    return;
  }

  const QfFinding* const finding = &self->findings.findings[index];
  self->chosen_finding           = index;
  show_rings(self);
  qf_findings_pane_choose(self->findings_pane, &self->findings, index);
  qf_window_set_caret(self, finding->n_voices ? finding->voices[0] : self->caret.voice,
                      finding->to);
}

static void
chosen_cb(QfWindow* const self, const guint index)
{
  choose(self, index);
}

/// The finding to begin with: the first at the caret or after it, else the first
static size_t
first_from_caret(const QfWindow* const self)
{
  for (size_t i = 0; i < self->findings.n_findings; ++i) {
    if (qf_time_compare(self->findings.findings[i].to, self->caret.time) >= 0) {
      return i;
    }
  }

  return 0;
}

static void
step_finding_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self  = data;
  const bool      is_on = g_str_equal(g_action_get_name(G_ACTION(action)), "next-finding");

  (void)parameter;
  if (self->check_timeout) {
    check_now(self);
  }
  show_page(self);

  const size_t n = self->findings.n_findings;
  if (!n) {
    qf_window_toast(self, "Nothing was found in the part-writing");
  } else if (self->chosen_finding >= n) {
    choose(self, first_from_caret(self));
  } else {
    choose(self, (self->chosen_finding + (is_on ? 1 : n - 1)) % n);
  }
}

/// "Alto to G4, bass to C3"
static char*
describe_mend(const QfWindow* const self, const QfMend* const mend)
{
  const QfNamingKind naming = qf_preferences_get_view(self->preferences).naming;
  GString* const     text   = g_string_new("Mended: ");

  for (size_t i = 0; i < mend->n_changes; ++i) {
    size_t        voice = 0;
    char          name[24];
    const QfPitch pitch = mend->changes[i].pitch;
    qf_score_find_note(score_of(self), mend->changes[i].note, &voice);
    const char* const called = qf_score_get_voice(score_of(self), voice)->name;
    qf_note_name_spell_out(qf_pitch_name(pitch), naming, name, sizeof(name));
    g_string_append(text, i ? ", " : "");
    if (called[0]) {
      g_string_append(text, called);
    } else {
      g_string_append_printf(text, "Voice %zu", voice + 1);
    }
    g_string_append_printf(text, " to %s%d", name, pitch.octave);
  }

  return g_string_free(text, FALSE);
}

static void
mend_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self  = data;
  QfMend          mend  = {0};
  QfError         error = {0};

  (void)action;
  (void)parameter;
  if (self->check_timeout) {
    check_now(self);
  }
  if (self->chosen_finding >= self->findings.n_findings) {
    qf_window_toast(self, "Choose a finding first; F7 goes to the next one");
    return;
  }

  const QfStatus found = qf_find_mend(score_of(self), qf_lesson_item_get_labels(self->item),
                                      qf_preferences_get_profile(self->preferences),
                                      &self->findings.findings[self->chosen_finding], &mend);
  if (found || !mend.n_changes) {
    qf_window_toast(self, found ? qf_status_text(found)
                                : "No change of one or two notes mends this without a new fault");
    return;
  }

  g_autofree char* text = describe_mend(self, &mend);
  const QfStatus   st   = qf_lesson_set_pitches(qf_lesson_item_get_lesson(self->item), mend.changes,
                                                mend.n_changes, &error);
  if (qf_lesson_item_finish(self->item, st, &error)) {
    check_now(self);
    qf_window_toast(self, text);
  }
}

static void
profile_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self    = data;
  QfProfile       profile = QF_PROFILE_COMMON;

  if (!qf_profile_parse(g_variant_get_string(state, NULL), &profile, NULL)) {
    g_simple_action_set_state(action, state);
    qf_preferences_set_profile(self->preferences, profile);
    check_now(self);
  }
}

void
qf_window_add_finding_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "next-finding", .activate = step_finding_cb},
    {.name = "previous-finding", .activate = step_finding_cb},
    {.name = "mend", .activate = mend_cb},
    {.name = "profile", .change_state = profile_cb, .parameter_type = "s", .state = "'common'"},
  };

  self->chosen_finding = SIZE_MAX;
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  qf_window_set_state(
    self, "profile",
    g_variant_new_string(qf_profile_name(qf_preferences_get_profile(self->preferences))));
  g_signal_connect_object(self->findings_pane, "chosen", G_CALLBACK(chosen_cb), self,
                          G_CONNECT_SWAPPED);
  g_signal_connect_object(self->side_stack, "notify::visible-child", G_CALLBACK(page_cb), self,
                          G_CONNECT_SWAPPED);
}

void
qf_window_drop_findings(QfWindow* const self)
{
  g_clear_handle_id(&self->check_timeout, g_source_remove);
  qf_findings_clear(&self->findings);
  self->chosen_finding = SIZE_MAX;
}

void
qf_window_forget_findings(QfWindow* const self)
{
  qf_window_drop_findings(self);
  show_count(self);
  page_cb(self);
}
