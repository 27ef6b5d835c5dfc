// SPDX-License-Identifier: MIT
// What one attempt of an answer file says: notes, chords and the scratch line.
#include "answer_read.h"
#include "json_unknown.h"

#include <stdio.h>
#include <string.h>

enum { MAX_NOTE_ID = INT32_MAX - 1 };

static QfStatus
read_note(const Members* const members, void* const data)
{
  QfTry* const try   = (QfTry*)data;
  QfNote       note  = {.start = QF_TIME_ZERO, .duration = QF_TIME_ZERO};
  NoteMark     mark  = {0};
  int64_t      id    = 0;
  int64_t      voice = 0;
  const char*  pitch = "";
  QfStatus     st    = json_read_int(members, "id", true, 1, MAX_NOTE_ID, &id);
  st = st ? st : json_read_int(members, "voice", true, 0, QF_MAX_VOICES - 1, &voice);
  st = st ? st : json_read_time(members, "start", true, &note.start);
  st = st ? st : json_read_time(members, "duration", true, &note.duration);
  st = st ? st : json_read_string(members, "pitch", true, 32, &pitch);
  st = st ? st : json_read_bool(members, "is_doubtful", &mark.is_doubtful);
  st = st ? st : json_read_bool(members, "is_degree_only", &mark.is_degree_only);
  if (st) {
    return st;
  }
  if (qf_pitch_parse(pitch, &note.pitch, NULL)) {
    return json_read_fail(members, "pitch", "a pitch such as \"F#4\"");
  }
  if (qf_score_find_note(try->score, (uint32_t)id, NULL)) {
    return json_read_fail(members, "id", "a number that no other note has");
  }

  QfError fault = {0};
  note.id       = (uint32_t)id;
  mark.note     = note.id;
  st            = try_put_note(try, (size_t)voice, note, NULL, &fault);
  if (st == QF_ERR_RANGE) {
    return qf_error_set(members->error, QF_ERR_BAD_FILE, "%s: %s", members->place, fault.text);
  }
  return st ? st : try_set_mark(try, mark);
}

static QfStatus
read_kind(const Members* const members, QfAnswerChord* const chord)
{
  const char*    word = NULL;
  const QfStatus st   = json_read_string(members, "quality", false, 40, &word);
  if (st || !word) {
    return st;
  }
  for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
    if (!strcmp(word, qf_chord_kind_id((QfChordKind)k))) {
      chord->has_kind = true;
      chord->kind     = (QfChordKind)k;
      return QF_OK;
    }
  }
  return json_read_fail(members, "quality", "a chord quality such as \"dom7\"");
}

static QfStatus
read_chord(const Members* const members, void* const data)
{
  QfTry* const  try   = (QfTry*)data;
  QfAnswerChord chord = {.start = QF_TIME_ZERO};
  QfStatus      st    = json_read_time(members, "start", true, &chord.start);
  st                  = st ? st : read_kind(members, &chord);
  st = st ? st : json_read_text_into(members, "numeral", chord.numeral, sizeof(chord.numeral));
  st = st ? st : json_read_key(members, "key", false, &chord.key);
  st = st ? st : json_read_bool(members, "is_doubtful", &chord.is_doubtful);
  if (st) {
    return st;
  }
  chord.has_key = json_read_member(members, "key");
  if (qf_try_chord_at(try, chord.start)) {
    return json_read_fail(members, "start", "a time that no other chord has");
  }
  st = try_put_chord(try, chord);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "at most 10000 chords") : st;
}

static QfStatus
read_scratch(const Members* const members, void* const data)
{
  QfTry* const try     = (QfTry*)data;
  QfScratch    scratch = {.start = QF_TIME_ZERO};
  int64_t      voice   = 0;
  int64_t      degree  = 0;
  int64_t      alter   = 0;
  const char*  word    = contour_words[0];
  QfStatus     st      = json_read_int(members, "voice", true, 0, QF_MAX_VOICES - 1, &voice);
  st                   = st ? st : json_read_time(members, "start", true, &scratch.start);
  st                   = st ? st : json_read_string(members, "contour", false, 20, &word);
  st                   = st ? st : json_read_int(members, "degree", false, 0, 7, &degree);
  st                   = st ? st : json_read_int(members, "alter", false, -2, 2, &alter);
  if (st) {
    return st;
  }
  int contour = 0;
  while (contour < QF_CONTOUR_N_KINDS && strcmp(word, contour_words[contour])) {
    ++contour;
  }
  if (contour == QF_CONTOUR_N_KINDS) {
    return json_read_fail(members, "contour",
                          "\"none\", \"same\", \"step-up\", \"step-down\", \"leap-up\" or "
                          "\"leap-down\"");
  }
  scratch.voice   = (uint8_t)voice;
  scratch.contour = (QfContour)contour;
  scratch.degree  = (int8_t)degree;
  scratch.alter   = (int8_t)alter;
  st              = try_put_scratch(try, scratch);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "at most 10000 marks") : st;
}

QfStatus
answer_read_attempt(const Members* const members, void* const data)
{
  static const char* const known[] = {"at", "notes", "chords", "scratch", NULL};

  QfAnswer* const answer = (QfAnswer*)data;
  char            at[QF_ANSWER_TIME_SIZE];
  if (answer->n_tries == QF_MAX_ATTEMPTS) {
    return json_read_fail(members, NULL, "at most 99 attempts");
  }
  QfStatus st = answer_read_time_of_day(members, at);
  if (st) {
    return st;
  }
  QfTry* const try = try_new(qf_answer_get_frame(answer), at);
  if (!try) {
    return QF_ERR_NO_MEM;
  }
  answer->tries[answer->n_tries++] = try;
  st                               = json_read_list(members, "notes", false, read_note, try);
  st = st ? st : json_read_list(members, "chords", false, read_chord, try);
  st = st ? st : json_read_list(members, "scratch", false, read_scratch, try);
  return st ? st : json_keep_unknown(&answer->unknown, members, members->place, known);
}
