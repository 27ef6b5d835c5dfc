// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_SURROUNDINGS_H
#define QUINTFALL_ANALYSIS_SURROUNDINGS_H

#include "columns.h"

/// Notes of a key: its signature's, in minor also the raised sixth and seventh
uint64_t
qf_scale_mask(size_t key);

/// Nothing, a beat, two, four, eight, or more
uint8_t
qf_time_index(double beats);

/// Note in every column what lies around it: phrases, their goals, and notes outside each key
void
qf_passage_look_around(QfPassage* passage);

#endif // QUINTFALL_ANALYSIS_SURROUNDINGS_H
