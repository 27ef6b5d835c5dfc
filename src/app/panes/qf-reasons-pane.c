// SPDX-License-Identifier: MIT
#include "qf-reasons-pane.h"

#include "common/qf-names.h"
#include "qf-app.h"

#include <string.h>

struct _QfReasonsPane {
  GtkWidget  parent_instance;
  GtkWidget* box; ///< Template child, as all below
  GtkLabel*  heading;
  GtkLabel*  chord;
  GtkWidget* pins;
  GtkWidget* pin;
  GtkWidget* unpin;
  GtkWidget* why_heading;
  GtkBox*    reasons;
  GtkWidget* foreign_heading;
  GtkBox*    foreign;
  GtkWidget* readings_heading;
  GtkBox*    readings;
};

G_DEFINE_FINAL_TYPE(QfReasonsPane, qf_reasons_pane, GTK_TYPE_WIDGET)

/// Rows of a box being filled anew: those there are change their words, as most stay the same
typedef struct {
  GtkBox*    box;
  GtkWidget* next; ///< The first that is not in use yet, or NULL
} Rows;

static Rows
rows_of(GtkBox* const box)
{
  return (Rows){box, gtk_widget_get_first_child(GTK_WIDGET(box))};
}

/// A row there is, or NULL: then one is to be appended
static GtkWidget*
take_row(Rows* const rows)
{
  GtkWidget* const row = rows->next;

  rows->next = row ? gtk_widget_get_next_sibling(row) : NULL;
  return row;
}

/// Drop the rows that are not in use, and the heading if there are none
static void
end_rows(Rows* const rows, GtkWidget* const heading)
{
  for (GtkWidget* row = NULL; (row = take_row(rows));) {
    gtk_box_remove(rows->box, row);
  }
  gtk_widget_set_visible(heading, gtk_widget_get_first_child(GTK_WIDGET(rows->box)) != NULL);
}

/// All rows of the pane
typedef struct {
  Rows reasons;
  Rows foreign;
  Rows readings;
} Filling;

static Filling
begin_filling(const QfReasonsPane* const self)
{
  return (Filling){rows_of(self->reasons), rows_of(self->foreign), rows_of(self->readings)};
}

static void
end_filling(QfReasonsPane* const self, Filling* const filling)
{
  end_rows(&filling->reasons, self->why_heading);
  end_rows(&filling->foreign, self->foreign_heading);
  end_rows(&filling->readings, self->readings_heading);
}

static GtkWidget*
make_text(const char* const text)
{
  GtkWidget* const label = gtk_label_new(text);

  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_label_set_max_width_chars(GTK_LABEL(label), 30);
  gtk_widget_set_hexpand(label, TRUE);
  return label;
}

/**
   A sentence with a mark before it, so that the eye finds where each begins.

   A grid, as a box would ask the sentence for its width at a height, for which
   it is laid out a dozen times.
*/
static GtkWidget*
make_sentence(const char* const mark_text, const char* const text)
{
  GtkWidget* const row  = gtk_grid_new();
  GtkWidget* const mark = gtk_label_new(mark_text);

  gtk_widget_set_valign(mark, GTK_ALIGN_START);
  gtk_accessible_update_state(GTK_ACCESSIBLE(mark), GTK_ACCESSIBLE_STATE_HIDDEN, TRUE, -1);
  gtk_grid_set_column_spacing(GTK_GRID(row), 6);
  gtk_grid_attach(GTK_GRID(row), mark, 0, 0, 1, 1);
  gtk_grid_attach(GTK_GRID(row), make_text(text), 1, 0, 1, 1);
  return row;
}

static void
add_sentence(Rows* const rows, const char* const mark_text, const char* const text)
{
  GtkWidget* const row = take_row(rows);

  if (row) {
    gtk_label_set_text(GTK_LABEL(gtk_widget_get_first_child(row)), mark_text);
    gtk_label_set_text(GTK_LABEL(gtk_widget_get_last_child(row)), text);
  } else {
    gtk_box_append(rows->box, make_sentence(mark_text, text));
  }
}

static void
add_reason(Rows* const rows, const char* const text)
{
  add_sentence(rows, "\u2013", text);
}

/// All reasons but those of notes outside the chord, which stand apart
static void
add_reasons(Rows* const rows, const QfLabel* const label)
{
  for (size_t i = 0; i < label->n_reasons; ++i) {
    if (label->reasons[i].kind != QF_REASON_FOREIGN) {
      add_reason(rows, label->reasons[i].text);
    }
  }
}

/// Notes outside the chord, each with the sign it has on the staves
static void
add_foreign(Rows* const rows, const QfLabel* const label)
{
  size_t reason = 0;

  for (size_t i = 0; i < label->n_foreign; ++i) {
    const QfForeignKind kind = label->foreign[i].kind;
    const char* const   sign = qf_foreign_kind_sign(kind);

    // Their reasons come in the same order, but not always all of them.
    while (reason < label->n_reasons && label->reasons[reason].kind != QF_REASON_FOREIGN) {
      ++reason;
    }
    add_sentence(rows, sign[0] ? sign : "?",
                 reason < label->n_reasons ? label->reasons[reason++].text
                                           : qf_foreign_kind_name(kind));
  }
}

static void
write_numeral(const QfNumeral* const numeral, const QfKey key, char* const text, const size_t size)
{
  QfNumeralParts parts = {0};
  char           figures[sizeof(parts.figures)];
  qf_numeral_parts(numeral, key.mode, &parts);
  qf_figures_write_in_line(parts.figures, figures, sizeof(figures));
  g_snprintf(text, size, "%s%s%s", parts.head, figures, parts.tail);
}

/// A button with a heading and words under it
static GtkWidget*
make_reading(void)
{
  GtkWidget* const button = gtk_button_new();
  GtkWidget* const box    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
  GtkWidget* const title  = make_text("");
  GtkWidget* const words  = make_text("");

  gtk_widget_add_css_class(title, "heading");
  gtk_widget_add_css_class(words, "qf-plain");
  gtk_box_append(GTK_BOX(box), title);
  gtk_box_append(GTK_BOX(box), words);
  gtk_button_set_child(GTK_BUTTON(button), box);
  gtk_actionable_set_action_name(GTK_ACTIONABLE(button), "win.pin-reading");
  return button;
}

static void
add_reading(Rows* const            rows,
            const QfReading* const reading,
            const size_t           index,
            const QfNamingKind     naming)
{
  GtkWidget* const there = take_row(rows);
  GtkWidget* const row   = there ? there : make_reading();
  GtkWidget* const box   = gtk_button_get_child(GTK_BUTTON(row));
  GtkWidget* const words = gtk_widget_get_last_child(box);
  char             numeral[96];
  char             key[QF_KEY_NAME_SIZE];

  write_numeral(&reading->numeral, reading->key, numeral, sizeof(numeral));
  qf_key_spell_out(reading->key, naming, key, sizeof(key));
  g_autofree char* text = g_strdup_printf("%s in %s", numeral, key);
  g_autofree char* tip  = g_strdup_printf("Pin this reading: %s in %s", numeral, key);
  gtk_label_set_text(GTK_LABEL(gtk_widget_get_first_child(box)), text);
  gtk_label_set_text(GTK_LABEL(words), reading->text);
  gtk_widget_set_visible(words, reading->text[0] != '\0');
  gtk_widget_set_tooltip_text(row, tip);
  gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, tip, -1);
  gtk_actionable_set_action_target(GTK_ACTIONABLE(row), "i", (int)index);
  if (!there) {
    gtk_box_append(rows->box, row);
  }
}

static void
show_nothing(QfReasonsPane* const self)
{
  gtk_widget_set_visible(self->pins, FALSE);
  gtk_label_set_text(self->heading, "No link here");
  gtk_label_set_text(self->chord,
                     "Write notes on the staves or a numeral under them; what they mean appears "
                     "here.");
}

/// "F♯ dominant seventh, second inversion; falling fifth; kept"
static void
write_chord(const QfLabel* const label,
            const QfNamingKind   naming,
            char* const          text,
            const size_t         size)
{
  static const char* const inversions[] = {"root position", "first inversion", "second inversion",
                                           "third inversion", "fourth inversion"};
  char                     root[24];
  char                     motion[48] = "";

  qf_note_name_spell_out(label->chord.root, naming, root, sizeof(root));
  if (label->has_next) {
    qf_root_motion_describe(label->motion, motion, sizeof(motion));
  }
  const gboolean has_resolution = label->resolution != QF_RESOLUTION_NONE;
  g_snprintf(text, size, "%s %s, %s%s%s%s%s", root, qf_chord_kind_name(label->chord.kind),
             inversions[CLAMP(label->chord.inversion, 0, 4)], motion[0] ? "; root motion: " : "",
             motion, has_resolution ? "; resolution: " : "",
             has_resolution ? qf_resolution_name(label->resolution) : "");
}

static void
add_chains(Rows* const rows, const QfLabels* const labels, const size_t index)
{
  for (size_t i = 0; i < qf_labels_n_chains(labels); ++i) {
    const QfChain* const chain = qf_labels_get_chain(labels, i);
    if (index >= chain->first && index <= MAX(chain->last, chain->goal)) {
      g_autofree char* text = g_strdup_printf("Part of a chain: %s.", chain->name);
      add_reason(rows, text);
    }
  }
}

void
qf_reasons_pane_show(QfReasonsPane* const  self,
                     const QfLabels* const labels,
                     const size_t          index,
                     const QfNamingKind    naming)
{
  Filling filling = begin_filling(self);

  if (!labels || index >= qf_labels_n_links(labels)) {
    show_nothing(self);
    end_filling(self, &filling);
    return;
  }

  const QfLabel* const label       = qf_labels_get_link(labels, index);
  char                 numeral[96] = "?";
  char                 key[QF_KEY_NAME_SIZE];
  char                 chord[240] = "No chord could be named from these notes.";
  qf_key_spell_out(label->key, naming, key, sizeof(key));
  if (label->is_known) {
    write_numeral(&label->numeral, label->key, numeral, sizeof(numeral));
    write_chord(label, naming, chord, sizeof(chord));
  }

  g_autofree char* heading = g_strdup_printf("%zu: %s in %s", index + 1, numeral, key);
  gtk_label_set_text(self->heading, heading);
  gtk_label_set_text(self->chord, chord);
  gtk_widget_set_visible(self->pins, TRUE);
  gtk_widget_set_visible(self->pin, label->is_known && !label->is_pinned);
  gtk_widget_set_visible(self->unpin, label->is_pinned);

  add_reasons(&filling.reasons, label);
  add_foreign(&filling.foreign, label);
  add_chains(&filling.reasons, labels, index);
  for (size_t i = 0; i < label->n_readings; ++i) {
    add_reading(&filling.readings, &label->readings[i], i, naming);
  }
  end_filling(self, &filling);
}

void
qf_reasons_pane_show_evidence(QfReasonsPane* const self, const QfEvidence* const evidence)
{
  Filling filling = begin_filling(self);

  gtk_widget_set_visible(self->pins, FALSE);
  gtk_label_set_text(self->heading, evidence->heading);
  gtk_label_set_text(self->chord, evidence->summary);
  for (guint i = 0; i < evidence->facts->len; ++i) {
    add_reason(&filling.reasons, g_ptr_array_index(evidence->facts, i));
  }
  end_filling(self, &filling);
}

static void
qf_reasons_pane_dispose(GObject* const object)
{
  g_clear_pointer(&QF_REASONS_PANE(object)->box, gtk_widget_unparent);
  G_OBJECT_CLASS(qf_reasons_pane_parent_class)->dispose(object);
}

static void
qf_reasons_pane_class_init(QfReasonsPaneClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_reasons_pane_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-reasons-pane.ui");
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, box);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, heading);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, chord);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, pins);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, pin);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, unpin);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, why_heading);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, reasons);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, foreign_heading);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, foreign);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, readings_heading);
  gtk_widget_class_bind_template_child(widget_class, QfReasonsPane, readings);
}

static void
qf_reasons_pane_init(QfReasonsPane* const self)
{
  gtk_widget_init_template(GTK_WIDGET(self));
}
