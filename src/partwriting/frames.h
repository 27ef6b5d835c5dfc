// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_FRAMES_H
#define QUINTFALL_PARTWRITING_FRAMES_H

#include "passage.h"
#include "sounds.h"

/// What sounds between two moments at which something begins or ends
typedef struct {
  QfTime   start;
  QfTime   end;
  size_t   link;      ///< Index, or SIZE_MAX where no chord is known
  bool     is_joined; ///< To the frame before: no rest, no fermata between
  bool     is_link_start;
  bool     is_downbeat;
  uint32_t struck; ///< Bit v set: a note of voice v begins here
  uint32_t ids[QF_MAX_VOICES];
  QfPitch  pitches[QF_MAX_VOICES];
  Sounds   sounds;
} Frame;

/// A chord of the passage
typedef struct {
  QfLink   link;
  Sonority sonority;
  bool     is_known; ///< Its notes can be spelled
} Harmony;

/// A passage prepared for judging
typedef struct {
  Frame*   frames; ///< Owned
  size_t   n_frames;
  Harmony* harmonies; ///< Owned
  size_t   n_harmonies;
  size_t   n_voices;              ///< Parts of their own, at most those of the score
  uint8_t  voices[QF_MAX_VOICES]; ///< The voice of the score of each part
  QfTime   beat;                  ///< Length of a beat of the first bar
} Frames;

QfStatus
frames_of(const QfScore* score, const QfLink* links, size_t n_links, Frames* result);

void
frames_clear(Frames* frames);

/// Is every note of the frame struck at its start?
bool
frame_is_block(const Frame* frame);

/// The chord of a frame, or NULL
const Sonority*
frames_sonority(const Frames* frames, size_t frame);

/// Give a note another pitch wherever it sounds
void
frames_set_pitch(Frames* frames, uint32_t id, QfPitch pitch);

#endif // QUINTFALL_PARTWRITING_FRAMES_H
