// SPDX-License-Identifier: MIT
#include "parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// Common practice: three parts are soprano, alto and bass; a fifth one is a second soprano.
static const char* const names[QF_WRITING_MAX_VOICES + 1][QF_WRITING_MAX_VOICES] = {
  [3] = {"soprano", "alto", "bass"},
  [4] = {"soprano", "alto", "tenor", "bass"},
  [5] = {"soprano", "soprano2", "alto", "tenor", "bass"},
};

static const char* const members[] = {"root", "third", "fifth"};

enum { PITCH_SIZE = 16 };

const char*
part_name(const size_t n_voices, const size_t voice)
{
  return names[n_voices][voice];
}

bool
part_find(const char* const text, const size_t length, const size_t n_voices, size_t* const voice)
{
  for (size_t v = 0; v < n_voices; ++v) {
    if (strlen(names[n_voices][v]) == length && !strncmp(text, names[n_voices][v], length)) {
      *voice = v;
      return true;
    }
  }
  return false;
}

/// Read "12=": a chord counted from 1
static bool
parse_number(const char* const text, size_t* const link, const char** const rest)
{
  char*      end    = NULL;
  const long number = strtol(text, &end, 10);
  if (end == text || *end != '=' || number < 1) {
    return false;
  }
  *link = (size_t)(number - 1);
  *rest = end + 1;
  return true;
}

/// Read a pitch that ends before one of some characters
static QfStatus
parse_pitch(const char* const text,
            const size_t      length,
            QfPitch* const    result,
            QfError* const    error)
{
  char pitch[PITCH_SIZE];
  snprintf(pitch, sizeof(pitch), "%.*s", (int)(length < PITCH_SIZE ? length : PITCH_SIZE), text);
  return qf_pitch_parse(pitch, result, error);
}

static QfStatus
parse_chord(const char*    text,
            const size_t   link,
            const size_t   n_voices,
            QfKept* const  kept,
            size_t* const  n_kept,
            QfError* const error)
{
  for (*n_kept = 0; *n_kept < n_voices; ++*n_kept) {
    const size_t   length = strcspn(text, ",");
    const QfStatus st     = parse_pitch(text, length, &kept[*n_kept].pitch, error);
    if (st) {
      return st;
    }
    kept[*n_kept].link  = link;
    kept[*n_kept].voice = *n_kept;
    text += length + (text[length] == ',');
    if (!*text) {
      ++*n_kept;
      break;
    }
  }
  return *n_kept == n_voices && !*text
           ? QF_OK
           : qf_error_set(error, QF_ERR_BAD_TEXT, "a whole chord has %zu pitches here", n_voices);
}

QfStatus
part_parse_kept(const char* const text,
                const size_t      n_voices,
                QfKept            kept[QF_WRITING_MAX_VOICES],
                size_t* const     n_kept,
                QfError* const    error)
{
  const char* const at   = strchr(text, '@');
  const char*       rest = NULL;
  size_t            link = 0;
  if (!at && parse_number(text, &link, &rest)) {
    return parse_chord(rest, link, n_voices, kept, n_kept, error);
  }
  if (at && part_find(text, (size_t)(at - text), n_voices, &kept[0].voice) &&
      parse_number(at + 1, &kept[0].link, &rest)) {
    *n_kept = 1;
    return qf_pitch_parse(rest, &kept[0].pitch, error);
  }
  return qf_error_set(error, QF_ERR_BAD_TEXT,
                      "\"%s\" is not VOICE@N=PITCH, such as soprano@1=C#5, nor N=PITCH,PITCH,... "
                      "for a whole chord; voices are soprano, alto, tenor and bass, chords count "
                      "from 1",
                      text);
}

QfStatus
part_parse_doubling(const char* const text, QfDoubling* const result, QfError* const error)
{
  const char* rest = NULL;
  for (uint8_t m = 0;
       parse_number(text, &result->link, &rest) && m < sizeof(members) / sizeof(members[0]); ++m) {
    if (!strcmp(rest, members[m])) {
      result->member = m;
      return QF_OK;
    }
  }
  return qf_error_set(error, QF_ERR_BAD_TEXT,
                      "\"%s\" is not N=root, N=third or N=fifth; chords count from 1", text);
}

const char*
part_member_name(const uint8_t member)
{
  return members[member];
}

QfStatus
part_parse_range(const char* const   text,
                 const size_t        n_voices,
                 QfVoiceRange* const result,
                 QfError* const      error)
{
  const char* const equals = strchr(text, '=');
  const char* const dash   = equals ? strchr(equals, '-') : NULL;
  if (!dash || !part_find(text, (size_t)(equals - text), n_voices, &result->voice) ||
      parse_pitch(equals + 1, (size_t)(dash - equals - 1), &result->low, NULL) ||
      qf_pitch_parse(dash + 1, &result->high, NULL) ||
      qf_pitch_midi(result->low) > qf_pitch_midi(result->high)) {
    return qf_error_set(error, QF_ERR_BAD_TEXT,
                        "\"%s\" is not VOICE=LOWEST-HIGHEST, such as alto=G3-C5", text);
  }
  return QF_OK;
}
