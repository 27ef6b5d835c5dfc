// SPDX-License-Identifier: MIT
#include "qf-sing-strip.h"

#include "common/qf-inks.h"
#include "qf-sung-note.h"

#include <math.h>

enum {
  POLL_MS     = 30,
  DIAL_HEIGHT = 54,
  DIAL_WIDTH  = 300,
  DIAL_CENTS  = 60, ///< Half of what the dial shows
};

struct _QfSingStrip {
  GtkWidget  parent_instance;
  GtkWidget* box;
  GtkLabel*  asked;
  GtkLabel*  heard;
  GtkWidget* dial;
  GtkLabel*  results;
  GtkButton* close;
  QfPitchIn* input; ///< Owned, while it listens
  guint      poll;
  GArray*    keys;  ///< Expected, MIDI
  GArray*    names; ///< Of #QfNoteName
  QfSungLine line;  ///< The note asked for, as sung so far
  guint      current;
  guint      n_in_tune;
  GString*   said;
  QfSingView view;
  QfSung     last;
  gboolean   is_answer; ///< One note, whichever, is asked for
};

G_DEFINE_FINAL_TYPE(QfSingStrip, qf_sing_strip, GTK_TYPE_WIDGET)

enum { CLOSED, FINISHED, HELD, N_SIGNALS };
static guint signals[N_SIGNALS];

static void
name_note(const QfSingStrip* const self, const guint index, char* const buffer, const size_t size)
{
  qf_note_name_spell_out(g_array_index(self->names, QfNoteName, index), self->view.naming, buffer,
                         size);
}

static void
show_asked(QfSingStrip* const self)
{
  char name[40] = "";

  if (self->is_answer) {
    gtk_label_set_text(self->asked, "Sing your answer and hold it, in any octave");
    return;
  }
  if (self->current >= self->keys->len) {
    g_autofree char* text =
      g_strdup_printf("%u of %u notes in tune", self->n_in_tune, self->keys->len);
    gtk_label_set_text(self->asked, text);
    return;
  }

  // The note itself is not named: it is to be found by ear.
  if (self->current == 0) {
    name_note(self, 0, name, sizeof(name));
  }
  g_autofree char* text = g_strdup_printf("Sing note %u of %u%s%s", self->current + 1,
                                          self->keys->len, name[0] ? ", from " : "", name);
  gtk_label_set_text(self->asked, text);
}

static void
show_heard(QfSingStrip* const self)
{
  g_autofree char* cents = self->last.kind == QF_SUNG_SHARP || self->last.kind == QF_SUNG_FLAT
                             ? g_strdup_printf(" by %.0f cents", fabs(self->last.cents))
                             : g_strdup("");
  // What is near another note is, for an answer, that note.
  const char* const what = self->is_answer && self->last.kind == QF_SUNG_IN_TUNE
                             ? "a clear note"
                             : qf_sung_kind_text(self->last.kind);
  g_autofree char*  text = g_strdup_printf("%s%s", what, cents);

  gtk_label_set_text(self->heard, text);
  gtk_widget_queue_draw(self->dial);
}

/// Settle a note and ask for the next one
static void
settle_note(QfSingStrip* const self, const QfSung sung)
{
  char name[40];

  if (self->view.hides_names) {
    g_snprintf(name, sizeof(name), "%u", self->current + 1);
  } else {
    name_note(self, self->current, name, sizeof(name));
  }
  g_string_append_printf(self->said, "%s%s %s", self->said->len ? ", " : "", name,
                         qf_sung_kind_text(sung.kind));
  if (sung.kind == QF_SUNG_SHARP || sung.kind == QF_SUNG_FLAT) {
    g_string_append_printf(self->said, " %.0f", fabs(sung.cents));
  }
  gtk_label_set_text(self->results, self->said->str);
  self->n_in_tune += sung.kind == QF_SUNG_IN_TUNE;
  ++self->current;
  show_asked(self);
  if (self->current >= self->keys->len) {
    qf_sing_strip_end(self);
    g_signal_emit(self, signals[FINISHED], 0, self->n_in_tune, self->keys->len);
  }
}

/// A frame where any note may come: the dial shows how it lies to the nearest one
static void
take_any(QfSingStrip* const self, const QfPitchFrame frame)
{
  QfSungNote note = {0};

  self->last = qf_sung_judge(frame, 0, self->view.sung);
  if (self->last.kind != QF_SUNG_NOTHING) {
    self->last = qf_sung_judge(frame, self->last.sung_key, self->view.sung);
  }
  if (!qf_sung_note_take(&self->line, frame, self->view.sung, &note)) {
    return;
  }
  if (note.is_clear) {
    g_signal_emit(self, signals[HELD], 0, note.key, note.cents);
  } else {
    g_autofree char* text =
      g_strdup_printf("Between two notes, %.0f cents %s the nearer one: sing it once more",
                      fabs(note.cents), note.cents > 0.0 ? "over" : "under");
    gtk_label_set_text(self->results, text);
  }
}

static void
take_frame(QfSingStrip* const self, const QfPitchFrame frame)
{
  if (self->is_answer) {
    take_any(self, frame);
    return;
  }

  const int expected = g_array_index(self->keys, int, self->current);
  QfSung    sung     = {0};

  self->last = qf_sung_judge(frame, expected, self->view.sung);
  if (qf_sung_line_take(&self->line, frame, expected, self->view.sung, &sung)) {
    settle_note(self, sung);
  }
}

/// What the button does now: the result stays when nobody listens any more
static void
name_button(QfSingStrip* const self)
{
  gtk_button_set_label(self->close, self->input ? "Stop _Singing" : "_Close");
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->close), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 self->input ? "Stop Singing" : "Close", -1);
}

static gboolean
poll_cb(gpointer data)
{
  QfSingStrip* const self  = data;
  QfPitchFrame       frame = {0};

  while (self->input && (self->is_answer || self->current < self->keys->len) &&
         qf_pitch_in_poll(self->input, &frame)) {
    take_frame(self, frame);
  }
  if (!self->input) {
    return G_SOURCE_REMOVE;
  }
  show_heard(self);
  if (!qf_pitch_in_is_listening(self->input)) {
    gtk_label_set_text(self->heard, "The microphone was lost; what was sung so far stays");
    self->poll = 0;
    g_clear_pointer(&self->input, qf_pitch_in_free);
    name_button(self);
    return G_SOURCE_REMOVE;
  }
  return G_SOURCE_CONTINUE;
}

void
qf_sing_strip_end(QfSingStrip* const self)
{
  g_clear_handle_id(&self->poll, g_source_remove);
  g_clear_pointer(&self->input, qf_pitch_in_free);
}

void
qf_sing_strip_conclude(QfSingStrip* const self)
{
  if (self->input) {
    g_autofree char* text = g_strdup_printf("%u of %u notes in tune, %u not sung", self->n_in_tune,
                                            self->keys->len, self->keys->len - self->current);
    qf_sing_strip_end(self);
    name_button(self);
    gtk_label_set_text(self->asked, text);
    gtk_label_set_text(self->heard, "");
  }
}

QfPitchIn*
qf_sing_strip_get_input(const QfSingStrip* const self)
{
  return self->input;
}

static void
take_line(QfSingStrip* const   self,
          const QfScore* const score,
          const size_t         voice,
          const QfTime         from,
          const QfTime         to)
{
  const bool has_end = qf_time_compare(to, from) > 0;

  g_array_set_size(self->keys, 0);
  g_array_set_size(self->names, 0);
  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    if (qf_time_compare(note->start, from) >= 0 &&
        (!has_end || qf_time_compare(note->start, to) < 0)) {
      const int        key  = qf_pitch_midi(note->pitch);
      const QfNoteName name = qf_pitch_name(note->pitch);
      g_array_append_val(self->keys, key);
      g_array_append_val(self->names, name);
    }
  }
}

/// Open the microphone and show nothing of what was before
static gboolean
listen(QfSingStrip* const self, QfError* const error)
{
  if (qf_pitch_in_new(g_getenv("QUINTFALL_MICROPHONE"), &self->input, error)) {
    return FALSE;
  }

  self->current   = 0;
  self->n_in_tune = 0;
  self->line      = (QfSungLine){0};
  self->last      = (QfSung){QF_SUNG_NOTHING, 0.0, -1};
  g_string_truncate(self->said, 0);
  gtk_label_set_text(self->results, "");
  self->poll = g_timeout_add(POLL_MS, poll_cb, self);
  name_button(self);
  show_asked(self);
  show_heard(self);
  return TRUE;
}

gboolean
qf_sing_strip_begin(QfSingStrip* const   self,
                    const QfScore* const score,
                    const size_t         voice,
                    const QfTime         from,
                    const QfTime         to,
                    const QfSingView     view,
                    QfError* const       error)
{
  qf_sing_strip_end(self);
  take_line(self, score, voice, from, to);
  if (!self->keys->len) {
    qf_error_set(error, QF_ERR_IMPOSSIBLE, "this voice has no notes to sing here");
    return FALSE;
  }
  self->is_answer = FALSE;
  self->view      = view;
  return listen(self, error);
}

gboolean
qf_sing_strip_begin_answer(QfSingStrip* const  self,
                           const QfSungOptions options,
                           QfError* const      error)
{
  qf_sing_strip_end(self);
  self->is_answer            = TRUE;
  self->view.sung            = options;
  self->view.sung.any_octave = true;
  return listen(self, error);
}

gboolean
qf_sing_strip_is_answer(const QfSingStrip* const self)
{
  return self->is_answer;
}

char*
qf_sung_cents_dup(const double cents)
{
  const int n = (int)lround(fabs(cents));
  return n ? g_strdup_printf("%d cent%s %s", n, n == 1 ? "" : "s", cents > 0.0 ? "sharp" : "flat")
           : g_strdup("in tune to the cent");
}

void
qf_sing_strip_tell(QfSingStrip* const self, const char* const text)
{
  gtk_label_set_text(self->results, text);
}

// ---- the dial

static void
draw_dial(GtkDrawingArea* const area,
          cairo_t* const        cr,
          const int             width,
          const int             height,
          gpointer              data)
{
  const QfSingStrip* const self    = data;
  const QfPalette          palette = qf_palette_now();
  const double             middle  = width / 2.0;
  const double             unit    = (width / 2.0 - 8.0) / DIAL_CENTS;
  const double             tolerance =
    self->view.sung.tolerance_cents > 0.0 ? self->view.sung.tolerance_cents : 20.0;
  const double cents = CLAMP(self->last.cents, -DIAL_CENTS, DIAL_CENTS);

  (void)area;
  qf_colour_set_source(qf_colour_fade(palette.page.accent, 0.2), cr);
  cairo_rectangle(cr, middle - tolerance * unit, 6.0, 2.0 * tolerance * unit, height - 12.0);
  cairo_fill(cr);
  qf_colour_set_source(palette.page.faint, cr);
  cairo_set_line_width(cr, 1.0);
  for (int c = -50; c <= 50; c += 10) {
    cairo_move_to(cr, floor(middle + c * unit) + 0.5, c % 50 ? height * 0.4 : 8.0);
    cairo_line_to(cr, floor(middle + c * unit) + 0.5, height - 8.0);
  }
  cairo_stroke(cr);
  if (self->last.kind != QF_SUNG_NOTHING) {
    qf_colour_set_source(
      self->last.kind == QF_SUNG_IN_TUNE ? palette.page.accent : palette.page.playing, cr);
    cairo_set_line_width(cr, 4.0);
    cairo_move_to(cr, middle + cents * unit, 4.0);
    cairo_line_to(cr, middle + cents * unit, height - 4.0);
    cairo_stroke(cr);
  }
}

static void
close_cb(QfSingStrip* const self)
{
  qf_sing_strip_end(self);
  g_signal_emit(self, signals[CLOSED], 0);
}

static void
qf_sing_strip_dispose(GObject* const object)
{
  QfSingStrip* const self = QF_SING_STRIP(object);

  qf_sing_strip_end(self);
  g_clear_pointer(&self->box, gtk_widget_unparent);
  g_clear_pointer(&self->keys, g_array_unref);
  g_clear_pointer(&self->names, g_array_unref);
  if (self->said) {
    g_string_free(self->said, TRUE);
    self->said = NULL;
  }
  G_OBJECT_CLASS(qf_sing_strip_parent_class)->dispose(object);
}

static void
qf_sing_strip_class_init(QfSingStripClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);
  const GType           type         = G_TYPE_FROM_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_sing_strip_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  signals[CLOSED] =
    g_signal_new("closed", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[FINISHED] = g_signal_new("finished", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                   G_TYPE_NONE, 2, G_TYPE_UINT, G_TYPE_UINT);
  signals[HELD] = g_signal_new("held", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 2,
                               G_TYPE_INT, G_TYPE_DOUBLE);
}

static GtkLabel*
new_label(GtkBox* const box, const char* const css_class)
{
  GtkWidget* const label = gtk_label_new(NULL);

  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_START);
  gtk_widget_add_css_class(label, css_class);
  gtk_box_append(box, label);
  return GTK_LABEL(label);
}

static void
qf_sing_strip_init(QfSingStrip* const self)
{
  GtkWidget* const words = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);

  self->close = GTK_BUTTON(gtk_button_new_with_mnemonic("Stop _Singing"));
  self->keys  = g_array_new(FALSE, FALSE, sizeof(int));
  self->names = g_array_new(FALSE, FALSE, sizeof(QfNoteName));
  self->said  = g_string_new(NULL);
  self->box   = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 14);
  self->dial  = gtk_drawing_area_new();
  gtk_widget_add_css_class(self->box, "qf-writing");
  gtk_widget_set_hexpand(words, TRUE);
  self->asked   = new_label(GTK_BOX(words), "heading");
  self->heard   = new_label(GTK_BOX(words), "body");
  self->results = new_label(GTK_BOX(words), "caption");
  gtk_drawing_area_set_content_width(GTK_DRAWING_AREA(self->dial), DIAL_WIDTH);
  gtk_drawing_area_set_content_height(GTK_DRAWING_AREA(self->dial), DIAL_HEIGHT);
  gtk_drawing_area_set_draw_func(GTK_DRAWING_AREA(self->dial), draw_dial, self, NULL);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->dial), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Sung pitch, flat to sharp", -1);
  gtk_widget_set_valign(GTK_WIDGET(self->close), GTK_ALIGN_CENTER);
  name_button(self);
  gtk_label_set_text(new_label(GTK_BOX(words), "caption"),
                     "The microphone is only listened to: nothing is recorded or sent");
  gtk_box_append(GTK_BOX(self->box), words);
  gtk_box_append(GTK_BOX(self->box), self->dial);
  gtk_box_append(GTK_BOX(self->box), GTK_WIDGET(self->close));
  gtk_widget_set_parent(self->box, GTK_WIDGET(self));
  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Singing back", -1);
  g_signal_connect_swapped(self->close, "clicked", G_CALLBACK(close_cb), self);
}
