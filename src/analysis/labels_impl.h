// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_LABELS_IMPL_H
#define QUINTFALL_ANALYSIS_LABELS_IMPL_H

#include "search.h"

#include "quintfall/label.h"

/// What lies behind a link; parallel to the labels
typedef struct {
  QfSpan span;
  int    inversion;
  int    root;        ///< Fifths above C
  bool   is_dominant; ///< Leads somewhere: dominant role, or a dominant seventh on any degree
  int    target;      ///< Fifths above C: the root it points at
  int    dominant;    ///< Fifths above C: the dominant it is or stands for
  bool   is_after_rest;
  bool   is_rewritten; ///< Found in another key, and written in this one by the thresholds
  size_t found_key;    ///< Index of that key
  size_t cadence;      ///< Onto this link, or SIZE_MAX
  size_t chain;        ///< The first that holds it, or SIZE_MAX
  size_t key_span;
  size_t confirmed; ///< Dominant that first leads to the tonic in its key span, or SIZE_MAX
} QfLink;

/// All that the parts of the labelling share
typedef struct {
  QfPassage      passage;
  QfVocabulary*  vocabularies;   ///< By mode; owned
  size_t         n_entries[2];   ///< Those of each mode when the search began
  size_t*        pinned_keys;    ///< For each column, or #QF_N_KEYS where nothing is pinned; owned
  size_t*        pinned_entries; ///< For each column; owned
  QfSearchGivens givens;
  QfLabelOptions options;
} QfLabelling;

/// What labels keep for those after the next edit
typedef struct {
  QfLabelling labelling; ///< Its score and pins may be gone
  QfTrellis   trellis;
  QfBar*      bars; ///< Those of the score; owned
  size_t      n_bars;
  QfVoice     voices[QF_MAX_VOICES];
} QfMemory;

struct QfLabelsImpl {
  QfMemory*  memory; ///< NULL if nothing is kept
  QfKey      key;
  QfLabel*   labels;
  QfLink*    links;
  size_t     n_links;
  QfChain*   chains;
  size_t     n_chains;
  QfCadence* cadences;
  size_t     n_cadences;
  QfKeySpan* key_spans;
  size_t     n_key_spans;
};

/// Label a passage by other weights than those that come with the program
QfStatus
qf_labels_weighed(const QfScore* score,
                  QfLabelOptions options,
                  const float*   weights,
                  QfLabels**     result,
                  QfError*       error);

const QfEntry*
qf_link_entry(const QfLabelling* labelling, const QfLink* link);

/// Fifths of a root, twelve to the circle: equal for the same sounding root
bool
qf_roots_sound_alike(int a, int b);

/// Cut the path into links
QfStatus
qf_links_of_path(const QfLabelling* labelling, const QfPath* path, QfLabels* labels);

/// Join links that have become the same, and set all labels anew
void
qf_links_refill(const QfLabelling* labelling, QfLabels* labels);

/// Set what numerals and steps cost, once all numerals are in
void
qf_labelling_weigh(const QfLabelling* labelling);

/// The key of the whole, from the links
QfKey
qf_links_key(const QfLabelling* labelling, const QfLabels* labels);

/// Move stretches between modulation and tonicization by the thresholds; true if any moved
bool
qf_links_settle_keys(const QfLabelling* labelling, QfLabels* labels);

/// Find the stretches in one key, with what speaks for them
QfStatus
qf_links_find_keys(const QfLabelling* labelling, QfLabels* labels);

/// Set resolution, expected root and motion of every link
void
qf_links_resolve(const QfLabelling* labelling, QfLabels* labels);

/// Mark the chords that belong to the keys before and after a change
void
qf_links_find_pivots(const QfLabelling* labelling, QfLabels* labels);

/// Find chains of applied dominants and runs of fifths
QfStatus
qf_links_chain(const QfLabelling* labelling, QfLabels* labels);

/// Find the cadences
QfStatus
qf_links_find_cadences(const QfLabelling* labelling, QfLabels* labels);

/// Let every link know its cadence, chain and key, once these are found
void
qf_links_place(const QfLabelling* labelling, QfLabels* labels);

/// Set the next-best readings and the sureness of a link
void
qf_link_compare(const QfLabelling* labelling, QfLabels* labels, size_t index);

/// Slice that holds a time
const QfSlice*
qf_passage_slice_at(const QfPassage* passage, QfTime time);

/// True for a note of the link's chord
bool
qf_link_has_pitch(const QfLabelling* labelling, const QfLink* link, QfPitch pitch);

/// Set the foreign notes of a link
void
qf_link_find_foreign(const QfLabelling* labelling, QfLabels* labels, size_t index);

/// Set the reasons of a link
void
qf_link_explain(const QfLabelling* labelling, QfLabels* labels, size_t index);

/// Labels before an edit, as far as they hold after it
typedef struct {
  const QfLabels*    labels; ///< With their memory, or NULL
  const QfLabelling* now;
  QfSameColumns      same;
  bool               has_same_words;  ///< Readings are weighed and worded as before
  bool               has_same_places; ///< Bars and voices are called as before
  bool               is_changed;      ///< Anything sounds otherwise, namely from ...
  QfTime             changed_from;
  QfTime             changed_to; ///< ... to here, or to the end for zero
} QfEarlier;

/// Compare a passage ready for the search with that of earlier labels, which may be NULL
QfEarlier
qf_earlier_of(const QfLabels* labels, const QfLabelling* now);

/// Compare the numerals, words and notes, once all numerals are in
void
qf_earlier_compare_words(QfEarlier* earlier);

/// Take the other readings of a link from before the edit; false if they may have changed
bool
qf_earlier_take_readings(const QfEarlier* earlier, QfLabels* labels, size_t index);

/// Take the reasons of a link from before the edit; false if they may have changed
bool
qf_earlier_take_reasons(const QfEarlier* earlier, QfLabels* labels, size_t index);

/// The link that begins with a column, or SIZE_MAX
size_t
qf_link_from(const QfLabels* labels, size_t column);

#endif // QUINTFALL_ANALYSIS_LABELS_IMPL_H
