// SPDX-License-Identifier: MIT
#include "qf-bracket.h"

#include "qf-names.h"

static GtkWidget*
make_label(GtkWidget* const parent)
{
  GtkWidget* const label = gtk_label_new(NULL);

  gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_widget_set_parent(label, parent);
  return label;
}

/// A label of the brackets shown before, or a new one
static GtkWidget*
take_label(GArray* const old, GtkWidget* const parent)
{
  if (!old || !old->len) {
    return make_label(parent);
  }

  GtkWidget* const label = g_array_index(old, QfBracket, old->len - 1).label;
  g_array_set_size(old, old->len - 1);
  return label;
}

static void
fill_label(GtkWidget* const  label,
           const char* const text,
           const gboolean    is_key,
           const double      scale)
{
  PangoAttrList* const attrs = pango_attr_list_new();

  pango_attr_list_insert(attrs, pango_attr_scale_new(scale));
  gtk_label_set_attributes(GTK_LABEL(label), attrs);
  pango_attr_list_unref(attrs);
  gtk_label_set_text(GTK_LABEL(label), text);
  gtk_widget_set_tooltip_text(label, text);
  gtk_widget_remove_css_class(label, is_key ? "qf-chain-name" : "qf-key-name");
  gtk_widget_add_css_class(label, is_key ? "qf-key-name" : "qf-chain-name");
}

static gboolean
overlaps(const QfBracket* const a, const QfBracket* const b)
{
  return a->first <= b->last && b->first <= a->last;
}

/// Lowest lane in which a bracket meets no other
static int
free_lane(const GArray* const brackets, const QfBracket* const bracket)
{
  for (int lane = 0;; ++lane) {
    gboolean is_free = TRUE;
    for (guint i = 0; i < brackets->len && is_free; ++i) {
      const QfBracket* const other = &g_array_index(brackets, QfBracket, i);
      is_free                      = other->lane != lane || !overlaps(bracket, other);
    }
    if (is_free) {
      return lane;
    }
  }
}

GArray*
qf_brackets_of(const QfLabels* const labels,
               GArray* const         old,
               GtkWidget* const      parent,
               const QfNamingKind    naming,
               const double          scale)
{
  GArray* const brackets = g_array_new(FALSE, TRUE, sizeof(QfBracket));

  for (size_t i = 0; labels && i < qf_labels_n_chains(labels); ++i) {
    const QfChain* const chain   = qf_labels_get_chain(labels, i);
    QfBracket            bracket = {.first = chain->first, .last = MAX(chain->goal, chain->last)};
    bracket.lane                 = free_lane(brackets, &bracket);
    bracket.label                = take_label(old, parent);
    fill_label(bracket.label, chain->name, FALSE, scale);
    g_array_append_val(brackets, bracket);
  }

  const int key_lane = qf_brackets_n_lanes(brackets);
  for (size_t i = 0; labels && i < qf_labels_n_key_spans(labels); ++i) {
    const QfKeySpan* const span = qf_labels_get_key_span(labels, i);
    char                   name[QF_KEY_NAME_SIZE];
    qf_key_spell_out(span->key, naming, name, sizeof(name));
    QfBracket bracket = {span->first, span->last, key_lane, TRUE, NULL};
    bracket.label     = take_label(old, parent);
    fill_label(bracket.label, name, TRUE, scale);
    g_array_append_val(brackets, bracket);
  }

  qf_brackets_free(old);
  return brackets;
}

void
qf_brackets_free(GArray* const brackets)
{
  for (guint i = 0; brackets && i < brackets->len; ++i) {
    gtk_widget_unparent(g_array_index(brackets, QfBracket, i).label);
  }
  if (brackets) {
    g_array_unref(brackets);
  }
}

int
qf_brackets_n_lanes(const GArray* const brackets)
{
  int n_lanes = 0;
  for (guint i = 0; i < brackets->len; ++i) {
    n_lanes = MAX(n_lanes, g_array_index(brackets, QfBracket, i).lane + 1);
  }

  return n_lanes;
}
