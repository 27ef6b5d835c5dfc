// SPDX-License-Identifier: MIT
#include "labels_impl.h"
#include "words.h"

#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_FOREIGN_REASONS = 2,
  NAME_SIZE           = 40,
};

/// A link being explained
typedef struct {
  const QfLabelling* labelling;
  const QfLabels*    labels;
  size_t             index;
  const QfLink*      link;
  const QfEntry*     entry;
  QfLabel*           label;
} Case;

static void
add_reason(QfLabel* const label, const QfReasonKind kind, QfText* const text)
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
member_name(const Case* const c, const int member, char* const buffer)
{
  QfNoteName note = {0, 0};

  qf_note_name_from_fifths(c->link->root + qf_member_fifths(c->entry->kind, member), &note);
  qf_word_note(note, c->labelling->options.naming, buffer, NAME_SIZE);
}

static void
fifths_name(const Case* const c, const int fifths, char* const buffer)
{
  QfNoteName note = {0, 0};

  qf_note_name_from_fifths(fifths, &note);
  qf_word_note(note, c->labelling->options.naming, buffer, NAME_SIZE);
}

static void
voice_name(const Case* const c, const size_t voice, char* const buffer, const size_t size)
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
explain_notes(const Case* const c)
{
  static const char* const places[] = {"", ", in first inversion", ", in second inversion",
                                       ", in third inversion", ", in fourth inversion"};

  const int size = qf_chord_kind_size(c->entry->kind);
  QfText    text = {0};
  int       left = 0;
  char      name[NAME_SIZE];

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
  add_reason(c->label, QF_REASON_NOTES, &text);
}

static void
explain_omissions(const Case* const c)
{
  static const char* const members[] = {"root", "third", "fifth", "seventh", "ninth"};

  for (int m = 1; m < qf_chord_kind_size(c->entry->kind); ++m) {
    QfText text = {0};
    char   name[NAME_SIZE];

    if (!(c->label->chord.omitted >> (unsigned)m & 1U)) {
      continue;
    }
    member_name(c, m, name);
    qf_text_addf(&text, "The %s, %s, is left out; %s.", members[m], name,
                 m == 1 ? "major or minor is taken from the key and the neighbours"
                        : "the chord is plain without it");
    add_reason(c->label, QF_REASON_OMISSION, &text);
  }
}

// Notes outside the chord

/// ", prepared in m1 b2 and resolved to B"
static void
add_course(const Case* const c, const QfForeign* const foreign, QfText* const text)
{
  const QfScore* const score       = c->labelling->passage.score;
  const QfNote* const  preparation = qf_score_find_note(score, foreign->preparation, NULL);
  const QfNote* const  resolution  = qf_score_find_note(score, foreign->resolution, NULL);
  char                 words[NAME_SIZE + 8];

  if (preparation) {
    qf_score_write_place(score, preparation->start, words, sizeof(words));
    qf_text_addf(text, ", prepared at %s", words);
  }
  if (resolution) {
    qf_word_note(qf_pitch_name(resolution->pitch), c->labelling->options.naming, words,
                 sizeof(words));
    qf_text_addf(text, "%s resolved to %s", preparation ? " and" : ",", words);
  }
}

static void
explain_foreign(const Case* const c, const QfForeign* const foreign)
{
  const char* const   word = qf_foreign_kind_name(foreign->kind);
  size_t              at   = 0;
  const QfNote* const note = qf_score_find_note(c->labelling->passage.score, foreign->note, &at);
  QfText              text = {0};
  char                name[NAME_SIZE];
  char                voice[QF_NAME_SIZE + 8];

  qf_word_note(qf_pitch_name(note->pitch), c->labelling->options.naming, name, sizeof(name));
  voice_name(c, at, voice, sizeof(voice));
  qf_text_addf(&text, "%s in %s does not belong to the chord", name, voice);
  if (foreign->kind == QF_FOREIGN_FREE) {
    qf_text_add(&text, " and is left free");
  } else if (foreign->figure) {
    qf_text_addf(&text, ": %s %d-%d %s", foreign->figure == 8 ? "an" : "a", foreign->figure,
                 foreign->goal_figure, word);
  } else {
    qf_text_addf(&text, ": %s %s", qf_word_article(word), word);
  }
  add_course(c, foreign, &text);
  qf_text_add(&text, ".");
  add_reason(c->label, QF_REASON_FOREIGN, &text);
}

// Where its notes should go

/// Notes of a name in the last column of the link, and the column of the next link
static const QfSlice*
last_slice(const Case* const c)
{
  const QfPassage* const passage = &c->labelling->passage;

  return &passage->slices.slices[passage->columns[c->link->span.end - 1].slice];
}

/// A way a tone can go on
typedef enum { TONE_RESOLVES, TONE_SLIDES, TONE_WAITS, TONE_LEAVES } ToneMotion;

/// The leading tone rises a semitone; in a chain it falls a chromatic one to the next seventh.
/// Rule: R. Hutchinson, Music Theory for the 21st-Century Classroom, "Voice Leading Chromatic
/// Harmonies".
static ToneMotion
leading_tone_motion(const QfInterval interval)
{
  if (interval.steps == 1 && interval.semitones == 1) {
    return TONE_RESOLVES;
  }
  if (interval.steps == 0) {
    return interval.semitones == -1 ? TONE_SLIDES : TONE_WAITS;
  }
  return TONE_LEAVES;
}

/// The seventh falls a step. Common practice.
static ToneMotion
seventh_motion(const QfInterval interval)
{
  if (interval.steps == -1 && interval.semitones >= -2 && interval.semitones < 0) {
    return TONE_RESOLVES;
  }
  return interval.steps == 0 && interval.semitones == 0 ? TONE_WAITS : TONE_LEAVES;
}

/// Say whether a tone goes where it should, in the lowest voice that has it at the link's end
static void
add_motion(const Case* const c,
           const int         fifths,
           ToneMotion (*const motion_of)(QfInterval),
           QfText* const text)
{
  static const char* const formats[][2] = {
    [TONE_RESOLVES] = {", and does in ", ""},
    [TONE_SLIDES]   = {", but slides down to the next seventh in ", ", as in a chain of sevenths"},
    [TONE_WAITS]    = {", and still waits in ", ""},
    [TONE_LEAVES]   = {", but goes elsewhere in ", ""},
  };

  const QfSlice* const slice = last_slice(c);

  for (size_t i = 0; i < slice->n_notes; ++i) {
    const QfSounding* const note = &slice->notes[i];
    const QfTime            end  = qf_time_add(note->start, note->duration);
    const QfNote* const     next = qf_score_note_at(c->labelling->passage.score, note->voice, end);
    char                    voice[QF_NAME_SIZE + 8];

    if (qf_note_name_fifths(qf_pitch_name(note->pitch)) != fifths) {
      continue;
    }

    voice_name(c, note->voice, voice, sizeof(voice));
    if (next) {
      const ToneMotion motion = motion_of(qf_interval_between(note->pitch, next->pitch));

      qf_text_addf(text, "%s%s%s", formats[motion][0], voice, formats[motion][1]);
    } else {
      qf_text_addf(text, ", but %s falls silent", voice);
    }
    return;
  }
}

static void
explain_leading_tone(const Case* const c)
{
  const int  leading = c->link->dominant + 4;
  const bool applied = c->entry->role == QF_ROLE_APPLIED;
  QfText     text    = {0};
  char       name[NAME_SIZE];
  char       goal[NAME_SIZE];

  fifths_name(c, leading, name);
  fifths_name(c, c->link->target, goal);
  qf_text_addf(&text, "%s is the %sleading tone of %s: it should rise to %s", name,
               applied ? "applied " : "", goal, goal);
  add_motion(c, leading, leading_tone_motion, &text);
  qf_text_add(&text, ".");
  add_reason(c->label, QF_REASON_LEADING, &text);
}

static void
explain_seventh(const Case* const c)
{
  const int seventh = c->link->root + qf_member_fifths(c->entry->kind, 3);
  QfText    text    = {0};
  char      name[NAME_SIZE];

  fifths_name(c, seventh, name);
  qf_text_addf(&text, "%s is the seventh: it should fall a step", name);
  add_motion(c, seventh, seventh_motion, &text);
  qf_text_add(&text, ".");
  add_reason(c->label, QF_REASON_SEVENTH, &text);
}

/// Rule: Open Music Theory, "Altered subdominants".
static void
explain_augmented_sixth(const Case* const c)
{
  const int tonic = qf_tonic_of(c->link->span.key);
  QfText    text  = {0};
  char      low[NAME_SIZE];
  char      high[NAME_SIZE];
  char      goal[NAME_SIZE];

  fifths_name(c, tonic - 4, low);
  fifths_name(c, tonic + 6, high);
  fifths_name(c, tonic + 1, goal);
  qf_text_addf(&text, "%s and %s make an augmented sixth: both should close in on %s.", low, high,
               goal);
  add_reason(c->label, QF_REASON_LEADING, &text);
}

static void
explain_resolution(const Case* const c)
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
  char              name[NAME_SIZE];

  if (!hole) {
    return;
  }
  qf_word_note(c->label->expected_root, c->labelling->options.naming, name, sizeof(name));
  qf_text_add_bytes(&text, format, (size_t)(hole - format));
  qf_text_add(&text, name);
  qf_text_add(&text, hole + 2);
  add_reason(c->label, QF_REASON_RESOLUTION, &text);
}

// Neighbours and key

static void
explain_context(const Case* const c)
{
  QfText text = {0};

  if (c->entry->role == QF_ROLE_CADENTIAL) {
    qf_text_add(&text, "The six-four stands on the dominant's bass and leads into the dominant.");
    add_reason(c->label, QF_REASON_CONTEXT, &text);
  }
  if (c->entry->role == QF_ROLE_NEAPOLITAN) {
    qf_text_add(&text, "A major triad on the lowered second degree leads to the dominant.");
    add_reason(c->label, QF_REASON_CONTEXT, &text);
  }

  if (c->link->cadence != SIZE_MAX) {
    qf_text_add(&text, c->labels->cadences[c->link->cadence].reason);
    add_reason(c->label, QF_REASON_CONTEXT, &text);
  }
  if (c->link->chain != SIZE_MAX) {
    const char* const name = c->labels->chains[c->link->chain].name;

    qf_text_addf(&text, "Part of a chain: %c%s.", name[0] - 'A' + 'a', name + 1);
    add_reason(c->label, QF_REASON_CONTEXT, &text);
  }
}

static void
explain_key(const Case* const c)
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
  add_reason(c->label, QF_REASON_KEY, &text);

  if (c->link->is_rewritten && c->link->found_key != c->link->span.key) {
    qf_word_key(qf_key_of_index(c->link->found_key), c->labelling->options.naming, key,
                sizeof(key));
    qf_text_addf(&text, "Found in %s, but written in this key by the thresholds set.", key);
    add_reason(c->label, QF_REASON_KEY, &text);
  }
  if (c->labels->n_key_spans > 1) {
    qf_text_add(&text, stretch->reason);
    add_reason(c->label, QF_REASON_KEY, &text);
  }
}

static void
explain_unknown(const Case* const c)
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
  add_reason(c->label, QF_REASON_NOTES, &text);
}

void
qf_link_explain(const QfLabelling* const labelling, QfLabels* const labels, const size_t index)
{
  const QfLink* const link  = &labels->links[index];
  QfLabel* const      label = &labels->labels[index];
  const QfEntry*      entry = qf_link_entry(labelling, link);
  const Case          c     = {labelling, labels, index, link, entry, label};
  QfText              text  = {0};

  if (!c.label->is_known) {
    explain_unknown(&c);
    return;
  }

  if (c.label->is_pinned) {
    qf_text_add(&text, "You pinned this reading.");
    add_reason(c.label, QF_REASON_PINNED, &text);
  }

  explain_notes(&c);
  explain_omissions(&c);
  // The leading tone is a leading-tone chord's root, but a dominant's third, which may be missing.
  const bool is_third = link->root == link->dominant;

  if (link->is_dominant && !(is_third && (c.label->chord.omitted & 1U << 1U))) {
    explain_leading_tone(&c);
  }
  if (link->is_dominant && qf_chord_kind_has_seventh(c.entry->kind)) {
    explain_seventh(&c);
  }
  if (c.entry->role == QF_ROLE_AUGMENTED_SIXTH) {
    explain_augmented_sixth(&c);
  }
  explain_resolution(&c);
  for (size_t i = 0; i < label->n_foreign && i < MAX_FOREIGN_REASONS; ++i) {
    explain_foreign(&c, &label->foreign[i]);
  }
  explain_context(&c);
  explain_key(&c);
}
