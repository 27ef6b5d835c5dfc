// SPDX-License-Identifier: MIT
#include "qf-make-run.h"

enum {
  PROGRESS_INTERVAL_MS = 100,
};

struct QfMakeRun {
  GtkWidget*        box;
  GtkProgressBar*   bar;
  QfMakeEnded       ended;
  gpointer          data;
  QfWorkbookOptions options;
  char*             folder;
  GThread*          thread;
  guint             tick;
  gint              is_cancelled; ///< Atomic, as the next two
  gint              n_complete;
  gint              is_over;
  QfStatus          status; ///< Of the thread, once it is over
  size_t            n_done;
  QfError           error;
};

static bool
progress_func(const QfWorkbookProgress progress, void* const data)
{
  QfMakeRun* const self = data;

  g_atomic_int_set(&self->n_complete, (gint)progress.done);
  return !g_atomic_int_get(&self->is_cancelled);
}

static gpointer
thread_func(const gpointer data)
{
  QfMakeRun* const self = data;

  self->status = qf_workbook_write(self->folder, &self->options, &self->n_done, &self->error);
  g_atomic_int_set(&self->is_over, TRUE);
  return NULL;
}

static void
join(QfMakeRun* const self)
{
  g_clear_handle_id(&self->tick, g_source_remove);
  if (self->thread) {
    g_thread_join(g_steal_pointer(&self->thread));
  }
}

/// How it ended, in words (transfer full)
static char*
words_of_end(const QfMakeRun* const self)
{
  const char* const noun = self->n_done == 1 ? "exercise is" : "exercises are";

  switch (self->status) {
    case QF_OK:
      return g_strdup_printf("%zu %s written", self->n_done, noun);
    case QF_ERR_CANCELLED:
      return g_strdup_printf("Cancelled; %zu %s complete", self->n_done, noun);
    default:
      return self->n_done
               ? g_strdup_printf("%zu %s written; %s", self->n_done, noun, self->error.text)
               : g_strdup(self->error.text);
  }
}

static void
show_progress(QfMakeRun* const self)
{
  const gint       n    = g_atomic_int_get(&self->n_complete);
  g_autofree char* text = g_strdup_printf("%d of %zu", n, self->options.count);

  gtk_progress_bar_set_fraction(self->bar, (double)n / (double)MAX(self->options.count, 1));
  gtk_progress_bar_set_text(self->bar, text);
}

static gboolean
tick_cb(gpointer data)
{
  QfMakeRun* const self = data;

  show_progress(self);
  if (!g_atomic_int_get(&self->is_over)) {
    return G_SOURCE_CONTINUE;
  }

  self->tick = 0;
  join(self);
  gtk_widget_set_visible(self->box, FALSE);
  g_autofree char* words = words_of_end(self);
  self->ended(words, self->data);
  return G_SOURCE_REMOVE;
}

static void
cancel_cb(QfMakeRun* const self)
{
  g_atomic_int_set(&self->is_cancelled, TRUE);
}

QfMakeRun*
qf_make_run_new(const QfMakeEnded ended, const gpointer data)
{
  QfMakeRun* const self   = g_new0(QfMakeRun, 1);
  GtkWidget* const box    = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget* const bar    = gtk_progress_bar_new();
  GtkWidget* const cancel = gtk_button_new_with_mnemonic("_Cancel");

  self->box   = g_object_ref_sink(box);
  self->bar   = GTK_PROGRESS_BAR(bar);
  self->ended = ended;
  self->data  = data;
  gtk_widget_set_hexpand(bar, TRUE);
  gtk_widget_set_valign(bar, GTK_ALIGN_CENTER);
  gtk_progress_bar_set_show_text(self->bar, TRUE);
  gtk_widget_add_css_class(box, "qf-findings-foot");
  gtk_widget_set_visible(box, FALSE);
  gtk_accessible_update_property(GTK_ACCESSIBLE(bar), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Exercises written", -1);
  gtk_box_append(GTK_BOX(box), bar);
  gtk_box_append(GTK_BOX(box), cancel);
  g_signal_connect_swapped(cancel, "clicked", G_CALLBACK(cancel_cb), self);
  return self;
}

void
qf_make_run_free(QfMakeRun* const self)
{
  cancel_cb(self);
  join(self);
  g_object_unref(self->box);
  g_free(self->folder);
  g_free(self);
}

GtkWidget*
qf_make_run_get_widget(QfMakeRun* const self)
{
  return self->box;
}

gboolean
qf_make_run_is_busy(const QfMakeRun* const self)
{
  return self->thread != NULL;
}

void
qf_make_run_start(QfMakeRun* const               self,
                  const QfWorkbookOptions* const options,
                  const char* const              folder)
{
  if (self->thread) {
    return;
  }
  g_free(self->folder);
  self->folder           = g_strdup(folder);
  self->options          = *options;
  self->options.progress = progress_func;
  self->options.data     = self;
  self->is_cancelled = self->n_complete = self->is_over = 0;
  self->n_done                                          = 0;
  self->error                                           = (QfError){0};
  show_progress(self);
  gtk_widget_set_visible(self->box, TRUE);
  self->thread = g_thread_new("workbook", thread_func, self);
  self->tick   = g_timeout_add(PROGRESS_INTERVAL_MS, tick_cb, self);
}
