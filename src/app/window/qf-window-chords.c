// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include <string.h>

static QfLesson*
lesson_of(const QfWindow* const self)
{
  return qf_lesson_item_get_lesson(self->item);
}

/// The link at the caret, or NULL with a hint to the user
static const QfLabel*
caret_link(QfWindow* const self)
{
  const size_t index = qf_window_get_link(self);
  if (index == SIZE_MAX) {
    qf_window_toast(self, "There is no chord at the caret");
    return NULL;
  }

  return qf_labels_get_link(qf_lesson_item_get_labels(self->item), index);
}

/// A chord written over a link takes the link's length, any other the chosen note value
static QfTime
chord_duration(QfWindow* const self)
{
  const size_t          index  = qf_window_get_link(self);
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);

  if (index != SIZE_MAX) {
    const QfLabel* const link = qf_labels_get_link(labels, index);
    if (!qf_time_compare(link->start, self->caret.time)) {
      return qf_time_sub(link->end, link->start);
    }
  }

  return qf_caret_duration(self->caret);
}

/// Put parsed links one after another from the caret
static void
string_links(const QfWindow* const self, QfLinks* const links, const bool has_lengths)
{
  QfTime time = self->caret.time;

  for (size_t i = 0; i < links->n_links; ++i) {
    QfLink* const link = &links->links[i];
    link->start        = time;
    link->duration     = has_lengths ? link->duration : qf_caret_duration(self->caret);
    time               = qf_time_add(time, link->duration);
  }
}

static void
done(QfWindow* const self, const QfTime end)
{
  qf_numeral_entry_clear(qf_passage_view_get_entry(self->passage));
  qf_window_set_caret(self, self->caret.voice, end);
  qf_numeral_entry_begin(qf_passage_view_get_entry(self->passage), NULL);
}

static QfStatus
place_one(QfWindow* const self, const char* const text, QfTime* const end, QfError* const error)
{
  const QfKey  key      = qf_window_key_at(self, self->caret.time);
  const QfTime duration = chord_duration(self);
  QfNumeral    numeral  = {0};
  QfStatus     st       = qf_numeral_parse(text, key.mode, &numeral, error);

  if (!st) {
    st   = qf_lesson_place_chord(lesson_of(self), self->caret.time, duration, key, &numeral, error);
    *end = qf_time_add(self->caret.time, duration);
  }

  return st;
}

static QfStatus
place_many(QfWindow* const self, const char* const text, QfTime* const end, QfError* const error)
{
  const QfScore* const score = qf_lesson_item_get_score(self->item);
  const QfKey          key   = qf_window_key_at(self, self->caret.time);
  QfLinks              links = {0};
  const QfMetre metre = qf_score_get_bar(score, qf_score_bar_at(score, self->caret.time))->metre;
  QfStatus      st    = qf_links_parse(text, &key, metre, &links, error);
  if (st) {
    return st;
  }

  string_links(self, &links, strchr(text, '|') || strchr(text, '('));
  if (!links.n_links) {
    st = qf_error_set(error, QF_ERR_BAD_TEXT, "There is no numeral; V7/ii would be one");
  } else {
    const QfLink last = links.links[links.n_links - 1];
    st                = qf_lesson_place_chords(lesson_of(self), links.links, links.n_links, error);
    *end              = qf_time_add(last.start, last.duration);
  }

  qf_links_clear(&links);
  return st;
}

void
qf_window_place_numerals(QfWindow* const self, const char* const text)
{
  g_autofree char* stripped = g_strstrip(g_strdup(text));
  const bool       is_many  = strpbrk(stripped, " |:(") != NULL;
  QfError          error    = {0};
  QfTime           end      = self->caret.time;

  if (!stripped[0]) {
    return;
  }

  const QfStatus st =
    is_many ? place_many(self, stripped, &end, &error) : place_one(self, stripped, &end, &error);
  if (st) {
    qf_numeral_entry_set_error(qf_passage_view_get_entry(self->passage),
                               error.text[0] ? error.text : qf_status_text(st));
    return;
  }

  qf_lesson_item_finish(self->item, QF_OK, NULL);
  done(self, end);
}

static void
write_numeral_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_numeral_entry_begin(qf_passage_view_get_entry(self->passage), NULL);
}

static void
delete_chord_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const      self  = data;
  const QfLabel* const link  = caret_link(self);
  QfError              error = {0};

  (void)action;
  (void)parameter;
  if (link) {
    const QfStatus st = qf_lesson_delete_span(lesson_of(self), link->start, link->end, &error);
    qf_lesson_item_finish(self->item, st, &error);
  }
}

static void
move_chord_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self       = data;
  const bool      is_left    = g_str_equal(g_action_get_name(G_ACTION(action)), "move-chord-left");
  const QfLabel* const link  = caret_link(self);
  QfError              error = {0};

  (void)parameter;
  if (!link) {
    return;
  }

  const QfTime beat  = qf_caret_beat(qf_lesson_item_get_score(self->item), link->start);
  const QfTime by    = is_left ? qf_time_sub(QF_TIME_ZERO, beat) : beat;
  const QfTime start = qf_time_add(link->start, by);
  if (start.num < 0) {
    qf_window_toast(self, "The chord is at the start of the passage already");
    return;
  }

  const QfStatus st = qf_lesson_move_span(lesson_of(self), link->start, link->end, by, &error);
  if (qf_lesson_item_finish(self->item, st, &error)) {
    qf_window_set_caret(self, self->caret.voice, start);
  }
}

static void
pin(QfWindow* const self, const QfPin pinned)
{
  QfError        error = {0};
  const QfStatus st    = qf_lesson_pin(lesson_of(self), pinned, &error);
  qf_lesson_item_finish(self->item, st, &error);
}

static void
pin_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const      self = data;
  const QfLabel* const link = caret_link(self);

  (void)action;
  (void)parameter;
  if (link && link->is_known) {
    pin(self, (QfPin){link->start, link->key, link->numeral});
  }
}

static void
pin_reading_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const      self  = data;
  const QfLabel* const link  = caret_link(self);
  const gint32         index = g_variant_get_int32(parameter);

  (void)action;
  if (link && index >= 0 && (size_t)index < link->n_readings) {
    pin(self, (QfPin){link->start, link->readings[index].key, link->readings[index].numeral});
  } else if (link) {
    qf_window_toast(self, "This link has no such other reading");
  }
}

static void
unpin_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const      self  = data;
  const QfLabel* const link  = caret_link(self);
  QfError              error = {0};

  (void)action;
  (void)parameter;
  if (link && link->is_pinned) {
    const QfStatus st = qf_lesson_unpin(lesson_of(self), link->start, &error);
    qf_lesson_item_finish(self->item, st, &error);
  }
}

/// Say what speaks for a bracket of the chain
static void
explain_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const       self   = data;
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  gint32                kind   = 0;
  gint32                index  = 0;

  (void)action;
  g_variant_get(parameter, "(ii)", &kind, &index);
  if (!labels || kind < 0 || kind > QF_BRACKET_KEY || index < 0 ||
      (size_t)index >= qf_evidence_count(labels, (QfBracketKind)kind)) {
    return;
  }

  const size_t here  = qf_window_get_link(self);
  size_t       first = 0;
  size_t       last  = 0;
  QfEvidence   evidence =
    qf_evidence_of(qf_lesson_item_get_score(self->item), labels, (QfBracketKind)kind, (size_t)index,
                   qf_preferences_get_view(self->preferences).naming);
  qf_evidence_get_range(labels, (QfBracketKind)kind, (size_t)index, &first, &last);
  if (here == SIZE_MAX || here < first || here > last) {
    qf_window_set_caret(self, self->caret.voice, qf_labels_get_link(labels, first)->start);
  }
  gtk_stack_set_visible_child_name(self->side_stack, "functions");
  qf_reasons_pane_show_evidence(self->reasons, &evidence);
  qf_evidence_clear(&evidence);
}

static void
append_bar_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self  = data;
  QfError         error = {0};

  (void)action;
  (void)parameter;
  qf_lesson_item_finish(self->item, qf_lesson_append_bar(lesson_of(self), &error), &error);
}

static void
remove_bar_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self  = data;
  QfError         error = {0};

  (void)action;
  (void)parameter;
  qf_lesson_item_finish(self->item, qf_lesson_remove_last_bar(lesson_of(self), &error), &error);
}

void
qf_window_add_chord_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "write-numeral", .activate = write_numeral_cb},
    {.name = "delete-chord", .activate = delete_chord_cb},
    {.name = "move-chord-left", .activate = move_chord_cb},
    {.name = "move-chord-right", .activate = move_chord_cb},
    {.name = "pin", .activate = pin_cb},
    {.name = "pin-reading", .activate = pin_reading_cb, .parameter_type = "i"},
    {.name = "unpin", .activate = unpin_cb},
    {.name = "explain", .activate = explain_cb, .parameter_type = "(ii)"},
    {.name = "append-bar", .activate = append_bar_cb},
    {.name = "remove-bar", .activate = remove_bar_cb},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
