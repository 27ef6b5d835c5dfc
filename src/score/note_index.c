// SPDX-License-Identifier: MIT
#include "note_index.h"

#include <stdlib.h>
#include <string.h>

enum {
  EMPTY     = 0,
  MIN_SLOTS = 64,
};

static size_t
home_slot(const NoteIndex* const index, const uint32_t id)
{
  // Multiplicative hashing (Knuth, The Art of Computer Programming vol. 3, 6.4; from memory)
  return (size_t)(((uint64_t)id * 2654435769U) >> 8U) & (index->n_slots - 1U);
}

/// Slot of a note, or the empty slot where it would go; there must be slots
static size_t
find_slot(const NoteIndex* const index, const uint32_t id)
{
  size_t slot = home_slot(index, id);
  while (index->slots[slot].id != EMPTY && index->slots[slot].id != id) {
    slot = (slot + 1U) & (index->n_slots - 1U);
  }
  return slot;
}

QfStatus
qf_note_index_reserve(NoteIndex* const index, const size_t n_more)
{
  const size_t needed = 2U * (index->n_notes + n_more);
  if (needed <= index->n_slots) {
    return QF_OK;
  }

  NoteIndex larger = {.n_slots = index->n_slots ? index->n_slots : MIN_SLOTS};
  while (larger.n_slots < needed) {
    larger.n_slots *= 2U;
  }
  larger.slots = (NotePlace*)calloc(larger.n_slots, sizeof(NotePlace));
  if (!larger.slots) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i < index->n_slots; ++i) {
    if (index->slots[i].id != EMPTY) {
      larger.slots[find_slot(&larger, index->slots[i].id)] = index->slots[i];
    }
  }
  larger.n_notes = index->n_notes;
  free(index->slots);
  *index = larger;
  return QF_OK;
}

void
qf_note_index_set(NoteIndex* const index, const uint32_t id, const size_t voice, const QfTime start)
{
  NotePlace* const place = &index->slots[find_slot(index, id)];
  index->n_notes += place->id == EMPTY ? 1U : 0U;
  *place = (NotePlace){id, (uint8_t)voice, start};
}

void
qf_note_index_remove(NoteIndex* const index, const uint32_t id)
{
  if (!qf_note_index_find(index, id)) {
    return;
  }

  // Close the gap: whatever was pushed past it by probing moves back
  const size_t mask = index->n_slots - 1U;
  size_t       gap  = find_slot(index, id);
  for (size_t i = (gap + 1U) & mask; index->slots[i].id != EMPTY; i = (i + 1U) & mask) {
    const size_t home = home_slot(index, index->slots[i].id);
    if (((i - home) & mask) >= ((i - gap) & mask)) {
      index->slots[gap] = index->slots[i];
      gap               = i;
    }
  }
  index->slots[gap].id = EMPTY;
  --index->n_notes;
}

const NotePlace*
qf_note_index_find(const NoteIndex* const index, const uint32_t id)
{
  if (!index->n_slots || id == EMPTY) {
    return NULL;
  }

  const NotePlace* const place = &index->slots[find_slot(index, id)];
  return place->id == id ? place : NULL;
}

QfStatus
qf_note_index_copy(const NoteIndex* const from, NoteIndex* const to)
{
  if (!from->n_slots) {
    *to = (NoteIndex){0};
    return QF_OK;
  }

  NotePlace* const slots = (NotePlace*)malloc(from->n_slots * sizeof(NotePlace));
  if (!slots) {
    return QF_ERR_NO_MEM;
  }
  memcpy(slots, from->slots, from->n_slots * sizeof(NotePlace));
  *to = (NoteIndex){slots, from->n_slots, from->n_notes};
  return QF_OK;
}

void
qf_note_index_clear(NoteIndex* const index)
{
  free(index->slots);
  *index = (NoteIndex){0};
}
