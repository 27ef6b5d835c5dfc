// SPDX-License-Identifier: MIT
#include "qf-link-button.h"

#include "qf-inks.h"
#include "qf-plate.h"

#include <adwaita.h>
#include <string.h>

enum {
  LAYOUT_HEAD,
  LAYOUT_FIGURES,
  LAYOUT_TAIL,
  LAYOUT_ROWS, ///< First of #QF_N_SHOWS
  N_LAYOUTS = LAYOUT_ROWS + QF_N_SHOWS,
};

/// Sizes in pixels, from the fonts in force
typedef struct {
  int plate_width;
  int plate_height;
  int pad; ///< Room for the plate's slanted ends
  int row_height;
  int width;
  int height;
} Sizes;

struct _QfLinkButton {
  GtkWidget    parent_instance;
  QfLinkText   text;
  QfLinkRows   rows;
  PangoLayout* layouts[N_LAYOUTS]; ///< Owned; made when first measured
  Sizes        sizes;
  gboolean     is_selected;
  gboolean     is_playing;
};

G_DEFINE_FINAL_TYPE(QfLinkButton, qf_link_button, GTK_TYPE_WIDGET)

enum { CHOSEN, N_SIGNALS };
static guint signals[N_SIGNALS];

static const double head_scale    = 1.35;
static const double figures_scale = 0.78;
static const double tail_scale    = 1.1;
static const double row_scale     = 0.92;

static PangoLayout*
make_layout(QfLinkButton* const self,
            const char* const   text,
            const double        scale,
            const PangoWeight   weight)
{
  PangoLayout* const   layout = gtk_widget_create_pango_layout(GTK_WIDGET(self), text);
  PangoAttrList* const attrs  = pango_attr_list_new();

  pango_attr_list_insert(attrs, pango_attr_scale_new(scale * self->rows.scale));
  pango_attr_list_insert(attrs, pango_attr_weight_new(weight));
  pango_layout_set_attributes(layout, attrs);
  pango_layout_set_alignment(layout, PANGO_ALIGN_CENTER);
  pango_attr_list_unref(attrs);
  return layout;
}

static void
size_of(PangoLayout* const layout, int* const width, int* const height)
{
  pango_layout_get_pixel_size(layout, width, height);
}

static void
drop_layouts(QfLinkButton* const self)
{
  for (int i = 0; i < N_LAYOUTS; ++i) {
    g_clear_object(&self->layouts[i]);
  }
}

static bool
has_row(const QfLinkButton* const self, const int row)
{
  return (self->rows.rows & (1U << row)) != 0;
}

static int
row_lines(const QfLinkButton* const self, const int row)
{
  return (1U << row) == QF_SHOW_FIGURES ? MAX(1, self->rows.figure_lines) : 1;
}

static void
make_layouts(QfLinkButton* const self)
{
  const QfLinkText* const text      = &self->text;
  const gboolean          is_unsure = text->is_unsure && !text->is_pinned;

  self->layouts[LAYOUT_HEAD] =
    make_layout(self, text->head, head_scale, is_unsure ? PANGO_WEIGHT_NORMAL : PANGO_WEIGHT_BOLD);
  self->layouts[LAYOUT_FIGURES] =
    make_layout(self, text->figures, figures_scale, PANGO_WEIGHT_SEMIBOLD);
  self->layouts[LAYOUT_TAIL] = make_layout(self, text->tail, tail_scale, PANGO_WEIGHT_NORMAL);
  pango_layout_set_line_spacing(self->layouts[LAYOUT_FIGURES], 0.8F);

  for (int row = 0; row < QF_N_SHOWS; ++row) {
    self->layouts[LAYOUT_ROWS + row] =
      make_layout(self, text->rows[row], row_scale, PANGO_WEIGHT_NORMAL);
  }
}

static void
find_sizes(QfLinkButton* const self)
{
  int head_width = 0, head_height = 0;
  int figures_width = 0, figures_height = 0;
  int tail_width = 0, tail_height = 0;

  if (self->layouts[LAYOUT_HEAD]) {
    return;
  }

  make_layouts(self);
  size_of(self->layouts[LAYOUT_HEAD], &head_width, &head_height);
  size_of(self->layouts[LAYOUT_FIGURES], &figures_width, &figures_height);
  size_of(self->layouts[LAYOUT_TAIL], &tail_width, &tail_height);

  // Two stacked figures are the tallest there is; all plates share that height.
  Sizes* const sizes  = &self->sizes;
  const int    inside = head_width + (self->text.figures[0] ? figures_width + 2 : 0) +
                     (self->text.tail[0] ? tail_width + 1 : 0);
  sizes->pad          = head_height / 3;
  sizes->plate_width  = MAX(inside + 2 * sizes->pad, head_height + sizes->pad);
  sizes->plate_height = head_height * 3 / 2;
  sizes->width        = sizes->plate_width;
  sizes->height       = sizes->plate_height;
  sizes->row_height   = 0;

  for (int row = 0; row < QF_N_SHOWS; ++row) {
    int width = 0, height = 0;
    if (has_row(self, row)) {
      size_of(self->layouts[LAYOUT_ROWS + row], &width, &height);
      const int line    = height / pango_layout_get_line_count(self->layouts[LAYOUT_ROWS + row]);
      sizes->row_height = MAX(sizes->row_height, line);
      sizes->width      = MAX(sizes->width, width);
    }
  }
  for (int row = 0; row < QF_N_SHOWS; ++row) {
    sizes->height += has_row(self, row) ? sizes->row_height * row_lines(self, row) : 0;
  }

  sizes->height += 4;
}

int
qf_link_button_get_plate_height(const QfLinkButton* const self)
{
  return self->sizes.plate_height;
}

int
qf_link_button_get_plate_width(const QfLinkButton* const self)
{
  return self->sizes.plate_width;
}

int
qf_link_button_get_row_middle(const QfLinkButton* const self, const int row)
{
  int y = self->sizes.plate_height;
  for (int above = 0; above < row; ++above) {
    y += has_row(self, above) ? self->sizes.row_height * row_lines(self, above) : 0;
  }

  return y + self->sizes.row_height / 2;
}

static void
qf_link_button_measure(GtkWidget* const     widget,
                       const GtkOrientation orientation,
                       const int            for_size,
                       int* const           minimum,
                       int* const           natural,
                       int* const           minimum_baseline,
                       int* const           natural_baseline)
{
  QfLinkButton* const self = QF_LINK_BUTTON(widget);

  (void)for_size;
  find_sizes(self);
  *minimum = *natural =
    orientation == GTK_ORIENTATION_HORIZONTAL ? self->sizes.width : self->sizes.height;
  *minimum_baseline = *natural_baseline = -1;
}

static void
append_layout(GtkSnapshot* const snapshot,
              PangoLayout* const layout,
              const double       x,
              const double       y,
              const QfColour     colour)
{
  const graphene_point_t offset = {(float)x, (float)y};
  const GdkRGBA          rgba   = qf_colour_to_rgba(colour);

  gtk_snapshot_save(snapshot);
  gtk_snapshot_translate(snapshot, &offset);
  gtk_snapshot_append_layout(snapshot, layout, &rgba);
  gtk_snapshot_restore(snapshot);
}

/// The numeral inside its plate: head, stacked figures, tail
static void
append_numeral(const QfLinkButton* const self, GtkSnapshot* const snapshot, const QfColour ink)
{
  int head_width = 0, head_height = 0;
  int figures_width = 0, figures_height = 0;
  int tail_width = 0, tail_height = 0;
  size_of(self->layouts[LAYOUT_HEAD], &head_width, &head_height);
  size_of(self->layouts[LAYOUT_FIGURES], &figures_width, &figures_height);
  size_of(self->layouts[LAYOUT_TAIL], &tail_width, &tail_height);

  const int figures = self->text.figures[0] ? figures_width + 2 : 0;
  const int tail    = self->text.tail[0] ? tail_width + 1 : 0;
  const int middle  = self->sizes.plate_height / 2;
  double    x       = (self->sizes.plate_width - head_width - figures - tail) / 2.0;

  append_layout(snapshot, self->layouts[LAYOUT_HEAD], x, middle - head_height / 2.0, ink);
  x += head_width;
  if (figures) {
    const gboolean is_stacked = strchr(self->text.figures, '\n') != NULL;
    const double   y = is_stacked ? middle - figures_height / 2.0 : middle - head_height / 2.0;
    append_layout(snapshot, self->layouts[LAYOUT_FIGURES], x + 2, y, ink);
    x += figures;
  }
  if (tail) {
    append_layout(snapshot, self->layouts[LAYOUT_TAIL], x + 1, middle - tail_height / 2.0, ink);
  }
}

static void
append_rows(const QfLinkButton* const self, GtkSnapshot* const snapshot, const QfColour ink)
{
  double y = self->sizes.plate_height;

  for (int row = 0; row < QF_N_SHOWS; ++row) {
    if (has_row(self, row)) {
      int width = 0, height = 0;
      size_of(self->layouts[LAYOUT_ROWS + row], &width, &height);
      append_layout(
        snapshot, self->layouts[LAYOUT_ROWS + row],
        (self->sizes.plate_width - width) / 2.0 > 0 ? (self->sizes.plate_width - width) / 2.0 : 0.0,
        y, ink);
      y += self->sizes.row_height * row_lines(self, row);
    }
  }
}

static void
qf_link_button_snapshot(GtkWidget* const widget, GtkSnapshot* const snapshot)
{
  QfLinkButton* const self    = QF_LINK_BUTTON(widget);
  const QfPalette     palette = qf_palette_now();

  find_sizes(self);
  const graphene_rect_t area = GRAPHENE_RECT_INIT(
    -3.0F, -3.0F, (float)self->sizes.plate_width + 6.0F, (float)self->sizes.plate_height + 9.0F);
  cairo_t* const cr = gtk_snapshot_append_cairo(snapshot, &area);
  qf_plate_paint(cr,
                 (QfPlate){
                   .width       = self->sizes.plate_width,
                   .height      = self->sizes.plate_height,
                   .pad         = self->sizes.pad,
                   .function    = self->text.function,
                   .is_known    = self->text.is_known,
                   .is_pinned   = self->text.is_pinned,
                   .is_selected = self->is_selected,
                   .is_playing  = self->is_playing,
                   .is_focused  = gtk_widget_has_focus(widget),
                 },
                 &palette);
  cairo_destroy(cr);

  append_numeral(self, snapshot, palette.page.ink);
  append_rows(self, snapshot, palette.page.ink);
}

/// The rows in words: what the eye reads under the plate
static void
update_description(QfLinkButton* const self)
{
  g_autoptr(GString) words = g_string_new(NULL);

  for (int row = 0; row < QF_N_SHOWS; ++row) {
    if (has_row(self, row) && self->text.rows[row][0]) {
      g_autofree char* text = g_strdelimit(g_strdup(self->text.rows[row]), "\n", ' ');
      g_string_append_printf(words, "%s%s %s", words->len ? "; " : "", qf_link_row_name(row), text);
    }
  }

  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                 words->str, -1);
}

void
qf_link_button_set_text(QfLinkButton* const     self,
                        const QfLinkText* const text,
                        const QfLinkRows        rows)
{
  if (!memcmp(&self->text, text, sizeof(*text)) && self->rows.rows == rows.rows &&
      self->rows.figure_lines == rows.figure_lines && self->rows.scale == rows.scale) {
    return;
  }

  g_autofree char* spoken =
    g_strdup_printf("%s%s", text->spoken, text->is_pinned ? "; pinned" : "");
  self->text = *text;
  self->rows = rows;
  drop_layouts(self);
  gtk_widget_set_tooltip_text(GTK_WIDGET(self), spoken);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  update_description(self);
  gtk_widget_queue_resize(GTK_WIDGET(self));
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

size_t
qf_link_button_get_index(const QfLinkButton* const self)
{
  return self->text.index;
}

void
qf_link_button_set_state(QfLinkButton* const self,
                         const gboolean      is_selected,
                         const gboolean      is_playing)
{
  if (self->is_selected == is_selected && self->is_playing == is_playing) {
    return;
  }

  self->is_selected = is_selected;
  self->is_playing  = is_playing;
  gtk_accessible_update_state(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_STATE_SELECTED, is_selected, -1);
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void
choose(QfLinkButton* const self)
{
  gtk_widget_grab_focus(GTK_WIDGET(self));
  g_signal_emit(self, signals[CHOSEN], 0);
}

static void
choose_cb(GtkWidget* const widget, const char* const action, GVariant* const parameter)
{
  (void)action;
  (void)parameter;
  choose(QF_LINK_BUTTON(widget));
}

static void
released_cb(QfLinkButton* const self)
{
  choose(self);
}

static void
redraw_cb(QfLinkButton* const self)
{
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void
qf_link_button_css_changed(GtkWidget* const widget, GtkCssStyleChange* const change)
{
  GTK_WIDGET_CLASS(qf_link_button_parent_class)->css_changed(widget, change);
  drop_layouts(QF_LINK_BUTTON(widget));
  gtk_widget_queue_resize(widget);
}

static void
qf_link_button_system_setting_changed(GtkWidget* const widget, const GtkSystemSetting setting)
{
  GTK_WIDGET_CLASS(qf_link_button_parent_class)->system_setting_changed(widget, setting);
  drop_layouts(QF_LINK_BUTTON(widget));
  gtk_widget_queue_resize(widget);
}

static void
qf_link_button_dispose(GObject* const object)
{
  drop_layouts(QF_LINK_BUTTON(object));
  G_OBJECT_CLASS(qf_link_button_parent_class)->dispose(object);
}

static void
qf_link_button_class_init(QfLinkButtonClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose       = qf_link_button_dispose;
  widget_class->measure                = qf_link_button_measure;
  widget_class->snapshot               = qf_link_button_snapshot;
  widget_class->css_changed            = qf_link_button_css_changed;
  widget_class->system_setting_changed = qf_link_button_system_setting_changed;
  gtk_widget_class_set_css_name(widget_class, "qf-link");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_BUTTON);
  gtk_widget_class_install_action(widget_class, "link.choose", NULL, choose_cb);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_Return, 0, "link.choose", NULL);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_KP_Enter, 0, "link.choose", NULL);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_space, 0, "link.choose", NULL);

  signals[CHOSEN] = g_signal_new("chosen", QF_TYPE_LINK_BUTTON, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 0);
}

static void
qf_link_button_init(QfLinkButton* const self)
{
  GtkGesture* const click = gtk_gesture_click_new();

  self->rows.scale = 1.0;
  gtk_widget_set_focusable(GTK_WIDGET(self), TRUE);
  g_signal_connect_swapped(click, "released", G_CALLBACK(released_cb), self);
  gtk_widget_add_controller(GTK_WIDGET(self), GTK_EVENT_CONTROLLER(click));
  g_signal_connect(self, "notify::has-focus", G_CALLBACK(redraw_cb), NULL);
  g_signal_connect_object(adw_style_manager_get_default(), "notify", G_CALLBACK(redraw_cb), self,
                          G_CONNECT_SWAPPED);
}

GtkWidget*
qf_link_button_new(void)
{
  return g_object_new(QF_TYPE_LINK_BUTTON, NULL);
}
