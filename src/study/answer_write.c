// SPDX-License-Identifier: MIT
#include "answer_impl.h"
#include "json_text.h"
#include "json_unknown.h"
#include "json_write.h"
#include "study_json.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char* const contour_words[QF_CONTOUR_N_KINDS] = {
  [QF_CONTOUR_NONE] = "none",       [QF_CONTOUR_SAME] = "same",
  [QF_CONTOUR_STEP_UP] = "step-up", [QF_CONTOUR_STEP_DOWN] = "step-down",
  [QF_CONTOUR_LEAP_UP] = "leap-up", [QF_CONTOUR_LEAP_DOWN] = "leap-down",
};

static void
write_flag(json_object* const object, const char* const name, const bool value)
{
  if (value) {
    json_write_bool(object, name, true);
  }
}

static json_object*
note_json(const QfTry* const try, const size_t voice, const QfNote* const note)
{
  json_object* const object = json_object_new_object();
  char               pitch[16];
  qf_pitch_write(note->pitch, pitch, sizeof(pitch));
  json_write_int(object, "id", note->id);
  json_write_int(object, "voice", (int64_t)voice);
  json_write_time(object, "start", note->start);
  json_write_time(object, "duration", note->duration);
  json_write_text(object, "pitch", pitch);
  write_flag(object, "is_doubtful", qf_try_is_doubtful(try, note->id));
  write_flag(object, "is_degree_only", qf_try_is_degree_only(try, note->id));
  return object;
}

static json_object*
notes_json(const QfTry* const try)
{
  json_object* const array = json_object_new_array();
  for (size_t v = 0; v < qf_score_n_voices(try->score); ++v) {
    for (size_t i = 0; i < qf_score_n_notes(try->score, v); ++i) {
      const QfNote* const note = qf_score_get_note(try->score, v, i);
      if (!qf_try_is_given(try, note->id)) {
        json_object_array_add(array, note_json(try, v, note));
      }
    }
  }
  return array;
}

static json_object*
chords_json(const QfTry* const try)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < try->n_chords; ++i) {
    const QfAnswerChord* const chord  = &try->chords[i];
    json_object* const         object = json_object_new_object();
    json_write_time(object, "start", chord->start);
    if (chord->has_kind) {
      json_write_text(object, "quality", qf_chord_kind_id(chord->kind));
    }
    if (chord->numeral[0]) {
      json_write_text(object, "numeral", chord->numeral);
    }
    if (chord->has_key) {
      json_write_key(object, "key", chord->key);
    }
    write_flag(object, "is_doubtful", chord->is_doubtful);
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
scratch_json(const QfTry* const try)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < try->n_scratches; ++i) {
    const QfScratch* const scratch = &try->scratches[i];
    json_object* const     object  = json_object_new_object();
    json_write_int(object, "voice", scratch->voice);
    json_write_time(object, "start", scratch->start);
    json_write_text(object, "contour", contour_words[scratch->contour]);
    if (scratch->degree) {
      json_write_int(object, "degree", scratch->degree);
      json_write_int(object, "alter", scratch->alter);
    }
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
attempts_json(const QfAnswer* const answer)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < answer->n_tries; ++i) {
    const QfTry* const try    = answer->tries[i];
    json_object* const object = json_object_new_object();
    char               place[32];
    snprintf(place, sizeof(place), "attempts[%zu]", i);
    json_write_text(object, "at", try->at);
    json_write(object, "notes", notes_json(try));
    json_write(object, "chords", chords_json(try));
    json_write(object, "scratch", scratch_json(try));
    json_write_unknown(object, answer->unknown, place);
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
heard_json(const QfAnswer* const answer)
{
  json_object* const array    = json_object_new_array();
  const size_t       n_voices = qf_score_n_voices(qf_answer_get_frame(answer));
  for (size_t i = 0; i < answer->n_heard; ++i) {
    const QfHeard* const heard  = &answer->heard[i];
    json_object* const   object = json_object_new_object();
    char                 forward[32];
    qf_forward_write(heard->forward, n_voices, forward, sizeof(forward));
    json_write_text(object, "at", heard->at);
    json_write_int(object, "attempt", (int64_t)heard->attempt);
    json_write_text(object, "forward", forward);
    json_write_number(object, "tempo_factor", heard->tempo_factor);
    json_write_time(object, "from", heard->from);
    json_write_time(object, "to", heard->to);
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
replies_json(const QfAnswer* const answer)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < answer->n_replies; ++i) {
    const QfReply* const reply  = &answer->replies[i];
    json_object* const   object = json_object_new_object();
    json_write_text(object, "at", reply->at);
    json_write_text(object, "question", reply->question);
    json_write_text(object, "text", reply->text);
    json_write_bool(object, "is_right", reply->is_right);
    json_write_int(object, "hints", reply->n_hints);
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
slots_json(const QfAnswer* const answer)
{
  json_object* const array = json_object_new_array();
  for (size_t v = 0; v < qf_score_n_voices(qf_answer_get_frame(answer)); ++v) {
    json_object* const voice = json_object_new_array();
    for (size_t i = 0; i < answer->n_slots[v]; ++i) {
      const QfSlot* const slot   = &answer->slots[v][i];
      json_object* const  object = json_object_new_object();
      json_write_time(object, "start", slot->start);
      json_write_time(object, "duration", slot->duration);
      write_flag(object, "is_given", slot->is_given);
      json_object_array_add(voice, object);
    }
    json_object_array_add(array, voice);
  }
  return array;
}

static json_object*
spans_json(const QfAnswer* const answer)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < answer->n_spans; ++i) {
    char text[48];
    qf_time_write(answer->spans[i], text, sizeof(text));
    json_object_array_add(array, json_text_string(text));
  }
  return array;
}

static json_object*
study_json(const QfAnswer* const answer)
{
  json_object* const object = json_object_new_object();
  study_json_add(object, answer->study);
  json_write_unknown(object, answer->unknown, "study");
  return object;
}

static json_object*
student_json(const QfAnswer* const answer)
{
  json_object* const object = json_object_new_object();
  json_write_text(object, "name", answer->student);
  json_write_text(object, "id", answer->student_id);
  json_write_unknown(object, answer->unknown, "student");
  return object;
}

QfStatus
qf_answer_to_json(const QfAnswer* const answer, char** const json, QfError* const error)
{
  char*              frame  = NULL;
  const QfStatus     st     = qf_lesson_to_json(answer->frame, &frame, error);
  json_object* const object = st ? NULL : json_object_new_object();
  if (!object) {
    free(frame);
    return st ? st : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  json_write_text(object, "format", ANSWER_FORMAT);
  json_write_int(object, "version", answer->version);
  json_write_text(object, "title", answer->title);
  json_write_text(object, "digest", answer->digest);
  json_write(object, "student", student_json(answer));
  json_write(object, "study", study_json(answer));
  json_write_key(object, "key", answer->key);
  json_write(object, "frame", json_tokener_parse(frame));
  json_write(object, "slots", slots_json(answer));
  json_write(object, "spans", spans_json(answer));
  json_write(object, "attempts", attempts_json(answer));
  json_write(object, "heard", heard_json(answer));
  json_write(object, "replies", replies_json(answer));
  if (answer->packed) {
    json_write_text(object, "packed", answer->packed);
  }
  json_write_unknown(object, answer->unknown, "");
  free(frame);
  return json_text_take(object, json, error);
}
