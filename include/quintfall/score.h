// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SCORE_H
#define QUINTFALL_SCORE_H

#include "quintfall/key.h"
#include "quintfall/pitch.h"
#include "quintfall/time.h"

enum {
  QF_MAX_VOICES = 24,
  QF_MAX_STAVES = 16,
  QF_NAME_SIZE  = 48,
  QF_MAX_BARS   = 10000,
  QF_NO_NOTE    = 0, ///< No note has this identity
};

/**
   A passage: bars, and voices of notes that do not overlap within a voice.

   Voices are ordered from the highest to the lowest. What is not covered by a
   note is rest. A tied note is one note: ties are derived when it is written
   down (see spelling.h), so that a duration never depends on the bar line.
*/
typedef struct QfScoreImpl QfScore;

/// A sounding note
typedef struct {
  uint32_t id; ///< Unique within the score, never #QF_NO_NOTE; kept by edits, copies and files
  QfTime   start;
  QfTime   duration; ///< Always positive
  QfPitch  pitch;
} QfNote;

typedef enum {
  QF_CLEF_TREBLE,
  QF_CLEF_BASS,
  QF_CLEF_ALTO,
  QF_CLEF_TENOR,
  QF_CLEF_TREBLE_8, ///< Treble clef sounding an octave lower
  QF_CLEF_N_KINDS
} QfClef;

typedef struct {
  char   name[QF_NAME_SIZE]; ///< May be empty
  QfClef clef;
} QfStaff;

typedef struct {
  char    name[QF_NAME_SIZE]; ///< "Soprano"
  uint8_t staff;              ///< Index of the staff it is written on
} QfVoice;

/// A bar as it is written
typedef struct {
  QfTime  start;  ///< Set by the score
  QfTime  length; ///< Shorter than the metre in a pickup or a split bar
  QfTime  offset; ///< Where in the full bar it begins: a pickup ends the bar
  int     number; ///< 0 for a pickup, otherwise as printed
  char    suffix; ///< 'a' in the second half "7a" of a split bar, or 0
  QfMetre metre;
  bool    starts_repeat; ///< Repeats are noted, not unfolded
  bool    ends_repeat;
} QfBar;

/// A key signature from a time on
typedef struct {
  QfTime start;
  QfKey  key; ///< The mode is as good as the source says
} QfSignature;

/// A place as a musician says it
typedef struct {
  size_t bar;  ///< Index of the bar
  QfTime beat; ///< 1 = downbeat; counted in beats of the metre, 6/8 has beats 1 and 2
} QfPlace;

/// An empty score without staves, voices or bars (transfer full; NULL if out of memory)
QfScore*
qf_score_new(void);

/**
   Four voices on two staves (soprano and alto, tenor and bass) and empty bars.

   @param key Signature from the start.
   @param pickup Length of a first incomplete bar, or zero; whole bars of it are left out.
   @param n_bars Full bars after the pickup.
   @return (transfer full) NULL if out of memory.
*/
QfScore*
qf_score_new_satb(QfKey key, QfMetre metre, QfTime pickup, size_t n_bars);

/// (transfer full) NULL if out of memory
QfScore*
qf_score_dup(const QfScore* score);

/// Same bars, signatures, staves, voices, titles, notes and fermatas; identities and tempo aside
bool
qf_score_equals(const QfScore* a, const QfScore* b);

void
qf_score_free(QfScore* score);

const char*
qf_score_get_title(const QfScore* score);

QfStatus
qf_score_set_title(QfScore* score, const char* title);

const char*
qf_score_get_composer(const QfScore* score);

QfStatus
qf_score_set_composer(QfScore* score, const char* composer);

/// Quarter notes a minute
double
qf_score_get_tempo(const QfScore* score);

/// 10-400 quarter notes a minute, otherwise #QF_ERR_RANGE
QfStatus
qf_score_set_tempo(QfScore* score, double quarters_per_minute);

QfStatus
qf_score_add_staff(QfScore* score, const char* name, QfClef clef);

size_t
qf_score_n_staves(const QfScore* score);

const QfStaff*
qf_score_get_staff(const QfScore* score, size_t index);

/// #QF_ERR_RANGE if there are #QF_MAX_VOICES already or no such staff
QfStatus
qf_score_add_voice(QfScore* score, const char* name, size_t staff);

size_t
qf_score_n_voices(const QfScore* score);

const QfVoice*
qf_score_get_voice(const QfScore* score, size_t index);

/**
   Append a bar; its `start` is set by the score, and an `offset` left out is zero.

   @return #QF_ERR_RANGE if the length is not positive, the metre is none, a time
   is no longer exact, or there are #QF_MAX_BARS already.
*/
QfStatus
qf_score_append_bar(QfScore* score, QfBar bar);

/// Remove the last bar and the notes that begin in it; others are cut at its start.
/// #QF_ERR_RANGE if there is none
QfStatus
qf_score_remove_last_bar(QfScore* score);

size_t
qf_score_n_bars(const QfScore* score);

const QfBar*
qf_score_get_bar(const QfScore* score, size_t index);

/// Re-bar the whole score in another metre, the pickup kept; notes stay where they are
QfStatus
qf_score_set_metre(QfScore* score, QfMetre metre);

/// Index of the bar that holds a time (the last bar for times beyond it)
size_t
qf_score_bar_at(const QfScore* score, QfTime time);

/// End of the last bar
QfTime
qf_score_get_end(const QfScore* score);

QfPlace
qf_score_place_of(const QfScore* score, QfTime time);

/**
   Write "m3 b2", "m0 b3", "m7a b3.5" (RomanText's manner); at least 40 bytes.

   Decimals are exact up to the fourth, otherwise cut after the second: a third
   of a beat is .33 and two thirds .66.
*/
void
qf_score_write_place(const QfScore* score, QfTime time, char* buffer, size_t size);

/// Set the signature from a time on, replacing one that starts there
QfStatus
qf_score_set_signature(QfScore* score, QfTime start, QfKey key);

size_t
qf_score_n_signatures(const QfScore* score);

const QfSignature*
qf_score_get_signature(const QfScore* score, size_t index);

/// The signature in force at a time (C major if none was ever set)
QfKey
qf_score_signature_at(const QfScore* score, QfTime time);

/**
   Write a note; whatever of the voice lies under it is cut or removed.

   A note that reaches out on both sides keeps its identity on the left and gets
   a new one on the right. Bars are appended as needed (up to #QF_MAX_BARS).
   @param id Identity to use, or #QF_NO_NOTE to get a new one. A note that has it
   already, in any voice, is moved: it leaves its old place.
   @param[out] new_id Identity of the note, if not NULL.
   @return #QF_ERR_RANGE for a negative start, a duration that is not positive, a
   start or end finer than a millionth, or a pitch outside MIDI 0-127.
*/
QfStatus
qf_score_put_note(QfScore*  score,
                  size_t    voice,
                  QfTime    start,
                  QfTime    duration,
                  QfPitch   pitch,
                  uint32_t  id,
                  uint32_t* new_id);

/// Turn [start, end) of one voice to rest, cutting notes at its edges as qf_score_put_note() does
QfStatus
qf_score_erase(QfScore* score, size_t voice, QfTime start, QfTime end);

QfStatus
qf_score_set_pitch(QfScore* score, uint32_t id, QfPitch pitch);

size_t
qf_score_n_notes(const QfScore* score, size_t voice);

/// Notes of a voice in order of time
const QfNote*
qf_score_get_note(const QfScore* score, size_t voice, size_t index);

/// Note sounding at a time in a voice, or NULL
const QfNote*
qf_score_note_at(const QfScore* score, size_t voice, QfTime time);

/// Find a note by identity, or NULL; sets its voice if `voice` is not NULL
const QfNote*
qf_score_find_note(const QfScore* score, uint32_t id, size_t* voice);

/**
   Set or lift the fermata of the notes that start at a time.

   A fermata belongs to the moment, and so to all voices that have a note
   starting there. It is lifted by itself as soon as no note starts there any more.
   @return #QF_ERR_RANGE if it is to be set where no note starts.
*/
QfStatus
qf_score_set_fermata(QfScore* score, QfTime time, bool is_set);

bool
qf_score_has_fermata(const QfScore* score, QfTime time);

size_t
qf_score_n_fermatas(const QfScore* score);

/// Start of the notes that carry a fermata, in order of time, each time once
QfTime
qf_score_get_fermata(const QfScore* score, size_t index);

/// Transpose everything, signatures too; #QF_ERR_RANGE leaves the score as it was
QfStatus
qf_score_transpose(QfScore* score, QfInterval interval);

#endif // QUINTFALL_SCORE_H
