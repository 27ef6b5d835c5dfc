// SPDX-License-Identifier: MIT
#include "qf-bracket.h"

#include "common/qf-names.h"

/// Brackets being made, and those shown before, whose buttons are taken in order
typedef struct {
  GArray*      old;
  guint        n_taken;
  GtkWidget*   parent;
  QfNamingKind naming;
  double       scale;
  GArray*      brackets;
} Making;

static const char* const style_classes[] = {
  [QF_BRACKET_CHAIN]   = "qf-chain-name",
  [QF_BRACKET_CADENCE] = "qf-cadence-name",
  [QF_BRACKET_KEY]     = "qf-key-name",
};

/// To reach a bracket is to ask about it
static void
focused_cb(GtkWidget* const button)
{
  GVariant* const target = gtk_actionable_get_action_target_value(GTK_ACTIONABLE(button));

  if (gtk_widget_has_focus(button) && target) {
    gtk_widget_activate_action_variant(button, "win.explain", target);
  }
}

static GtkWidget*
make_button(GtkWidget* const parent)
{
  GtkWidget* const button = gtk_button_new();
  GtkWidget* const label  = gtk_label_new(NULL);

  gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_button_set_child(GTK_BUTTON(button), label);
  gtk_button_set_has_frame(GTK_BUTTON(button), FALSE);
  gtk_widget_add_css_class(button, "qf-bracket");
  g_signal_connect(button, "notify::has-focus", G_CALLBACK(focused_cb), NULL);
  gtk_widget_set_parent(button, parent);
  return button;
}

static GtkWidget*
take_button(Making* const making)
{
  return making->old && making->n_taken < making->old->len
           ? g_array_index(making->old, QfBracket, making->n_taken++).button
           : make_button(making->parent);
}

static void
set_scale(GtkLabel* const label, const double scale)
{
  PangoAttrList* const attrs = pango_attr_list_new();

  pango_attr_list_insert(attrs, pango_attr_scale_new(scale));
  if (!pango_attr_list_equal(attrs, gtk_label_get_attributes(label))) {
    gtk_label_set_attributes(label, attrs);
  }
  pango_attr_list_unref(attrs);
}

/**
   Fill in the words.

   What has not changed is not set again: setting it would lay the words out anew.
*/
static void
fill_button(const QfBracket* const bracket,
            const char* const      text,
            const char* const      spoken,
            const double           scale)
{
  GtkLabel* const label = GTK_LABEL(gtk_button_get_child(GTK_BUTTON(bracket->button)));

  set_scale(label, scale);
  if (g_strcmp0(gtk_label_get_text(label), text) != 0) {
    gtk_label_set_text(label, text);
  }
  if (g_strcmp0(gtk_widget_get_tooltip_text(bracket->button), spoken) != 0) {
    gtk_widget_set_tooltip_text(bracket->button, spoken);
    gtk_accessible_update_property(GTK_ACCESSIBLE(bracket->button), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                   spoken, -1);
  }
  for (gsize i = 0; i < G_N_ELEMENTS(style_classes); ++i) {
    if (i == bracket->kind) {
      gtk_widget_add_css_class(bracket->button, style_classes[i]);
    } else {
      gtk_widget_remove_css_class(bracket->button, style_classes[i]);
    }
  }

  gtk_actionable_set_action_target(GTK_ACTIONABLE(bracket->button), "(ii)", (int)bracket->kind,
                                   (int)bracket->index);
  if (!gtk_actionable_get_action_name(GTK_ACTIONABLE(bracket->button))) {
    // Only now: a name without its target would be complained about.
    gtk_actionable_set_action_name(GTK_ACTIONABLE(bracket->button), "win.explain");
  }
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

static void
add(Making* const making, QfBracket bracket, const char* const text, const char* const spoken)
{
  bracket.button = take_button(making);
  fill_button(&bracket, text, spoken, making->scale);
  g_array_append_val(making->brackets, bracket);
}

static void
add_chains(Making* const making, const QfLabels* const labels)
{
  for (size_t i = 0; i < qf_labels_n_chains(labels); ++i) {
    const QfChain* const chain   = qf_labels_get_chain(labels, i);
    QfBracket            bracket = {.kind  = QF_BRACKET_CHAIN,
                                    .index = i,
                                    .first = chain->first,
                                    .last  = MAX(chain->goal, chain->last)};
    bracket.lane                 = free_lane(making->brackets, &bracket);
    add(making, bracket, chain->name, chain->name);
  }
}

/// A cadence's words are longer than its two links, so it wants room after them
static int
cadence_lane(const GArray* const brackets, const QfCadence* const cadence)
{
  enum { ROOM = 2 }; // Links
  const QfBracket wanted = {.first = cadence->from, .last = cadence->arrival + ROOM};

  return free_lane(brackets, &wanted);
}

static void
add_cadences(Making* const making, const QfLabels* const labels)
{
  for (size_t i = 0; i < qf_labels_n_cadences(labels); ++i) {
    const QfCadence* const cadence = qf_labels_get_cadence(labels, i);
    g_autofree char*       text    = g_strdup(qf_cadence_kind_name(cadence->kind));
    char                   key[QF_KEY_NAME_SIZE];
    qf_key_spell_out(cadence->key, making->naming, key, sizeof(key));
    text[0]                 = g_ascii_toupper(text[0]);
    const int        lane   = cadence_lane(making->brackets, cadence);
    g_autofree char* spoken = g_strdup_printf("%s in %s", text, key);

    add(making, (QfBracket){QF_BRACKET_CADENCE, i, cadence->from, cadence->arrival, lane, NULL},
        text, spoken);
  }
}

static void
add_keys(Making* const making, const QfLabels* const labels, const int lane)
{
  for (size_t i = 0; i < qf_labels_n_key_spans(labels); ++i) {
    const QfKeySpan* const span = qf_labels_get_key_span(labels, i);
    char                   name[QF_KEY_NAME_SIZE];
    qf_key_spell_out(span->key, making->naming, name, sizeof(name));
    g_autofree char* spoken = g_strdup_printf("Key: %s. %s", name, span->reason);

    add(making, (QfBracket){QF_BRACKET_KEY, i, span->first, span->last, lane, NULL}, name, spoken);
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
  Making        making   = {old, 0, parent, naming, scale, brackets};

  if (labels) {
    add_chains(&making, labels);
    add_cadences(&making, labels);
    add_keys(&making, labels, qf_brackets_n_lanes(brackets));
  }
  if (old) {
    g_array_remove_range(old, 0, making.n_taken);
  }

  qf_brackets_free(old);
  return brackets;
}

void
qf_brackets_free(GArray* const brackets)
{
  for (guint i = 0; brackets && i < brackets->len; ++i) {
    gtk_widget_unparent(g_array_index(brackets, QfBracket, i).button);
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
