// SPDX-License-Identifier: MIT
#include "quintfall/document.h"

#include <string.h>
#include <strings.h>

typedef struct {
  const char* ending;
  QfFileKind  kind;
} Ending;

// The first ending of a kind is the usual one
static const Ending endings[] = {
  {"json", QF_FILE_LESSON},     {"musicxml", QF_FILE_MUSICXML}, {"xml", QF_FILE_MUSICXML},
  {"mxl", QF_FILE_MXL},         {"mid", QF_FILE_MIDI},          {"midi", QF_FILE_MIDI},
  {"rntxt", QF_FILE_ROMANTEXT}, {"txt", QF_FILE_ROMANTEXT},     {"wav", QF_FILE_WAV},
  {"flac", QF_FILE_FLAC},       {"ogg", QF_FILE_OGG},           {"opus", QF_FILE_OPUS},
  {"mp3", QF_FILE_MP3},         {"pdf", QF_FILE_PDF},           {"svg", QF_FILE_SVG},
  {"png", QF_FILE_PNG},
};

static const size_t n_endings = sizeof(endings) / sizeof(endings[0]);

QfFileKind
qf_file_kind_of_path(const char* const path)
{
  const char* const dot    = strrchr(path, '.');
  const char* const ending = dot ? dot + 1 : path;

  for (size_t i = 0; i < n_endings; ++i) {
    if (!strcasecmp(ending, endings[i].ending)) {
      return endings[i].kind;
    }
  }

  return QF_FILE_UNKNOWN;
}

const char*
qf_file_kind_ending(const QfFileKind kind)
{
  for (size_t i = 0; i < n_endings; ++i) {
    if (endings[i].kind == kind) {
      return endings[i].ending;
    }
  }

  return "";
}

bool
qf_file_kind_is_read(const QfFileKind kind)
{
  return kind >= QF_FILE_LESSON && kind <= QF_FILE_ROMANTEXT;
}
