// SPDX-License-Identifier: MIT
#include "quintfall/keyboard_in.h"

#include "keyboard_raw.h"
#include "keyboard_sequencer.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <unistd.h>

struct QfKeyboardInImpl {
  QfSequencer*      sequencer; ///< Owned, or NULL
  char*             path;      ///< Owned, or NULL: of the only device
  int               quit_fd;
  pthread_t         thread;
  QfKeyboardDecoder decoder;
};

static void*
listen_on(void* const data)
{
  QfKeyboardIn* const self = (QfKeyboardIn*)data;
  if (self->path) {
    qf_raw_midi_listen(self->path, &self->decoder, self->quit_fd);
  } else {
    qf_sequencer_listen(self->sequencer, &self->decoder, self->quit_fd);
  }
  return NULL;
}

static void
close_all(QfKeyboardIn* const self)
{
  qf_sequencer_close(self->sequencer);
  if (self->quit_fd >= 0) {
    close(self->quit_fd);
  }
  free(self->path);
  free(self);
}

QfStatus
qf_keyboard_in_new(const char* const path, QfKeyboardIn** const result, QfError* const error)
{
  QfKeyboardIn* const self = (QfKeyboardIn*)calloc(1, sizeof(QfKeyboardIn));
  if (!self) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  self->quit_fd = eventfd(0, EFD_CLOEXEC);
  self->path    = path ? strdup(path) : NULL;
  QfStatus st   = path ? QF_OK : qf_sequencer_open(&self->sequencer, error);
  if (!st && ((path && !self->path) || self->quit_fd < 0 ||
              pthread_create(&self->thread, NULL, listen_on, self))) {
    st = qf_error_set(error, QF_ERR_NO_MEM, "the system gave no thread for MIDI keyboards");
  }
  if (st) {
    close_all(self);
    return st;
  }

  *result = self;
  return QF_OK;
}

void
qf_keyboard_in_free(QfKeyboardIn* const keyboard)
{
  if (keyboard) {
    eventfd_write(keyboard->quit_fd, 1);
    pthread_join(keyboard->thread, NULL);
    close_all(keyboard);
  }
}

bool
qf_keyboard_in_poll(QfKeyboardIn* const keyboard, QfKeyboardEvent* const event)
{
  return qf_keyboard_queue_pop(&keyboard->decoder.queue, event);
}

size_t
qf_keyboard_in_n_connected(const QfKeyboardIn* const keyboard)
{
  return atomic_load(&keyboard->decoder.n_connected);
}
