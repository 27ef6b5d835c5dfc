// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_NOTE_INDEX_H
#define QUINTFALL_NOTE_INDEX_H

#include "quintfall/status.h"
#include "quintfall/time.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/// Where a note is
typedef struct {
  uint32_t id; ///< #QF_NO_NOTE in an empty slot
  uint8_t  voice;
  QfTime   start;
} NotePlace;

/// Notes by identity: a hash table with linear probing, at most half full
typedef struct {
  NotePlace* slots;   ///< Owned
  size_t     n_slots; ///< A power of two, or 0
  size_t     n_notes;
} NoteIndex;

/// Make room for `n_more` notes, so that the next calls cannot fail
QfStatus
qf_note_index_reserve(NoteIndex* index, size_t n_more);

/// Add a note or move one that is there; room must have been reserved
void
qf_note_index_set(NoteIndex* index, uint32_t id, size_t voice, QfTime start);

void
qf_note_index_remove(NoteIndex* index, uint32_t id);

/// The note's place or NULL
const NotePlace*
qf_note_index_find(const NoteIndex* index, uint32_t id);

QfStatus
qf_note_index_copy(const NoteIndex* from, NoteIndex* to);

void
qf_note_index_clear(NoteIndex* index);

#endif // QUINTFALL_NOTE_INDEX_H
