// SPDX-License-Identifier: MIT
#include "writings_text.h"

#include "json_out.h"
#include "parts.h"

#include "quintfall/text.h"

static void
add_key(json_object* const object, const QfKey key)
{
  char text[16];
  qf_key_write(key, text, sizeof(text));
  json_add_text(object, "key", text);
}

static json_object*
chord_to_json(const QfLink* const link)
{
  char    numeral[QF_NUMERAL_TEXT_SIZE];
  char    symbol[32] = "";
  QfChord chord      = {0};
  qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
  if (!qf_numeral_chord(&link->numeral, link->key, &chord, NULL)) {
    qf_chord_write_symbol(chord, false, symbol, sizeof(symbol));
  }

  json_object* const object = json_object_new_object();
  json_add_text(object, "numeral", numeral);
  add_key(object, link->key);
  json_add_text(object, "symbol", symbol);
  json_add_time(object, "start", link->start);
  json_add_time(object, "duration", link->duration);
  return object;
}

/// What holds for the whole
static void
add_frame(json_object* const object,
          const QfProfile    profile,
          const QfKey        key,
          const QfMetre      metre,
          const QfTime       pickup,
          const size_t       n_voices)
{
  char text[16];
  qf_metre_write(metre, text, sizeof(text));
  json_add_text(object, "profile", qf_profile_name(profile));
  add_key(object, key);
  json_add_text(object, "metre", text);
  json_add_time(object, "pickup", pickup);

  json_object* const voices = json_object_new_array();
  for (size_t v = 0; v < n_voices; ++v) {
    json_object_array_add(voices, json_object_new_string(part_name(n_voices, v)));
  }
  json_object_object_add(object, "voices", voices);
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
writings_to_json(const QfLinks* const    links,
                 const QfWritings* const writings,
                 const QfProfile         profile)
{
  json_object* const root   = json_object_new_object();
  json_object* const chords = json_object_new_array();
  json_object* const list   = json_object_new_array();
  add_frame(root, profile, links->key, links->metre, links->pickup, writings->n_voices);
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
harmonies_to_json(const QfHarmonies* const harmonies, const QfHarmoniseOptions* const options)
{
  json_object* const root = json_object_new_object();
  json_object* const list = json_object_new_array();
  add_frame(root, options->profile, options->key, options->metre, options->pickup, QF_SATB);
  json_add_text(root, "vocabulary", qf_vocabulary_name(options->vocabulary));
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
