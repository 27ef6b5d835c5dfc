// SPDX-License-Identifier: MIT
#include "quintfall/events.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

// Times follow from what a metronome mark means: at 60 a quarter note lasts one
// second (common practice). They are worked out by hand beside each check.

enum {
  MAX_FOUND = 64,
};

static const double tolerance_s = 1e-9;
static const QfKey  c_major     = {{0, 0}, QF_MAJOR};

/// A note as a test writes it: start and duration in quarters
typedef struct {
  size_t      voice;
  int         start;
  int         duration;
  const char* pitch;
} Line;

static QfPitch
pitch_of(const char* const text)
{
  QfPitch pitch = {0};
  assert_int_equal(qf_pitch_parse(text, &pitch, NULL), QF_OK);
  return pitch;
}

static QfScore*
new_score(const char* const metre_text, const QfTime pickup, const double tempo)
{
  QfMetre metre = {0};
  assert_int_equal(qf_metre_parse(metre_text, &metre, NULL), QF_OK);

  QfScore* const score = qf_score_new_satb(c_major, metre, pickup, 1);
  assert_non_null(score);
  assert_int_equal(qf_score_set_tempo(score, tempo), QF_OK);
  return score;
}

static void
put(QfScore* const score, const Line* const lines, const size_t n_lines)
{
  for (size_t i = 0; i < n_lines; ++i) {
    assert_int_equal(qf_score_put_note(score, lines[i].voice, qf_time(lines[i].start, 4),
                                       qf_time(lines[i].duration, 4), pitch_of(lines[i].pitch),
                                       QF_NO_NOTE, NULL),
                     QF_OK);
  }
}

// One bar of three-four: the bass holds while the soprano moves.
static const Line waltz[] = {
  {0, 0, 1, "E5"}, {0, 1, 2, "D5"}, {1, 0, 1, "C5"},
  {1, 1, 2, "B4"}, {2, 0, 3, "G4"}, {3, 0, 3, "G3"},
};

static QfScore*
new_waltz(const double tempo)
{
  QfScore* const score = new_score("3/4", QF_TIME_ZERO, tempo);
  put(score, waltz, sizeof(waltz) / sizeof(waltz[0]));
  return score;
}

static QfHearing
plain(void)
{
  QfHearing hearing = qf_hearing_default();
  hearing.gap_beats = 0.0;
  return hearing;
}

static QfEvents
events_of(const QfScore* const score, const QfHearing hearing)
{
  QfEvents events = {0};
  assert_int_equal(qf_events_of(score, NULL, c_major, hearing, QF_TIME_ZERO, QF_TIME_ZERO, &events),
                   QF_OK);
  return events;
}

/// Events of a kind on a channel (or any, if negative), in their order
static size_t
find(const QfEvents* const events,
     const QfEventKind     kind,
     const int             channel,
     QfEvent               found[MAX_FOUND])
{
  size_t n_found = 0;
  for (size_t i = 0; i < events->n_events && n_found < MAX_FOUND; ++i) {
    const QfEvent event = events->events[i];
    if (event.kind == kind && (channel < 0 || event.channel == channel)) {
      found[n_found++] = event;
    }
  }
  return n_found;
}

static int
channel_of_key(const QfEvents* const events, const uint8_t key)
{
  for (size_t i = 0; i < events->n_events; ++i) {
    if (events->events[i].kind == QF_EVENT_NOTE_ON && events->events[i].key == key) {
      return events->events[i].channel;
    }
  }
  return -1;
}

static double
gain_of(const QfEvents* const events, const int channel)
{
  QfEvent found[MAX_FOUND];
  assert_int_equal(find(events, QF_EVENT_GAIN, channel, found), 1);
  return found[0].gain_db;
}

static void
assert_time(const double actual, const double expected)
{
  if (fabs(actual - expected) > tolerance_s) {
    fail_msg("at %.12f s; expected %.12f s", actual, expected);
  }
}

static void
test_notes_begin_and_end_in_time(void** state)
{
  (void)state;
  typedef struct {
    const char* label;
    double      tempo;
    double      factor;
    double      quarter_s;
  } Case;
  static const Case cases[] = {
    {"60", 60, 1.0, 1.0},
    {"120", 120, 1.0, 0.5},
    {"60 at half speed", 60, 0.5, 2.0},
    {"90 at double speed", 90, 2.0, 1.0 / 3.0},
  };

  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    QfScore* const score = new_waltz(cases[i].tempo);
    QfHearing      plan  = plain();
    plan.tempo_factor    = cases[i].factor;
    QfEvents events      = events_of(score, plan);
    QfEvent  on[MAX_FOUND];
    QfEvent  off[MAX_FOUND];

    const int soprano = channel_of_key(&events, 76); // E5
    assert_int_equal(find(&events, QF_EVENT_NOTE_ON, soprano, on), 2);
    assert_int_equal(find(&events, QF_EVENT_NOTE_OFF, soprano, off), 2);
    assert_time(on[0].at_s, 0.0);
    assert_time(off[0].at_s, cases[i].quarter_s);
    assert_time(on[1].at_s, cases[i].quarter_s);
    assert_time(off[1].at_s, 3 * cases[i].quarter_s);
    assert_int_equal(on[1].key, 74); // D5
    assert_int_equal(qf_time_compare(on[1].score_time, qf_time(1, 4)), 0);

    const int bass = channel_of_key(&events, 55); // G3, held and struck once
    assert_int_equal(find(&events, QF_EVENT_NOTE_ON, bass, on), 1);
    assert_int_equal(find(&events, QF_EVENT_NOTE_OFF, bass, off), 1);
    assert_time(off[0].at_s, 3 * cases[i].quarter_s);
    assert_true(events.length_s > 3 * cases[i].quarter_s);

    qf_events_clear(&events);
    qf_score_free(score);
  }
}

static int
rank(const QfEventKind kind)
{
  // The order that events.h promises for equal times.
  static const QfEventKind order[] = {QF_EVENT_NOTE_OFF, QF_EVENT_PROGRAM, QF_EVENT_GAIN,
                                      QF_EVENT_MARK,     QF_EVENT_NOTE_ON, QF_EVENT_END};
  int                      i       = 0;
  while (order[i] != kind) {
    ++i;
  }
  return i;
}

static void
test_events_are_in_order(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(97.0);
  QfHearing      plan  = plain();
  plan.repeats         = 3;
  plan.has_prelude     = true;
  plan.has_count_in    = true;
  plan.forward         = (QfForward){QF_FORWARD_QUALITY, 0};

  QfEvents events = events_of(score, plan);
  for (size_t i = 1; i < events.n_events; ++i) {
    const QfEvent* const a = &events.events[i - 1];
    const QfEvent* const b = &events.events[i];
    assert_true(a->at_s < b->at_s || (a->at_s == b->at_s && rank(a->kind) <= rank(b->kind)));
  }

  const QfEvent last = events.events[events.n_events - 1];
  assert_int_equal(last.kind, QF_EVENT_END);
  assert_time(last.at_s, events.length_s);

  qf_events_clear(&events);
  qf_score_free(score);
}

static void
test_every_note_that_begins_ends(void** state)
{
  (void)state;
  for (int kind = QF_FORWARD_ALL; kind <= QF_FORWARD_QUALITY; ++kind) {
    QfScore* const score = new_waltz(60.0);
    QfHearing      plan  = plain();
    plan.forward         = (QfForward){(QfForwardKind)kind, 3};
    plan.repeats         = 2;
    plan.has_prelude     = true;
    plan.has_count_in    = true;

    QfEvents events        = events_of(score, plan);
    int      held[16][128] = {0};
    int      n_sounding    = 0;
    for (size_t i = 0; i < events.n_events; ++i) {
      const QfEvent event = events.events[i];
      if (event.kind == QF_EVENT_NOTE_ON) {
        assert_int_equal(held[event.channel][event.key]++, 0);
        assert_in_range(event.velocity, 1, 127);
        ++n_sounding;
      } else if (event.kind == QF_EVENT_NOTE_OFF) {
        assert_int_equal(held[event.channel][event.key]--, 1);
        --n_sounding;
      }
    }
    assert_int_equal(n_sounding, 0);

    qf_events_clear(&events);
    qf_score_free(score);
  }
}

static void
test_each_voice_has_its_own_channel(void** state)
{
  (void)state;
  QfScore* const score  = new_waltz(60.0);
  QfEvents       events = events_of(score, plain());
  const uint8_t  keys[] = {76, 72, 67, 55}; // E5 C5 G4 G3
  unsigned       seen   = 0;
  for (size_t i = 0; i < 4; ++i) {
    const int channel = channel_of_key(&events, keys[i]);
    assert_in_range(channel, 0, 13);
    assert_int_not_equal(channel, 9); // Percussion. Source: General MIDI (from memory).
    seen |= 1U << channel;
  }
  assert_int_equal(__builtin_popcount(seen), 4);

  qf_events_clear(&events);
  qf_score_free(score);
}

/// Voices that all sing the same note, each a quarter longer than the one before
static QfScore*
new_unison(const size_t n_voices)
{
  QfMetre metre = {0};
  assert_int_equal(qf_metre(4, 4, &metre), QF_OK);

  QfScore* const score = qf_score_new();
  assert_non_null(score);
  assert_int_equal(qf_score_add_staff(score, "", QF_CLEF_TREBLE), QF_OK);
  assert_int_equal(qf_score_set_tempo(score, 60.0), QF_OK);
  assert_int_equal(
    qf_score_append_bar(
      score, (QfBar){.length = qf_time(1, 1), .offset = QF_TIME_ZERO, .number = 1, .metre = metre}),
    QF_OK);
  for (size_t i = 0; i < n_voices; ++i) {
    assert_int_equal(qf_score_add_voice(score, "", 0), QF_OK);
    put(score, &(const Line){i, 0, (int)i + 1, "A4"}, 1);
  }
  return score;
}

static void
test_crowded_voices_share_without_cutting_each_other(void** state)
{
  (void)state;
  QfScore* const score = new_unison(QF_MAX_VOICES);
  QfHearing      plan  = plain();
  plan.forward         = (QfForward){QF_FORWARD_VOICE, 20};
  QfEvents events      = events_of(score, plan);
  QfEvent  on[MAX_FOUND];
  QfEvent  off[MAX_FOUND];

  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, -1, on), QF_MAX_VOICES);
  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, 9, off), 0);
  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, 14, off), 0);

  int n_alone = 0;
  for (int channel = 0; channel < 14; ++channel) {
    const size_t n_on = find(&events, QF_EVENT_NOTE_ON, channel, on);
    if (n_on) {
      // The key is let go of once, when the longest of the voices ends: voice i lasts i+1 s.
      assert_int_equal(find(&events, QF_EVENT_NOTE_OFF, channel, off), 1);
      const bool is_forward = gain_of(&events, channel) == 0.0;
      n_alone += is_forward;
      if (is_forward) {
        assert_int_equal(n_on, 1);
        assert_time(off[0].at_s, 21.0);
      }
    }
  }
  assert_int_equal(n_alone, 1);

  qf_events_clear(&events);
  qf_score_free(score);
}

static void
test_the_others_step_back_from_the_forward_voice(void** state)
{
  (void)state;
  QfScore* const score    = new_waltz(60.0);
  QfEvents       balanced = events_of(score, plain());
  const uint8_t  keys[]   = {76, 72, 67, 55};

  for (uint8_t forward = 0; forward < 4; ++forward) {
    QfHearing plan       = plain();
    plan.forward         = (QfForward){QF_FORWARD_VOICE, forward};
    plan.softening_db    = 11.0;
    plan.program         = 52;
    plan.forward_program = 68;
    QfEvents events      = events_of(score, plan);

    for (size_t voice = 0; voice < 4; ++voice) {
      QfEvent   found[MAX_FOUND];
      const int channel = channel_of_key(&events, keys[voice]);
      assert_int_equal(find(&events, QF_EVENT_PROGRAM, channel, found), 1);
      assert_int_equal(found[0].program, voice == forward ? 68 : 52);

      assert_true(find(&events, QF_EVENT_NOTE_ON, channel, found) > 0);
      const uint8_t velocity = found[0].velocity;
      assert_true(find(&balanced, QF_EVENT_NOTE_ON, channel, found) > 0);
      if (voice == forward) { // No louder than when balanced: emphasis lowers the others
        assert_int_equal(velocity, found[0].velocity);
        assert_true(gain_of(&events, channel) == gain_of(&balanced, channel));
      } else {
        assert_true(velocity <= found[0].velocity);
        assert_true(gain_of(&events, channel) <= gain_of(&balanced, channel) - 11.0);
      }
    }
    qf_events_clear(&events);
  }

  QfHearing plan  = plain();
  plan.forward    = (QfForward){QF_FORWARD_VOICE, 4};
  QfEvents events = {0};
  assert_int_equal(qf_events_of(score, NULL, c_major, plan, QF_TIME_ZERO, QF_TIME_ZERO, &events),
                   QF_ERR_RANGE);
  assert_null(events.events);

  qf_events_clear(&balanced);
  qf_score_free(score);
}

static void
test_quality_strikes_every_chord_as_a_block(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(60.0);
  QfHearing      plan  = plain();
  plan.forward         = (QfForward){QF_FORWARD_QUALITY, 0};
  QfEvents events      = events_of(score, plan);
  QfEvent  on[MAX_FOUND];

  // Two chords of four notes: the held tenor and bass are struck again.
  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, -1, on), 8);
  for (size_t i = 0; i < 8; ++i) {
    assert_time(on[i].at_s, i < 4 ? 0.0 : 1.0);
    assert_int_equal(on[i].velocity, on[0].velocity);
    assert_true(gain_of(&events, on[i].channel) == gain_of(&events, on[0].channel));
  }

  QfEvent off[MAX_FOUND];
  assert_int_equal(find(&events, QF_EVENT_NOTE_OFF, -1, off), 8);
  assert_time(off[0].at_s, 1.0);
  assert_time(off[7].at_s, 3.0);

  qf_events_clear(&events);
  qf_score_free(score);
}

static void
test_marks_follow_the_slices(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(60.0);
  QfHearing      plan  = plain();
  plan.repeats         = 2;
  plan.gap_beats       = 2.0;
  QfEvents     events  = events_of(score, plan);
  const double at_s[]  = {0.0, 1.0, 3.0, 5.0, 6.0};
  const QfTime where[] = {{0, 1}, {1, 4}, {-1, 1}, {0, 1}, {1, 4}};
  QfEvent      marks[MAX_FOUND];

  // Pass of 3 s, gap of two quarters, pass again.
  assert_int_equal(find(&events, QF_EVENT_MARK, -1, marks), 5);
  for (size_t i = 0; i < 5; ++i) {
    assert_time(marks[i].at_s, at_s[i]);
    assert_int_equal(qf_time_compare(marks[i].score_time, where[i]), 0);
  }

  qf_events_clear(&events);
  qf_score_free(score);
}

static void
test_repeats_keep_their_distance(void** state)
{
  (void)state;
  QfScore* const score = new_waltz(120.0);
  QfHearing      plan  = plain();
  plan.repeats         = 4;
  plan.gap_beats       = 4.0;
  QfEvents events      = events_of(score, plan);
  QfEvent  on[MAX_FOUND];

  // A pass lasts 1.5 s and a gap of four quarters 2 s.
  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, channel_of_key(&events, 55), on), 4);
  for (size_t i = 0; i < 4; ++i) {
    assert_time(on[i].at_s, 3.5 * (double)i);
  }

  qf_events_clear(&events);
  qf_score_free(score);
}

static void
test_a_range_cuts_its_notes(void** state)
{
  (void)state;
  QfScore* const score  = new_waltz(60.0);
  QfEvents       events = {0};
  assert_int_equal(
    qf_events_of(score, NULL, c_major, plain(), qf_time(1, 8), qf_time(2, 4), &events), QF_OK);

  QfEvent on[MAX_FOUND];
  QfEvent off[MAX_FOUND];
  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, -1, on), 6);

  // From half a second into the bar until two seconds into it.
  const int soprano = channel_of_key(&events, 76);
  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, soprano, on), 2);
  assert_int_equal(find(&events, QF_EVENT_NOTE_OFF, soprano, off), 2);
  assert_time(on[0].at_s, 0.0);
  assert_time(off[0].at_s, 0.5);
  assert_time(on[1].at_s, 0.5);
  assert_time(off[1].at_s, 1.5);
  assert_int_equal(qf_time_compare(on[0].score_time, qf_time(1, 8)), 0);
  assert_int_equal(find(&events, QF_EVENT_NOTE_OFF, channel_of_key(&events, 55), off), 1);
  assert_time(off[0].at_s, 1.5);
  qf_events_clear(&events);

  // A range outside the score holds nothing, and still ends.
  assert_int_equal(
    qf_events_of(score, NULL, c_major, plain(), qf_time(90, 1), qf_time(99, 1), &events), QF_OK);
  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, -1, on), 0);
  assert_int_equal(find(&events, QF_EVENT_END, -1, on), 1);
  qf_events_clear(&events);
  qf_score_free(score);
}

/// Expected beats: d downbeat, h half-bar, b any other beat
typedef struct {
  const char* metre;
  QfTime      pickup;
  double      tempo;
  double      beat_s;
  const char* beats;
  double      start_s; ///< When the passage begins
} CountCase;

// Common practice: one bar is counted from its downbeat; before an upbeat the
// beats that its bar lacks are counted too.
static const CountCase count_cases[] = {
  {"3/4", {0, 1}, 60, 1.0, "dbb", 3.0},     {"4/4", {0, 1}, 60, 1.0, "dbhb", 4.0},
  {"6/8", {0, 1}, 90, 1.0, "dh", 2.0},      {"9/8", {0, 1}, 90, 1.0, "dbb", 3.0},
  {"4/4", {1, 4}, 60, 1.0, "dbhbdbh", 7.0}, {"3/4", {1, 8}, 120, 0.5, "dbbdbb", 2.75},
};

/// How heavy a beat is
static int
weight(const char beat)
{
  return beat == 'd' ? 2 : beat == 'h' ? 1 : 0;
}

static int
sign(const int value)
{
  return (value > 0) - (value < 0);
}

static void
check_count(const CountCase* const row)
{
  QfScore* const score = new_score(row->metre, row->pickup, row->tempo);
  put(score, &(const Line){0, 0, 1, "C5"}, 1);
  QfHearing plan    = plain();
  plan.has_count_in = true;
  QfEvents events   = events_of(score, plan);
  QfEvent  on[MAX_FOUND];

  const size_t n_beats = strlen(row->beats);
  const size_t n_on    = find(&events, QF_EVENT_NOTE_ON, 9, on);
  if (n_on != n_beats) {
    fail_msg("%s: %zu beats; expected %zu", row->metre, n_on, n_beats);
  }

  for (size_t i = 0; i < n_on; ++i) {
    assert_time(on[i].at_s, (double)i * row->beat_s);
    assert_int_equal(on[i].score_time.num, -1);
    for (size_t n = 0; n < i; ++n) {
      const int expected = sign(weight(row->beats[i]) - weight(row->beats[n]));
      if (sign(on[i].velocity - on[n].velocity) != expected) {
        fail_msg("%s: beats %zu and %zu; expected %s", row->metre, n + 1, i + 1, row->beats);
      }
    }
  }

  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, channel_of_key(&events, 72), on), 1);
  assert_time(on[0].at_s, row->start_s);

  QfEvent marks[MAX_FOUND];
  assert_true(find(&events, QF_EVENT_MARK, -1, marks) >= 2);
  assert_time(marks[0].at_s, 0.0);
  assert_int_equal(marks[0].score_time.num, -1);
  assert_time(marks[1].at_s, row->start_s);

  qf_events_clear(&events);
  qf_score_free(score);
}

static void
test_count_in_has_the_metre_s_beats(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(count_cases) / sizeof(count_cases[0]); ++i) {
    check_count(&count_cases[i]);
  }
}

/// Pitch classes of the chords I, IV, V7, I and their basses, spelled
typedef struct {
  const char* key;
  const char* chords[4];
} PreludeCase;

// Source: tests/data/references/diatonic_chords.tsv (harmonic minor for V7), copied by hand.
static const PreludeCase prelude_cases[] = {
  {"C major", {"C E G", "F A C", "G B F", "C E G"}},
  {"Eb major", {"Eb G Bb", "Ab C Eb", "Bb D Ab", "Eb G Bb"}},
  {"F# major", {"F# A# C#", "B D# F#", "C# E# B", "F# A# C#"}},
  {"A minor", {"A C E", "D F A", "E G# D", "A C E"}},
  {"C# minor", {"C# E G#", "F# A C#", "G# B# F#", "C# E G#"}},
};

static unsigned
pitch_classes(const char* text)
{
  unsigned set = 0;
  while (*text) {
    QfNoteName name = {0, 0};
    assert_int_equal(qf_note_name_parse(text, &name, &text, NULL), QF_OK);
    set |= 1U << qf_note_name_semitones(name);
    text += *text == ' ';
  }
  return set;
}

static void
check_prelude(const PreludeCase* const row)
{
  QfKey key = c_major;
  assert_int_equal(qf_key_parse(row->key, &key, NULL), QF_OK);
  QfScore* const score = new_waltz(60.0);
  QfHearing      plan  = plain();
  plan.has_prelude     = true;
  QfEvents events      = {0};
  QfEvent  on[MAX_FOUND];
  assert_int_equal(qf_events_of(score, NULL, key, plan, QF_TIME_ZERO, QF_TIME_ZERO, &events),
                   QF_OK);
  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, 14, on), 16);

  for (size_t chord = 0; chord < 4; ++chord) {
    unsigned set    = 0;
    int      lowest = 127;
    for (size_t i = 4 * chord; i < 4 * chord + 4; ++i) {
      assert_time(on[i].at_s, on[4 * chord].at_s);
      set |= 1U << on[i].key % 12U;
      lowest = on[i].key < lowest ? on[i].key : lowest;

      // Near the waltz, which lies from G3 to E5: no more than an octave outside.
      assert_in_range(on[i].key, 55 - 12, 76 + 12);
    }

    QfNoteName root = {0, 0};
    assert_int_equal(qf_note_name_parse(row->chords[chord], &root, &(const char*){0}, NULL), QF_OK);
    if (set != pitch_classes(row->chords[chord]) || lowest % 12 != qf_note_name_semitones(root)) {
      fail_msg("%s: chord %zu is %03x; expected %s", row->key, chord + 1, set, row->chords[chord]);
    }
  }

  // The passage waits until the last chord is over.
  QfEvent off[MAX_FOUND];
  assert_int_equal(find(&events, QF_EVENT_NOTE_OFF, 14, off), 16);
  assert_true(find(&events, QF_EVENT_MARK, -1, on) >= 2);
  assert_int_equal(on[1].score_time.num, 0);
  assert_true(on[1].at_s > off[15].at_s);

  qf_events_clear(&events);
  qf_score_free(score);
}

static void
test_prelude_sets_the_key(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(prelude_cases) / sizeof(prelude_cases[0]); ++i) {
    check_prelude(&prelude_cases[i]);
  }
}

static void
test_prelude_follows_the_register(void** state)
{
  (void)state;
  for (int octave = 2; octave < 8; ++octave) {
    char text[8];
    snprintf(text, sizeof(text), "C%d", octave);
    QfScore* const score = new_score("4/4", QF_TIME_ZERO, 60.0);
    put(score, &(const Line){0, 0, 4, text}, 1);
    QfHearing plan   = plain();
    plan.has_prelude = true;
    QfEvents events  = events_of(score, plan);
    QfEvent  on[MAX_FOUND];

    assert_int_equal(find(&events, QF_EVENT_NOTE_ON, 14, on), 16);
    for (size_t i = 0; i < 16; ++i) {
      assert_true(abs(on[i].key - 12 * (octave + 1)) <= 12);
    }

    qf_events_clear(&events);
    qf_score_free(score);
  }
}

static void
test_a_chord_is_one_block(void** state)
{
  (void)state;
  const QfPitch pitches[] = {pitch_of("C5"), pitch_of("G4"), pitch_of("E4"), pitch_of("C3")};
  QfHearing     plan      = plain();
  plan.level_db           = -31.0;
  QfEvents events         = {0};
  QfEvent  on[MAX_FOUND];
  QfEvent  off[MAX_FOUND];

  assert_int_equal(qf_events_of_chord(pitches, 4, plan, 1.25, &events), QF_OK);
  assert_int_equal(find(&events, QF_EVENT_NOTE_ON, -1, on), 4);
  assert_int_equal(find(&events, QF_EVENT_NOTE_OFF, -1, off), 4);
  for (size_t i = 0; i < 4; ++i) {
    assert_time(on[i].at_s, 0.0);
    assert_time(off[i].at_s, 1.25);
  }
  assert_true(events.level_db == -31.0);
  assert_true(events.length_s >= 1.25);
  qf_events_clear(&events);

  // A forward voice that the chord lacks leaves it balanced.
  plan.forward = (QfForward){QF_FORWARD_VOICE, 3};
  assert_int_equal(qf_events_of_chord(pitches, 1, plan, 1.0, &events), QF_OK);
  assert_true(gain_of(&events, events.events[0].channel) == 0.0);
  qf_events_clear(&events);

  const QfPitch too_high = {.letter = 6, .alter = 0, .octave = 10};
  assert_int_equal(qf_events_of_chord(&too_high, 1, plan, 1.0, &events), QF_ERR_RANGE);
  assert_int_equal(qf_events_of_chord(pitches, 4, plan, 0.0, &events), QF_ERR_RANGE);
}

static void
test_an_empty_score_is_silent(void** state)
{
  (void)state;
  QfScore* const score = qf_score_new();
  assert_non_null(score);
  QfHearing plan    = plain();
  plan.has_count_in = true;
  QfEvents events   = events_of(score, plan);
  assert_int_equal(events.events[events.n_events - 1].kind, QF_EVENT_END);

  qf_events_clear(&events);
  qf_events_clear(&events);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_notes_begin_and_end_in_time),
    cmocka_unit_test(test_events_are_in_order),
    cmocka_unit_test(test_every_note_that_begins_ends),
    cmocka_unit_test(test_each_voice_has_its_own_channel),
    cmocka_unit_test(test_crowded_voices_share_without_cutting_each_other),
    cmocka_unit_test(test_the_others_step_back_from_the_forward_voice),
    cmocka_unit_test(test_quality_strikes_every_chord_as_a_block),
    cmocka_unit_test(test_marks_follow_the_slices),
    cmocka_unit_test(test_repeats_keep_their_distance),
    cmocka_unit_test(test_a_range_cuts_its_notes),
    cmocka_unit_test(test_count_in_has_the_metre_s_beats),
    cmocka_unit_test(test_prelude_sets_the_key),
    cmocka_unit_test(test_prelude_follows_the_register),
    cmocka_unit_test(test_a_chord_is_one_block),
    cmocka_unit_test(test_an_empty_score_is_silent),
  };
  return cmocka_run_group_tests_name("events", tests, NULL, NULL);
}
