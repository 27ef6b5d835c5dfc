// SPDX-License-Identifier: MIT
#include "import.h"

#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char* const remark_texts[QF_REMARK_N_KINDS] = {
  [QF_REMARK_GRACE]          = "Grace notes were left out",
  [QF_REMARK_CUE]            = "Cue notes were left out",
  [QF_REMARK_UNPITCHED]      = "Notes without pitch were left out",
  [QF_REMARK_UNPITCHED_PART] = "Parts without pitch were left out",
  [QF_REMARK_MICROTONE]      = "Microtones were rounded to the nearest semitone",
  [QF_REMARK_RESPELLED]      = "Notes with more than four accidentals were spelled anew",
  [QF_REMARK_ROUNDED_TIME]   = "Durations too fine to keep exactly were rounded",
  [QF_REMARK_LOOSE_TIE]      = "Ties with only one end were passed over",
  [QF_REMARK_CLEF]           = "Clefs of an unusual kind were read as the nearest usual one",
  [QF_REMARK_CLEF_CHANGE]    = "Changes of clef were not kept",
  [QF_REMARK_KEY]            = "Key signatures that are not a row of fifths were passed over",
  [QF_REMARK_KEYS_DIFFER] = "The parts have different key signatures; that of most parts was taken",
  [QF_REMARK_MODE]        = "Church modes were read as major or minor with the same signature",
  [QF_REMARK_NO_METRE]    = "There is no time signature; four-four was assumed",
  [QF_REMARK_FREE_METRE]  = "Free metre was written in the time signature before it",
  [QF_REMARK_TEMPO]       = "A tempo outside 10-400 quarter notes a minute was not kept",
  [QF_REMARK_TEMPO_CHANGE] = "Changes of tempo were not kept",
  [QF_REMARK_ENDING]       = "First and second endings were read as bars in a row",
  [QF_REMARK_FIGURES]      = "Figures of the bass too many to be read were left out",
  [QF_REMARK_CHORD_SPLIT]  = "Voices with several notes at a time were split into more voices",
  [QF_REMARK_FILLED_BAR]   = "Empty measures were given their full length",
  [QF_REMARK_QUANTISED]    = "Notes off the grid were moved to the nearest 32nd or triplet 16th",
  [QF_REMARK_SPELLED]      = "MIDI has no spelling: notes were spelled from signature and harmony",
  [QF_REMARK_PERCUSSION]   = "Percussion (channel 10) was left out",
  [QF_REMARK_HANGING_NOTE] = "Notes that never end were ended with their track",
  [QF_REMARK_LATE_METRE]   = "A time signature inside a bar was moved to the next bar line",
};

void
qf_remarks_add(QfRemarks* const remarks, const QfRemarkKind kind, const int measure)
{
  if (!remarks->counts[kind]++) {
    remarks->measures[kind] = measure;
  }
}

QfStatus
qf_remarks_tell(const QfRemarks* const remarks, QfImport* const import, QfError* const error)
{
  if (!import) {
    return QF_OK;
  }

  QfText text = {0};
  for (size_t i = 0; i < QF_REMARK_N_KINDS; ++i) {
    if (!remarks->counts[i]) {
      continue;
    }
    qf_text_addf(&text, "%s%s", text.length ? "\n" : "", remark_texts[i]);
    if (remarks->counts[i] > 1) {
      qf_text_addf(&text, " (%zu", remarks->counts[i]);
      if (remarks->measures[i] >= 0) {
        qf_text_addf(&text, ", first in measure %d", remarks->measures[i]);
      }
      qf_text_add(&text, ")");
    } else if (remarks->measures[i] >= 0) {
      qf_text_addf(&text, " (measure %d)", remarks->measures[i]);
    }
    qf_text_add(&text, ".");
  }

  import->remarks = NULL;
  if (text.failed) {
    qf_text_free(&text);
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  if (text.length) {
    import->remarks = qf_text_take(&text);
  }
  return QF_OK;
}

void
qf_import_clear(QfImport* const import)
{
  free(import->remarks);
  free(import->figures);
  *import = (QfImport){0};
}

static bool
is_space(const char c)
{
  return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

/// True for the second and later bytes of a UTF-8 character
static bool
is_continuation(const char c)
{
  return ((unsigned char)c & 0xC0U) == 0x80U;
}

void
qf_copy_text(const char* const text, const size_t length, char* const buffer, const size_t size)
{
  size_t filled      = 0U;
  bool   wants_space = false;

  for (size_t i = 0; i < length && text[i]; ++i) {
    if (is_space(text[i])) {
      wants_space = filled > 0U;
      continue;
    }
    size_t n_bytes = 1U;
    while (i + n_bytes < length && is_continuation(text[i + n_bytes])) {
      ++n_bytes;
    }
    if (filled + wants_space + n_bytes >= size) {
      break;
    }
    if (wants_space) {
      buffer[filled++] = ' ';
      wants_space      = false;
    }
    memcpy(buffer + filled, text + i, n_bytes);
    filled += n_bytes;
    i += n_bytes - 1U;
  }
  buffer[filled] = '\0';
}

void
qf_name_voice(const size_t n_voices, const size_t index, char name[QF_NAME_SIZE])
{
  // Four voices are called so wherever harmony is taught (common practice).
  static const char* const four_names[4] = {"Soprano", "Alto", "Tenor", "Bass"};

  if (n_voices == 4U && index < n_voices) {
    snprintf(name, QF_NAME_SIZE, "%s", four_names[index]);
  } else {
    snprintf(name, QF_NAME_SIZE, "Voice %zu", index + 1U);
  }
}
