// SPDX-License-Identifier: MIT
#include "qf-passage-private.h"

#include "qf-caret.h"
#include "qf-note-mark.h"

#include "quintfall/engrave.h"

#include <limits.h>
#include <math.h>

/// Distance of staff lines, pixels: the chain's fonts have their own size here
static const double usual_space = 9.0;

G_DEFINE_FINAL_TYPE(QfPassageView, qf_passage_view, GTK_TYPE_WIDGET)

double
qf_passage_x_of(const QfPassageView* const self, const QfTime time)
{
  return self->engraving ? qf_engraving_x_of(self->engraving, time) : 0.0;
}

static void
place_links(QfPassageView* const self)
{
  const size_t       n_links = self->labels ? qf_labels_n_links(self->labels) : 0;
  g_autofree double* starts  = g_new0(double, n_links + 1);
  const double       end     = qf_passage_x_of(self, qf_score_get_end(self->score));

  for (size_t i = 0; i < n_links; ++i) {
    starts[i] = qf_passage_x_of(self, qf_labels_get_link(self->labels, i)->start);
  }

  qf_chain_view_place(self->chain_view, starts, end);
}

void
qf_passage_lay_out(QfPassageView* const self)
{
  QfEngraveOptions options = qf_engrave_options_screen();
  QfEngraving*     fresh   = NULL;

  if (!self->score) {
    return;
  }

  const double scale = MAX(1.0, self->space * self->view.zoom / usual_space);
  qf_chain_view_set_labels(self->chain_view, self->labels, self->score, &self->view, scale);
  options.space                  = self->space * self->view.zoom;
  options.width                  = 0.0;
  options.page_height            = 0.0;
  options.rows                   = 0;
  options.has_title              = false;
  options.naming                 = self->view.naming;
  options.solfege                = self->view.solfege;
  options.courtesy_across_voices = self->view.has_courtesy;
  options.min_link_width         = qf_chain_view_get_pitch(self->chain_view);
  if (qf_engraving_new(self->score, self->labels, options, &fresh, NULL)) {
    return; // Out of memory: the layout before stays on show
  }

  qf_score_view_set_engraving(self->score_view, fresh);
  g_clear_pointer(&self->engraving, qf_engraving_free);
  self->engraving = fresh;
  place_links(self);
}

static size_t
link_at(const QfPassageView* const self, const QfTime time)
{
  return self->labels && time.num >= 0 ? qf_labels_link_at(self->labels, time) : SIZE_MAX;
}

static void
update_marks(QfPassageView* const self)
{
  const size_t n_links  = self->labels ? qf_labels_n_links(self->labels) : 0;
  const size_t current  = link_at(self, self->marks.caret_time);
  const bool   is_range = self->first_selected < n_links && self->last_selected < n_links;
  const size_t first    = is_range ? self->first_selected : current;
  const size_t last     = is_range ? self->last_selected : current;
  const size_t playing =
    self->marks.is_playing ? link_at(self, self->marks.playing_time) : SIZE_MAX;

  self->marks.has_selection = first != SIZE_MAX;
  if (self->marks.has_selection) {
    self->marks.selection_start = qf_labels_get_link(self->labels, first)->start;
    self->marks.selection_end   = qf_labels_get_link(self->labels, last)->end;
  }

  qf_score_view_set_marks(self->score_view, &self->marks);
  qf_chain_view_set_marks(self->chain_view, current, playing);
  qf_chain_view_set_range(self->chain_view, first, last);
}

void
qf_passage_view_set_selection(QfPassageView* const self, const size_t first, const size_t last)
{
  if (self->first_selected != first || self->last_selected != last) {
    self->first_selected = first;
    self->last_selected  = last;
    update_marks(self);
  }
}

void
qf_passage_view_show(QfPassageView* const  self,
                     const QfScore* const  score,
                     const QfLabels* const labels,
                     const QfViewSettings  view)
{
  self->score  = score;
  self->labels = labels;
  self->view   = view;
  qf_score_view_take_signs(self->score_view,
                           view.has_foreign_signs ? qf_note_signs_of(labels) : NULL);
  qf_passage_lay_out(self);
  qf_passage_schedule_refit(self);
  update_marks(self);
}

void
qf_passage_view_set_caret(QfPassageView* const self,
                          const size_t         voice,
                          const QfTime         time,
                          const char* const    name)
{
  const QfNote* const note = self->score ? qf_score_note_at(self->score, voice, time) : NULL;

  self->marks.has_caret     = true;
  self->marks.caret_voice   = voice;
  self->marks.caret_time    = time;
  self->marks.selected_note = note ? note->id : QF_NO_NOTE;
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->score_view), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 name, -1);
  update_marks(self);
  if (!self->marks.is_playing) {
    qf_passage_keep_in_sight(self, qf_passage_x_of(self, time));
  }
  qf_passage_place_entry(self);
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

/// Where the mark in the staves is, in words
static void
tell_playing(QfPassageView* const self)
{
  char place[64] = "";

  if (self->marks.is_playing) {
    qf_place_speak(self->score, self->marks.playing_time, place, sizeof(place));
  }
  g_autofree char* text = place[0] ? g_strdup_printf("Sounding: %s", place) : g_strdup("");
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->score_view),
                                 GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
}

void
qf_passage_view_set_playing(QfPassageView* const self, const gboolean is_playing, const QfTime time)
{
  const bool has_place = is_playing && time.num >= 0;
  if (self->marks.is_playing == has_place &&
      (!has_place || !qf_time_compare(self->marks.playing_time, time))) {
    return;
  }

  self->marks.is_playing   = has_place;
  self->marks.playing_time = time;
  update_marks(self);
  tell_playing(self);
  if (has_place) {
    qf_passage_keep_in_sight(self, qf_passage_x_of(self, time));
  }
}

gboolean
qf_passage_view_hit(const QfPassageView* const self,
                    const double               x,
                    const double               y,
                    QfHit* const               hit)
{
  return self->engraving && qf_engraving_hit(self->engraving, x, y, hit);
}

QfScoreView*
qf_passage_view_get_score_view(const QfPassageView* const self)
{
  return self->score_view;
}

QfChainView*
qf_passage_view_get_chain_view(const QfPassageView* const self)
{
  return self->chain_view;
}

QfNumeralEntry*
qf_passage_view_get_entry(const QfPassageView* const self)
{
  return self->entry;
}

static void
qf_passage_view_dispose(GObject* const object)
{
  QfPassageView* const self = QF_PASSAGE_VIEW(object);

  qf_passage_leave_window(self);
  g_clear_handle_id(&self->refit_idle, g_source_remove);
  if (self->score_view) {
    qf_score_view_set_engraving(self->score_view, NULL);
    gtk_widget_unparent(GTK_WIDGET(self->score_view));
    gtk_widget_unparent(GTK_WIDGET(self->chain_view));
    gtk_widget_unparent(GTK_WIDGET(self->entry));
    self->score_view = NULL;
  }
  g_clear_pointer(&self->engraving, qf_engraving_free);
  G_OBJECT_CLASS(qf_passage_view_parent_class)->dispose(object);
}

static void
qf_passage_view_class_init(QfPassageViewClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_passage_view_dispose;
  widget_class->measure          = qf_passage_view_measure;
  widget_class->size_allocate    = qf_passage_view_size_allocate;
  widget_class->root             = qf_passage_view_root;
  gtk_widget_class_set_css_name(widget_class, "qf-passage");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
}

static void
qf_passage_view_init(QfPassageView* const self)
{
  GtkWidget* const widget = GTK_WIDGET(self);

  self->space            = usual_space;
  self->view.zoom        = 1.0;
  self->marks.caret_step = INT_MIN;
  self->marks.caret_time = qf_time(-1, 1); // Nowhere, so that no link is marked
  self->first_selected   = SIZE_MAX;
  self->last_selected    = SIZE_MAX;
  self->score_view       = g_object_new(QF_TYPE_SCORE_VIEW, NULL);
  self->chain_view       = g_object_new(QF_TYPE_CHAIN_VIEW, NULL);
  self->entry            = g_object_new(QF_TYPE_NUMERAL_ENTRY, NULL);
  gtk_widget_set_parent(GTK_WIDGET(self->score_view), widget);
  gtk_widget_set_parent(GTK_WIDGET(self->chain_view), widget);
  gtk_widget_set_parent(GTK_WIDGET(self->entry), widget);
  qf_passage_follow_focus(self);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, "Passage",
                                 -1);
}
