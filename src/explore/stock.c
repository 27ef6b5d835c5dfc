// SPDX-License-Identifier: MIT
#include "stock.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

// common practice: the chords of a key that tonal writing uses, and the positions they take.
// Numerals apart by blanks; "%s" of an applied chord stands for each of the targets.
typedef struct {
  QfStock     stock;
  const char* numerals;
} Shelf;

static const Shelf major_shelves[] = {
  {QF_STOCK_DIATONIC, "I I6 ii ii6 ii7 ii65 ii43 ii42 iii iii6 IV IV6 IV7 IV65 Cad64 V V6 V7 V65 "
                      "V43 V42 vi vi6 vi7 vi65 viio6 vii/o7 vii/o65 vii/o43"},
  {QF_STOCK_MIXTURE, "i i6 iio6 ii/o7 ii/o65 ii/o43 bIII iv iv6 iv7 bVI bVII viio7 viio65 viio43"},
  {QF_STOCK_NEAPOLITAN, "N N6"},
  {QF_STOCK_AUGMENTED_SIXTH, "It6 Fr43 Ger65"},
};

static const Shelf minor_shelves[] = {
  {QF_STOCK_DIATONIC,
   "i i6 iio6 ii/o7 ii/o65 ii/o43 ii/o42 III III6 iv iv6 iv7 iv65 IV6 Cad64 v v6 V V6 V7 V65 V43 "
   "V42 VI VI6 VI7 vi/o7 VII VII6 viio6 viio7 viio65 viio43 viio42"},
  {QF_STOCK_MIXTURE, "I"},
  {QF_STOCK_NEAPOLITAN, "N N6"},
  {QF_STOCK_AUGMENTED_SIXTH, "It6 Fr43 Ger65"},
};

// Rule: Open Music Theory, "Applied chords": to every degree with a major or minor triad.
static const char* const targets[] = {
  [QF_MAJOR] = "ii iii IV V vi",
  [QF_MINOR] = "III iv V VI VII",
};

// The half-diminished seventh leads to major triads; the diminished one to both.
static const char applied_forms[]       = "V V6 V7 V65 V43 V42 viio6 viio7 viio65 viio43";
static const char applied_major_forms[] = "vii/o7 vii/o65";

static size_t
add_word(StockWord* const  words,
         size_t            n_words,
         const char* const text,
         const QfMode      mode,
         const QfStock     stock)
{
  assert(n_words < STOCK_MAX_WORDS);
  words[n_words].stock = stock;
  return qf_numeral_parse(text, mode, &words[n_words].numeral, NULL) ? n_words : n_words + 1U;
}

/// Length of the first word of a text; moves the text to that word
static size_t
next_word(const char** const text)
{
  *text += strspn(*text, " ");
  return strcspn(*text, " ");
}

static size_t
add_applied(StockWord* const words, size_t n_words, const QfMode mode, const char* forms)
{
  const bool is_for_major = forms == applied_major_forms;

  for (size_t form = 0; (form = next_word(&forms)) > 0; forms += form) {
    const char* target = targets[mode];
    for (size_t size = 0; (size = next_word(&target)) > 0; target += size) {
      char text[32];
      snprintf(text, sizeof(text), "%.*s/%.*s", (int)form, forms, (int)size, target);
      if (!is_for_major || target[0] == 'I' || target[0] == 'V') {
        n_words = add_word(words, n_words, text, mode, QF_STOCK_APPLIED);
      }
    }
  }
  return n_words;
}

size_t
stock_words(const QfMode mode, StockWord words[STOCK_MAX_WORDS])
{
  static const struct {
    const Shelf* shelves;
    size_t       n_shelves;
  } of_mode[] = {
    [QF_MAJOR] = {major_shelves, sizeof(major_shelves) / sizeof(major_shelves[0])},
    [QF_MINOR] = {minor_shelves, sizeof(minor_shelves) / sizeof(minor_shelves[0])},
  };

  size_t n_words = 0;
  for (size_t i = 0; i < of_mode[mode].n_shelves; ++i) {
    const Shelf* const shelf = &of_mode[mode].shelves[i];
    const char*        rest  = shelf->numerals;
    for (size_t size = 0; (size = next_word(&rest)) > 0; rest += size) {
      char text[16];
      snprintf(text, sizeof(text), "%.*s", (int)size, rest);
      n_words = add_word(words, n_words, text, mode, shelf->stock);
    }
  }
  n_words = add_applied(words, n_words, mode, applied_forms);
  return add_applied(words, n_words, mode, applied_major_forms);
}

/// True if all notes belong to the key, its raised sixth and seventh in minor among them
static bool
is_diatonic(const QfNumeral* const numeral, const QfKey key)
{
  QfNoteName notes[QF_CHORD_MAX_NOTES + QF_NUMERAL_MAX_CHANGES];
  int        n_notes = 0;

  if (qf_numeral_notes(numeral, key, notes, &n_notes)) {
    return false;
  }
  for (int i = 0; i < n_notes; ++i) {
    int degree = 0;
    int alter  = 0;
    qf_key_degree_of(key, notes[i], &degree, &alter);
    const bool is_raised = key.mode == QF_MINOR && degree >= 6 && alter == 1;
    if (alter && !is_raised) {
      return false;
    }
  }
  return true;
}

QfStock
stock_of(const QfNumeral* const numeral, const QfKey key)
{
  switch (numeral->form) {
    case QF_NUMERAL_NEAPOLITAN:
      return QF_STOCK_NEAPOLITAN;
    case QF_NUMERAL_ITALIAN:
    case QF_NUMERAL_FRENCH:
    case QF_NUMERAL_GERMAN:
    case QF_NUMERAL_SWISS:
      return QF_STOCK_AUGMENTED_SIXTH;
    case QF_NUMERAL_ROMAN:
    case QF_NUMERAL_CADENTIAL:
      break;
  }
  return qf_numeral_function(numeral) == QF_FUNCTION_APPLIED ? QF_STOCK_APPLIED
         : is_diatonic(numeral, key)                         ? QF_STOCK_DIATONIC
                                                             : QF_STOCK_MIXTURE;
}

const char*
qf_stock_name(const QfStock stock)
{
  static const char* const names[QF_STOCK_N_KINDS] = {
    [QF_STOCK_DIATONIC]        = "diatonic",
    [QF_STOCK_APPLIED]         = "applied",
    [QF_STOCK_MIXTURE]         = "mixture",
    [QF_STOCK_NEAPOLITAN]      = "Neapolitan",
    [QF_STOCK_AUGMENTED_SIXTH] = "augmented sixth",
  };
  return names[stock];
}
