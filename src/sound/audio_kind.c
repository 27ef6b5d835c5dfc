// SPDX-License-Identifier: MIT
#include "audio_kind.h"

#include <sndfile.h>

#include <string.h>
#include <strings.h>

static const QfAudioFormat formats[QF_AUDIO_N_KINDS] = {
  [QF_AUDIO_WAV]  = {".wav", "WAV", SF_FORMAT_WAV | SF_FORMAT_PCM_16, 44100},
  [QF_AUDIO_FLAC] = {".flac", "FLAC (lossless)", SF_FORMAT_FLAC | SF_FORMAT_PCM_16, 44100},
  [QF_AUDIO_OGG]  = {".ogg", "Ogg Vorbis", SF_FORMAT_OGG | SF_FORMAT_VORBIS, 44100},

  // Opus knows 48000 samples a second and fractions of that only: RFC 6716, 2.
  [QF_AUDIO_OPUS] = {".opus", "Opus", SF_FORMAT_OGG | SF_FORMAT_OPUS, 48000},
  [QF_AUDIO_MP3]  = {".mp3", "MP3", SF_FORMAT_MPEG | SF_FORMAT_MPEG_LAYER_III, 44100},
};

const QfAudioFormat*
qf_audio_format(const QfAudioKind kind)
{
  return &formats[kind];
}

const char*
qf_audio_kind_ending(const QfAudioKind kind)
{
  return formats[kind].ending;
}

const char*
qf_audio_kind_name(const QfAudioKind kind)
{
  return formats[kind].name;
}

bool
qf_audio_kind_can_write(const QfAudioKind kind)
{
  const SF_INFO info = {
    .samplerate = formats[kind].sample_rate, .channels = 2, .format = formats[kind].format};
  return sf_format_check(&info);
}

/// The endings that can be written here, ".wav, .flac or .ogg"
static void
list_endings(char* const buffer, const size_t size)
{
  const char* endings[QF_AUDIO_N_KINDS];
  size_t      n = 0;
  for (int i = 0; i < QF_AUDIO_N_KINDS; ++i) {
    if (qf_audio_kind_can_write((QfAudioKind)i)) {
      endings[n++] = formats[i].ending;
    }
  }

  buffer[0] = '\0';
  for (size_t i = 0; i < n; ++i) {
    const char* const joint = i == 0 ? "" : i + 1U == n ? " or " : ", ";
    strncat(buffer, joint, size - strlen(buffer) - 1U);
    strncat(buffer, endings[i], size - strlen(buffer) - 1U);
  }
}

QfStatus
qf_audio_kind_of(const char* const path, QfAudioKind* const kind, QfError* const error)
{
  const size_t length = strlen(path);
  char         endings[64];
  list_endings(endings, sizeof(endings));

  for (int i = 0; i < QF_AUDIO_N_KINDS; ++i) {
    const size_t size = strlen(formats[i].ending);
    if (length <= size || strcasecmp(path + length - size, formats[i].ending)) {
      continue;
    }
    if (!qf_audio_kind_can_write((QfAudioKind)i)) {
      return qf_error_set(error, QF_ERR_UNSUPPORTED,
                          "%s: the installed libsndfile does not write %s; choose %s", path,
                          formats[i].name, endings);
    }
    *kind = (QfAudioKind)i;
    return QF_OK;
  }

  return qf_error_set(error, QF_ERR_UNSUPPORTED, "%s has no ending of a sound file; expected %s",
                      path, endings);
}
