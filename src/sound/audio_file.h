// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_AUDIO_FILE_H
#define QF_SOUND_AUDIO_FILE_H

#include "quintfall/sound.h"

/// Loudness of a piece of sound
typedef struct {
  double lufs;    ///< Integrated, minus infinity for silence
  double peak_db; ///< True peak, in decibels of full scale
} QfMeasured;

/**
   A file that is written beside its place under another name, as often as it takes,
   and gets its own name when it is right.
*/
typedef struct QfAudioFileImpl QfAudioFile;

/// #QF_ERR_UNSUPPORTED if there is something at `path` that is no file
QfStatus
qf_audio_file_new(const char* path, QfAudioKind kind, QfAudioFile** result, QfError* error);

/// Close everything; what got no name is removed; NULL is fine
void
qf_audio_file_free(QfAudioFile* file);

/// Write from the start, once more if need be
QfStatus
qf_audio_file_begin(QfAudioFile* file, const QfRecordingTags* tags, QfError* error);

/// Write interleaved stereo frames
QfStatus
qf_audio_file_write(QfAudioFile* file, const float* frames, size_t n_frames, QfError* error);

QfStatus
qf_audio_file_end(QfAudioFile* file, QfError* error);

/// Decode what was written, and measure it
QfStatus
qf_audio_file_measure(const QfAudioFile* file, QfMeasured* result, QfError* error);

/// Give the file its name
QfStatus
qf_audio_file_commit(QfAudioFile* file, QfError* error);

/// A file without a name, in the folder of a path: a descriptor, or -1 with a message
int
qf_audio_file_open_spool(const char* path, QfError* error);

#endif // QF_SOUND_AUDIO_FILE_H
