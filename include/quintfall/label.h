// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LABEL_H
#define QUINTFALL_LABEL_H

#include "quintfall/numeral.h"
#include "quintfall/score.h"
#include "quintfall/solfege.h"

enum {
  QF_LABEL_MAX_REASONS  = 12,
  QF_LABEL_MAX_READINGS = 3,
  QF_LABEL_MAX_FOREIGN  = 24,
  QF_REASON_SIZE        = 200,
  QF_MAX_KEY_BEATS      = 1000,
};

/// Whether what a chord leads one to expect came
typedef enum {
  QF_RESOLUTION_NONE,      ///< The chord asks for none
  QF_RESOLUTION_KEPT,      ///< The expected chord followed
  QF_RESOLUTION_CHAINED,   ///< Its root came, but as another dominant seventh
  QF_RESOLUTION_DEFLECTED, ///< Another dominant-quality chord on another root followed
  QF_RESOLUTION_DECEPTIVE, ///< Something else followed
  QF_RESOLUTION_PROLONGED, ///< The same function went on (inversion, V to V7)
  QF_RESOLUTION_OPEN,      ///< The passage ended first
} QfResolution;

/// What a reason speaks about
typedef enum {
  QF_REASON_NOTES,      ///< Which notes made root and quality
  QF_REASON_OMISSION,   ///< A chord tone that is missing and why it does not matter
  QF_REASON_FOREIGN,    ///< A note outside the chord
  QF_REASON_LEADING,    ///< Leading tone, applied or not, and where it should go
  QF_REASON_SEVENTH,    ///< Seventh and where it should go
  QF_REASON_RESOLUTION, ///< What came next
  QF_REASON_CONTEXT,    ///< Neighbours, cadence, chain
  QF_REASON_KEY,        ///< Why this key
  QF_REASON_PINNED,     ///< The user says so
} QfReasonKind;

typedef struct {
  QfReasonKind kind;
  char         text[QF_REASON_SIZE]; ///< A plain English sentence with its full stop
} QfReason;

/// Another way to read a span
typedef struct {
  QfKey     key;
  QfNumeral numeral;
  double    score;                ///< Relative to the chosen reading's 1.0
  char      text[QF_REASON_SIZE]; ///< What speaks for it
} QfReading;

/// Kinds of notes outside the chord, by how a voice enters and leaves them
typedef enum {
  QF_FOREIGN_PASSING,      ///< Step in, step on in the same direction
  QF_FOREIGN_NEIGHBOUR,    ///< Step away and step back, or both neighbours in turn
  QF_FOREIGN_SUSPENSION,   ///< Held or repeated from a chord it belongs to, then a step down
  QF_FOREIGN_RETARDATION,  ///< Held or repeated from a chord it belongs to, then a step up
  QF_FOREIGN_ANTICIPATION, ///< Struck early, then held or repeated into its chord
  QF_FOREIGN_APPOGGIATURA, ///< Reached by leap, left by step
  QF_FOREIGN_ESCAPE,       ///< Reached by step, left by leap
  QF_FOREIGN_PEDAL,        ///< Held or repeated on both sides
  QF_FOREIGN_FREE,         ///< None of these
  QF_FOREIGN_N_KINDS
} QfForeignKind;

/// A note outside its chord
typedef struct {
  uint32_t      note; ///< Its identity
  QfForeignKind kind;
  uint32_t      preparation; ///< Note that prepares a suspension or retardation: itself if held
  uint32_t      resolution;  ///< Note it resolves to, or #QF_NO_NOTE; also of an appoggiatura
  int8_t        figure;      ///< 4 of "4-3": its interval over a bass that stays, or 0
  int8_t        goal_figure; ///< 3 of "4-3", or 0
} QfForeign;

/// One link of the chain: a span of time with one function
typedef struct {
  QfTime       start;
  QfTime       end;
  QfKey        key;
  QfNumeral    numeral;
  QfChord      chord;    ///< With what is omitted and the sounding inversion
  bool         is_known; ///< False where no chord could be named: numeral and chord are unset
  bool         is_pivot; ///< The last of its key, and a chord of the next link's key as well
  QfNumeral    pivot;    ///< In the next link's key, if it is a pivot
  bool         is_pinned;
  double       sureness; ///< 0-1
  bool         has_next; ///< False on the last link and before a rest
  QfInterval   motion;   ///< Ascending interval from this root to the next, if `has_next`
  QfResolution resolution;
  QfNoteName   expected_root; ///< Set unless the resolution is #QF_RESOLUTION_NONE
  size_t       n_reasons;
  QfReason     reasons[QF_LABEL_MAX_REASONS];
  size_t       n_readings;
  QfReading    readings[QF_LABEL_MAX_READINGS];
  size_t       n_foreign;
  QfForeign    foreign[QF_LABEL_MAX_FOREIGN]; ///< Notes outside the chord
} QfLabel;

/// A run of links that belong together
typedef enum {
  QF_CHAIN_APPLIED, ///< Dominants that lead to one another, applied or not
  QF_CHAIN_FALLING, ///< Roots falling by fifths
  QF_CHAIN_RISING,  ///< Roots rising by fifths
} QfChainKind;

typedef struct {
  QfChainKind kind;
  size_t      first; ///< Index of the first link
  size_t      last;  ///< Index of the last dominant (applied) or last root (others)
  size_t      goal;  ///< Index of the link it arrives at, or `last`
  char name[200];    ///< "Chain of 5 dominant sevenths, 4 of them applied, falling by fifths, from
                     ///< V7/iii to I"
} QfChain;

/// How a phrase closes
typedef enum {
  QF_CADENCE_PERFECT,   ///< Authentic, both chords in root position, soprano on the tonic
  QF_CADENCE_IMPERFECT, ///< Authentic, but for one of these
  QF_CADENCE_HALF,      ///< Rests on the dominant
  QF_CADENCE_PHRYGIAN,  ///< Half, from iv6 in minor
  QF_CADENCE_PLAGAL,    ///< From the subdominant to the tonic
  QF_CADENCE_DECEPTIVE, ///< From the dominant to the sixth degree
  QF_CADENCE_N_KINDS
} QfCadenceKind;

/// A cadence; only claimed where a phrase ends or an arrival is plain
typedef struct {
  QfCadenceKind kind;
  size_t        from;    ///< Index of the link that leads into the arrival
  size_t        arrival; ///< Index of the link it arrives at
  QfKey         key;     ///< In which it is heard: that of the arrival, if that is tonicized
  char          reason[QF_REASON_SIZE]; ///< A plain English sentence with its full stop
} QfCadence;

/// A stretch in one key, and what speaks for it
typedef struct {
  size_t first; ///< Index of a link
  size_t last;
  QfKey  key;
  double beats;           ///< How long it lasts, in beats of the metre it begins in
  bool   is_home;         ///< The key of the whole
  bool   is_tonicization; ///< Below the thresholds, but not to be written in a key beside it
  size_t cadence;         ///< Index of the first authentic cadence onto its tonic, or SIZE_MAX
  size_t returns;         ///< Index of the stretch in which the key before it returns, or SIZE_MAX
  char   reason[QF_REASON_SIZE]; ///< All this in a plain English sentence
} QfKeySpan;

/// A reading fixed by the user
typedef struct {
  QfTime    start; ///< Of the span
  QfKey     key;
  QfNumeral numeral;
} QfPin;

/**
   What makes a modulation of a tonicization.

   A stretch in another key counts as a modulation if its beats, and
   `cadence_beats` more if an authentic cadence closes it, reach `least_beats`.
   A shorter one is written inside the key around it, with applied numerals,
   where it can be; applied chords to one degree that go on for so long become
   a stretch of their own. All zero leaves the keys as they are found.
*/
typedef struct {
  double least_beats;   ///< Least length of a modulation, 0 to #QF_MAX_KEY_BEATS
  double cadence_beats; ///< Beats that a cadence counts for, 0 to #QF_MAX_KEY_BEATS
} QfKeyThresholds;

typedef struct {
  bool         has_key; ///< A key is declared; otherwise it is found
  QfKey        key;
  bool         may_modulate; ///< Look for keys that change; false keeps to one key
  const QfPin* pins;
  size_t       n_pins;

  QfKeyThresholds thresholds;

  QfNamingKind naming; ///< Of the notes and keys in all sentences
} QfLabelOptions;

/// The labels of a passage; owns everything it lends
typedef struct QfLabelsImpl QfLabels;

/**
   Label a passage.

   @param[out] result (transfer full) Set on success.
   @return #QF_OK (also for an empty passage) or #QF_ERR_NO_MEM.
*/
QfStatus
qf_labels_new(const QfScore* score, QfLabelOptions options, QfLabels** result, QfError* error);

/**
   Label a passage again after an edit.

   The result is exactly that of qf_labels_new(), but only what the edit can
   change is computed anew: a change in one place costs little more than a
   few bars. What is needed for that is kept with the labels.

   @param[in,out] labels Labels of the passage before the edit, or NULL for the
   first time; freed, and replaced by the new ones or, on failure, by NULL.
   @return #QF_OK or #QF_ERR_NO_MEM.
*/
QfStatus
qf_labels_update(QfLabels** labels, const QfScore* score, QfLabelOptions options, QfError* error);

void
qf_labels_free(QfLabels* labels);

size_t
qf_labels_n_links(const QfLabels* labels);

const QfLabel*
qf_labels_get_link(const QfLabels* labels, size_t index);

/// Index of the link that holds a time, or SIZE_MAX
size_t
qf_labels_link_at(const QfLabels* labels, QfTime time);

size_t
qf_labels_n_chains(const QfLabels* labels);

const QfChain*
qf_labels_get_chain(const QfLabels* labels, size_t index);

/// Cadences in order of time, at most one a link
size_t
qf_labels_n_cadences(const QfLabels* labels);

const QfCadence*
qf_labels_get_cadence(const QfLabels* labels, size_t index);

size_t
qf_labels_n_key_spans(const QfLabels* labels);

const QfKeySpan*
qf_labels_get_key_span(const QfLabels* labels, size_t index);

/// The key found or declared for the whole
QfKey
qf_labels_get_key(const QfLabels* labels);

/// "falling fifth", "rising step", "third fall", "same root", in words; at least 48 bytes
void
qf_root_motion_describe(QfInterval motion, char* buffer, size_t size);

/// True for a root that falls by a perfect fifth (rises by a perfect fourth)
bool
qf_root_motion_is_falling_fifth(QfInterval motion);

const char*
qf_resolution_name(QfResolution resolution);

/// "perfect authentic cadence"
const char*
qf_cadence_kind_name(QfCadenceKind kind);

/// "passing note", "suspension"
const char*
qf_foreign_kind_name(QfForeignKind kind);

/// The short sign of the books, to be set beside a note: "PT", "SUS"; empty for a free note
const char*
qf_foreign_kind_sign(QfForeignKind kind);

/**
   One sentence that says a link whole, for accessible names:
   "Link 3: V7 of ii, F sharp dominant seventh, second inversion; falling fifth; kept".
*/
void
qf_label_speak(const QfLabel* label, size_t index, QfNamingKind naming, char* buffer, size_t size);

#endif // QUINTFALL_LABEL_H
