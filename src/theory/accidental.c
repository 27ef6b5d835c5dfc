// SPDX-License-Identifier: MIT
#include "accidental.h"

#include <stdio.h>
#include <string.h>

typedef struct {
  const char* text;
  int         alter;
} Sign;

// Source: Unicode code charts, Miscellaneous Symbols and Musical Symbols.
static const Sign signs[] = {
  {"#", 1},      {"b", -1},         {"\u266F", 1},      {"\u266D", -1},
  {"\u266E", 0}, {"\U0001D12A", 2}, {"\U0001D12B", -2},
};

static const Sign*
sign_at(const char* const text)
{
  for (size_t i = 0; i < sizeof(signs) / sizeof(signs[0]); ++i) {
    if (!strncmp(text, signs[i].text, strlen(signs[i].text))) {
      return &signs[i];
    }
  }
  return NULL;
}

size_t
qf_accidental_read(const char* const text, int* const alter)
{
  *alter = 0;

  size_t      n_read = 0;
  const Sign* sign   = sign_at(text);
  if (sign && !sign->alter) {
    return strlen(sign->text);
  }

  // A sharp after a flat belongs to whatever comes next
  while (sign && sign->alter * *alter >= 0 && sign->alter) {
    *alter += sign->alter;
    n_read += strlen(sign->text);
    sign = sign_at(text + n_read);
  }
  return n_read;
}

void
qf_accidental_write(const int alter, const bool unicode, char* const buffer, const size_t size)
{
  if (!size) {
    return;
  }

  buffer[0]                = '\0';
  const int         n      = alter < 0 ? -alter : alter;
  const char* const one    = unicode ? (alter < 0 ? "\u266D" : "\u266F") : (alter < 0 ? "b" : "#");
  const char* const two    = alter < 0 ? "\U0001D12B" : "\U0001D12A";
  size_t            length = 0;
  for (int i = 0; i < n && length < size;) {
    // The odd single sign is written first, as in engraved triple sharps
    const bool is_double = unicode && (n - i) % 2 == 0;
    length += (size_t)snprintf(buffer + length, size - length, "%s", is_double ? two : one);
    i += is_double ? 2 : 1;
  }
}

QfStatus
qf_error_at(QfError* const error, const size_t offset, const QfStatus status)
{
  if (error) {
    error->offset = offset;
  }
  return status;
}
