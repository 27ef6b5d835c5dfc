// SPDX-License-Identifier: MIT
#include "qf-study-sheet.h"

#include "qf-rhythm-row.h"

#include "page/qf-caret.h"

#include <limits.h>
#include <math.h>

enum {
  ROW_GAP      = 8, ///< Pixels between the rows
  MAX_ATTEMPTS = 4, ///< Times the staves are spread until the cells have room
};

static const double usual_space    = 9.0; ///< Distance of staff lines, pixels
static const double least_shrunken = 0.7; ///< Of the size asked for, so that the cells are in sight

struct _QfStudySheet {
  GtkWidget       parent_instance;
  QfScoreView*    score_view; ///< Child
  QfRhythmRow*    rhythm_row; ///< Child
  QfChordRow*     chord_row;  ///< Child
  const QfAnswer* answer;     ///< Lent
  QfScore*        room;       ///< The attempt with room for what is missing; owned
  GHashTable*     missing;    ///< Identities of notes in `room` that are not to be seen
  QfEngraving*    engraving;  ///< Owned
  GArray*         spans;      ///< Of #QfTime
  QfMarks         marks;
  double          zoom;
  double          height;   ///< To be fitted into, or 0
  double          space;    ///< Distance of staff lines as laid out
  uint64_t        revision; ///< Of the answer as it was last laid out
};

G_DEFINE_FINAL_TYPE(QfStudySheet, qf_study_sheet, GTK_TYPE_WIDGET)

// ---- room for what is missing

static bool
is_free(const QfScore* const score, const size_t voice, const QfSlot* const slot)
{
  const QfTime end = qf_time_add(slot->start, slot->duration);

  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    if (qf_time_compare(note->start, end) < 0 &&
        qf_time_compare(qf_time_add(note->start, note->duration), slot->start) > 0) {
      return false;
    }
  }

  return true;
}

/// Put a note nobody sees where the task says that one will stand
static void
make_room(QfStudySheet* const self)
{
  for (size_t v = 0; v < qf_score_n_voices(self->room); ++v) {
    // Its height does not matter, as long as it stays on the staff.
    const QfClef clef =
      qf_score_get_staff(self->room, qf_score_get_voice(self->room, v)->staff)->clef;
    const QfPitch pitch = clef == QF_CLEF_BASS ? (QfPitch){1, 0, 3} : (QfPitch){6, 0, 4};

    for (size_t i = 0; i < qf_answer_n_slots(self->answer, v); ++i) {
      const QfSlot* const slot = qf_answer_get_slot(self->answer, v, i);
      uint32_t            id   = QF_NO_NOTE;
      if (is_free(self->room, v, slot) &&
          !qf_score_put_note(self->room, v, slot->start, slot->duration, pitch, QF_NO_NOTE, &id)) {
        g_hash_table_add(self->missing, GUINT_TO_POINTER(id));
      }
    }
  }
}

static bool
is_seen(const uint32_t note, void* const data)
{
  const QfStudySheet* const self = data;
  return !g_hash_table_contains(self->missing, GUINT_TO_POINTER(note));
}

// ---- chords

static void
add_beats(QfStudySheet* const self, const QfScore* const frame)
{
  for (size_t b = 0; b < qf_score_n_bars(frame); ++b) {
    const QfBar* const bar = qf_score_get_bar(frame, b);
    for (int beat = 0; beat < bar->metre.n_groups; ++beat) {
      const QfTime within = qf_time_sub(qf_metre_beat_start(bar->metre, beat), bar->offset);
      if (within.num >= 0 && qf_time_compare(within, bar->length) < 0) {
        const QfTime start = qf_time_add(bar->start, within);
        g_array_append_val(self->spans, start);
      }
    }
  }
}

/// Where chords may be named: where the task says that they change, else on every beat
static void
find_spans(QfStudySheet* const self)
{
  g_array_set_size(self->spans, 0);
  for (size_t i = 0; i < qf_answer_n_spans(self->answer); ++i) {
    const QfTime start = qf_answer_get_span(self->answer, i);
    g_array_append_val(self->spans, start);
  }
  if (!self->spans->len) {
    add_beats(self, qf_answer_get_frame(self->answer));
  }
}

static void
make_cells(QfStudySheet* const self)
{
  const QfScore* const frame      = qf_answer_get_frame(self->answer);
  const unsigned       layers     = qf_answer_get_study(self->answer).layers;
  g_autoptr(GStrvBuilder) builder = g_strv_builder_new();

  find_spans(self);
  for (guint i = 0; i < self->spans->len; ++i) {
    char place[64];
    qf_place_speak(frame, qf_study_sheet_get_span(self, i), place, sizeof(place));
    place[0]              = g_ascii_tolower(place[0]);
    g_autofree char* name = g_strdup_printf("chord %u, %s", i + 1, place);
    g_strv_builder_add(builder, name);
  }

  g_auto(GStrv) places = g_strv_builder_end(builder);
  qf_chord_row_set_places(self->chord_row, (const char* const*)places,
                          layers & 1U << QF_LAYER_QUALITY, layers & 1U << QF_LAYER_NUMERAL);
  gtk_widget_set_visible(GTK_WIDGET(self->chord_row),
                         layers & (1U << QF_LAYER_QUALITY | 1U << QF_LAYER_NUMERAL));
}

static void
fill_cells(QfStudySheet* const self, const QfTry* const attempt)
{
  for (guint i = 0; i < self->spans->len; ++i) {
    qf_chord_row_fill(self->chord_row, i,
                      attempt ? qf_try_chord_at(attempt, qf_study_sheet_get_span(self, i)) : NULL);
  }
}

// ---- layout

static bool
engrave(QfStudySheet* const self, const double writing_room)
{
  QfEngraveOptions options = qf_engrave_options_screen();
  QfEngraving*     fresh   = NULL;

  options.space         = self->space;
  options.rows          = 0;
  options.has_title     = false;
  options.writing_room  = writing_room;
  options.is_shown      = is_seen;
  options.is_shown_data = self;
  if (qf_engraving_new(self->room, NULL, options, &fresh, NULL)) {
    return false; // Out of memory: the layout before stays on show
  }

  qf_score_view_set_engraving(self->score_view, fresh);
  g_clear_pointer(&self->engraving, qf_engraving_free);
  self->engraving = fresh;
  return true;
}

/// How much wider the narrowest chord would have to be for its cell
static double
lack_of_room(QfStudySheet* const self)
{
  double lack = 0.0;

  for (guint i = 1; gtk_widget_get_visible(GTK_WIDGET(self->chord_row)) && i < self->spans->len;
       ++i) {
    const double before = qf_study_sheet_x_of(self, qf_study_sheet_get_span(self, i - 1));
    const double here   = qf_study_sheet_x_of(self, qf_study_sheet_get_span(self, i));
    const double pitch  = qf_chord_row_get_pitch(self->chord_row, i - 1);
    lack                = MAX(lack, pitch / MAX(1.0, here - before));
  }

  return lack;
}

/// Staves that leave room for what is under them; large ones that would not are made smaller
static double
fitted_space(QfStudySheet* const self)
{
  const double asked = usual_space * self->zoom;
  double       width = 0.0;
  double       high  = 0.0;
  double       under = 0.0;

  self->space = asked;
  if (self->height <= 0.0 || !engrave(self, 1.0)) {
    return asked;
  }
  for (GtkWidget* child = gtk_widget_get_next_sibling(GTK_WIDGET(self->score_view)); child;
       child            = gtk_widget_get_next_sibling(child)) {
    int size = 0;
    if (gtk_widget_should_layout(child)) {
      gtk_widget_measure(child, GTK_ORIENTATION_VERTICAL, -1, NULL, &size, NULL, NULL);
      under += size + ROW_GAP;
    }
  }
  qf_engraving_get_size(self->engraving, &width, &high);
  return asked * CLAMP((self->height - under - ROW_GAP) / high, least_shrunken, 1.0);
}

static void
lay_out(QfStudySheet* const self)
{
  double room = 1.4;

  self->space = fitted_space(self);

  for (int i = 0; i < MAX_ATTEMPTS; ++i) {
    if (!engrave(self, room)) {
      return;
    }
    const double lack = lack_of_room(self);
    if (lack <= 1.0) {
      break;
    }
    room *= lack;
  }

  g_autofree double* starts = g_new0(double, self->spans->len + 1);
  for (guint i = 0; i < self->spans->len; ++i) {
    starts[i] = qf_study_sheet_x_of(self, qf_study_sheet_get_span(self, i));
  }
  qf_chord_row_place(self->chord_row, starts);
  gtk_widget_queue_resize(GTK_WIDGET(self));
}

/// Lay out a state of an answer
static void
take_answer(QfStudySheet* const   self,
            const QfAnswer* const answer,
            const QfTry* const    attempt,
            const QfSheetView     view)
{
  QfScore* const room =
    qf_score_dup(attempt ? qf_try_get_score(attempt) : qf_answer_get_frame(answer));

  if (!room) {
    return; // Out of memory: the layout before stays on show
  }
  if (self->answer != answer) {
    self->answer = answer;
    make_cells(self);
  }
  qf_score_free(self->room);
  self->room     = room;
  self->zoom     = view.zoom;
  self->height   = view.room;
  self->revision = qf_answer_get_revision(answer);
  g_hash_table_remove_all(self->missing);
  make_room(self);
  fill_cells(self, attempt); // Which settles how much room they need
  lay_out(self);
}

void
qf_study_sheet_show(QfStudySheet* const   self,
                    const QfAnswer* const answer,
                    const QfTry* const    attempt,
                    const QfSheetView     view,
                    const char* const     name)
{
  const QfScore* const score = attempt ? qf_try_get_score(attempt) : qf_answer_get_frame(answer);

  // A caret that moves leaves the layout as it is.
  if (self->answer != answer || self->revision != qf_answer_get_revision(answer) ||
      self->zoom != view.zoom || self->height != view.room) {
    take_answer(self, answer, attempt, view);
  }
  fill_cells(self, attempt);

  const QfNote* const note  = qf_score_note_at(score, view.voice, view.caret);
  self->marks.has_caret     = true;
  self->marks.caret_voice   = view.voice;
  self->marks.caret_time    = view.caret;
  self->marks.selected_note = note ? note->id : QF_NO_NOTE;
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->score_view), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 name, -1);
  qf_score_view_set_marks(self->score_view, &self->marks);
  qf_rhythm_row_show(self->rhythm_row, self->engraving, answer, attempt, view.voice);
}

void
qf_study_sheet_set_playing(QfStudySheet* const self, const gboolean is_playing, const QfTime time)
{
  self->marks.is_playing   = is_playing && time.num >= 0;
  self->marks.playing_time = time;
  qf_score_view_set_marks(self->score_view, &self->marks);
}

size_t
qf_study_sheet_n_spans(const QfStudySheet* const self)
{
  return self->spans->len;
}

QfTime
qf_study_sheet_get_span(const QfStudySheet* const self, const size_t index)
{
  return g_array_index(self->spans, QfTime, index);
}

gboolean
qf_study_sheet_hit(const QfStudySheet* const self, const double x, const double y, QfHit* const hit)
{
  if (!self->engraving || !qf_engraving_hit(self->engraving, x, y, hit)) {
    return FALSE;
  }
  if (g_hash_table_contains(self->missing, GUINT_TO_POINTER(hit->note))) {
    hit->note = QF_NO_NOTE;
  }
  return TRUE;
}

double
qf_study_sheet_x_of(const QfStudySheet* const self, const QfTime time)
{
  return self->engraving ? qf_engraving_x_of(self->engraving, time) : 0.0;
}

QfScoreView*
qf_study_sheet_get_score_view(const QfStudySheet* const self)
{
  return self->score_view;
}

QfChordRow*
qf_study_sheet_get_chord_row(const QfStudySheet* const self)
{
  return self->chord_row;
}

// ---- a widget

static void
qf_study_sheet_measure(GtkWidget* const     widget,
                       const GtkOrientation orientation,
                       const int            for_size,
                       int* const           minimum,
                       int* const           natural,
                       int* const           minimum_baseline,
                       int* const           natural_baseline)
{
  int total = 0;

  (void)for_size;
  for (GtkWidget* child = gtk_widget_get_first_child(widget); child;
       child            = gtk_widget_get_next_sibling(child)) {
    int size = 0;
    if (gtk_widget_should_layout(child)) {
      gtk_widget_measure(child, orientation, -1, NULL, &size, NULL, NULL);
      total = orientation == GTK_ORIENTATION_HORIZONTAL ? MAX(total, size) : total + size + ROW_GAP;
    }
  }
  *minimum = *natural = total;
  *minimum_baseline = *natural_baseline = -1;
}

static void
qf_study_sheet_size_allocate(GtkWidget* const widget,
                             const int        width,
                             const int        height,
                             const int        baseline)
{
  int y = 0;

  (void)height;
  for (GtkWidget* child = gtk_widget_get_first_child(widget); child;
       child            = gtk_widget_get_next_sibling(child)) {
    int own = 0;
    if (gtk_widget_should_layout(child)) {
      gtk_widget_measure(child, GTK_ORIENTATION_VERTICAL, -1, NULL, &own, NULL, NULL);
      gtk_widget_size_allocate(child, &(GtkAllocation){0, y, width, own}, baseline);
      y += own + ROW_GAP;
    }
  }
}

static void
qf_study_sheet_dispose(GObject* const object)
{
  QfStudySheet* const self = QF_STUDY_SHEET(object);

  if (self->score_view) {
    qf_score_view_set_engraving(self->score_view, NULL);
    qf_rhythm_row_show(self->rhythm_row, NULL, NULL, NULL, 0);
    gtk_widget_unparent(GTK_WIDGET(self->score_view));
    gtk_widget_unparent(GTK_WIDGET(self->rhythm_row));
    gtk_widget_unparent(GTK_WIDGET(self->chord_row));
    self->score_view = NULL;
  }
  g_clear_pointer(&self->engraving, qf_engraving_free);
  g_clear_pointer(&self->room, qf_score_free);
  g_clear_pointer(&self->missing, g_hash_table_unref);
  g_clear_pointer(&self->spans, g_array_unref);
  G_OBJECT_CLASS(qf_study_sheet_parent_class)->dispose(object);
}

static void
qf_study_sheet_class_init(QfStudySheetClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_study_sheet_dispose;
  widget_class->measure          = qf_study_sheet_measure;
  widget_class->size_allocate    = qf_study_sheet_size_allocate;
  gtk_widget_class_set_css_name(widget_class, "qf-study-sheet");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
}

static void
qf_study_sheet_init(QfStudySheet* const self)
{
  GtkWidget* const widget = GTK_WIDGET(self);

  self->zoom             = 1.0;
  self->marks.caret_step = INT_MIN;
  self->missing          = g_hash_table_new(NULL, NULL);
  self->spans            = g_array_new(FALSE, TRUE, sizeof(QfTime));
  self->score_view       = g_object_new(QF_TYPE_SCORE_VIEW, NULL);
  self->rhythm_row       = g_object_new(QF_TYPE_RHYTHM_ROW, NULL);
  self->chord_row        = g_object_new(QF_TYPE_CHORD_ROW, NULL);
  gtk_widget_set_parent(GTK_WIDGET(self->score_view), widget);
  gtk_widget_set_parent(GTK_WIDGET(self->rhythm_row), widget);
  gtk_widget_set_parent(GTK_WIDGET(self->chord_row), widget);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, "Answer", -1);
}
