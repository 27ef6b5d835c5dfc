// SPDX-License-Identifier: MIT
#include "quintfall/file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define MAX_BYTES ((size_t)256U << 20U)

enum {
  MAX_TEMPORARY_NAMES = 100,
};

static QfStatus
io_error(QfError* const error, const char* const deed, const char* const path, const int number)
{
  const bool is_full = number == ENOSPC || number == EDQUOT;
  return qf_error_set(error, is_full ? QF_ERR_FULL : QF_ERR_IO, "could not %s %s: %s", deed, path,
                      strerror(number));
}

/// Read until the end; files that lie about their size (pipes, /proc) are as welcome as others
static QfStatus
read_all(const int         descriptor,
         const char* const path,
         char** const      data,
         size_t* const     length,
         QfError* const    error)
{
  size_t capacity = 65536U;
  size_t filled   = 0U;
  char*  bytes    = (char*)malloc(capacity);

  while (bytes) {
    const ssize_t n_read = read(descriptor, bytes + filled, capacity - filled);
    if (n_read < 0 && errno == EINTR) {
      continue;
    }
    if (n_read < 0) {
      const int number = errno;
      free(bytes);
      return io_error(error, "read", path, number);
    }
    if (n_read == 0) {
      *data   = bytes;
      *length = filled;
      return QF_OK;
    }

    filled += (size_t)n_read;
    if (filled > MAX_BYTES) {
      free(bytes);
      return qf_error_set(error, QF_ERR_RANGE, "the file is too large; expected at most 256 MiB");
    }
    if (filled == capacity) {
      char* const more = (char*)realloc(bytes, capacity * 2U);
      if (!more) {
        break;
      }
      bytes = more;
      capacity *= 2U;
    }
  }

  free(bytes);
  return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading the file");
}

QfStatus
qf_file_read(const char* const path, void** const data, size_t* const length, QfError* const error)
{
  const int descriptor = open(path, O_RDONLY | O_CLOEXEC);
  if (descriptor < 0) {
    return io_error(error, "open", path, errno);
  }

  char*          bytes = NULL;
  const QfStatus st    = read_all(descriptor, path, &bytes, length, error);
  close(descriptor);
  if (!st) {
    *data = bytes;
  }
  return st;
}

/// Write everything; gives 0 or what errno said
static int
write_all(const int descriptor, const char* bytes, size_t length)
{
  while (length > 0U) {
    const ssize_t n_written = write(descriptor, bytes, length);
    if (n_written < 0 && errno != EINTR) {
      return errno;
    }
    if (n_written > 0) {
      bytes += n_written;
      length -= (size_t)n_written;
    }
  }
  return 0;
}

/// Write to something that is no regular file and so cannot be replaced: a device, a pipe
static QfStatus
write_through(const char* const path, const void* const data, const size_t length, QfError* error)
{
  const int descriptor = open(path, O_WRONLY | O_CLOEXEC);
  if (descriptor < 0) {
    return io_error(error, "write", path, errno);
  }

  const int number  = write_all(descriptor, (const char*)data, length);
  const int closing = close(descriptor) ? errno : 0;
  return number || closing ? io_error(error, "write", path, number ? number : closing) : QF_OK;
}

/// Create a file that did not exist beside `target`; gives its descriptor, or -1 with errno
static int
create_temporary(const char* const target, char* const name, const size_t size)
{
  const char* const slash  = strrchr(target, '/');
  const int         folder = slash ? (int)(slash - target) + 1 : 0;

  for (int i = 0; i < MAX_TEMPORARY_NAMES; ++i) {
    const int length =
      snprintf(name, size, "%.*s.quintfall-%ld-%d.tmp", folder, target, (long)getpid(), i);
    if (length < 0 || (size_t)length >= size) {
      errno = ENAMETOOLONG;
      return -1;
    }
    const int descriptor = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (descriptor >= 0 || errno != EEXIST) {
      return descriptor;
    }
  }
  return -1;
}

/// Make the rename itself durable; a file system that cannot is no reason to fail
static void
sync_folder(const char* const target)
{
  char              folder[PATH_MAX] = ".";
  const char* const slash            = strrchr(target, '/');
  if (slash) {
    snprintf(folder, sizeof(folder), "%.*s", (int)(slash - target) + 1, target);
  }

  const int descriptor = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor >= 0) {
    fsync(descriptor);
    close(descriptor);
  }
}

static QfStatus
replace(const char* const        target,
        const struct stat* const old,
        const void* const        data,
        const size_t             length,
        QfError* const           error)
{
  char      temporary[PATH_MAX];
  const int descriptor = create_temporary(target, temporary, sizeof(temporary));
  if (descriptor < 0) {
    return io_error(error, "write", target, errno);
  }

  int number = write_all(descriptor, (const char*)data, length);
  if (!number && old && fchmod(descriptor, old->st_mode & 07777U)) {
    number = errno;
  }
  if (!number && fsync(descriptor)) {
    number = errno;
  }
  if (close(descriptor) && !number) {
    number = errno;
  }
  if (!number && rename(temporary, target)) {
    number = errno;
  }
  if (number) {
    unlink(temporary);
    return io_error(error, "write", target, number);
  }

  sync_folder(target);
  return QF_OK;
}

QfStatus
qf_file_write(const char* const path,
              const void* const data,
              const size_t      length,
              QfError* const    error)
{
  struct stat old;
  const bool  exists = !stat(path, &old);
  if (!exists) {
    return replace(path, NULL, data, length, error);
  }
  if (S_ISDIR(old.st_mode)) {
    return io_error(error, "write", path, EISDIR);
  }
  if (!S_ISREG(old.st_mode)) {
    return write_through(path, data, length, error);
  }

  // The folder's permission would let rename replace a file that is marked read-only.
  if (access(path, W_OK)) {
    return io_error(error, "write", path, errno);
  }

  // A symbolic link stays a link: what it points to is replaced.
  char target[PATH_MAX];
  if (!realpath(path, target)) {
    return io_error(error, "write", path, errno);
  }
  return replace(target, &old, data, length, error);
}
