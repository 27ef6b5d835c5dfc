// SPDX-License-Identifier: MIT
#include "index.h"

#include "quintfall/file.h"

#include <json-c/json.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct IndexImpl {
  json_object* root;
  json_object* exercises; ///< Owned by the root
};

static void
add_text(json_object* const object, const char* const name, const char* const text)
{
  json_object_object_add(object, name, json_object_new_string(text));
}

/// A number with two digits after its point: more would say nothing
static json_object*
new_number(const double value)
{
  char text[32];
  snprintf(text, sizeof(text), "%.2f", value);
  return json_object_new_double_s(value, text);
}

Index*
index_new(const QfWorkbookOptions* const options)
{
  Index* const       index = (Index*)calloc(1, sizeof(Index));
  json_object* const root  = json_object_new_object();
  json_object* const list  = json_object_new_array();
  if (!index || !root || !list) {
    free(index);
    json_object_put(root);
    json_object_put(list);
    return NULL;
  }

  char seed[24];
  snprintf(seed, sizeof(seed), "%llu", (unsigned long long)options->exercises.seed);
  add_text(root, "format", "quintfall-set");
  json_object_object_add(root, "version", json_object_new_int(1));
  // A seed may be larger than the numbers that every reader of JSON keeps exact.
  add_text(root, "seed", seed);
  json_object_object_add(root, "level", json_object_new_int(options->exercises.level));
  add_text(root, "weights", qf_weights_name(options->exercises.weights));
  json_object_object_add(root, "exercises", list);
  *index = (Index){root, list};
  return index;
}

void
index_free(Index* const index)
{
  if (index) {
    json_object_put(index->root);
    free(index);
  }
}

/// The chain in RomanText, keys written where they change
static void
write_functions(const QfExercise* const exercise, char* const text, const size_t size)
{
  size_t length = 0;
  for (size_t i = 0; i < exercise->n_links && length < size; ++i) {
    const QfLink* const link = &exercise->links[i];
    char                key[16];
    char                numeral[QF_NUMERAL_TEXT_SIZE];
    const bool          is_new = i == 0 || !qf_key_equals(link->key, exercise->links[i - 1U].key);
    qf_key_write_short(link->key, key, sizeof(key));
    qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
    length += (size_t)snprintf(text + length, size - length, "%s%s%s%s", i ? " " : "",
                               is_new ? key : "", is_new ? ": " : "", numeral);
  }
}

static json_object*
new_difficulty(const QfDifficulty* const difficulty)
{
  json_object* const object = json_object_new_object();
  json_object* const parts  = json_object_new_object();
  for (int p = 0; p < QF_DIFFICULTY_N_PARTS; ++p) {
    json_object* const part = json_object_new_object();
    json_object_object_add(part, "count", new_number(difficulty->counts[p]));
    json_object_object_add(part, "points", new_number(difficulty->points[p]));
    json_object_object_add(parts, qf_difficulty_part_id((QfDifficultyPart)p), part);
  }
  json_object_object_add(object, "total", new_number(difficulty->total));
  json_object_object_add(object, "parts", parts);
  return object;
}

QfStatus
index_add(Index* const             index,
          const QfExercise* const  exercise,
          const char* const* const files,
          QfError* const           error)
{
  json_object* const entry = json_object_new_object();
  json_object* const names = json_object_new_array();
  json_object* const uses  = json_object_new_array();
  char               functions[QF_EXERCISE_MAX_CHORDS * 24];
  char               key[16];
  char               metre[32];
  if (!entry || !names || !uses || json_object_array_add(index->exercises, entry)) {
    json_object_put(entry);
    json_object_put(names);
    json_object_put(uses);
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  qf_key_write(exercise->key, key, sizeof(key));
  qf_metre_write(exercise->metre, metre, sizeof(metre));
  write_functions(exercise, functions, sizeof(functions));
  for (size_t i = 0; files[i]; ++i) {
    json_object_array_add(names, json_object_new_string(files[i]));
  }
  for (unsigned bit = 0; bit < QF_USE_N_BITS; ++bit) {
    if (exercise->uses & (1U << bit)) {
      json_object_array_add(uses, json_object_new_string(qf_use_id((QfUse)(1U << bit))));
    }
  }
  add_text(entry, "title", qf_score_get_title(qf_lesson_get_score(exercise->lesson)));
  json_object_object_add(entry, "level", json_object_new_int(exercise->level));
  add_text(entry, "key", key);
  add_text(entry, "metre", metre);
  add_text(entry, "rhythm", qf_harmonic_rhythm_name(exercise->rhythm));
  add_text(entry, "modulation", qf_modulation_name(exercise->modulation));
  add_text(entry, "functions", functions);
  json_object_object_add(entry, "uses", uses);
  json_object_object_add(entry, "difficulty", new_difficulty(&exercise->difficulty));
  json_object_object_add(entry, "files", names);
  return QF_OK;
}

QfStatus
index_write(const Index* const index, const char* const path, QfError* const error)
{
  const int         flags = JSON_C_TO_STRING_PRETTY | JSON_C_TO_STRING_NOSLASHESCAPE;
  const char* const text  = json_object_to_json_string_ext(index->root, flags);
  return text ? qf_file_write(path, text, strlen(text), error)
              : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
}
