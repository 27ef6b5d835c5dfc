// SPDX-License-Identifier: MIT
#ifndef QF_STEP_PRIVATE_H
#define QF_STEP_PRIVATE_H

#include "qf-instruments.h"
#include "qf-step-editor.h"

G_BEGIN_DECLS

enum {
  QF_STEP_PLACE_SIZE = 48,
};

struct _QfStepEditor {
  GtkWidget      parent_instance;
  GtkStack*      stack; ///< Template child, as all widgets below
  AdwComboRow*   prelude_kind;
  GtkEditable*   pattern;
  GtkLabel*      pattern_help;
  GtkSpinButton* prelude_tempo;
  AdwComboRow*   prelude_program;
  GtkSpinButton* bars;
  AdwComboRow*   forward;
  GtkWidget*     voices_row;
  GtkFlowBox*    voices;
  GtkWidget*     spread_row;
  GtkSwitch*     spread;
  GtkSpinButton* pass_tempo;
  GtkSpinButton* repeats;
  GtkSpinButton* gap;
  GtkDropDown*   gap_unit;
  GtkEditable*   from;
  GtkEditable*   to;
  GtkSpinButton* softening;
  GtkSpinButton* gain;
  GtkSpinButton* lead;
  AdwComboRow*   program;
  AdwComboRow*   forward_program;
  GtkSpinButton* silence;
  GtkDropDown*   silence_unit;
  AdwComboRow*   sung_voice;
  GtkSpinButton* sung;
  GtkDropDown*   sung_unit;
  GtkSpinButton* sung_tempo;
  GtkEditable*   sung_from;
  GtkEditable*   sung_to;
  GtkEditable*   title_text;
  GtkEditable*   audio;
  GtkWidget*     choose_audio;
  GtkLabel*      audio_help;

  const QfScore*        score; ///< Kept by the caller
  char*                 folder;
  guint                 n_voices;
  GtkCheckButton*       checks[QF_MAX_VOICES]; ///< One a voice, owned by `voices`
  QfInstruments*        instruments;           ///< Owned
  QfPlanStep            step;                  ///< As last shown or read
  gboolean              has_step;
  gboolean              is_filling; ///< True while the editor itself sets its widgets
  const char*           fault;
  GtkFileChooserNative* chooser;
};

/// What is heard, in the order of the choices
static const QfForwardKind qf_step_forwards[] = {QF_FORWARD_ALL, QF_FORWARD_VOICE,
                                                 QF_FORWARD_QUALITY};

/// Show the editor's step in its rows
void
qf_step_show_kind(QfStepEditor* self);

/// Show only rows that matter, and mark what is wrong
void
qf_step_show_state(QfStepEditor* self);

/// Read the rows of the editor's step, and what is wrong with them
void
qf_step_read(QfStepEditor* self);

/**
   What two entries say of a stretch: nothing where the passage begins and ends.

   @param from At least #QF_STEP_PLACE_SIZE bytes, and so `to`.
*/
void
qf_step_write_stretch(const QfStepEditor* self, QfTime start, QfTime end, char* from, char* to);

/// Path of the audio file that speaks the editor's title (transfer full), or NULL
char*
qf_step_dup_audio(const QfStepEditor* self);

/// Let the user choose an audio file
void
qf_step_choose_audio(QfStepEditor* self);

G_END_DECLS

#endif // QF_STEP_PRIVATE_H
