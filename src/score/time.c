// SPDX-License-Identifier: MIT
#include "quintfall/time.h"

#include <assert.h>
#include <ctype.h>
#include <stdio.h>

// Products of two times need more than 64 bits; ISO C has no name for the type
__extension__ typedef __int128          Wide;
__extension__ typedef unsigned __int128 UWide;

enum {
  MAX_TIME_NUMBER = 1000000000, ///< Largest number taken from a text
};

static UWide
gcd(UWide a, UWide b)
{
  while (b) {
    // Most values are small, and dividing 64 bits is many times quicker than 128
    if (a <= UINT64_MAX && b <= UINT64_MAX) {
      const uint64_t rest = (uint64_t)a % (uint64_t)b;
      a                   = b;
      b                   = rest;
    } else {
      const UWide rest = a % b;
      a                = b;
      b                = rest;
    }
  }
  return a;
}

/// Lowest terms of numbers of 64 bits; nearly all times are whole over a power of two
static void
reduce_short(uint64_t* const num, uint64_t* const den)
{
  if (*den & (*den - 1U)) {
    const uint64_t common = (uint64_t)gcd(*num, *den);
    *num /= common;
    *den /= common;
  } else {
    const int twos  = __builtin_ctzll(*den);
    const int shift = *num && __builtin_ctzll(*num) < twos ? __builtin_ctzll(*num) : twos;
    *num >>= (unsigned)shift;
    *den >>= (unsigned)shift;
  }
}

/// Lowest terms; beyond 63 bits the value is rounded, and in the end saturated
static QfTime
reduce(const Wide num, const Wide den)
{
  assert(den != 0);

  const bool is_negative = (num < 0) != (den < 0);
  UWide      n           = num < 0 ? -(UWide)num : (UWide)num;
  UWide      d           = den < 0 ? -(UWide)den : (UWide)den;

  if (n <= UINT64_MAX && d <= UINT64_MAX) {
    uint64_t short_n = (uint64_t)n;
    uint64_t short_d = (uint64_t)d;
    reduce_short(&short_n, &short_d);
    n = short_n;
    d = short_d;
  } else {
    const UWide common = gcd(n, d);
    n /= common;
    d /= common;
  }

  if (n > INT64_MAX || d > INT64_MAX) {
    while ((n > INT64_MAX || d > INT64_MAX) && d > 1) {
      n >>= 1U;
      d >>= 1U;
    }
    n = n > INT64_MAX ? INT64_MAX : n;

    const UWide rest = gcd(n, d);
    n /= rest;
    d /= rest;
  }

  return (QfTime){is_negative ? -(int64_t)n : (int64_t)n, (int64_t)d};
}

/// True for a number whose products with others fit in 64 bits, even when two are added
static bool
is_short(const int64_t number)
{
  return number > -(INT64_C(1) << 30U) && number < (INT64_C(1) << 30U);
}

static QfTime
reduce_signed(const int64_t num, const int64_t den)
{
  uint64_t n = num < 0 ? -(uint64_t)num : (uint64_t)num;
  uint64_t d = (uint64_t)den;

  reduce_short(&n, &d);
  return (QfTime){num < 0 ? -(int64_t)n : (int64_t)n, (int64_t)d};
}

QfTime
qf_time(const int64_t num, const int64_t den)
{
  return reduce(num, den);
}

QfTime
qf_time_add(const QfTime a, const QfTime b)
{
  // Nearly all times are short, and many have the same denominator.
  if (is_short(a.num) && is_short(b.num) && is_short(a.den) && is_short(b.den)) {
    return a.den == b.den ? reduce_signed(a.num + b.num, a.den)
                          : reduce_signed(a.num * b.den + b.num * a.den, a.den * b.den);
  }
  if (a.den == b.den) {
    return reduce((Wide)a.num + b.num, a.den);
  }
  return reduce((Wide)a.num * b.den + (Wide)b.num * a.den, (Wide)a.den * b.den);
}

QfTime
qf_time_sub(const QfTime a, const QfTime b)
{
  return qf_time_add(a, (QfTime){-b.num, b.den});
}

QfTime
qf_time_mul(const QfTime a, const QfTime b)
{
  return reduce((Wide)a.num * b.num, (Wide)a.den * b.den);
}

QfTime
qf_time_div(const QfTime a, const QfTime b)
{
  return reduce((Wide)a.num * b.den, (Wide)a.den * b.num);
}

int
qf_time_compare(const QfTime a, const QfTime b)
{
  const Wide left  = (Wide)a.num * b.den;
  const Wide right = (Wide)b.num * a.den;
  return (left > right) - (left < right);
}

QfTime
qf_time_min(const QfTime a, const QfTime b)
{
  return qf_time_compare(b, a) < 0 ? b : a;
}

QfTime
qf_time_max(const QfTime a, const QfTime b)
{
  return qf_time_compare(b, a) > 0 ? b : a;
}

double
qf_time_to_double(const QfTime time)
{
  return (double)time.num / (double)time.den;
}

QfTime
qf_time_floor(const QfTime time, const QfTime unit)
{
  const QfTime ratio = qf_time_div(time, unit);
  int64_t      whole = ratio.num / ratio.den;
  if (ratio.num % ratio.den < 0) {
    --whole;
  }
  return qf_time_mul((QfTime){whole, 1}, unit);
}

/// Read digits at `*offset`; false without a digit. More than the limit stays above it.
static bool
read_number(const char* const text, size_t* const offset, int64_t* const number)
{
  if (!isdigit((unsigned char)text[*offset])) {
    return false;
  }

  *number = 0;
  for (; isdigit((unsigned char)text[*offset]); ++*offset) {
    if (*number <= MAX_TIME_NUMBER) {
      *number = *number * 10 + (text[*offset] - '0');
    }
  }
  return true;
}

static QfStatus
bad_time(const char* const text, const size_t offset, QfError* const error)
{
  const QfStatus st = qf_error_set(
    error, QF_ERR_BAD_TEXT, "\"%.40s\" is not a time; write whole notes such as 3/8 or 2", text);
  if (error) {
    error->offset = offset;
  }
  return st;
}

QfStatus
qf_time_parse(const char* const text, QfTime* const result, QfError* const error)
{
  const bool is_negative = text[0] == '-';
  size_t     offset      = is_negative ? 1U : 0U;
  int64_t    num         = 0;
  int64_t    den         = 1;

  if (!read_number(text, &offset, &num)) {
    return bad_time(text, offset, error);
  }
  if (text[offset] == '/') {
    ++offset;
    if (!read_number(text, &offset, &den) || den == 0) {
      return bad_time(text, offset, error);
    }
  }
  if (text[offset]) {
    return bad_time(text, offset, error);
  }
  if (num > MAX_TIME_NUMBER || den > MAX_TIME_NUMBER) {
    return qf_error_set(error, QF_ERR_RANGE, "the time \"%.40s\" has a number above %d", text,
                        (int)MAX_TIME_NUMBER);
  }

  *result = qf_time(is_negative ? -num : num, den);
  return QF_OK;
}

void
qf_time_write(const QfTime time, char* const buffer, const size_t size)
{
  if (time.den == 1) {
    snprintf(buffer, size, "%lld", (long long)time.num);
  } else {
    snprintf(buffer, size, "%lld/%lld", (long long)time.num, (long long)time.den);
  }
}
