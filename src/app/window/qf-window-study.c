// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "practice/qf-drill-window.h"
#include "practice/qf-make-dialog.h"
#include "practice/qf-practice-window.h"
#include "qf-application.h"
#include "study/qf-begun-dialog.h"
#include "study/qf-grades-window.h"
#include "study/qf-questions-dialog.h"
#include "study/qf-study-window.h"
#include "study/qf-task-dialog.h"

#include "quintfall/answer.h"

#include <stdlib.h>
#include <string.h>

static void
show_answer(QfAnswer* const answer, const char* const path, gpointer data)
{
  QfWindow* const       self        = data;
  GtkApplication* const application = gtk_window_get_application(GTK_WINDOW(self));
  QfStudyWindow* const  open_one    = path ? qf_study_window_find(application, path) : NULL;
  QfError               error       = {0};

  // Two windows would write over each other.
  if (open_one) {
    qf_answer_free(answer);
    gtk_window_present(GTK_WINDOW(open_one));
    return;
  }

  g_autoptr(QfAnswerItem) item = qf_answer_item_new(answer, path, &error);

  if (!item) {
    g_autofree char* base = path ? g_path_get_basename(path) : g_strdup("task");
    qf_window_show_open_error(self, base, &error);
    return;
  }

  gtk_window_present(GTK_WINDOW(qf_study_window_new(application, self->preferences, item)));
}

gboolean
qf_window_try_answer(QfWindow* const self, const char* const path)
{
  g_autofree char* text   = NULL;
  gsize            length = 0;
  QfAnswer*        answer = NULL;
  QfError          error  = {0};

  if (!g_str_has_suffix(path, ".json") || !g_file_get_contents(path, &text, &length, NULL) ||
      !qf_answer_is_answer(text, length)) {
    return FALSE;
  }

  if (qf_answer_from_json(text, length, &answer, &error)) {
    g_autofree char* base = g_path_get_basename(path);
    qf_window_show_open_error(self, base, &error);
  } else if (qf_answer_n_attempts(answer)) {
    show_answer(answer, path, self);
  } else {
    qf_begun_dialog_open(GTK_WINDOW(self), answer, path, show_answer, self);
  }
  return TRUE;
}

/// The open lesson, taken as a dictation
static void
study_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self   = data;
  QfAnswer*       answer = NULL;
  QfError         error  = {0};

  (void)action;
  (void)parameter;
  qf_window_flush_hearing(self);
  if (qf_answer_new(qf_lesson_item_get_lesson(self->item), &answer, &error)) {
    qf_window_toast(self, error.text);
  } else {
    qf_window_stop(self);
    show_answer(answer, NULL, self);
  }
}

static void
task_response_cb(GtkNativeDialog* const dialog, const int response, QfWindow* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file   = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char* path   = g_file_get_path(file);
    QfAnswer*        answer = NULL;
    QfError          error  = {0};
    QfStatus         st     = qf_answer_new(qf_lesson_item_get_lesson(self->item), &answer, &error);
    st                      = st ? st : qf_answer_save(answer, path, &error);
    qf_window_toast(self, st ? error.text
                             : "The task is written. Its solution is packed, but not "
                               "locked: a determined reader can unpack it");
    qf_answer_free(answer);
  }
  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static void
save_task_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const             self   = data;
  GtkFileChooserNative* const dialog = gtk_file_chooser_native_new(
    "Save as a Task", GTK_WINDOW(self), GTK_FILE_CHOOSER_ACTION_SAVE, "_Save", "_Cancel");
  g_autofree char* title = qf_lesson_item_dup_title(self->item);

  (void)action;
  (void)parameter;
  qf_window_flush_hearing(self);
  g_strdelimit(title, "/\\", '-');
  g_autofree char* name = g_strdup_printf("%s task.json", title);
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(dialog), name);
  g_signal_connect_object(dialog, "response", G_CALLBACK(task_response_cb), self, 0);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

static void
set_task_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_task_dialog_present(GTK_WINDOW(self), self->item);
}

/// The table grades by the lesson as it is now, whatever becomes of it afterwards
static void
grade_answers_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self  = data;
  char*           json  = NULL;
  QfLesson*       copy  = NULL;
  QfError         error = {0};

  (void)action;
  (void)parameter;
  if (qf_lesson_to_json(qf_lesson_item_get_lesson(self->item), &json, &error) ||
      qf_lesson_from_json(json, strlen(json), &copy, &error)) {
    qf_window_toast(self, error.text);
  } else {
    qf_grades_window_present(gtk_window_get_application(GTK_WINDOW(self)), GTK_WINDOW(self),
                             self->preferences, copy);
  }
  free(json);
}

static void
edit_questions_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_questions_dialog_present(GTK_WINDOW(self), self->item);
}

static void
drills_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_window_stop(self);
  qf_drill_window_present(gtk_window_get_application(GTK_WINDOW(self)), GTK_WINDOW(self),
                          self->preferences, QF_DRILL_QUALITY, NULL);
}

static void
practice_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_practice_window_present(gtk_window_get_application(GTK_WINDOW(self)), GTK_WINDOW(self),
                             self->preferences);
}

static void
open_made(QfLesson* const lesson, gpointer data)
{
  qf_lesson_item_take(QF_WINDOW(data)->item, lesson, NULL, FALSE);
}

static void
make_now(QfWindow* const self, const char* const argument)
{
  (void)argument;
  qf_make_dialog_present(GTK_WINDOW(self), open_made, self);
}

/// What is unsaved is dealt with first: a made exercise takes the lesson's place
static void
make_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  qf_window_guard(data, make_now, NULL);
}

void
qf_window_add_study_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "study", .activate = study_cb},
    {.name = "save-task", .activate = save_task_cb},
    {.name = "set-task", .activate = set_task_cb},
    {.name = "edit-questions", .activate = edit_questions_cb},
    {.name = "grade-answers", .activate = grade_answers_cb},
    {.name = "drills", .activate = drills_cb},
    {.name = "practice", .activate = practice_cb},
    {.name = "make", .activate = make_cb},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
