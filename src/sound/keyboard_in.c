// SPDX-License-Identifier: MIT
#include "quintfall/keyboard_in.h"

#include "alsa_quiet.h"
#include "keyboard_decoder.h"

#include <alsa/asoundlib.h>

#include <errno.h>
#include <poll.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <unistd.h>

enum {
  MAX_FDS = 8,
};

struct QfKeyboardInImpl {
  snd_seq_t*        sequencer; ///< The thread's once it runs
  int               port;
  int               quit_fd;
  pthread_t         thread;
  QfKeyboardDecoder decoder;
};

/// True for ports of devices and other programs that send notes; not the system's own wires
static bool
is_keyboard(snd_seq_t* const sequencer, const snd_seq_port_info_t* const port)
{
  const unsigned wanted = SND_SEQ_PORT_CAP_READ | SND_SEQ_PORT_CAP_SUBS_READ;
  const unsigned able   = snd_seq_port_info_get_capability(port);
  const int      client = snd_seq_port_info_get_client(port);
  if ((able & wanted) != wanted || (able & SND_SEQ_PORT_CAP_NO_EXPORT) ||
      client == snd_seq_client_id(sequencer) || client == SND_SEQ_CLIENT_SYSTEM) {
    return false;
  }

  snd_seq_client_info_t* info = NULL;
  snd_seq_client_info_alloca(&info);
  return (snd_seq_port_info_get_type(port) & SND_SEQ_PORT_TYPE_HARDWARE) ||
         (!snd_seq_get_any_client_info(sequencer, client, info) &&
          snd_seq_client_info_get_type(info) == SND_SEQ_USER_CLIENT);
}

static void
connect_port(QfKeyboardIn* const self, const snd_seq_port_info_t* const port)
{
  if (is_keyboard(self->sequencer, port) &&
      !snd_seq_connect_from(self->sequencer, self->port, snd_seq_port_info_get_client(port),
                            snd_seq_port_info_get_port(port))) {
    qf_keyboard_decoder_connect(&self->decoder, *snd_seq_port_info_get_addr(port),
                                snd_seq_port_info_get_name(port));
  }
}

static void
connect_address(QfKeyboardIn* const self, const snd_seq_addr_t address)
{
  snd_seq_port_info_t* port = NULL;
  snd_seq_port_info_alloca(&port);
  if (!snd_seq_get_any_port_info(self->sequencer, address.client, address.port, port)) {
    connect_port(self, port);
  }
}

static void
connect_all(QfKeyboardIn* const self)
{
  snd_seq_client_info_t* client = NULL;
  snd_seq_port_info_t*   port   = NULL;
  snd_seq_client_info_alloca(&client);
  snd_seq_port_info_alloca(&port);

  snd_seq_client_info_set_client(client, -1);
  while (!snd_seq_query_next_client(self->sequencer, client)) {
    snd_seq_port_info_set_client(port, snd_seq_client_info_get_client(client));
    snd_seq_port_info_set_port(port, -1);
    while (!snd_seq_query_next_port(self->sequencer, port)) {
      connect_port(self, port);
    }
  }
}

static void
take(QfKeyboardIn* const self, const snd_seq_event_t* const event)
{
  const snd_seq_addr_t address = event->data.addr;
  switch (event->type) {
    case SND_SEQ_EVENT_PORT_START:
      connect_address(self, address);
      break;
    case SND_SEQ_EVENT_PORT_EXIT:
      qf_keyboard_decoder_disconnect(&self->decoder, address.client, address.port);
      break;
    case SND_SEQ_EVENT_CLIENT_EXIT:
      qf_keyboard_decoder_disconnect(&self->decoder, address.client, -1);
      break;
    default:
      qf_keyboard_decoder_take(&self->decoder, event);
      break;
  }
}

static void*
listen_to_all(void* const data)
{
  QfKeyboardIn* const self = (QfKeyboardIn*)data;
  struct pollfd       fds[MAX_FDS + 1];
  fds[0]      = (struct pollfd){self->quit_fd, POLLIN, 0};
  const int n = snd_seq_poll_descriptors(self->sequencer, fds + 1, MAX_FDS, POLLIN);

  while (poll(fds, (nfds_t)n + 1U, -1) >= 0 || errno == EINTR) {
    if (fds[0].revents) {
      break;
    }

    snd_seq_event_t* event = NULL;
    int              st    = 0;
    while ((st = snd_seq_event_input(self->sequencer, &event)) >= 0 || st == -ENOSPC) {
      if (st >= 0 && event) {
        take(self, event);
      }
    }
    if (st != -EAGAIN && st != -EINTR) {
      break; // The sequencer itself went
    }
  }
  return NULL;
}

static void
close_all(QfKeyboardIn* const self)
{
  if (self->sequencer) {
    snd_seq_close(self->sequencer);
  }
  if (self->quit_fd >= 0) {
    close(self->quit_fd);
  }
  free(self);
}

static QfStatus
open_sequencer(QfKeyboardIn* const self, QfError* const error)
{
  int st = snd_seq_open(&self->sequencer, "default", SND_SEQ_OPEN_DUPLEX, SND_SEQ_NONBLOCK);
  if (st < 0) {
    self->sequencer = NULL;
    return qf_error_set(error, QF_ERR_MISSING,
                        "MIDI keyboards can't be heard: the ALSA sequencer does not answer (%s); "
                        "load the kernel module snd-seq",
                        snd_strerror(st));
  }

  snd_seq_set_client_name(self->sequencer, "Quintfall");
  self->port = snd_seq_create_simple_port(
    self->sequencer, "Keyboard in", SND_SEQ_PORT_CAP_WRITE | SND_SEQ_PORT_CAP_SUBS_WRITE,
    SND_SEQ_PORT_TYPE_MIDI_GENERIC | SND_SEQ_PORT_TYPE_APPLICATION);
  st = self->port < 0 ? self->port
                      : snd_seq_connect_from(self->sequencer, self->port, SND_SEQ_CLIENT_SYSTEM,
                                             SND_SEQ_PORT_SYSTEM_ANNOUNCE);
  return st < 0 ? qf_error_set(error, QF_ERR_MISSING,
                               "MIDI keyboards can't be heard: the ALSA sequencer refused (%s)",
                               snd_strerror(st))
                : QF_OK;
}

QfStatus
qf_keyboard_in_new(QfKeyboardIn** const result, QfError* const error)
{
  qf_alsa_be_quiet();
  QfKeyboardIn* const self = (QfKeyboardIn*)calloc(1, sizeof(QfKeyboardIn));
  if (!self) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  self->quit_fd = eventfd(0, EFD_CLOEXEC);
  QfStatus st   = open_sequencer(self, error);
  if (!st) {
    connect_all(self);
    if (self->quit_fd < 0 || pthread_create(&self->thread, NULL, listen_to_all, self)) {
      st = qf_error_set(error, QF_ERR_NO_MEM, "the system gave no thread for MIDI keyboards");
    }
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
