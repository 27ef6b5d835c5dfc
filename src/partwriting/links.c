// SPDX-License-Identifier: MIT
#include "quintfall/realise.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_LINKS       = 20000,
  TOKEN_SIZE      = 80,
  MAX_BAR_OF_TEXT = 512, ///< Chords between two bar lines
};

/// A chain being read
typedef struct {
  const char* text;
  size_t      offset;
  bool        has_key;
  QfKey       key;
  QfLinks     links;
  size_t      capacity;
  QfTime      beat;      ///< Beats from the first bar's start, the pickup's missing beats counted
  size_t      n_bars;    ///< Bars closed so far
  size_t      bar_first; ///< First link of the open bar
  size_t      bar_line;  ///< Offset of the bar's start, for messages
  bool        has_length[MAX_BAR_OF_TEXT];
  QfTime      lengths[MAX_BAR_OF_TEXT]; ///< Given in beats
} Reader;

static QfStatus
fail(QfError* const error, const size_t offset, const char* const message)
{
  qf_error_set(error, QF_ERR_BAD_TEXT, "%s", message);
  if (error) {
    error->offset = offset;
  }
  return QF_ERR_BAD_TEXT;
}

/// Beats from a bar's start to time from a bar's start, also over several bars
static QfTime
time_of_beat(const QfMetre metre, const QfTime beat)
{
  const QfTime  per_bar = qf_time(metre.n_groups, 1);
  const QfTime  bar     = qf_time_floor(beat, per_bar);
  const QfTime  rest    = qf_time_sub(beat, bar);
  const int64_t index   = qf_time_floor(rest, qf_time(1, 1)).num;
  const QfTime  part    = qf_time_sub(rest, qf_time(index, 1));
  const QfTime  unit    = qf_time(metre.groups[index], metre.denominator);
  const QfTime  within =
    qf_time_add(qf_metre_beat_start(metre, (int)index), qf_time_mul(part, unit));

  return qf_time_add(qf_time_mul(qf_time_div(bar, per_bar), qf_metre_bar(metre)), within);
}

static QfStatus
push_link(Reader* const reader, const QfLink link)
{
  if (reader->links.n_links == reader->capacity) {
    const size_t  capacity = reader->capacity ? 2U * reader->capacity : 32U;
    QfLink* const links    = (QfLink*)realloc(reader->links.links, capacity * sizeof(QfLink));
    if (!links) {
      return QF_ERR_NO_MEM;
    }
    reader->links.links = links;
    reader->capacity    = capacity;
  }
  reader->links.links[reader->links.n_links++] = link;
  return QF_OK;
}

/// Read "(2)", "(1/2)", "(1.5)" at the end of a token and cut it off
static QfStatus
read_length(char* const    token,
            const size_t   offset,
            bool* const    has,
            QfTime* const  length,
            QfError* const error)
{
  char* const open = strrchr(token, '(');
  *has             = false;
  if (!open) {
    return QF_OK;
  }

  char* const  close = strchr(open, ')');
  const size_t at    = offset + (size_t)(open - token);
  if (!close || close[1]) {
    return fail(error, at, "a length in beats ends with ')', such as I(2)");
  }
  *close = *open    = '\0';
  char* const point = strchr(open + 1, '.');
  if (point) {
    const size_t digits = strspn(point + 1, "0123456789");
    if (!digits || digits > 3 || point[1 + digits]) {
      return fail(error, at, "a length in beats is a number such as 2, 1.5 or 3/2");
    }
    const int64_t scale = digits == 1 ? 10 : digits == 2 ? 100 : 1000;
    const int64_t parts = strtol(point + 1, NULL, 10);
    *point              = '\0';
    if (qf_time_parse(open + 1, length, NULL)) {
      return fail(error, at, "a length in beats is a number such as 2, 1.5 or 3/2");
    }
    *length = qf_time_add(*length, qf_time(parts, scale));
  } else if (qf_time_parse(open + 1, length, NULL)) {
    return fail(error, at, "a length in beats is a number such as 2, 1.5 or 3/2");
  }
  if (length->num <= 0 || length->den > 64 || length->num > 4096) {
    return fail(error, at, "a length in beats is more than 0 and at most 64 beats");
  }
  *has = true;
  return QF_OK;
}

static QfStatus
read_key(Reader* const reader, const char* const token, const size_t offset, QfError* const error)
{
  const QfStatus st = qf_key_parse(token, &reader->key, error);
  if (st) {
    if (error) {
      error->offset += offset;
    }
    return st;
  }
  if (!reader->has_key || !reader->links.n_links) {
    reader->links.key = reader->key;
  }
  reader->has_key = true;
  return QF_OK;
}

static QfStatus
read_chord(Reader* const reader, char* const token, const size_t offset, QfError* const error)
{
  const size_t index = reader->links.n_links - reader->bar_first;
  if (index >= MAX_BAR_OF_TEXT || reader->links.n_links >= MAX_LINKS) {
    return fail(error, offset, "too many chords between two bar lines; put in bar lines (|)");
  }
  if (!reader->has_key) {
    return fail(error, offset, "no key yet; begin with one, such as A: or c#:");
  }

  QfStatus st =
    read_length(token, offset, &reader->has_length[index], &reader->lengths[index], error);
  if (st) {
    return st;
  }

  QfLink link = {.key = reader->key};
  st          = qf_numeral_parse(token, reader->key.mode, &link.numeral, error);
  if (st) {
    if (error) {
      error->offset += offset;
    }
    return st;
  }
  st = push_link(reader, link);
  return st ? qf_error_set(error, st, "out of memory") : QF_OK;
}

/// Beats for the chords that name no length
static QfStatus
share_beats(Reader* const reader, const bool is_only_bar, QfError* const error)
{
  const size_t n      = reader->links.n_links - reader->bar_first;
  const QfTime beats  = qf_time(reader->links.metre.n_groups, 1);
  QfTime       given  = QF_TIME_ZERO;
  int64_t      n_open = 0;
  for (size_t i = 0; i < n; ++i) {
    given = reader->has_length[i] ? qf_time_add(given, reader->lengths[i]) : given;
    n_open += !reader->has_length[i];
  }

  const QfTime left = qf_time_sub(beats, given);
  if (!is_only_bar && (left.num < 0 || (n_open && qf_time_compare(left, qf_time(n_open, 1)) < 0))) {
    return fail(error, reader->bar_line,
                "this bar has more chords than beats; give lengths such as I(1/2), or move the "
                "bar line");
  }

  // Whole beats are dealt out one by one from the front; what is left of a beat stays at the end.
  const int64_t whole = left.num > 0 ? left.num / left.den : 0;
  int64_t       index = 0;
  for (size_t i = 0; i < n; ++i) {
    if (!reader->has_length[i]) {
      const int64_t n_beats = whole < n_open ? 1 : whole / n_open + (index < whole % n_open);
      reader->lengths[i]    = qf_time(n_beats, 1);
      if (++index == n_open && whole >= n_open) {
        reader->lengths[i] = qf_time_add(reader->lengths[i], qf_time_sub(left, qf_time(whole, 1)));
      }
    }
  }
  return QF_OK;
}

static QfStatus
close_bar(Reader* const reader, const bool is_last, QfError* const error)
{
  const size_t n = reader->links.n_links - reader->bar_first;
  if (!n) {
    return is_last || !reader->n_bars
             ? QF_OK
             : fail(error, reader->bar_line, "a bar is empty; write a chord or drop its bar line");
  }

  const QfStatus st = share_beats(reader, is_last && !reader->n_bars, error);
  if (st) {
    return st;
  }

  QfTime total = QF_TIME_ZERO;
  for (size_t i = 0; i < n; ++i) {
    total = qf_time_add(total, reader->lengths[i]);
  }

  const QfMetre metre = reader->links.metre;
  const QfTime  bar   = qf_time(metre.n_groups, 1);
  if (!reader->n_bars && !is_last && qf_time_compare(total, bar) < 0) {
    reader->beat         = qf_time_sub(bar, total);
    reader->links.pickup = qf_time_sub(qf_metre_bar(metre), time_of_beat(metre, reader->beat));
  }

  const QfTime missing = reader->links.pickup.num
                           ? qf_time_sub(qf_metre_bar(metre), reader->links.pickup)
                           : QF_TIME_ZERO;
  QfTime       beat    = reader->beat;
  for (size_t i = 0; i < n; ++i) {
    QfLink* const link = &reader->links.links[reader->bar_first + i];
    const QfTime  end  = qf_time_add(beat, reader->lengths[i]);
    link->start        = qf_time_sub(time_of_beat(metre, beat), missing);
    link->duration     = qf_time_sub(time_of_beat(metre, end), time_of_beat(metre, beat));
    beat               = end;
  }

  // A short bar in the middle is filled with silence, so that the bar lines stay.
  reader->beat = qf_time_mul(bar, qf_time((int64_t)reader->n_bars + 1, 1));
  ++reader->n_bars;
  reader->bar_first = reader->links.n_links;
  return QF_OK;
}

static QfStatus
read_token(Reader* const reader, QfError* const error)
{
  const char* const start  = reader->text + reader->offset;
  const size_t      offset = reader->offset;
  if (*start == '|') {
    reader->offset += strspn(start, "|");
    const QfStatus st = close_bar(reader, false, error);
    reader->bar_line  = reader->offset;
    return st;
  }

  size_t length = 0;
  while (start[length] && start[length] != '|' && !isspace((unsigned char)start[length])) {
    ++length;
  }
  if (length >= TOKEN_SIZE) {
    return fail(error, offset, "a numeral was expected, this is too long for one");
  }

  char token[TOKEN_SIZE];
  memcpy(token, start, length);
  token[length]  = '\0';
  reader->offset = offset + length;
  return token[length - 1U] == ':' ? read_key(reader, token, offset, error)
                                   : read_chord(reader, token, offset, error);
}

QfStatus
qf_links_parse(const char* const  text,
               const QfKey* const key,
               const QfMetre      metre,
               QfLinks* const     result,
               QfError* const     error)
{
  Reader reader = {.text    = text,
                   .has_key = key,
                   .links   = {.metre = metre, .pickup = QF_TIME_ZERO},
                   .beat    = QF_TIME_ZERO};
  if (key) {
    reader.key       = *key;
    reader.links.key = *key;
  }

  QfStatus st = QF_OK;
  while (!st) {
    reader.offset += strspn(text + reader.offset, " \t\r\n");
    if (!text[reader.offset]) {
      st = close_bar(&reader, true, error);
      break;
    }
    st = read_token(&reader, error);
  }
  if (!st && !reader.links.n_links) {
    st = fail(error, 0, "no chord was found; write numerals such as I V7/ii ii V7 I");
  }
  if (st) {
    qf_links_clear(&reader.links);
    return st;
  }

  *result = reader.links;
  return QF_OK;
}

void
qf_links_clear(QfLinks* const links)
{
  free(links->links);
  *links = (QfLinks){.pickup = QF_TIME_ZERO};
}
