// SPDX-License-Identifier: MIT
#include "keyboard_raw.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum {
  N_BYTES       = 256, ///< Read at a time; the coder leaves out longer messages, which are no notes
  LOOK_AGAIN_MS = 100, ///< For a device that isn't there
};

// The only keyboard there is has any address.
static const snd_seq_addr_t address = {1, 0};

typedef struct {
  const char*        path;
  QfKeyboardDecoder* decoder;
  snd_midi_event_t*  coder; ///< Makes events of bytes
  int                fd;    ///< Or -1
} RawMidi;

static const char*
name_of(const char* const path)
{
  const char* const slash = strrchr(path, '/');
  return slash && slash[1] ? slash + 1 : path;
}

static void
connect_it(RawMidi* const self)
{
  qf_keyboard_decoder_connect(self->decoder, address, name_of(self->path)); // Once is enough
}

static void
disconnect_it(RawMidi* const self)
{
  snd_midi_event_reset_encode(self->coder);
  qf_keyboard_decoder_disconnect(self->decoder, address.client, address.port);
}

static void
take_bytes(RawMidi* const self, const unsigned char* const bytes, const size_t n_bytes)
{
  snd_seq_event_t event;

  for (size_t i = 0; i < n_bytes; ++i) {
    snd_seq_ev_clear(&event);
    if (snd_midi_event_encode_byte(self->coder, bytes[i], &event) == 1) {
      event.source = address;
      qf_keyboard_decoder_take(self->decoder, &event);
    }
  }
}

static void
close_it(RawMidi* const self)
{
  if (self->fd >= 0) {
    close(self->fd);
    self->fd = -1;
  }
}

/// True if the path still leads to what is open
static bool
is_still_there(const RawMidi* const self)
{
  struct stat opened;
  struct stat named;
  return !fstat(self->fd, &opened) && !stat(self->path, &named) && opened.st_ino == named.st_ino &&
         opened.st_dev == named.st_dev;
}

/// Read what there is; false if there is nobody at the other end
static bool
read_some(RawMidi* const self)
{
  unsigned char bytes[N_BYTES];

  if (self->fd < 0) {
    self->fd = open(self->path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
  }
  const ssize_t n = self->fd >= 0 ? read(self->fd, bytes, sizeof(bytes)) : -1;
  if (n > 0) {
    connect_it(self);
    take_bytes(self, bytes, (size_t)n);
    return true;
  }
  if (n < 0 && self->fd >= 0 && (errno == EAGAIN || errno == EINTR)) {
    connect_it(self); // Of a pipe this means that somebody holds the other end
    return true;
  }

  disconnect_it(self);
  if (n < 0 || !is_still_there(self)) {
    close_it(self); // The pipe is left open: who comes next may write at once
  }
  return false;
}

/// True once it should quit
static bool
must_quit(const RawMidi* const self, const int quit_fd, const bool is_there)
{
  struct pollfd fds[] = {{quit_fd, POLLIN, 0}, {is_there ? self->fd : -1, POLLIN, 0}};
  const int     st    = poll(fds, 2, is_there ? -1 : LOOK_AGAIN_MS);
  return fds[0].revents || (st < 0 && errno != EINTR);
}

void
qf_raw_midi_listen(const char* const path, QfKeyboardDecoder* const decoder, const int quit_fd)
{
  RawMidi self     = {.path = path, .decoder = decoder, .fd = -1};
  bool    is_there = false;

  if (snd_midi_event_new(N_BYTES, &self.coder) < 0) {
    return;
  }
  do {
    is_there = read_some(&self);
  } while (!must_quit(&self, quit_fd, is_there));
  close_it(&self);
  snd_midi_event_free(self.coder);
}
