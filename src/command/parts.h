// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_PARTS_H
#define QUINTFALL_SRC_COMMAND_PARTS_H

#include "quintfall/writing.h"

/// The parts of a writing as options and files name them, 0 the highest: "soprano"
const char*
part_name(size_t n_voices, size_t voice);

/// Find a part by its name, given by its length
bool
part_find(const char* text, size_t length, size_t n_voices, size_t* voice);

/**
   Read "soprano@1=C#5", or a whole chord from the highest part down, "2=E5,C5,G4,C3".

   @param[out] kept At most `n_voices`, `n_kept` of them.
*/
QfStatus
part_parse_kept(const char* text,
                size_t      n_voices,
                QfKept      kept[QF_WRITING_MAX_VOICES],
                size_t*     n_kept,
                QfError*    error);

/// Read "3=third"
QfStatus
part_parse_doubling(const char* text, QfDoubling* result, QfError* error);

/// "root", "third", "fifth"
const char*
part_member_name(uint8_t member);

/// Read "alto=G3-C5"
QfStatus
part_parse_range(const char* text, size_t n_voices, QfVoiceRange* result, QfError* error);

#endif // QUINTFALL_SRC_COMMAND_PARTS_H
