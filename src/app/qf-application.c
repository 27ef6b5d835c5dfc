// SPDX-License-Identifier: MIT
#include "qf-application.h"

#include "qf-app.h"

#include "guide/qf-guide-window.h"
#include "window/qf-window.h"

static const char first_lesson[] = "lantern-walk";

struct _QfApplication {
  AdwApplication parent_instance;
  QfPreferences* preferences; ///< Owned
  QfMidiKeys*    midi_keys;   ///< Owned
};

G_DEFINE_FINAL_TYPE(QfApplication, qf_application, ADW_TYPE_APPLICATION)

/// Keys that work wherever the focus is; those of the staves are in qf-score-view.c
static const struct {
  const char* action;
  const char* keys[3];
} accels[] = {
  {"win.new", {"<Control>n"}},
  {"win.open", {"<Control>o"}},
  {"win.save", {"<Control>s"}},
  {"win.save-as", {"<Control><Shift>s"}},
  {"win.export::pdf", {"<Control>p"}},
  {"win.export-worksheet", {"<Control><Alt>p"}},
  {"win.export::wav", {"<Control><Shift>w"}},
  {"win.export::musicxml", {"<Control>e"}},
  {"win.export::mid", {"<Control><Shift>e"}},
  {"win.properties", {"<Alt>Return"}},
  {"win.close", {"<Control>w"}},
  {"app.quit", {"<Control>q"}},
  {"win.undo", {"<Control>z"}},
  {"win.redo", {"<Control><Shift>z", "<Control>y"}},
  {"win.append-bar", {"<Control>b"}},
  {"win.remove-bar", {"<Control><Shift>b"}},
  {"win.dot-note", {"<Control>period"}},
  {"win.pin", {"<Control>k"}},
  {"win.unpin", {"<Control><Shift>k"}},
  {"win.pin-reading(0)", {"<Alt><Shift>1"}},
  {"win.pin-reading(1)", {"<Alt><Shift>2"}},
  {"win.pin-reading(2)", {"<Alt><Shift>3"}},
  {"win.write-numeral", {"<Control>j"}},
  {"win.next-finding", {"F7"}},
  {"win.previous-finding", {"<Shift>F7"}},
  {"win.mend", {"<Control>m"}},
  {"win.explore", {"F8"}},
  {"win.realise", {"<Control>r"}},
  {"win.harmonise", {"<Control><Shift>h"}},
  {"win.next-way", {"F6"}},
  {"win.previous-way", {"<Shift>F6"}},
  {"win.play", {"<Control>space"}},
  {"win.play-here", {"<Control><Shift>space"}},
  {"win.stop", {"<Shift>space"}},
  {"win.next-chord", {"<Control>Page_Down"}},
  {"win.previous-chord", {"<Control>Page_Up"}},
  {"win.loop", {"<Control>l"}},
  {"win.levels", {"<Control><Alt>l"}},
  {"win.hear-notes", {"<Control>h"}},
  {"win.play-plan", {"F5"}},
  {"win.next-hearing", {"<Control><Alt>Page_Down"}},
  {"win.previous-hearing", {"<Control><Alt>Page_Up"}},
  {"win.loop-here", {"<Control><Shift>l"}},
  {"win.slower", {"<Alt>minus"}},
  {"win.faster", {"<Alt>plus", "<Alt>equal"}},
  {"win.normal-speed", {"<Alt>BackSpace"}},
  {"win.edit-plan", {"<Control><Shift>p"}},
  {"win.record", {"<Control><Shift>r"}},
  {"win.sound-preferences", {"<Control>comma"}},
  {"win.forward(0)", {"<Alt>0"}},
  {"win.forward(1)", {"<Alt>1"}},
  {"win.forward(2)", {"<Alt>2"}},
  {"win.forward(3)", {"<Alt>3"}},
  {"win.forward(4)", {"<Alt>4"}},
  {"win.forward(-1)", {"<Alt>9"}},
  {"win.study", {"F2"}},
  {"win.set-task", {"<Shift>F2"}},
  {"win.edit-questions", {"<Control><Shift>F2"}},
  {"win.give-note", {"<Control><Alt>g"}},
  {"win.give-voice", {"<Control><Alt><Shift>g"}},
  {"win.grade-answers", {"<Control><Shift>g"}},
  {"win.midi-entry", {"<Control><Alt>m"}},
  {"win.sing", {"<Control><Alt>b"}},
  {"win.sing-gaps", {"<Control><Alt><Shift>b"}},
  {"win.drills", {"<Control><Shift>d"}},
  {"win.practice", {"<Control><Alt>r"}},
  {"win.make", {"<Control><Alt>n"}},
  {"win.grade", {"<Control>g"}},
  {"win.new-attempt", {"<Control><Shift>n"}},
  {"win.student", {"<Control>i"}},
  {"win.hand-in", {"<Control><Shift>h"}},
  {"win.hear-mine", {"<Control><Shift>m"}},
  {"win.hear-difference", {"<Control>d"}},
  {"win.hear-difference-bar", {"<Control>F7"}},
  {"win.hear-difference-whole", {"<Control><Shift>F7"}},
  {"win.next-difference", {"F7"}},
  {"win.previous-difference", {"<Shift>F7"}},
  {"win.doubt", {"F4"}},
  {"win.next-question", {"F8"}},
  {"win.question-before", {"<Shift>F8"}},
  {"win.question-stages", {"<Control>F8"}},
  {"win.question-here", {"<Control><Shift>F8"}},
  {"win.answer-question", {"<Control>Return"}},
  {"win.hint", {"<Control>h"}},
  {"win.answer-with-note", {"<Control>t"}},
  {"win.sing-answer", {"<Control><Shift>t"}},
  {"win.scratch::same", {"<Control><Alt>s"}},
  {"win.scratch::step-up", {"<Control><Alt>u"}},
  {"win.scratch::step-down", {"<Control><Alt>d"}},
  {"win.scratch::leap-up", {"<Control><Alt><Shift>u"}},
  {"win.scratch::leap-down", {"<Control><Alt><Shift>d"}},
  {"win.side-pane", {"F9"}},
  {"win.zoom-in", {"<Control>plus", "<Control>equal"}},
  {"win.zoom-out", {"<Control>minus"}},
  {"win.zoom-reset", {"<Control>0"}},
  {"win.show-quality", {"<Control><Alt>1"}},
  {"win.show-symbol", {"<Control><Alt>2"}},
  {"win.show-figures", {"<Control><Alt>3"}},
  {"win.show-solfege", {"<Control><Alt>4"}},
  {"win.show-degrees", {"<Control><Alt>5"}},
  {"win.courtesy", {"<Control><Alt>6"}},
  {"win.show-foreign", {"<Control><Alt>7"}},
  {"win.close-notice", {"<Control>Escape"}},
  {"app.guide", {"F1"}},
  {"win.show-help-overlay", {"<Control>question"}},
};

/// The lesson's window used last; windows of dictations and tables do not count
static QfWindow*
window_of(QfApplication* const self)
{
  for (GList* i = gtk_application_get_windows(GTK_APPLICATION(self)); i; i = i->next) {
    if (QF_IS_WINDOW(i->data)) {
      return QF_WINDOW(i->data);
    }
  }
  return qf_window_new(GTK_APPLICATION(self), self->preferences);
}

/// The first window shows a lesson at once; what was left over is offered over it
static void
show_first(QfApplication* const self, GFile* const file)
{
  QfWindow* const  window = window_of(self);
  g_autofree char* path   = file ? g_file_get_path(file) : NULL;

  qf_window_open_demo(window, first_lesson);
  gtk_window_present(GTK_WINDOW(window));
  if (path) {
    qf_window_open_path(window, path);
  }
  qf_window_offer_recovery(window);
}

static void
qf_application_activate(GApplication* const application)
{
  QfApplication* const self    = QF_APPLICATION(application);
  GtkWindow* const     present = gtk_application_get_active_window(GTK_APPLICATION(self));

  if (present) {
    gtk_window_present(present);
  } else {
    show_first(self, NULL);
  }
}

static void
qf_application_open(GApplication* const application,
                    GFile** const       files,
                    const int           n_files,
                    const char* const   hint)
{
  QfApplication* const self    = QF_APPLICATION(application);
  GtkWindow* const     present = gtk_application_get_active_window(GTK_APPLICATION(self));

  (void)hint;
  if (!present) {
    show_first(self, n_files > 0 ? files[0] : NULL);
  } else if (n_files > 0) {
    g_autofree char* path = g_file_get_path(files[0]);
    gtk_window_present(present);
    qf_window_open_path(window_of(self), path);
  }
}

static void
quit_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  // A window with something unsaved asks, and stays while it does.
  g_autoptr(GList) windows = g_list_copy(gtk_application_get_windows(GTK_APPLICATION(data)));

  (void)action;
  (void)parameter;
  for (GList* i = windows; i; i = i->next) {
    gtk_window_close(GTK_WINDOW(i->data));
  }
}

static void
guide_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  qf_guide_window_present(GTK_APPLICATION(data),
                          gtk_application_get_active_window(GTK_APPLICATION(data)));
}

static void
about_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  adw_show_about_window(gtk_application_get_active_window(GTK_APPLICATION(data)),
                        "application-name", "Quintfall", "application-icon", QF_APP_ID, "version",
                        QF_VERSION, "developer-name", "The Quintfall authors", "comments",
                        "Write a progression, see what its chords do, and hear one voice brought "
                        "forward.",
                        "license-type", GTK_LICENSE_MIT_X11, NULL);
}

static void
qf_application_startup(GApplication* const application)
{
  static const GActionEntry entries[] = {
    {.name = "quit", .activate = quit_cb},
    {.name = "guide", .activate = guide_cb},
    {.name = "about", .activate = about_cb},
  };
  QfApplication* const self = QF_APPLICATION(application);

  G_APPLICATION_CLASS(qf_application_parent_class)->startup(application);
  self->preferences = qf_preferences_new();
  self->midi_keys   = qf_midi_keys_new();
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  for (gsize i = 0; i < G_N_ELEMENTS(accels); ++i) {
    gtk_application_set_accels_for_action(GTK_APPLICATION(self), accels[i].action, accels[i].keys);
  }
}

static void
qf_application_dispose(GObject* const object)
{
  g_clear_object(&QF_APPLICATION(object)->preferences);
  g_clear_object(&QF_APPLICATION(object)->midi_keys);
  G_OBJECT_CLASS(qf_application_parent_class)->dispose(object);
}

static void
qf_application_class_init(QfApplicationClass* const klass)
{
  G_OBJECT_CLASS(klass)->dispose       = qf_application_dispose;
  G_APPLICATION_CLASS(klass)->startup  = qf_application_startup;
  G_APPLICATION_CLASS(klass)->activate = qf_application_activate;
  G_APPLICATION_CLASS(klass)->open     = qf_application_open;
}

static void
qf_application_init(QfApplication* const self)
{
  (void)self;
}

QfMidiKeys*
qf_application_get_midi_keys(GtkApplication* const application)
{
  return QF_APPLICATION(application)->midi_keys;
}

QfApplication*
qf_application_new(void)
{
  return g_object_new(QF_TYPE_APPLICATION, "application-id", QF_APP_ID, "flags",
                      G_APPLICATION_HANDLES_OPEN, "resource-base-path", "/app/quintfall/Quintfall",
                      NULL);
}
