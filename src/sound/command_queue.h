// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_COMMAND_QUEUE_H
#define QF_SOUND_COMMAND_QUEUE_H

#include "clip.h"

#include <stdatomic.h>

typedef enum {
  QF_COMMAND_LOAD,
  QF_COMMAND_PLAY,
  QF_COMMAND_PAUSE,
  QF_COMMAND_SEEK,
  QF_COMMAND_LEVEL,
  QF_COMMAND_SPEED,
  QF_COMMAND_LOOP,
  QF_COMMAND_LOOP_RANGE,
  QF_COMMAND_TUNE,
} QfCommandKind;

typedef struct {
  QfCommandKind   kind;
  uint32_t        serial; ///< Counts the commands sent
  double          value;
  double          end_value; ///< Of a range
  QfTuning        tuning;
  const QfEvents* events; ///< To be loaded
  const QfClips*  clips;  ///< The same
} QfCommand;

enum {
  QF_COMMAND_QUEUE_SIZE = 256,
};

/// From one thread to one other; neither ever waits for a lock
typedef struct {
  QfCommand   commands[QF_COMMAND_QUEUE_SIZE];
  atomic_uint n_pushed;
  atomic_uint n_popped;
} QfCommandQueue;

/// False if the queue is full
bool
qf_command_queue_push(QfCommandQueue* queue, QfCommand command);

/// False if the queue is empty
bool
qf_command_queue_pop(QfCommandQueue* queue, QfCommand* command);

#endif // QF_SOUND_COMMAND_QUEUE_H
