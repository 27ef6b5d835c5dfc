// SPDX-License-Identifier: MIT
#ifndef QF_PREFERENCES_H
#define QF_PREFERENCES_H

#include "quintfall/rules.h"
#include "quintfall/solfege.h"
#include "quintfall/tuning.h"

#include <gio/gio.h>

G_BEGIN_DECLS

/// Rows that may stand under the numerals of the chain
typedef enum {
  QF_SHOW_QUALITY = 1U << 0U,
  QF_SHOW_SYMBOL  = 1U << 1U,
  QF_SHOW_FIGURES = 1U << 2U, ///< Figured bass
  QF_SHOW_SOLFEGE = 1U << 3U, ///< Syllable of the top voice
  QF_SHOW_DEGREES = 1U << 4U, ///< Scale degree of the bass
} QfShow;

enum {
  QF_N_SHOWS    = 5,
  QF_MAX_RECENT = 8,
};

/// How a passage is shown; the same for every lesson
typedef struct {
  unsigned      rows; ///< #QfShow bits
  QfSolfegeKind solfege;
  QfNamingKind  naming;
  gboolean      has_courtesy;      ///< Courtesy accidentals across voices
  gboolean      has_foreign_signs; ///< Signs at notes outside their chords
  double        zoom;              ///< 1 fits the window
} QfViewSettings;

/**
   What the user chose, kept in a key file in the user's configuration folder.

   Emits "changed" after every change.
*/
#define QF_TYPE_PREFERENCES (qf_preferences_get_type())
G_DECLARE_FINAL_TYPE(QfPreferences, qf_preferences, QF, PREFERENCES, GObject)

QfPreferences*
qf_preferences_new(void);

QfViewSettings
qf_preferences_get_view(const QfPreferences* self);

void
qf_preferences_set_view(QfPreferences* self, QfViewSettings view);

/// Overall level the user set, or the quiet default
double
qf_preferences_get_level(const QfPreferences* self);

void
qf_preferences_set_level(QfPreferences* self, double level_db);

/// The audio driver the user chose (transfer full), or NULL for the first that works
char*
qf_preferences_dup_driver(const QfPreferences* self);

/// NULL for the first that works
void
qf_preferences_set_driver(QfPreferences* self, const char* driver);

/// Path of the SoundFont the user chose (transfer full), or NULL for the system's
char*
qf_preferences_dup_soundfont(const QfPreferences* self);

/// NULL for the system's
void
qf_preferences_set_soundfont(QfPreferences* self, const char* path);

/// Kind and reference; its key is the lesson's, and left at C
QfTuning
qf_preferences_get_tuning(const QfPreferences* self);

void
qf_preferences_set_tuning(QfPreferences* self, QfTuning tuning);

/// A switch by name: "side-pane", "audition"
gboolean
qf_preferences_get_switch(const QfPreferences* self, const char* name, gboolean fallback);

void
qf_preferences_set_switch(QfPreferences* self, const char* name, gboolean is_on);

/// How severely part-writing is judged
QfProfile
qf_preferences_get_profile(const QfPreferences* self);

void
qf_preferences_set_profile(QfPreferences* self, QfProfile profile);

void
qf_preferences_get_window_size(const QfPreferences* self, int* width, int* height);

void
qf_preferences_set_window_size(QfPreferences* self, int width, int height);

/// Paths of recent lessons, latest first (transfer full)
char**
qf_preferences_dup_recent(const QfPreferences* self);

void
qf_preferences_add_recent(QfPreferences* self, const char* path);

G_END_DECLS

#endif // QF_PREFERENCES_H
