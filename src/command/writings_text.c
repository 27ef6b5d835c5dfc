// SPDX-License-Identifier: MIT
#include "writings_text.h"

#include "json_out.h"

#include "quintfall/text.h"

static json_object*
chord_to_json(const QfLink* const link)
{
  char numeral[QF_NUMERAL_TEXT_SIZE];
  char key[16];
  char start[48];
  qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
  qf_key_write(link->key, key, sizeof(key));
  qf_time_write(link->start, start, sizeof(start));

  json_object* const chord = json_object_new_object();
  json_object_object_add(chord, "numeral", json_object_new_string(numeral));
  json_object_object_add(chord, "key", json_object_new_string(key));
  json_object_object_add(chord, "start", json_object_new_string(start));
  return chord;
}

static json_object*
pitches_to_json(const QfPitch* const pitches, const size_t n_voices)
{
  json_object* const list = json_object_new_array();
  for (size_t v = 0; v < n_voices; ++v) {
    char text[16];
    qf_pitch_write(pitches[v], text, sizeof(text));
    json_object_array_add(list, json_object_new_string(text));
  }
  return list;
}

static json_object*
writing_to_json(const QfWritings* const writings, const size_t index)
{
  const QfWriting* const writing = &writings->writings[index];
  json_object* const     object  = json_object_new_object();
  json_object* const     chords  = json_object_new_array();
  for (size_t i = 0; i < writings->n_links; ++i) {
    const QfPitch* const pitches = &writing->pitches[i * writings->n_voices];
    json_object_array_add(chords, pitches_to_json(pitches, writings->n_voices));
  }
  json_object_object_add(object, "cost", json_object_new_int(writing->cost));
  json_object_object_add(object, "pitches", chords);
  return object;
}

char*
writings_to_json(const QfLinks* const links, const QfWritings* const writings)
{
  json_object* const root   = json_object_new_object();
  json_object* const chords = json_object_new_array();
  json_object* const list   = json_object_new_array();
  for (size_t i = 0; i < links->n_links; ++i) {
    json_object_array_add(chords, chord_to_json(&links->links[i]));
  }
  for (size_t i = 0; i < writings->n_writings; ++i) {
    json_object_array_add(list, writing_to_json(writings, i));
  }
  json_object_object_add(root, "chords", chords);
  json_object_object_add(root, "writings", list);

  return json_take_text(root);
}

char*
harmonies_to_json(const QfHarmonies* const harmonies)
{
  json_object* const root = json_object_new_object();
  json_object* const list = json_object_new_array();
  for (size_t h = 0; h < harmonies->n_harmonies; ++h) {
    const QfHarmony* const harmony = &harmonies->harmonies[h];
    json_object* const     object  = json_object_new_object();
    json_object* const     chords  = json_object_new_array();
    json_object* const     pitches = json_object_new_array();
    for (size_t i = 0; i < harmonies->n_links; ++i) {
      json_object_array_add(chords, chord_to_json(&harmony->links[i]));
      json_object_array_add(pitches, pitches_to_json(harmony->voicings[i].pitch, QF_SATB));
    }
    json_object_object_add(object, "cost", json_object_new_int(harmony->cost));
    json_object_object_add(object, "chords", chords);
    json_object_object_add(object, "pitches", pitches);
    json_object_array_add(list, object);
  }
  json_object_object_add(root, "harmonies", list);
  return json_take_text(root);
}

char*
harmonies_to_table(const QfHarmonies* const harmonies)
{
  QfText out = {0};
  for (size_t h = 0; h < harmonies->n_harmonies; ++h) {
    const QfHarmony* const harmony = &harmonies->harmonies[h];
    qf_text_addf(&out, "%s%zu, cost %d\n", h ? "\n" : "", h + 1U, harmony->cost);
    for (size_t i = 0; i < harmonies->n_links; ++i) {
      char numeral[QF_NUMERAL_TEXT_SIZE];
      qf_numeral_write(&harmony->links[i].numeral, harmony->links[i].key.mode, numeral,
                       sizeof(numeral));
      qf_text_addf(&out, "%-9s", numeral);
    }
    for (size_t v = 0; v < QF_SATB; ++v) {
      qf_text_add(&out, "\n");
      for (size_t i = 0; i < harmonies->n_links; ++i) {
        char pitch[16];
        qf_pitch_write(harmony->voicings[i].pitch[v], pitch, sizeof(pitch));
        qf_text_addf(&out, "%-9s", pitch);
      }
    }
    qf_text_add(&out, "\n");
  }
  return qf_text_take(&out);
}
