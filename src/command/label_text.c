// SPDX-License-Identifier: MIT
#include "label_text.h"

#include "json_out.h"

#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/// Texts of one link, as both forms need them
typedef struct {
  char place[40];
  char key[16];
  char numeral[QF_NUMERAL_TEXT_SIZE];
  char symbol[32];
  char motion[48];
} Texts;

static Texts
texts_of(const QfScore* const score, const QfLabel* const link)
{
  Texts texts = {0};
  qf_score_write_place(score, link->start, texts.place, sizeof(texts.place));
  if (link->is_known) {
    qf_key_write(link->key, texts.key, sizeof(texts.key));
    qf_numeral_write(&link->numeral, link->key.mode, texts.numeral, sizeof(texts.numeral));
    qf_chord_write_symbol(link->chord, false, texts.symbol, sizeof(texts.symbol));
  }
  if (link->has_next) {
    qf_root_motion_describe(link->motion, texts.motion, sizeof(texts.motion));
  }

  return texts;
}

/// The cadences, each with its place
static void
add_cadences(const QfScore* const score, const QfLabels* const labels, QfText* const out)
{
  for (size_t i = 0; i < qf_labels_n_cadences(labels); ++i) {
    const QfCadence* const cadence = qf_labels_get_cadence(labels, i);
    char                   place[40];

    qf_score_write_place(score, qf_labels_get_link(labels, cadence->arrival)->start, place,
                         sizeof(place));
    qf_text_addf(out, "%s%-12s %s\n", i ? "" : "\n", place, cadence->reason);
  }
}

char*
labels_to_table(const QfScore* const score, const QfLabels* const labels, const bool has_reasons)
{
  QfText out = {0};
  char   key[16];
  qf_key_write(qf_labels_get_key(labels), key, sizeof(key));
  const char* const title = qf_score_get_title(score);
  qf_text_addf(&out, "%s%s%s\n\n", title, title[0] ? "\n" : "", key);
  qf_text_addf(&out, "%-12s %-10s %-12s %-10s %-22s %s\n", "place", "key", "numeral", "chord",
               "root motion", "expected resolution");

  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const link  = qf_labels_get_link(labels, i);
    const Texts          texts = texts_of(score, link);
    qf_text_addf(&out, "%-12s %-10s %-12s %-10s %-22s %s\n", texts.place, texts.key,
                 link->is_known ? texts.numeral : "?", texts.symbol, texts.motion,
                 link->resolution == QF_RESOLUTION_NONE ? ""
                                                        : qf_resolution_name(link->resolution));
    for (size_t r = 0; has_reasons && r < link->n_reasons; ++r) {
      qf_text_addf(&out, "    %s\n", link->reasons[r].text);
    }
  }

  for (size_t i = 0; i < qf_labels_n_chains(labels); ++i) {
    qf_text_addf(&out, "%s%s\n", i ? "" : "\n", qf_labels_get_chain(labels, i)->name);
  }
  add_cadences(score, labels, &out);
  for (size_t i = 0; i < qf_labels_n_key_spans(labels); ++i) {
    qf_text_addf(&out, "%s%s\n", i ? "" : "\n", qf_labels_get_key_span(labels, i)->reason);
  }

  return qf_text_take(&out);
}

static json_object*
reasons_to_json(const QfLabel* const link)
{
  json_object* const list = json_object_new_array();
  for (size_t i = 0; i < link->n_reasons; ++i) {
    json_object_array_add(list, json_object_new_string(link->reasons[i].text));
  }

  return list;
}

static json_object*
readings_to_json(const QfLabel* const link)
{
  json_object* const list = json_object_new_array();
  for (size_t i = 0; i < link->n_readings; ++i) {
    const QfReading* const reading = &link->readings[i];
    json_object* const     object  = json_object_new_object();
    char                   text[QF_NUMERAL_TEXT_SIZE];

    qf_key_write(reading->key, text, sizeof(text));
    json_add_text(object, "key", text);
    qf_numeral_write(&reading->numeral, reading->key.mode, text, sizeof(text));
    json_add_text(object, "numeral", text);
    json_object_object_add(object, "score", json_object_new_double(reading->score));
    json_add_text(object, "for", reading->text);
    json_object_array_add(list, object);
  }

  return list;
}

static json_object*
foreign_to_json(const QfScore* const score, const QfLabel* const link)
{
  json_object* const list = json_object_new_array();
  for (size_t i = 0; i < link->n_foreign; ++i) {
    size_t              voice  = 0;
    const QfNote* const note   = qf_score_find_note(score, link->foreign[i].note, &voice);
    json_object* const  object = json_object_new_object();
    char                text[40];

    qf_pitch_write(note->pitch, text, sizeof(text));
    json_add_text(object, "pitch", text);
    qf_score_write_place(score, note->start, text, sizeof(text));
    json_add_text(object, "place", text);
    json_object_object_add(object, "voice", json_object_new_int64((int64_t)voice + 1));
    json_add_text(object, "kind", qf_foreign_kind_name(link->foreign[i].kind));
    json_object_array_add(list, object);
  }

  return list;
}

static json_object*
key_to_json(const QfLabels* const labels, const QfKeySpan* const span)
{
  json_object* const object = json_object_new_object();
  char               key[16];

  qf_key_write(span->key, key, sizeof(key));
  json_add_text(object, "key", key);
  json_object_object_add(object, "first", json_object_new_int64((int64_t)span->first));
  json_object_object_add(object, "last", json_object_new_int64((int64_t)span->last));
  json_object_object_add(object, "beats", json_object_new_double(span->beats));
  json_object_object_add(object, "tonicization", json_object_new_boolean(span->is_tonicization));
  if (span->cadence != SIZE_MAX) {
    const size_t arrival = qf_labels_get_cadence(labels, span->cadence)->arrival;
    json_object_object_add(object, "cadence", json_object_new_int64((int64_t)arrival));
  }
  json_add_text(object, "reason", span->reason);
  return object;
}

static json_object*
cadence_to_json(const QfCadence* const cadence)
{
  json_object* const object = json_object_new_object();
  char               key[16];

  qf_key_write(cadence->key, key, sizeof(key));
  json_add_text(object, "kind", qf_cadence_kind_name(cadence->kind));
  json_add_text(object, "key", key);
  json_object_object_add(object, "from", json_object_new_int64((int64_t)cadence->from));
  json_object_object_add(object, "arrival", json_object_new_int64((int64_t)cadence->arrival));
  json_add_text(object, "reason", cadence->reason);
  return object;
}

static json_object*
link_to_json(const QfScore* const score, const QfLabel* const link)
{
  json_object* const object = json_object_new_object();
  const Texts        texts  = texts_of(score, link);

  json_add_time(object, "start", link->start);
  json_add_time(object, "end", link->end);
  json_add_text(object, "place", texts.place);
  if (link->is_known) {
    json_add_text(object, "key", texts.key);
    json_add_text(object, "numeral", texts.numeral);
    json_add_text(object, "quality", qf_chord_kind_id(link->chord.kind));
    json_add_text(object, "symbol", texts.symbol);
    json_add_text(object, "function", qf_function_name(qf_numeral_function(&link->numeral)));
    json_object_object_add(object, "inversion", json_object_new_int(link->chord.inversion));
    json_object_object_add(object, "pinned", json_object_new_boolean(link->is_pinned));
    json_object_object_add(object, "sureness", json_object_new_double(link->sureness));
  }
  if (link->has_next) {
    json_add_text(object, "motion", texts.motion);
  }
  if (link->resolution != QF_RESOLUTION_NONE) {
    json_add_text(object, "resolution", qf_resolution_name(link->resolution));
  }
  json_object_object_add(object, "reasons", reasons_to_json(link));
  json_object_object_add(object, "readings", readings_to_json(link));
  json_object_object_add(object, "foreign", foreign_to_json(score, link));
  return object;
}

char*
labels_to_json(const QfScore* const score, const QfLabels* const labels)
{
  json_object* const root     = json_object_new_object();
  json_object* const links    = json_object_new_array();
  json_object* const chains   = json_object_new_array();
  json_object* const cadences = json_object_new_array();
  json_object* const keys     = json_object_new_array();
  char               key[16];

  qf_key_write(qf_labels_get_key(labels), key, sizeof(key));
  json_add_text(root, "title", qf_score_get_title(score));
  json_add_text(root, "key", key);
  json_object_object_add(root, "links", links);
  json_object_object_add(root, "chains", chains);
  json_object_object_add(root, "cadences", cadences);
  json_object_object_add(root, "keys", keys);

  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    json_object_array_add(links, link_to_json(score, qf_labels_get_link(labels, i)));
  }

  for (size_t i = 0; i < qf_labels_n_chains(labels); ++i) {
    const QfChain* const chain  = qf_labels_get_chain(labels, i);
    json_object* const   object = json_object_new_object();
    json_add_text(object, "name", chain->name);
    json_object_object_add(object, "first", json_object_new_int64((int64_t)chain->first));
    json_object_object_add(object, "last", json_object_new_int64((int64_t)chain->last));
    json_object_object_add(object, "goal", json_object_new_int64((int64_t)chain->goal));
    json_object_array_add(chains, object);
  }

  for (size_t i = 0; i < qf_labels_n_cadences(labels); ++i) {
    json_object_array_add(cadences, cadence_to_json(qf_labels_get_cadence(labels, i)));
  }

  for (size_t i = 0; i < qf_labels_n_key_spans(labels); ++i) {
    json_object_array_add(keys, key_to_json(labels, qf_labels_get_key_span(labels, i)));
  }

  return json_take_text(root);
}
