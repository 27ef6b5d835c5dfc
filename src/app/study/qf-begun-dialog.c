// SPDX-License-Identifier: MIT
#include "qf-begun-dialog.h"

#include "qf-answer-shelf.h"

#include "common/qf-message.h"

/// What can be opened; freed with the dialog
typedef struct {
  QfAnswer*   task;       ///< Owned, until it is opened
  char*       path;       ///< Owned
  QfAnswer*   begun;      ///< Owned, until it is opened
  char*       begun_path; ///< Owned
  QfBegunFunc open;
  gpointer    data;
} Choice;

static void
choice_free(gpointer data, GClosure* const closure)
{
  Choice* const self = data;

  (void)closure;
  qf_answer_free(self->task);
  qf_answer_free(self->begun);
  g_free(self->path);
  g_free(self->begun_path);
  g_free(self);
}

static void
response_cb(AdwMessageDialog* const dialog, const char* const response, Choice* const self)
{
  (void)dialog;
  if (g_str_equal(response, "go-on")) {
    self->open(g_steal_pointer(&self->begun), self->begun_path, self->data);
  } else if (g_str_equal(response, "afresh")) {
    self->open(g_steal_pointer(&self->task), self->path, self->data);
  }
}

/// "25 November 2026 at 15:12" of a moment as answers write it (transfer full)
static char*
moment_dup(const char* const utc)
{
  g_autoptr(GDateTime) then  = g_date_time_new_from_iso8601(utc, NULL);
  g_autoptr(GDateTime) local = then ? g_date_time_to_local(then) : NULL;
  return local ? g_date_time_format(local, "%-d %B %Y at %H:%M") : g_strdup("an earlier day");
}

static char*
describe_dup(const QfAnswer* const begun)
{
  const char* const student  = qf_answer_get_student(begun);
  const int         left     = qf_answer_hearings_left(begun);
  const size_t      n        = qf_answer_n_attempts(begun);
  g_autofree char*  moment   = moment_dup(qf_try_get_time(qf_answer_get_attempt(begun, n - 1)));
  g_autofree char*  hearings = left < 0 ? g_strdup("")
                                        : g_strdup_printf(" %d of %d hearings left.", left,
                                                          qf_answer_get_study(begun).max_hearings);

  return g_strdup_printf("Attempt %zu%s%s is from %s.%s Going on keeps what is written there; an "
                         "answer begun afresh leaves it where it is.",
                         n, student[0] ? " by " : "", student, moment, hearings);
}

void
qf_begun_dialog_open(GtkWindow* const  parent,
                     QfAnswer* const   task,
                     const char* const path,
                     const QfBegunFunc open,
                     gpointer          data)
{
  char*           begun_path = NULL;
  QfAnswer* const begun      = qf_answer_shelf_find(task, &begun_path);

  if (!begun) {
    open(task, path, data);
    return;
  }

  g_autofree char*        words = describe_dup(begun);
  AdwMessageDialog* const dialog =
    ADW_MESSAGE_DIALOG(adw_message_dialog_new(parent, "Go on with the answer begun here?", words));
  Choice* const choice = g_new0(Choice, 1);

  *choice = (Choice){task, g_strdup(path), begun, begun_path, open, data};
  adw_message_dialog_add_responses(dialog, "cancel", "_Cancel", "afresh", "_Begin Afresh", "go-on",
                                   "_Go On", NULL);
  adw_message_dialog_set_response_appearance(dialog, "go-on", ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_default_response(dialog, "go-on");
  adw_message_dialog_set_close_response(dialog, "cancel");
  g_signal_connect_data(dialog, "response", G_CALLBACK(response_cb), choice, choice_free, 0);
  qf_message_present(dialog);
}
