// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_FORMATS_SMF_OUT_H
#define QUINTFALL_SRC_FORMATS_SMF_OUT_H

#include "quintfall/score.h"
#include "quintfall/text.h"

enum {
  SMF_META_TRACK_NAME = 0x03,
  SMF_META_LYRIC      = 0x05,
  SMF_META_MARKER     = 0x06,
  SMF_CONTROL_VOLUME  = 7,
};

/// A Standard MIDI File being written; memory that ran out shows in `file` at the end
typedef struct {
  QfText  file;
  int     division; ///< Ticks per quarter note
  QfText  track;    ///< Events of the track being written
  int64_t reached;  ///< Ticks of its last event
  bool    is_too_long;
} SmfOut;

/// A division in which all notes of a score lie exactly, or as near as can be
int
smf_find_division(const QfScore* score);

void
smf_begin_file(SmfOut* out, int division, size_t n_tracks);

/// Hand over the file (transfer full); everything is freed on failure as well
QfStatus
smf_end_file(SmfOut* out, void** data, size_t* length, QfError* error);

/// Begin a track with its name, unless that is empty
void
smf_begin_track(SmfOut* out, const char* name);

void
smf_end_track(SmfOut* out);

/// Add a text event, unless the text is empty
void
smf_add_text(SmfOut* out, int64_t at, int type, const char* text);

void
smf_add_tempo(SmfOut* out, int64_t at, double quarters_per_minute);

void
smf_add_key(SmfOut* out, int64_t at, QfKey key);

void
smf_add_metre(SmfOut* out, int64_t at, QfMetre metre);

/// Velocity 0 ends the note
void
smf_add_note(SmfOut* out, int64_t at, int channel, int key, int velocity);

void
smf_add_program(SmfOut* out, int64_t at, int channel, int program);

void
smf_add_control(SmfOut* out, int64_t at, int channel, int control, int value);

/// The metre a bar sounds like: a pickup of one quarter is 1/4, for MIDI knows no pickups
QfMetre
smf_sounding_metre(const QfScore* score, size_t bar);

#endif // QUINTFALL_SRC_FORMATS_SMF_OUT_H
