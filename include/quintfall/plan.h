// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PLAN_H
#define QUINTFALL_PLAN_H

#include "quintfall/hearing.h"
#include "quintfall/key.h"
#include "quintfall/time.h"

/**
   A hearing plan: the script of a dictation, step by step.

   The key is set, a bar is counted, the passage is heard with the bass forward,
   there is time to write and to sing back, and so on until it is heard whole. A
   *hearing* is a pass with what leads up to it and what follows it; see
   qf_plan_hearing_of().

   A plan names voices so that it fits other lessons as well: from the top, or
   the lowest. events.h performs it.
*/
typedef struct QfPlanImpl QfPlan;

enum {
  QF_PLAN_MAX_STEPS    = 64,
  QF_PLAN_NAME_SIZE    = 80,
  QF_PLAN_TITLE_SIZE   = 120,
  QF_PLAN_PATH_SIZE    = 1024,
  QF_PLAN_PATTERN_SIZE = 400,
  QF_PLAN_WORD_SIZE    = 40,
  QF_VOICE_LOWEST      = 31, ///< The lowest voice, however many there are
  QF_SUMMARY_SIZE      = 200,
};

/// Bit of a voice in a set of voices; 0 is the highest, #QF_VOICE_LOWEST the lowest
#define QF_VOICE_BIT(voice) (UINT32_C(1) << (voice))

enum {
  QF_VOICES_TEXT_SIZE = 280,
};

/// Read "soprano", "alto", "tenor", "bass" (the lowest voice) or "voice 5"
QfStatus
qf_voice_parse(const char* text, uint8_t* voice, QfError* error);

/// Write what qf_voice_parse() reads; at least 16 bytes
void
qf_voice_write(uint8_t voice, char* buffer, size_t size);

/// Write "soprano and bass", "no voice"; at least #QF_VOICES_TEXT_SIZE bytes
void
qf_voices_write(uint32_t voices, char* buffer, size_t size);

/// Bits of the voices that a score of so many voices has, the lowest by its index
uint32_t
qf_voices_resolve(uint32_t voices, size_t n_voices);

typedef enum {
  QF_STEP_PRELUDE,  ///< Sets the key
  QF_STEP_COUNT_IN, ///< Beats before a pass
  QF_STEP_PASS,     ///< The passage, heard
  QF_STEP_SILENCE,  ///< Time to write
  QF_STEP_SUNG_GAP, ///< Time to sing a voice back, from its first note
  QF_STEP_TITLE,    ///< Names what follows; spoken, if there is an audio file
  QF_STEP_OTHER,    ///< From a newer version: kept as it is, and left out when performed
  QF_STEP_N_KINDS
} QfStepKind;

typedef enum {
  QF_PRELUDE_CADENCE,        ///< Tonic, subdominant, dominant seventh and tonic as chords
  QF_PRELUDE_ARPEGGIOS,      ///< Tonic, subdominant, dominant and tonic, broken
  QF_PRELUDE_ARPEGGIOS_DOM7, ///< The same with the dominant seventh
  QF_PRELUDE_SCALE,          ///< Up and down; melodic in minor
  QF_PRELUDE_DRONE,          ///< Tonic and fifth, held
  QF_PRELUDE_OWN,            ///< The step's own pattern
  QF_PRELUDE_N_KINDS
} QfPreludeKind;

typedef enum { QF_UNIT_BEATS, QF_UNIT_SECONDS } QfLengthUnit;

/// A stretch of time; beats are those of the pass before, or else of the pass after it
typedef struct {
  double       amount; ///< 0-600
  QfLengthUnit unit;
} QfLength;

typedef struct {
  QfPreludeKind kind;
  double        beats_per_minute; ///< 20-300, or 0 for the lesson's within humane bounds
  int           program;          ///< General MIDI program, or #QF_PROGRAM_SAME for the lesson's
  char          pattern[QF_PLAN_PATTERN_SIZE]; ///< For #QF_PRELUDE_OWN; see qf_pattern_parse()
} QfPreludeStep;

typedef struct {
  int bars; ///< 1-8
} QfCountInStep;

/**
   One way of hearing the passage.

   Chord quality strikes each labelled chord once as a block, with the notes of
   the chord as the voices have them there; where no chord is labelled, whatever
   sounds is struck anew whenever it changes.
*/
typedef struct {
  QfForwardKind forward;
  uint32_t      voices;          ///< For #QF_FORWARD_VOICE: bits of the voices brought forward
  bool          is_spread;       ///< For #QF_FORWARD_QUALITY: each block is then spread upwards
  double        tempo_factor;    ///< 0.25-2 of the score's tempo
  QfTime        from;            ///< Start in the score
  QfTime        to;              ///< End; not after `from` means the score's end
  int           repeats;         ///< Times heard, 1-20
  QfLength      gap;             ///< Silence between repeats
  double        forward_gain_db; ///< What the forward voices gain, 0-9
  double        softening_db;    ///< How far the others step back, 0-30
  double        lead_ms;         ///< How much later the others begin, 0-80
  int           program;         ///< Of all voices, or #QF_PROGRAM_SAME for the lesson's
  int           forward_program; ///< Of the forward voices, or #QF_PROGRAM_SAME
} QfPassStep;

typedef struct {
  QfLength length;
} QfSilenceStep;

/// The first note of a voice, then silence to sing it in
typedef struct {
  uint8_t  voice;        ///< From 0, the highest, or #QF_VOICE_LOWEST
  QfLength length;       ///< From the first note on; 0 means as long as what is to be sung
  double   tempo_factor; ///< In which it is to be sung, 0.25-2
  QfTime   from;         ///< Start of what is to be sung
  QfTime   to;           ///< Its end; not after `from` means what the pass before it heard
} QfSungGapStep;

typedef struct {
  char text[QF_PLAN_TITLE_SIZE]; ///< UTF-8; names the chapter and is shown
  char audio[QF_PLAN_PATH_SIZE]; ///< Audio file, beside the lesson unless absolute; may be empty
} QfTitleStep;

/// A step of a kind that this version does not know
typedef struct {
  char word[QF_PLAN_WORD_SIZE]; ///< Its kind, as the file has it
} QfOtherStep;

typedef struct {
  QfStepKind kind;
  union {
    QfPreludeStep prelude;
    QfCountInStep count_in;
    QfPassStep    pass;
    QfSilenceStep silence;
    QfSungGapStep sung_gap;
    QfTitleStep   title;
    QfOtherStep   other;
  };
} QfPlanStep;

/// A step with humane settings
QfPlanStep
qf_plan_step_default(QfStepKind kind);

/// Clamp every value to its range; texts are cut at whole characters
QfPlanStep
qf_plan_step_clamp(QfPlanStep step);

bool
qf_plan_step_equals(const QfPlanStep* a, const QfPlanStep* b);

/// "Key prelude", "Pass"
const char*
qf_step_kind_name(QfStepKind kind);

/// "cadence", "arpeggios, dominant seventh"
const char*
qf_prelude_kind_name(QfPreludeKind kind);

/**
   Say in a few words what a step does: "Bass forward, 2 times, 80 % tempo".

   @param buffer At least #QF_SUMMARY_SIZE bytes.
*/
void
qf_plan_step_describe(const QfPlanStep* step, char* buffer, size_t size);

// ---- making and changing

/// A plan without steps (transfer full; NULL if out of memory)
QfPlan*
qf_plan_new(const char* name);

/// (transfer full) NULL if out of memory
QfPlan*
qf_plan_dup(const QfPlan* plan);

void
qf_plan_free(QfPlan* plan);

/// Same name and steps
bool
qf_plan_equals(const QfPlan* a, const QfPlan* b);

const char*
qf_plan_get_name(const QfPlan* plan);

/// Cut at a whole character if it is too long
void
qf_plan_set_name(QfPlan* plan, const char* name);

size_t
qf_plan_n_steps(const QfPlan* plan);

const QfPlanStep*
qf_plan_get_step(const QfPlan* plan, size_t index);

/// Insert before a step, or at the end; #QF_ERR_RANGE when there are #QF_PLAN_MAX_STEPS
QfStatus
qf_plan_insert_step(QfPlan* plan, size_t index, QfPlanStep step);

/// Change a step; what its file had beside is kept while it is of the same kind
void
qf_plan_set_step(QfPlan* plan, size_t index, QfPlanStep step);

void
qf_plan_remove_step(QfPlan* plan, size_t index);

/// Take a step out and put it where it has the index `to` afterwards
void
qf_plan_move_step(QfPlan* plan, size_t from, size_t to);

/// Passes of a plan
size_t
qf_plan_n_hearings(const QfPlan* plan);

/**
   The hearing a step belongs to, from 0.

   From one pass to the next, everything up to the last sung gap belongs to the
   first, and so do the silences that follow directly; the rest leads up to the
   second. What comes before the first pass leads up to it, what comes after the
   last belongs to it.
*/
size_t
qf_plan_hearing_of(const QfPlan* plan, size_t step);

/// The quick hearing of the bar as a plan (transfer full; NULL if out of memory)
QfPlan*
qf_plan_of_hearing(QfHearing hearing, QfTime from, QfTime to);

// ---- plans that come ready

size_t
qf_n_ready_plans(void);

/// (transfer full; NULL if out of memory)
QfPlan*
qf_ready_plan_new(size_t index);

/// What a ready plan is for, a sentence
const char*
qf_ready_plan_purpose(size_t index);

// ---- files; what a newer version wrote into a plan or a step is kept

/// Write a plan as JSON of its own (transfer full); the same plan always gives the same bytes
QfStatus
qf_plan_to_json(const QfPlan* plan, char** json, QfError* error);

/// Read a plan from JSON (transfer full)
QfStatus
qf_plan_from_json(const char* json, size_t length, QfPlan** result, QfError* error);

QfStatus
qf_plan_load(const char* path, QfPlan** result, QfError* error);

/// Save atomically
QfStatus
qf_plan_save(const QfPlan* plan, const char* path, QfError* error);

// ---- patterns of scale degrees

enum {
  QF_PATTERN_MAX_TONES = 192,
};

/// One sounding degree of a pattern
typedef struct {
  QfTime start; ///< In beats, from the pattern's start
  QfTime duration;
  int8_t degree; ///< 1-7
  int8_t alter;  ///< Against the natural scale of the key, -2 ... 2
  int8_t octave; ///< 0 from the tonic up
} QfPatternTone;

typedef struct {
  QfPatternTone tones[QF_PATTERN_MAX_TONES]; ///< In order of time
  size_t        n_tones;
  QfTime        length; ///< In beats, with rests at the end
} QfPattern;

/**
   Read a pattern of scale degrees, such as "1 3 5 8 | -5+#7+2+4:2 r 1+5 _ _".

   Words stand apart by blanks, and each lasts a beat unless it says otherwise:
   - a degree, 1 to 15 from the tonic up (8 is the octave, 9 the second above it);
     each `-` before it sets it an octave lower, so -5 lies a fourth below the
     tonic; `#` and `b`, one or two, after that and before the number, raise and
     lower it against the natural scale of the key, natural minor in minor;
   - degrees that sound together, joined by `+`;
   - `r`, a rest;
   - `:` and a number of beats after any of these, 1-64 or a fraction: `5:1/2`, `r:2`;
   - `_` holds what sounds, or rests, for another beat;
   - `|`, a bar line, for the eye only.

   @return #QF_OK; #QF_ERR_BAD_TEXT, or #QF_ERR_RANGE for a degree, alteration or
   duration outside these bounds, with the offset of the word.
*/
QfStatus
qf_pattern_parse(const char* text, QfPattern* result, QfError* error);

/// The text of a prelude's pattern in a mode; the own one is `own`
const char*
qf_prelude_pattern(QfPreludeKind kind, QfMode mode, const char* own);

#endif // QUINTFALL_PLAN_H
