// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_WRITINGS_TEXT_H
#define QUINTFALL_SRC_COMMAND_WRITINGS_TEXT_H

#include "quintfall/harmonise.h"

/**
   JSON (transfer full, or NULL): `profile`, `key`, `metre`, `pickup`, `voices` by
   name, `chords` with `numeral`, `key`, `symbol`, `start` and `duration`, and
   `writings`, each with `cost` and the `pitches` of every chord.
*/
char*
writings_to_json(const QfLinks* links, const QfWritings* writings, QfProfile profile);

/// Each chain on a line, its writing under it, voice by voice (transfer full, or NULL)
char*
harmonies_to_table(const QfHarmonies* harmonies);

/// The same, but for `harmonies`, each with `cost`, `chords` and `pitches`, and a `vocabulary`
char*
harmonies_to_json(const QfHarmonies* harmonies, const QfHarmoniseOptions* options);

#endif // QUINTFALL_SRC_COMMAND_WRITINGS_TEXT_H
