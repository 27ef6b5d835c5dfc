// SPDX-License-Identifier: MIT
#include "qf-preferences.h"

#include "quintfall/hearing.h"

struct _QfPreferences {
  GObject   parent_instance;
  GKeyFile* keys; ///< Owned
  char*     path; ///< Owned
};

G_DEFINE_FINAL_TYPE(QfPreferences, qf_preferences, G_TYPE_OBJECT)

enum { CHANGED, N_SIGNALS };
static guint signals[N_SIGNALS];

#define GROUP_VIEW "view"
#define GROUP_SOUND "sound"
#define GROUP_WINDOW "window"
#define GROUP_CHECKS "checks"
#define GROUP_RECENT "recent"

static void
save(QfPreferences* const self)
{
  // Preferences are a comfort: a folder that cannot be written must not stop the work.
  g_autofree char* folder = g_path_get_dirname(self->path);
  g_mkdir_with_parents(folder, 0700);
  g_key_file_save_to_file(self->keys, self->path, NULL);
  g_signal_emit(self, signals[CHANGED], 0);
}

static int
integer_or(const QfPreferences* const self,
           const char* const          group,
           const char* const          key,
           const int                  fallback)
{
  g_autoptr(GError) error = NULL;
  const int value         = g_key_file_get_integer(self->keys, group, key, &error);
  return error ? fallback : value;
}

static double
double_or(const QfPreferences* const self,
          const char* const          group,
          const char* const          key,
          const double               fallback)
{
  g_autoptr(GError) error = NULL;
  const double value      = g_key_file_get_double(self->keys, group, key, &error);
  return error ? fallback : value;
}

static gboolean
boolean_or(const QfPreferences* const self,
           const char* const          group,
           const char* const          key,
           const gboolean             fallback)
{
  g_autoptr(GError) error = NULL;
  const gboolean value    = g_key_file_get_boolean(self->keys, group, key, &error);
  return error ? fallback : value;
}

QfViewSettings
qf_preferences_get_view(const QfPreferences* const self)
{
  const unsigned all     = (1U << QF_N_SHOWS) - 1U;
  const unsigned rows    = (unsigned)integer_or(self, GROUP_VIEW, "rows", QF_SHOW_SYMBOL);
  const int      solfege = integer_or(self, GROUP_VIEW, "solfege", QF_SOLFEGE_DO_MINOR);
  const int      naming  = integer_or(self, GROUP_VIEW, "naming", QF_NAMING_ENGLISH);

  return (QfViewSettings){
    .rows              = rows & all,
    .solfege           = (QfSolfegeKind)CLAMP(solfege, QF_SOLFEGE_DO_MINOR, QF_SOLFEGE_FIXED),
    .naming            = (QfNamingKind)CLAMP(naming, QF_NAMING_ENGLISH, QF_NAMING_ROMANCE),
    .has_courtesy      = boolean_or(self, GROUP_VIEW, "courtesy-across-voices", FALSE),
    .has_foreign_signs = boolean_or(self, GROUP_VIEW, "foreign-signs", TRUE),
    .zoom              = CLAMP(double_or(self, GROUP_VIEW, "zoom", 1.0), 0.5, 3.0),
  };
}

void
qf_preferences_set_view(QfPreferences* const self, const QfViewSettings view)
{
  g_key_file_set_integer(self->keys, GROUP_VIEW, "rows", (int)view.rows);
  g_key_file_set_integer(self->keys, GROUP_VIEW, "solfege", (int)view.solfege);
  g_key_file_set_integer(self->keys, GROUP_VIEW, "naming", (int)view.naming);
  g_key_file_set_boolean(self->keys, GROUP_VIEW, "courtesy-across-voices", view.has_courtesy);
  g_key_file_set_boolean(self->keys, GROUP_VIEW, "foreign-signs", view.has_foreign_signs);
  g_key_file_set_double(self->keys, GROUP_VIEW, "zoom", view.zoom);
  save(self);
}

double
qf_preferences_get_level(const QfPreferences* const self)
{
  const double quiet = qf_hearing_default().level_db;
  return CLAMP(double_or(self, GROUP_SOUND, "level-db", quiet), -40.0, 0.0);
}

void
qf_preferences_set_level(QfPreferences* const self, const double level_db)
{
  g_key_file_set_double(self->keys, GROUP_SOUND, "level-db", level_db);
  save(self);
}

/// A text of the sound's group, or NULL where it is empty (transfer full)
static char*
dup_sound_text(const QfPreferences* const self, const char* const key)
{
  char* const text = g_key_file_get_string(self->keys, GROUP_SOUND, key, NULL);
  if (text && text[0]) {
    return text;
  }
  g_free(text);
  return NULL;
}

char*
qf_preferences_dup_driver(const QfPreferences* const self)
{
  return dup_sound_text(self, "driver");
}

void
qf_preferences_set_driver(QfPreferences* const self, const char* const driver)
{
  g_key_file_set_string(self->keys, GROUP_SOUND, "driver", driver ? driver : "");
  save(self);
}

char*
qf_preferences_dup_soundfont(const QfPreferences* const self)
{
  return dup_sound_text(self, "soundfont");
}

void
qf_preferences_set_soundfont(QfPreferences* const self, const char* const path)
{
  g_key_file_set_string(self->keys, GROUP_SOUND, "soundfont", path ? path : "");
  save(self);
}

QfTuning
qf_preferences_get_tuning(const QfPreferences* const self)
{
  g_autofree char* name   = g_key_file_get_string(self->keys, GROUP_SOUND, "tuning", NULL);
  QfTuning         tuning = {.kind = QF_TUNING_EQUAL, .key = {{0, 0}, QF_MAJOR}};

  if (name && qf_tuning_parse(name, &tuning.kind, NULL)) {
    tuning.kind = QF_TUNING_EQUAL;
  }
  tuning.a4_hz = double_or(self, GROUP_SOUND, "a4-hz", QF_TUNING_USUAL_A4);
  tuning.a4_hz = qf_tuning_a4(tuning);
  return tuning;
}

void
qf_preferences_set_tuning(QfPreferences* const self, const QfTuning tuning)
{
  g_key_file_set_string(self->keys, GROUP_SOUND, "tuning", qf_tuning_name(tuning.kind));
  g_key_file_set_double(self->keys, GROUP_SOUND, "a4-hz", qf_tuning_a4(tuning));
  save(self);
}

gboolean
qf_preferences_get_switch(const QfPreferences* const self,
                          const char* const          name,
                          const gboolean             fallback)
{
  return boolean_or(self, GROUP_VIEW, name, fallback);
}

void
qf_preferences_set_switch(QfPreferences* const self, const char* const name, const gboolean is_on)
{
  g_key_file_set_boolean(self->keys, GROUP_VIEW, name, is_on);
  save(self);
}

QfProfile
qf_preferences_get_profile(const QfPreferences* const self)
{
  g_autofree char* name    = g_key_file_get_string(self->keys, GROUP_CHECKS, "profile", NULL);
  QfProfile        profile = QF_PROFILE_COMMON;

  if (name && qf_profile_parse(name, &profile, NULL)) {
    profile = QF_PROFILE_COMMON;
  }
  return profile;
}

void
qf_preferences_set_profile(QfPreferences* const self, const QfProfile profile)
{
  g_key_file_set_string(self->keys, GROUP_CHECKS, "profile", qf_profile_name(profile));
  save(self);
}

void
qf_preferences_get_window_size(const QfPreferences* const self, int* const width, int* const height)
{
  *width  = MAX(360, integer_or(self, GROUP_WINDOW, "width", 1180));
  *height = MAX(300, integer_or(self, GROUP_WINDOW, "height", 760));
}

void
qf_preferences_set_window_size(QfPreferences* const self, const int width, const int height)
{
  g_key_file_set_integer(self->keys, GROUP_WINDOW, "width", width);
  g_key_file_set_integer(self->keys, GROUP_WINDOW, "height", height);
  save(self);
}

char**
qf_preferences_dup_recent(const QfPreferences* const self)
{
  char** const paths = g_key_file_get_string_list(self->keys, GROUP_RECENT, "lessons", NULL, NULL);
  return paths ? paths : g_new0(char*, 1);
}

void
qf_preferences_add_recent(QfPreferences* const self, const char* const path)
{
  g_auto(GStrv) old                = qf_preferences_dup_recent(self);
  const char* paths[QF_MAX_RECENT] = {path};
  gsize       n_paths              = 1;

  for (gsize i = 0; old[i] && n_paths < QF_MAX_RECENT; ++i) {
    if (!g_str_equal(old[i], path)) {
      paths[n_paths++] = old[i];
    }
  }

  g_key_file_set_string_list(self->keys, GROUP_RECENT, "lessons", paths, n_paths);
  save(self);
}

static void
qf_preferences_finalize(GObject* const object)
{
  QfPreferences* const self = QF_PREFERENCES(object);

  g_clear_pointer(&self->keys, g_key_file_unref);
  g_clear_pointer(&self->path, g_free);
  G_OBJECT_CLASS(qf_preferences_parent_class)->finalize(object);
}

static void
qf_preferences_class_init(QfPreferencesClass* const klass)
{
  G_OBJECT_CLASS(klass)->finalize = qf_preferences_finalize;

  signals[CHANGED] = g_signal_new("changed", QF_TYPE_PREFERENCES, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                  NULL, G_TYPE_NONE, 0);
}

static void
qf_preferences_init(QfPreferences* const self)
{
  self->keys = g_key_file_new();
  self->path = g_build_filename(g_get_user_config_dir(), "quintfall", "settings.ini", NULL);
  g_key_file_load_from_file(self->keys, self->path, G_KEY_FILE_KEEP_COMMENTS, NULL);
}

QfPreferences*
qf_preferences_new(void)
{
  return g_object_new(QF_TYPE_PREFERENCES, NULL);
}
