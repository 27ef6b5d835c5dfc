// SPDX-License-Identifier: MIT
#include "keyboard_sequencer.h"

#include "alsa_quiet.h"

#include <errno.h>
#include <poll.h>
#include <stdlib.h>

enum {
  MAX_FDS = 8,
};

struct QfSequencerImpl {
  snd_seq_t* handle;
  int        port;
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
connect_port(QfSequencer* const               self,
             QfKeyboardDecoder* const         decoder,
             const snd_seq_port_info_t* const port)
{
  if (is_keyboard(self->handle, port) &&
      !snd_seq_connect_from(self->handle, self->port, snd_seq_port_info_get_client(port),
                            snd_seq_port_info_get_port(port))) {
    qf_keyboard_decoder_connect(decoder, *snd_seq_port_info_get_addr(port),
                                snd_seq_port_info_get_name(port));
  }
}

static void
connect_address(QfSequencer* const       self,
                QfKeyboardDecoder* const decoder,
                const snd_seq_addr_t     address)
{
  snd_seq_port_info_t* port = NULL;
  snd_seq_port_info_alloca(&port);
  if (!snd_seq_get_any_port_info(self->handle, address.client, address.port, port)) {
    connect_port(self, decoder, port);
  }
}

static void
connect_all(QfSequencer* const self, QfKeyboardDecoder* const decoder)
{
  snd_seq_client_info_t* client = NULL;
  snd_seq_port_info_t*   port   = NULL;
  snd_seq_client_info_alloca(&client);
  snd_seq_port_info_alloca(&port);

  snd_seq_client_info_set_client(client, -1);
  while (!snd_seq_query_next_client(self->handle, client)) {
    snd_seq_port_info_set_client(port, snd_seq_client_info_get_client(client));
    snd_seq_port_info_set_port(port, -1);
    while (!snd_seq_query_next_port(self->handle, port)) {
      connect_port(self, decoder, port);
    }
  }
}

static void
take(QfSequencer* const self, QfKeyboardDecoder* const decoder, const snd_seq_event_t* const event)
{
  const snd_seq_addr_t address = event->data.addr;
  switch (event->type) {
    case SND_SEQ_EVENT_PORT_START:
      connect_address(self, decoder, address);
      break;
    case SND_SEQ_EVENT_PORT_EXIT:
      qf_keyboard_decoder_disconnect(decoder, address.client, address.port);
      break;
    case SND_SEQ_EVENT_CLIENT_EXIT:
      qf_keyboard_decoder_disconnect(decoder, address.client, -1);
      break;
    default:
      qf_keyboard_decoder_take(decoder, event);
      break;
  }
}

void
qf_sequencer_listen(QfSequencer* const       sequencer,
                    QfKeyboardDecoder* const decoder,
                    const int                quit_fd)
{
  struct pollfd fds[MAX_FDS + 1];
  fds[0]      = (struct pollfd){quit_fd, POLLIN, 0};
  const int n = snd_seq_poll_descriptors(sequencer->handle, fds + 1, MAX_FDS, POLLIN);

  connect_all(sequencer, decoder);
  while (poll(fds, (nfds_t)n + 1U, -1) >= 0 || errno == EINTR) {
    if (fds[0].revents) {
      break;
    }

    snd_seq_event_t* event = NULL;
    int              st    = 0;
    while ((st = snd_seq_event_input(sequencer->handle, &event)) >= 0 || st == -ENOSPC) {
      if (st >= 0 && event) {
        take(sequencer, decoder, event);
      }
    }
    if (st != -EAGAIN && st != -EINTR) {
      break; // The sequencer itself went
    }
  }
}

void
qf_sequencer_close(QfSequencer* const sequencer)
{
  if (sequencer) {
    if (sequencer->handle) {
      snd_seq_close(sequencer->handle);
    }
    free(sequencer);
  }
}

static QfStatus
open_handle(QfSequencer* const self, QfError* const error)
{
  int st = snd_seq_open(&self->handle, "default", SND_SEQ_OPEN_DUPLEX, SND_SEQ_NONBLOCK);
  if (st < 0) {
    self->handle = NULL;
    return qf_error_set(error, QF_ERR_MISSING,
                        "MIDI keyboards can't be heard: the ALSA sequencer does not answer (%s); "
                        "load the kernel module snd-seq",
                        snd_strerror(st));
  }

  snd_seq_set_client_name(self->handle, "Quintfall");
  self->port = snd_seq_create_simple_port(
    self->handle, "Keyboard in", SND_SEQ_PORT_CAP_WRITE | SND_SEQ_PORT_CAP_SUBS_WRITE,
    SND_SEQ_PORT_TYPE_MIDI_GENERIC | SND_SEQ_PORT_TYPE_APPLICATION);
  st = self->port < 0 ? self->port
                      : snd_seq_connect_from(self->handle, self->port, SND_SEQ_CLIENT_SYSTEM,
                                             SND_SEQ_PORT_SYSTEM_ANNOUNCE);
  return st < 0 ? qf_error_set(error, QF_ERR_MISSING,
                               "MIDI keyboards can't be heard: the ALSA sequencer refused (%s)",
                               snd_strerror(st))
                : QF_OK;
}

QfStatus
qf_sequencer_open(QfSequencer** const result, QfError* const error)
{
  qf_alsa_be_quiet();
  QfSequencer* const self = (QfSequencer*)calloc(1, sizeof(QfSequencer));
  if (!self) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  const QfStatus st = open_handle(self, error);
  if (st) {
    qf_sequencer_close(self);
    return st;
  }
  *result = self;
  return QF_OK;
}
