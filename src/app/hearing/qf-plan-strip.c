// SPDX-License-Identifier: MIT
#include "qf-plan-strip.h"

#include "qf-app.h"

struct _QfPlanStrip {
  GtkWidget    parent_instance;
  GtkWidget*   box; ///< Template child, as all widgets below
  GtkButton*   play;
  GtkLabel*    step;
  GtkButton*   speed;
  GtkLevelBar* meter;
};

G_DEFINE_FINAL_TYPE(QfPlanStrip, qf_plan_strip, GTK_TYPE_WIDGET)

// Range of the meter under full scale.
static const double meter_range_db = 60.0;

void
qf_plan_strip_set_step(QfPlanStrip* const self, const char* const text)
{
  if (g_strcmp0(gtk_label_get_text(self->step), text)) {
    gtk_label_set_text(self->step, text);
    gtk_widget_set_tooltip_text(GTK_WIDGET(self->step), text);
  }
}

void
qf_plan_strip_set_playing(QfPlanStrip* const self, const gboolean is_playing)
{
  gtk_button_set_label(self->play, is_playing ? "Pause Plan" : "Play Plan");
}

void
qf_plan_strip_set_speed(QfPlanStrip* const self, const double factor)
{
  g_autofree char* text = g_strdup_printf("%.0f %%", 100.0 * factor);
  g_autofree char* name = g_strdup_printf("Speed, %s; back to the written tempo", text);

  gtk_button_set_label(self->speed, text);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->speed), GTK_ACCESSIBLE_PROPERTY_LABEL, name,
                                 -1);
}

void
qf_plan_strip_set_level(QfPlanStrip* const self, const double level_db)
{
  gtk_level_bar_set_value(self->meter, CLAMP(level_db + meter_range_db, 0.0, meter_range_db));
}

static void
qf_plan_strip_dispose(GObject* const object)
{
  g_clear_pointer(&QF_PLAN_STRIP(object)->box, gtk_widget_unparent);
  G_OBJECT_CLASS(qf_plan_strip_parent_class)->dispose(object);
}

static void
qf_plan_strip_class_init(QfPlanStripClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_plan_strip_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-plan-strip.ui");
  gtk_widget_class_bind_template_child(widget_class, QfPlanStrip, box);
  gtk_widget_class_bind_template_child(widget_class, QfPlanStrip, play);
  gtk_widget_class_bind_template_child(widget_class, QfPlanStrip, step);
  gtk_widget_class_bind_template_child(widget_class, QfPlanStrip, speed);
  gtk_widget_class_bind_template_child(widget_class, QfPlanStrip, meter);
}

static void
qf_plan_strip_init(QfPlanStrip* const self)
{
  gtk_widget_init_template(GTK_WIDGET(self));

  // The default colours mean a battery; here more is only louder.
  gtk_level_bar_remove_offset_value(self->meter, GTK_LEVEL_BAR_OFFSET_LOW);
  gtk_level_bar_remove_offset_value(self->meter, GTK_LEVEL_BAR_OFFSET_HIGH);
  gtk_level_bar_remove_offset_value(self->meter, GTK_LEVEL_BAR_OFFSET_FULL);
  qf_plan_strip_set_speed(self, 1.0);
}
