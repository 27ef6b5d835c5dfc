// SPDX-License-Identifier: MIT
#include "labels_equal.h"
#include "labels_impl.h"

#include "quintfall/file.h"
#include "quintfall/formats.h"
#include "quintfall/label.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

// After any edit, labels brought up to date must be those of a labelling from the beginning. That
// is a claim about this program alone, so nothing from outside is needed. What the search found at
// every boundary must be the same as well, to the last bit: labels alone would hide much. The
// pieces are those of
// tests/data/textbooks (see there) and, where it is installed, of the corpus of chorales.

enum {
  MAX_PINS   = 16,
  MAX_EIGHTH = 8, // Longest note written, in eighths
};

/// A passage being edited
typedef struct {
  QfScore*       score;
  QfLabels*      labels;
  QfLabelOptions options;
  QfPin          pins[MAX_PINS];
  uint64_t       random;
} Desk;

static size_t
draw(Desk* const desk, const size_t n)
{
  desk->random = desk->random * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return n ? (size_t)(desk->random >> 33U) % n : 0;
}

static size_t
draw_voice(Desk* const desk)
{
  return draw(desk, qf_score_n_voices(desk->score));
}

/// A note of any voice, or NULL
static const QfNote*
draw_note(Desk* const desk)
{
  const size_t voice = draw_voice(desk);
  const size_t n     = qf_score_n_notes(desk->score, voice);

  return n ? qf_score_get_note(desk->score, voice, draw(desk, n)) : NULL;
}

static QfTime
draw_time(Desk* const desk)
{
  const double end = 8.0 * qf_time_to_double(qf_score_get_end(desk->score));

  return qf_time((int64_t)draw(desk, (size_t)end), 8);
}

static QfPitch
draw_pitch(Desk* const desk)
{
  return (QfPitch){.letter = (int8_t)draw(desk, 7),
                   .alter  = (int8_t)((int)draw(desk, 3) - 1),
                   .octave = (int8_t)(2 + draw(desk, 4))};
}

static QfKey
draw_key(Desk* const desk)
{
  QfKey key = {0};

  qf_key_from_fifths((int)draw(desk, 9) - 4, draw(desk, 2) ? QF_MINOR : QF_MAJOR, &key);
  return key;
}

// Edits; one that is refused leaves the passage as it is, which is as good a case

static void
change_pitch(Desk* const desk)
{
  const QfNote* const note = draw_note(desk);

  if (note) {
    qf_score_set_pitch(desk->score, note->id, draw_pitch(desk));
  }
}

static void
write_note(Desk* const desk)
{
  qf_score_put_note(desk->score, draw_voice(desk), draw_time(desk),
                    qf_time(1 + (int64_t)draw(desk, MAX_EIGHTH), 8), draw_pitch(desk), QF_NO_NOTE,
                    NULL);
}

static void
change_duration(Desk* const desk)
{
  size_t              voice = 0;
  const QfNote* const found = draw_note(desk);

  if (found && qf_score_find_note(desk->score, found->id, &voice)) {
    const QfNote note = *found;

    qf_score_erase(desk->score, voice, note.start, qf_time_add(note.start, note.duration));
    qf_score_put_note(desk->score, voice, note.start,
                      qf_time(1 + (int64_t)draw(desk, MAX_EIGHTH), 8), note.pitch, note.id, NULL);
  }
}

static void
erase_note(Desk* const desk)
{
  const QfTime start = draw_time(desk);

  qf_score_erase(desk->score, draw_voice(desk), start,
                 qf_time_add(start, qf_time(1 + (int64_t)draw(desk, MAX_EIGHTH), 8)));
}

/// A rest in all voices
static void
erase_all(Desk* const desk)
{
  const QfTime start = draw_time(desk);

  for (size_t v = 0; v < qf_score_n_voices(desk->score); ++v) {
    qf_score_erase(desk->score, v, start, qf_time_add(start, qf_time(3, 8)));
  }
}

/// Everything from a time on comes later or earlier
static void
move_rest(Desk* const desk)
{
  const QfTime   from   = draw_time(desk);
  const QfTime   by     = qf_time((int64_t)draw(desk, 5) - 2, 8);
  QfScore* const before = qf_score_dup(desk->score);

  assert_non_null(before);
  for (size_t v = 0; v < qf_score_n_voices(before); ++v) {
    qf_score_erase(desk->score, v, from, qf_score_get_end(before));
  }
  for (size_t v = 0; v < qf_score_n_voices(before); ++v) {
    for (size_t i = 0; i < qf_score_n_notes(before, v); ++i) {
      const QfNote note = *qf_score_get_note(before, v, i);

      if (qf_time_compare(note.start, from) >= 0) {
        qf_score_put_note(desk->score, v, qf_time_add(note.start, by), note.duration, note.pitch,
                          note.id, NULL);
      }
    }
  }
  qf_score_free(before);
}

static void
transpose(Desk* const desk)
{
  const QfInterval intervals[] = {{1, 2}, {-1, -2}, {3, 5}, {-4, -7}};

  qf_score_transpose(desk->score, intervals[draw(desk, 4)]);
}

static void
turn_fermata(Desk* const desk)
{
  const QfNote* const note = draw_note(desk);

  if (note) {
    qf_score_set_fermata(desk->score, note->start, !qf_score_has_fermata(desk->score, note->start));
  }
}

static void
set_signature(Desk* const desk)
{
  qf_score_set_signature(desk->score, draw_time(desk), draw_key(desk));
}

static void
set_metre(Desk* const desk)
{
  QfMetre metre = {0};

  if (!qf_metre(draw(desk, 2) ? 3 : 4, 4, &metre)) {
    qf_score_set_metre(desk->score, metre);
  }
}

static void
remove_bar(Desk* const desk)
{
  if (qf_score_n_bars(desk->score) > 2) {
    qf_score_remove_last_bar(desk->score);
  }
}

static void
set_pin(Desk* const desk)
{
  static const char* const numerals[] = {"I",  "V7", "V7/ii", "viio7/V",
                                         "iv", "N6", "V9/vi", "ii/o65"};

  const size_t n     = qf_labels_n_links(desk->labels);
  const size_t index = draw(desk, n);

  if (n && desk->options.n_pins < MAX_PINS) {
    QfPin pin = {.start = qf_labels_get_link(desk->labels, index)->start, .key = draw_key(desk)};

    if (!qf_numeral_parse(numerals[draw(desk, 8)], pin.key.mode, &pin.numeral, NULL)) {
      desk->pins[desk->options.n_pins++] = pin;
    }
  }
}

static void
lift_pins(Desk* const desk)
{
  desk->options.n_pins = desk->options.n_pins ? desk->options.n_pins - 1 : 0;
}

static void
declare_key(Desk* const desk)
{
  desk->options.has_key = draw(desk, 2);
  desk->options.key     = draw_key(desk);
}

static void
turn_option(Desk* const desk)
{
  switch (draw(desk, 4)) {
    case 0:
      desk->options.may_modulate = !desk->options.may_modulate;
      return;
    case 1:
      desk->options.naming = (QfNamingKind)draw(desk, 2);
      return;
    case 2:
      desk->options.thresholds = (QfKeyThresholds){(double)draw(desk, 24), (double)draw(desk, 8)};
      return;
    default:
      desk->options.thresholds = (QfKeyThresholds){0.0, 0.0};
  }
}

/// An edit, and how often it is drawn
typedef struct {
  const char* name;
  void (*edit)(Desk* desk);
  size_t weight;
} Edit;

static const Edit edits[] = {
  {"change a pitch", change_pitch, 8},
  {"write a note", write_note, 5},
  {"change a duration", change_duration, 5},
  {"erase", erase_note, 3},
  {"erase all voices", erase_all, 1},
  {"move the rest", move_rest, 3},
  {"transpose", transpose, 1},
  {"turn a fermata", turn_fermata, 3},
  {"set a signature", set_signature, 1},
  {"set the metre", set_metre, 1},
  {"remove a bar", remove_bar, 1},
  {"set a pin", set_pin, 3},
  {"lift a pin", lift_pins, 2},
  {"declare a key", declare_key, 1},
  {"turn an option", turn_option, 2},
};

static const Edit*
draw_edit(Desk* const desk)
{
  const size_t n     = sizeof(edits) / sizeof(edits[0]);
  size_t       total = 0;

  for (size_t i = 0; i < n; ++i) {
    total += edits[i].weight;
  }

  size_t place = draw(desk, total);
  size_t i     = 0;

  while (place >= edits[i].weight) {
    place -= edits[i++].weight;
  }
  return &edits[i];
}

/// Index of a boundary at which the search has found something else, or SIZE_MAX
static size_t
differing_layer(const QfTrellis* const a, const QfTrellis* const b)
{
  assert_int_equal(a->n_layers, b->n_layers);
  for (size_t i = 0; i < a->n_layers; ++i) {
    const QfLayer* const one   = &a->layers[i];
    const QfLayer* const other = &b->layers[i];

    if (one->n_nodes != other->n_nodes || one->least < other->least || one->least > other->least ||
        (one->n_nodes && memcmp(one->nodes, other->nodes, one->n_nodes * sizeof(QfNode)))) {
      return i;
    }
  }
  return SIZE_MAX;
}

static bool
has_notes(const QfScore* const score)
{
  size_t n = 0;

  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    n += qf_score_n_notes(score, v);
  }
  return n > 0;
}

static void
check_labels(Desk* const desk, const char* const piece, const int round, const char* const edit)
{
  QfLabels* anew      = NULL;
  char      what[120] = "";

  desk->options.pins = desk->pins;
  assert_int_equal(qf_labels_update(&desk->labels, desk->score, desk->options, NULL), QF_OK);
  assert_int_equal(qf_labels_update(&anew, desk->score, desk->options, NULL), QF_OK);
  if (labels_differ(desk->labels, anew, what, sizeof(what))) {
    fail_msg("%s, edit %d, \"%s\": %s differs", piece, round, edit, what);
  }

  // However far the key of a pin is, it is reached.
  assert_int_equal(qf_labels_n_links(anew) > 0, has_notes(desk->score));

  const size_t layer = differing_layer(&desk->labels->memory->trellis, &anew->memory->trellis);

  if (layer != SIZE_MAX) {
    fail_msg("%s, edit %d, \"%s\": boundary %zu differs", piece, round, edit, layer);
  }
  qf_labels_free(anew);
}

/// Edit a piece so often (takes the score), keeping its labels up to date
static void
edit_piece(QfScore* const score, const char* const piece, const int n_edits)
{
  Desk desk = {.score = score, .options.may_modulate = true, .random = strlen(piece)};

  for (const char* c = piece; *c; ++c) {
    desk.random = desk.random * 31U + (unsigned char)*c;
  }

  check_labels(&desk, piece, 0, "open");
  for (int round = 1; round <= n_edits; ++round) {
    const Edit* const edit = draw_edit(&desk);

    edit->edit(&desk);
    // Sometimes two edits come between two looks at the labels.
    if (draw(&desk, 8)) {
      check_labels(&desk, piece, round, edit->name);
    }
  }
  qf_labels_free(desk.labels);
  qf_score_free(desk.score);
}

static QfScore*
read_score(const char* const path)
{
  void*    data   = NULL;
  size_t   length = 0;
  QfScore* score  = NULL;

  assert_int_equal(qf_file_read(path, &data, &length, NULL), QF_OK);
  assert_int_equal(qf_musicxml_read(data, length, &score, NULL, NULL), QF_OK);
  free(data);
  return score;
}

static void
test_update_is_exact_on_textbooks(void** state)
{
  static const char* const pieces[] = {"tchaikovsky-189", "tchaikovsky-183b", "reger-99a",
                                       "rimsky-23g"};

  (void)state;
  for (size_t i = 0; i < sizeof(pieces) / sizeof(pieces[0]); ++i) {
    char path[512];

    snprintf(path, sizeof(path), "%s/textbooks/%s/score.musicxml", QF_TEST_DATA, pieces[i]);
    edit_piece(read_score(path), pieces[i], 80);
  }
}

/// Pieces end to end, so that there is more than the edit and its surroundings
static QfScore*
join(const char* const* const pieces, const size_t n_pieces)
{
  const QfKey    c_major = {{0, 0}, QF_MAJOR};
  QfMetre        metre   = {0};
  QfTime         start   = QF_TIME_ZERO;
  QfScore* const joined =
    qf_metre(4, 4, &metre) ? NULL : qf_score_new_satb(c_major, metre, QF_TIME_ZERO, 1);

  assert_non_null(joined);
  for (size_t i = 0; i < n_pieces; ++i) {
    char path[512];

    snprintf(path, sizeof(path), "%s/textbooks/%s/score.musicxml", QF_TEST_DATA, pieces[i]);

    QfScore* const score = read_score(path);

    for (size_t v = 0; v < qf_score_n_voices(score) && v < qf_score_n_voices(joined); ++v) {
      for (size_t n = 0; n < qf_score_n_notes(score, v); ++n) {
        const QfNote* const note = qf_score_get_note(score, v, n);

        assert_int_equal(qf_score_put_note(joined, v, qf_time_add(start, note->start),
                                           note->duration, note->pitch, QF_NO_NOTE, NULL),
                         QF_OK);
      }
    }
    start = qf_time_add(start, qf_score_get_end(score));
    qf_score_free(score);
  }
  return joined;
}

static void
test_update_is_exact_in_a_long_piece(void** state)
{
  static const char* const pieces[] = {"tchaikovsky-189", "tchaikovsky-183b", "tchaikovsky-185b",
                                       "tchaikovsky-195", "tchaikovsky-183d", "reger-99b"};

  (void)state;
  edit_piece(join(pieces, sizeof(pieces) / sizeof(pieces[0])), "a long piece", 160);
}

static void
test_update_is_exact_on_chorales(void** state)
{
  static const char* const pieces[] = {"001", "005"};
  const char* const        named    = getenv("QUINTFALL_CORPUS");
  char                     path[600];

  (void)state;
  for (size_t i = 0; i < sizeof(pieces) / sizeof(pieces[0]); ++i) {
    snprintf(path, sizeof(path), "%s%s/chorales/%s/score.musicxml", named ? named : QF_SOURCE_ROOT,
             named ? "" : "/../shared/corpus", pieces[i]);
    if (access(path, R_OK)) {
      print_message("skipped: no corpus (set QUINTFALL_CORPUS to its folder)\n");
      skip();
    }
    edit_piece(read_score(path), pieces[i], 80);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_update_is_exact_on_textbooks),
    cmocka_unit_test(test_update_is_exact_in_a_long_piece),
    cmocka_unit_test(test_update_is_exact_on_chorales),
  };

  return cmocka_run_group_tests(tests, NULL, NULL);
}
