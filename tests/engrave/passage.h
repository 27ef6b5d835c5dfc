// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ENGRAVE_TEST_PASSAGE_H
#define QUINTFALL_ENGRAVE_TEST_PASSAGE_H

#include "quintfall/engrave.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define N_ITEMS(array) (sizeof(array) / sizeof((array)[0]))

QfPitch
pitch_of(const char* text);

QfKey
key_of(const char* text);

QfMetre
metre_of(const char* text);

/// Staves with these clefs, a voice on each unless `voices_per_staff` says more
QfScore*
new_score(const char*   key,
          const char*   metre,
          size_t        n_bars,
          const QfClef* clefs,
          size_t        n_staves,
          size_t        voices_per_staff);

/// One treble staff with one or two voices
QfScore*
new_treble(const char* key, const char* metre, size_t n_bars, size_t n_voices);

/// Write "E4:1/4 r:1/8 F#4:1/8" from the start of the passage; returns the last note's identity
uint32_t
write_voice(QfScore* score, size_t voice, const char* notes);

/// A passage in four parts on two staves that has about everything, 12 bars
QfScore*
new_rich_passage(void);

/// Lay out, or fail
QfEngraving*
engrave(const QfScore* score, const QfLabels* labels, QfEngraveOptions options);

/// Box of a note in the surface's units, or fail
void
box_of(const QfEngraving* engraving, uint32_t note, double box[4]);

#endif // QUINTFALL_ENGRAVE_TEST_PASSAGE_H
