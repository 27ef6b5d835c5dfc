// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TEXT_H
#define QUINTFALL_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/**
   A growing string.

   Start with `QfText text = {0};`. When memory runs out `failed` is set, later
   additions do nothing, and qf_text_take() returns NULL, so that a writer
   checks once at its end.
*/
typedef struct {
  char*  data;     ///< NUL-terminated, or NULL while empty; owned
  size_t length;   ///< Bytes before the NUL
  size_t capacity; ///< Bytes allocated
  bool   failed;   ///< True once memory ran out
} QfText;

void
qf_text_add(QfText* text, const char* string);

void
qf_text_add_bytes(QfText* text, const char* bytes, size_t n_bytes);

void
qf_text_addf(QfText* text, const char* format, ...) __attribute__((format(printf, 2, 3)));

/// Give up the string (transfer full; never NULL unless memory ran out) and empty the text
char*
qf_text_take(QfText* text);

/// Free what the text holds; it may be used again afterwards
void
qf_text_free(QfText* text);

#endif // QUINTFALL_TEXT_H
