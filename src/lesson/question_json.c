// SPDX-License-Identifier: MIT
#include "json_text.h"
#include "json_write.h"
#include "questions.h"

#include <stdio.h>
#include <string.h>

const char* const question_members[] = {
  "id",      "stage",   "layer", "form",  "key",   "start",  "end",       "notes",      "prompt",
  "choices", "answers", "hints", "right", "wrong", "is_own", "is_edited", "is_dropped", NULL};

static void
write_texts(json_object* const object,
            const char* const  name,
            const char* const  texts,
            const size_t       text_size,
            const size_t       n_texts)
{
  if (!n_texts) {
    return;
  }
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < n_texts; ++i) {
    json_object_array_add(array, json_text_string(texts + i * text_size));
  }
  json_write(object, name, array);
}

static void
write_flag(json_object* const object, const char* const name, const bool value)
{
  if (value) {
    json_write_bool(object, name, true);
  }
}

void
question_json_add(json_object* const object, const QfQuestion* const question)
{
  json_object* const notes = json_object_new_array();
  for (size_t i = 0; i < question->n_notes; ++i) {
    json_object_array_add(notes, json_object_new_int64(question->notes[i]));
  }

  json_write_text(object, "id", question->id);
  json_write_text(object, "stage", qf_stage_id(question->stage));
  json_write_text(object, "layer", qf_layer_id(question->layer));
  json_write_text(object, "form", qf_ask_form_id(question->form));
  json_write_key(object, "key", question->key);
  json_write_time(object, "start", question->start);
  json_write_time(object, "end", question->end);
  json_write(object, "notes", notes);
  json_write_text(object, "prompt", question->prompt);
  write_texts(object, "choices", question->choices[0], QF_QUESTION_CHOICE_SIZE,
              question->n_choices);
  write_texts(object, "answers", question->answers[0], QF_QUESTION_CHOICE_SIZE,
              question->n_answers);
  write_texts(object, "hints", question->hints[0], QF_QUESTION_TEXT_SIZE, question->n_hints);
  json_write_text(object, "right", question->right);
  json_write_text(object, "wrong", question->wrong);
  write_flag(object, "is_own", question->is_own);
  write_flag(object, "is_edited", question->is_edited);
  write_flag(object, "is_dropped", question->is_dropped);
}

static QfStatus
read_text(const Members* const members,
          const char* const    name,
          const bool           is_needed,
          char* const          buffer,
          const size_t         size)
{
  const char*    text = "";
  const QfStatus st   = json_read_string(members, name, is_needed, size, &text);
  if (!st) {
    snprintf(buffer, size, "%s", text);
  }
  return st;
}

static QfStatus
read_texts(const Members* const members,
           const char* const    name,
           char* const          texts,
           const size_t         text_size,
           const size_t         max,
           size_t* const        n_texts)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, name, false, &array);
  if (st || !array) {
    return st;
  }
  char expected[64];
  snprintf(expected, sizeof(expected), "at most %zu texts of at most %zu bytes", max,
           text_size - 1U);
  const size_t n_items = json_object_array_length(array);
  for (size_t i = 0; i < n_items; ++i) {
    json_object* const item = json_object_array_get_idx(array, i);
    if (n_items > max || !json_object_is_type(item, json_type_string) ||
        (size_t)json_object_get_string_len(item) >= text_size) {
      return json_read_fail(members, name, expected);
    }
    snprintf(texts + i * text_size, text_size, "%s", json_object_get_string(item));
  }
  *n_texts = n_items;
  return QF_OK;
}

/// Index of a word that is one of several
static QfStatus
read_word(const Members* const members,
          const char* const    name,
          const char* (*word_of)(int),
          const int   n_words,
          const char* expected,
          int* const  result)
{
  const char*    word = "";
  const QfStatus st   = json_read_string(members, name, true, 40, &word);
  if (st) {
    return st;
  }
  for (int i = 0; i < n_words; ++i) {
    if (!strcmp(word, word_of(i))) {
      *result = i;
      return QF_OK;
    }
  }
  return json_read_fail(members, name, expected);
}

static const char*
stage_word(const int stage)
{
  return qf_stage_id((QfStage)stage);
}

static const char*
layer_word(const int layer)
{
  return qf_layer_id((QfLayer)layer);
}

static const char*
form_word(const int form)
{
  return qf_ask_form_id((QfAskForm)form);
}

static QfStatus
read_notes(const Members* const members, QfQuestion* const question)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, "notes", false, &array);
  if (st || !array) {
    return st;
  }
  const size_t n_items = json_object_array_length(array);
  for (size_t i = 0; i < n_items; ++i) {
    json_object* const item = json_object_array_get_idx(array, i);
    const int64_t      id   = json_object_get_int64(item);
    if (n_items > QF_QUESTION_MAX_NOTES || !json_object_is_type(item, json_type_int) || id < 1 ||
        id >= INT32_MAX) {
      return json_read_fail(members, "notes", "at most 4 ids of notes");
    }
    question->notes[i] = (uint32_t)id;
  }
  question->n_notes = n_items;
  return QF_OK;
}

QfStatus
question_json_read(const Members* const members, QfQuestion* const result)
{
  static const char stages[] =
    "\"frame\", \"outer\", \"foreign\", \"quality\", \"function\" or \"inner\"";
  static const char layers[] = "\"bass\", \"soprano\", \"quality\", \"numeral\" or \"inner\"";
  static const char forms[]  = "\"choice\", \"degree\", \"note\", \"sing\" or \"numeral\"";

  QfQuestion q     = {.start = QF_TIME_ZERO, .end = QF_TIME_ZERO};
  int        stage = 0;
  int        layer = 0;
  int        form  = 0;
  QfStatus   st    = read_text(members, "id", true, q.id, sizeof(q.id));
  st    = st ? st : read_word(members, "stage", stage_word, QF_STAGE_N_KINDS, stages, &stage);
  st    = st ? st : read_word(members, "layer", layer_word, QF_LAYER_N_KINDS, layers, &layer);
  st    = st ? st : read_word(members, "form", form_word, QF_ASK_N_KINDS, forms, &form);
  st    = st ? st : json_read_key(members, "key", true, &q.key);
  st    = st ? st : json_read_time(members, "start", false, &q.start);
  q.end = q.start;
  st    = st ? st : json_read_time(members, "end", false, &q.end);
  st    = st ? st : read_notes(members, &q);
  st    = st ? st : read_text(members, "prompt", true, q.prompt, sizeof(q.prompt));
  st    = st ? st
             : read_texts(members, "choices", q.choices[0], QF_QUESTION_CHOICE_SIZE,
                          QF_QUESTION_MAX_CHOICES, &q.n_choices);
  st    = st ? st
             : read_texts(members, "answers", q.answers[0], QF_QUESTION_CHOICE_SIZE,
                          QF_QUESTION_MAX_ANSWERS, &q.n_answers);
  st    = st ? st
             : read_texts(members, "hints", q.hints[0], sizeof(q.hints[0]), QF_QUESTION_MAX_HINTS,
                          &q.n_hints);
  st    = st ? st : read_text(members, "right", false, q.right, sizeof(q.right));
  st    = st ? st : read_text(members, "wrong", false, q.wrong, sizeof(q.wrong));
  st    = st ? st : json_read_bool(members, "is_own", &q.is_own);
  st    = st ? st : json_read_bool(members, "is_edited", &q.is_edited);
  st    = st ? st : json_read_bool(members, "is_dropped", &q.is_dropped);
  if (st) {
    return st;
  }
  q.stage = (QfStage)stage;
  q.layer = (QfLayer)layer;
  q.form  = (QfAskForm)form;

  QfError fault = {0};
  if (qf_question_check(&q, &fault)) {
    return qf_error_set(members->error, QF_ERR_BAD_FILE, "%s: %s", members->place, fault.text);
  }
  *result = q;
  return QF_OK;
}
