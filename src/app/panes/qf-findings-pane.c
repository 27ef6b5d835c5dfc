// SPDX-License-Identifier: MIT
#include "qf-findings-pane.h"

#include "qf-app.h"

enum {
  MAX_ROWS = 300, ///< More would be slow to build, and nobody reads them
};

struct _QfFindingsPane {
  GtkWidget   parent_instance;
  GtkWidget*  box; ///< Template child, as all below
  GtkLabel*   counts;
  GtkListBox* list;
  GtkWidget*  details;
  GtkLabel*   rule;
  GtkLabel*   reason;
  GtkLabel*   source;
};

G_DEFINE_FINAL_TYPE(QfFindingsPane, qf_findings_pane, GTK_TYPE_WIDGET)

enum { CHOSEN, N_SIGNALS };
static guint signals[N_SIGNALS];

static const struct {
  const char* word;
  const char* plural;
  const char* icon;
} severities[] = {
  [QF_SEVERITY_OFF]     = {"", "", ""},
  [QF_SEVERITY_INFO]    = {"Remark", "remarks", "dialog-information-symbolic"},
  [QF_SEVERITY_WARNING] = {"Warning", "warnings", "dialog-warning-symbolic"},
  [QF_SEVERITY_ERROR]   = {"Error", "errors", "dialog-error-symbolic"},
};

const char*
qf_severity_speak(const QfSeverity severity)
{
  return severities[severity].word;
}

char*
qf_findings_describe(const QfFindings* const findings)
{
  GString* const text = g_string_new(NULL);

  for (QfSeverity severity = QF_SEVERITY_ERROR; severity >= QF_SEVERITY_INFO; --severity) {
    const size_t     n    = qf_findings_count(findings, severity);
    g_autofree char* word = g_ascii_strdown(severities[severity].word, -1);
    if (n) {
      g_string_append_printf(text, "%s%zu %s", text->len ? ", " : "", n,
                             n == 1 ? word : severities[severity].plural);
    }
  }
  if (!text->len) {
    g_string_assign(text, "Nothing found");
  }

  return g_string_free(text, FALSE);
}

/// The books' names in full, for the short ones in the table of rules
static char*
dup_source(const QfRule rule)
{
  static const struct {
    const char* sign;
    const char* title;
  } books[] = {
    {"MT21C", "Hutchinson, Music Theory for the 21st-Century Classroom"},
    {"IBMT", "Butterfield and Williamson, Inquiry-Based Music Theory"},
    {"OMT", "Shaffer, Hughes and Moseley, Open Music Theory"},
  };
  g_autoptr(GString) text = g_string_new(qf_rule_get_text(rule)->source);

  for (gsize i = 0; i < G_N_ELEMENTS(books); ++i) {
    g_string_replace(text, books[i].sign, books[i].title, 0);
  }
  return g_strdup_printf("Source: %s", text->str);
}

/// A rule's name for people: its identity as words
static char*
dup_rule_name(const QfRule rule)
{
  char* const name = g_strdelimit(g_strdup(qf_rule_get_text(rule)->id), "_", ' ');
  name[0]          = g_ascii_toupper(name[0]);
  return name;
}

static GtkWidget*
make_label(const char* const text, const char* const css_class)
{
  GtkWidget* const label = gtk_label_new(text);

  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_label_set_max_width_chars(GTK_LABEL(label), 26);
  gtk_widget_add_css_class(label, css_class);
  return label;
}

static GtkWidget*
make_row(const QfFinding* const finding, const char* const place)
{
  const char* const word    = severities[finding->severity].word;
  g_autofree char*  name    = dup_rule_name(finding->rule);
  g_autofree char*  where   = g_strdup_printf("%s \u2022 %s", word, place);
  g_autofree char*  spoken  = g_strdup_printf("%s, %s: %s", word, place, finding->text);
  GtkWidget* const  row     = gtk_list_box_row_new();
  GtkWidget* const  columns = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget* const  lines   = gtk_box_new(GTK_ORIENTATION_VERTICAL, 2);
  GtkWidget* const  icon    = gtk_image_new_from_icon_name(severities[finding->severity].icon);

  gtk_widget_set_valign(icon, GTK_ALIGN_START);
  gtk_accessible_update_state(GTK_ACCESSIBLE(icon), GTK_ACCESSIBLE_STATE_HIDDEN, TRUE, -1);
  gtk_box_append(GTK_BOX(lines), make_label(name, "heading"));
  gtk_box_append(GTK_BOX(lines), make_label(where, "caption"));
  gtk_box_append(GTK_BOX(lines), make_label(finding->text, "body"));
  gtk_box_append(GTK_BOX(columns), icon);
  gtk_box_append(GTK_BOX(columns), lines);
  gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(row), columns);
  gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  return row;
}

/// The line under a list that was cut short
static GtkWidget*
make_rest(const size_t n_more)
{
  g_autofree char* text = g_strdup_printf("And %zu more, to be seen once these are gone.", n_more);
  GtkWidget* const row  = gtk_list_box_row_new();

  gtk_list_box_row_set_child(GTK_LIST_BOX_ROW(row), make_label(text, "caption"));
  gtk_list_box_row_set_activatable(GTK_LIST_BOX_ROW(row), FALSE);
  gtk_list_box_row_set_selectable(GTK_LIST_BOX_ROW(row), FALSE);
  return row;
}

static void
empty_list(QfFindingsPane* const self)
{
  for (GtkWidget* row = NULL; (row = gtk_widget_get_first_child(GTK_WIDGET(self->list)));) {
    gtk_list_box_remove(self->list, row);
  }
}

void
qf_findings_pane_show(QfFindingsPane* const    self,
                      const QfFindings* const  findings,
                      const char* const* const places,
                      const size_t             chosen)
{
  g_autofree char* counts = qf_findings_describe(findings);
  const size_t     shown  = MIN(findings->n_findings, (size_t)MAX_ROWS);

  gtk_label_set_text(self->counts, counts);
  empty_list(self);
  for (size_t i = 0; i < shown; ++i) {
    gtk_list_box_append(self->list, make_row(&findings->findings[i], places[i]));
  }
  if (shown < findings->n_findings) {
    gtk_list_box_append(self->list, make_rest(findings->n_findings - shown));
  }

  qf_findings_pane_choose(self, findings, chosen);
}

/// Scroll a row into sight without taking the keyboard from the staves
static void
show_row(QfFindingsPane* const self, GtkWidget* const row)
{
  GtkAdjustment* const adjustment = gtk_list_box_get_adjustment(self->list);
  double               x = 0.0, y = 0.0;

  if (adjustment &&
      gtk_widget_translate_coordinates(row, GTK_WIDGET(self->list), 0.0, 0.0, &x, &y)) {
    gtk_adjustment_clamp_page(adjustment, y, y + gtk_widget_get_height(row));
  }
}

void
qf_findings_pane_choose(QfFindingsPane* const   self,
                        const QfFindings* const findings,
                        const size_t            index)
{
  const gboolean       is_any = index < findings->n_findings;
  GtkListBoxRow* const row = is_any ? gtk_list_box_get_row_at_index(self->list, (int)index) : NULL;

  gtk_widget_set_visible(self->details, is_any);
  gtk_list_box_select_row(self->list, row);
  if (is_any) {
    const QfRuleText* const text   = qf_rule_get_text(findings->findings[index].rule);
    g_autofree char*        source = dup_source(findings->findings[index].rule);
    gtk_label_set_text(self->rule, text->statement);
    gtk_label_set_text(self->reason, text->reason);
    gtk_label_set_text(self->source, source);
    gtk_widget_set_tooltip_text(GTK_WIDGET(self->source), source);
  }
  if (row) {
    show_row(self, GTK_WIDGET(row));
  }
}

static void
activated_cb(QfFindingsPane* const self, GtkListBoxRow* const row)
{
  g_signal_emit(self, signals[CHOSEN], 0, (guint)gtk_list_box_row_get_index(row));
}

static void
qf_findings_pane_dispose(GObject* const object)
{
  g_clear_pointer(&QF_FINDINGS_PANE(object)->box, gtk_widget_unparent);
  G_OBJECT_CLASS(qf_findings_pane_parent_class)->dispose(object);
}

static void
qf_findings_pane_class_init(QfFindingsPaneClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_findings_pane_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-findings-pane.ui");
  gtk_widget_class_bind_template_child(widget_class, QfFindingsPane, box);
  gtk_widget_class_bind_template_child(widget_class, QfFindingsPane, counts);
  gtk_widget_class_bind_template_child(widget_class, QfFindingsPane, list);
  gtk_widget_class_bind_template_child(widget_class, QfFindingsPane, details);
  gtk_widget_class_bind_template_child(widget_class, QfFindingsPane, rule);
  gtk_widget_class_bind_template_child(widget_class, QfFindingsPane, reason);
  gtk_widget_class_bind_template_child(widget_class, QfFindingsPane, source);
  gtk_widget_class_bind_template_callback(widget_class, activated_cb);

  signals[CHOSEN] = g_signal_new("chosen", QF_TYPE_FINDINGS_PANE, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 1, G_TYPE_UINT);
}

static void
qf_findings_pane_init(QfFindingsPane* const self)
{
  gtk_widget_init_template(GTK_WIDGET(self));
}
