// SPDX-License-Identifier: MIT
#include "explain.h"
#include "words.h"

#include <stdio.h>
#include <string.h>

enum { MAX_FOREIGN_REASONS = 2 };

void
qf_case_add_reason(QfLabel* const label, const QfReasonKind kind, QfText* const text)
{
  if (label->n_reasons < QF_LABEL_MAX_REASONS && text->data) {
    QfReason* const reason = &label->reasons[label->n_reasons++];

    reason->kind = kind;
    snprintf(reason->text, sizeof(reason->text), "%s", text->data);
    reason->text[0] =
      (char)((reason->text[0] >= 'a' && reason->text[0] <= 'z') ? reason->text[0] - 'a' + 'A'
                                                                : reason->text[0]);
  }
  qf_text_free(text);
}

static void
member_name(const QfCase* const c, const int member, char* const buffer)
{
  QfNoteName note = {0, 0};

  qf_note_name_from_fifths(c->link->root + qf_member_fifths(c->entry->kind, member), &note);
  qf_word_note(note, c->labelling->options.naming, buffer, QF_NAME_ROOM);
}

void
qf_case_fifths_name(const QfCase* const c, const int fifths, char* const buffer)
{
  QfNoteName note = {0, 0};

  qf_note_name_from_fifths(fifths, &note);
  qf_word_note(note, c->labelling->options.naming, buffer, QF_NAME_ROOM);
}

void
qf_case_voice_name(const QfCase* const c, const size_t voice, char* const buffer, const size_t size)
{
  const QfVoice* const info = qf_score_get_voice(c->labelling->passage.score, voice);

  if (info && info->name[0]) {
    snprintf(buffer, size, "the %s", info->name);
    buffer[4] = (char)((buffer[4] >= 'A' && buffer[4] <= 'Z') ? buffer[4] - 'A' + 'a' : buffer[4]);
  } else {
    snprintf(buffer, size, "voice %zu", voice + 1);
  }
}

// The chord itself

static void
explain_notes(const QfCase* const c)
{
  static const char* const places[] = {"", ", in first inversion", ", in second inversion",
                                       ", in third inversion", ", in fourth inversion"};

  const int size = qf_chord_kind_size(c->entry->kind);
  QfText    text = {0};
  int       left = 0;
  char      name[QF_NAME_ROOM];

  for (int m = 0; m < size; ++m) {
    left += !(c->label->chord.omitted >> (unsigned)m & 1U);
  }

  const bool is_one = left == 1;

  for (int m = 0; m < size; ++m) {
    if (!(c->label->chord.omitted >> (unsigned)m & 1U)) {
      member_name(c, m, name);
      --left;
      qf_text_addf(&text, "%s%s", name, left > 1 ? ", " : (left == 1 ? " and " : ""));
    }
  }

  const char* const kind = qf_chord_kind_name(c->entry->kind);

  member_name(c, 0, name);
  qf_text_addf(&text, " %s %s %s on %s%s.", is_one ? "stands for" : "make", qf_word_article(kind),
               kind, name, places[c->link->inversion]);
  qf_case_add_reason(c->label, QF_REASON_NOTES, &text);
}

static void
explain_omissions(const QfCase* const c)
{
  static const char* const members[] = {"root", "third", "fifth", "seventh", "ninth"};

  for (int m = 1; m < qf_chord_kind_size(c->entry->kind); ++m) {
    QfText text = {0};
    char   name[QF_NAME_ROOM];

    if (!(c->label->chord.omitted >> (unsigned)m & 1U)) {
      continue;
    }
    member_name(c, m, name);
    qf_text_addf(&text, "The %s, %s, is left out; %s.", members[m], name,
                 m == 1 ? "major or minor is taken from the key and the neighbours"
                        : "the chord is plain without it");
    qf_case_add_reason(c->label, QF_REASON_OMISSION, &text);
  }
}

// Where it leads

static void
explain_resolution(const QfCase* const c)
{
  static const char* const formats[] = {
    [QF_RESOLUTION_NONE]      = "",
    [QF_RESOLUTION_KEPT]      = "A chord on %s is expected, and follows.",
    [QF_RESOLUTION_CHAINED]   = "A chord on %s is expected; it follows as another dominant.",
    [QF_RESOLUTION_DEFLECTED] = "A chord on %s is expected; another dominant follows instead.",
    [QF_RESOLUTION_DECEPTIVE] = "A chord on %s is expected, but something else follows.",
    [QF_RESOLUTION_PROLONGED] = "A chord on %s is expected; first the same function goes on.",
    [QF_RESOLUTION_OPEN]      = "A chord on %s is expected, but nothing follows.",
  };

  const char* const format = formats[c->label->resolution];
  const char* const hole   = strstr(format, "%s");
  QfText            text   = {0};
  char              name[QF_NAME_ROOM];

  if (!hole) {
    return;
  }
  qf_word_note(c->label->expected_root, c->labelling->options.naming, name, sizeof(name));
  qf_text_add_bytes(&text, format, (size_t)(hole - format));
  qf_text_add(&text, name);
  qf_text_add(&text, hole + 2);
  qf_case_add_reason(c->label, QF_REASON_RESOLUTION, &text);
}

// Neighbours and key

static void
explain_context(const QfCase* const c)
{
  QfText text = {0};

  if (c->entry->role == QF_ROLE_CADENTIAL) {
    qf_text_add(&text, "The six-four stands on the dominant's bass and leads into the dominant.");
    qf_case_add_reason(c->label, QF_REASON_CONTEXT, &text);
  }
  if (c->entry->role == QF_ROLE_NEAPOLITAN) {
    qf_text_add(&text, "A major triad on the lowered second degree leads to the dominant.");
    qf_case_add_reason(c->label, QF_REASON_CONTEXT, &text);
  }

  if (c->link->cadence != SIZE_MAX) {
    qf_text_add(&text, c->labels->cadences[c->link->cadence].reason);
    qf_case_add_reason(c->label, QF_REASON_CONTEXT, &text);
  }
  if (c->link->chain != SIZE_MAX) {
    const char* const name = c->labels->chains[c->link->chain].name;

    qf_text_addf(&text, "Part of a chain: %c%s.", name[0] - 'A' + 'a', name + 1);
    qf_case_add_reason(c->label, QF_REASON_CONTEXT, &text);
  }
}

static void
explain_key(const QfCase* const c)
{
  const QfKeySpan* const stretch = &c->labels->key_spans[c->link->key_span];
  const size_t           cadence = c->link->confirmed;
  QfText                 text    = {0};
  char                   key[48];
  char                   place[48];

  qf_word_key(c->label->key, c->labelling->options.naming, key, sizeof(key));
  if (stretch->is_home && c->labelling->options.has_key) {
    qf_text_addf(&text, "The key is declared: %s.", key);
  } else if (cadence != SIZE_MAX) {
    qf_score_write_place(c->labelling->passage.score, c->labels->labels[cadence].start, place,
                         sizeof(place));
    qf_text_addf(&text, "The key is %s: its dominant leads to its tonic at %s.", key, place);
  } else {
    qf_text_addf(&text, "The key is %s: the chords around fit it best.", key);
  }
  qf_case_add_reason(c->label, QF_REASON_KEY, &text);

  if (c->link->is_rewritten && c->link->found_key != c->link->span.key) {
    qf_word_key(qf_key_of_index(c->link->found_key), c->labelling->options.naming, key,
                sizeof(key));
    qf_text_addf(&text, "Found in %s, but written in this key by the thresholds set.", key);
    qf_case_add_reason(c->label, QF_REASON_KEY, &text);
  }
  if (c->labels->n_key_spans > 1) {
    qf_text_add(&text, stretch->reason);
    qf_case_add_reason(c->label, QF_REASON_KEY, &text);
  }
}

static void
explain_unknown(const QfCase* const c)
{
  const QfSpan span = c->link->span;
  uint64_t     mask = 0;
  QfText       text = {0};
  char         names[160];

  for (size_t i = span.first; i < span.end; ++i) {
    mask |= c->labelling->passage.columns[i].mask;
  }

  qf_word_notes_of_mask(mask, c->labelling->options.naming, names, sizeof(names));
  if (__builtin_popcountll(mask) == 1) {
    qf_text_addf(&text, "Only %s sounds: a chord needs at least two different notes.", names);
  } else {
    qf_text_addf(&text, "No chord explains %s together.", names);
  }
  qf_case_add_reason(c->label, QF_REASON_NOTES, &text);
}

void
qf_link_explain(const QfLabelling* const labelling, QfLabels* const labels, const size_t index)
{
  const QfLink* const link  = &labels->links[index];
  QfLabel* const      label = &labels->labels[index];
  const QfEntry*      entry = qf_link_entry(labelling, link);
  const QfCase        c     = {labelling, labels, index, link, entry, label};
  QfText              text  = {0};

  if (!c.label->is_known) {
    explain_unknown(&c);
    return;
  }

  if (c.label->is_pinned) {
    qf_text_add(&text, "You pinned this reading.");
    qf_case_add_reason(c.label, QF_REASON_PINNED, &text);
  }

  explain_notes(&c);
  explain_omissions(&c);
  // The leading tone is a leading-tone chord's root, but a dominant's third, which may be missing.
  const bool is_third = link->root == link->dominant;

  if (link->is_dominant && !(is_third && (c.label->chord.omitted & 1U << 1U))) {
    qf_case_explain_leading_tone(&c);
  }
  if (link->is_dominant && qf_chord_kind_has_seventh(c.entry->kind)) {
    qf_case_explain_seventh(&c);
  }
  if (c.entry->role == QF_ROLE_AUGMENTED_SIXTH) {
    qf_case_explain_augmented_sixth(&c);
  }
  explain_resolution(&c);
  for (size_t i = 0; i < label->n_foreign && i < MAX_FOREIGN_REASONS; ++i) {
    qf_case_explain_foreign(&c, &label->foreign[i]);
  }
  explain_context(&c);
  explain_key(&c);
}
