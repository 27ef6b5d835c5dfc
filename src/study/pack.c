// SPDX-License-Identifier: MIT
#include "pack.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#define MAX_UNPACKED ((size_t)64U << 20U)

static const char alphabet[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Write base64 (transfer full); NULL if out of memory
static char*
base64_of(const uint8_t* const bytes, const size_t n_bytes)
{
  char* const text = (char*)malloc((n_bytes + 2U) / 3U * 4U + 1U);
  char*       out  = text;
  for (size_t i = 0; text && i < n_bytes; i += 3) {
    const size_t   left  = n_bytes - i;
    const uint32_t group = (uint32_t)bytes[i] << 16U |
                           (uint32_t)(left > 1 ? bytes[i + 1U] : 0U) << 8U |
                           (uint32_t)(left > 2 ? bytes[i + 2U] : 0U);
    *out++ = alphabet[group >> 18U & 63U];
    *out++ = alphabet[group >> 12U & 63U];
    *out++ = left > 1 ? alphabet[group >> 6U & 63U] : '=';
    *out++ = left > 2 ? alphabet[group & 63U] : '=';
  }
  if (text) {
    *out = '\0';
  }
  return text;
}

/// Read base64 into room for three quarters of its length; false if it is none
static bool
base64_read(const char* const text, uint8_t* const bytes, size_t* const n_bytes)
{
  const size_t length = strlen(text);
  if (length % 4U) {
    return false;
  }

  const size_t pads  = length && text[length - 1U] == '=' ? 1U + (text[length - 2U] == '=') : 0U;
  size_t       n     = 0;
  uint32_t     group = 0;
  for (size_t i = 0; i < length - pads; ++i) {
    const char* const place = strchr(alphabet, text[i]);
    if (!place) {
      return false;
    }
    group = group << 6U | (uint32_t)(place - alphabet);
    if (i % 4U == 3U) {
      bytes[n++] = (uint8_t)(group >> 16U);
      bytes[n++] = (uint8_t)(group >> 8U);
      bytes[n++] = (uint8_t)group;
    }
  }
  if (pads == 1U) {
    bytes[n++] = (uint8_t)(group >> 10U);
    bytes[n++] = (uint8_t)(group >> 2U);
  } else if (pads == 2U) {
    bytes[n++] = (uint8_t)(group >> 4U);
  }
  *n_bytes = n;
  return true;
}

QfStatus
pack_text(const char* const text, const size_t length, char** const packed, QfError* const error)
{
  uLongf         size  = compressBound((uLong)length);
  uint8_t* const bytes = (uint8_t*)malloc(size);
  const bool     is_ok =
    bytes && compress2(bytes, &size, (const Bytef*)text, (uLong)length, Z_BEST_COMPRESSION) == Z_OK;
  char* const result = is_ok ? base64_of(bytes, (size_t)size) : NULL;
  free(bytes);
  if (!result) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  *packed = result;
  return QF_OK;
}

/// Inflate into a growing text; `status` tells what was wrong
static char*
inflate_all(z_stream* const stream, size_t* const length, QfStatus* const status)
{
  size_t room   = 4U * (size_t)stream->avail_in + 64U;
  size_t used   = 0;
  char*  text   = NULL;
  int    answer = Z_OK;
  while (answer == Z_OK) {
    char* const grown = room <= MAX_UNPACKED ? (char*)realloc(text, room + 1U) : NULL;
    if (!grown) {
      *status = room <= MAX_UNPACKED ? QF_ERR_NO_MEM : QF_ERR_RANGE;
      free(text);
      return NULL;
    }
    text              = grown;
    stream->next_out  = (Bytef*)text + used;
    stream->avail_out = (uInt)(room - used);
    answer            = inflate(stream, Z_NO_FLUSH);
    used              = room - stream->avail_out;
    // Nothing more comes of input that ends too early.
    answer = answer == Z_OK && stream->avail_out ? Z_BUF_ERROR : answer;
    room *= 2U;
  }
  if (answer != Z_STREAM_END) {
    *status = QF_ERR_BAD_FILE;
    free(text);
    return NULL;
  }
  text[used] = '\0';
  *length    = used;
  return text;
}

QfStatus
unpack_text(const char* const packed, char** const text, size_t* const length, QfError* const error)
{
  uint8_t* const bytes   = (uint8_t*)malloc(strlen(packed) / 4U * 3U + 3U);
  size_t         n_bytes = 0;
  QfStatus       status  = bytes ? QF_ERR_BAD_FILE : QF_ERR_NO_MEM;
  char*          result  = NULL;
  z_stream       stream  = {0};
  if (bytes && base64_read(packed, bytes, &n_bytes) && inflateInit(&stream) == Z_OK) {
    stream.next_in  = bytes;
    stream.avail_in = (uInt)n_bytes;
    result          = inflate_all(&stream, length, &status);
    inflateEnd(&stream);
  }
  free(bytes);
  if (!result) {
    return qf_error_set(error, status, "the packed lesson can't be unpacked: %s",
                        status == QF_ERR_RANGE      ? "it is larger than 64 MiB"
                        : status == QF_ERR_BAD_FILE ? "it is damaged or cut off"
                                                    : "out of memory");
  }
  *text = result;
  return QF_OK;
}
