// SPDX-License-Identifier: MIT
#include "realise_request.h"

#include "parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static QfExit
check_link(const Request* const request, const size_t link, const char* const option)
{
  if (link < request->links.n_links) {
    return QF_EXIT_DONE;
  }
  fprintf(stderr, "%s: it names chord %zu, but the chain has %zu\n", option, link + 1U,
          request->links.n_links);
  return QF_EXIT_INPUT;
}

static QfExit
take_kept(const RealiseOptions* const options, Request* const request)
{
  for (size_t i = 0; i < options->kept.n_texts; ++i) {
    QfError error  = {0};
    size_t  n_kept = 0;
    QfKept  kept[QF_WRITING_MAX_VOICES];
    if (part_parse_kept(options->kept.texts[i], options->n_voices, kept, &n_kept, &error)) {
      return fail(&error, "--keep");
    }
    if (check_link(request, kept[0].link, "--keep")) {
      return QF_EXIT_INPUT;
    }
    for (size_t k = 0; k < n_kept; ++k) {
      request->kept[request->n_kept++] = kept[k];
    }
  }
  return QF_EXIT_DONE;
}

static QfExit
take_wishes(const RealiseOptions* const options, Request* const request)
{
  QfError error = {0};
  for (size_t i = 0; i < options->doublings.n_texts; ++i) {
    QfDoubling* const wish = &request->doublings[request->n_doublings++];
    if (part_parse_doubling(options->doublings.texts[i], wish, &error)) {
      return fail(&error, "--double");
    }
    if (check_link(request, wish->link, "--double")) {
      return QF_EXIT_INPUT;
    }
  }
  for (size_t i = 0; i < options->ranges.n_texts; ++i) {
    QfVoiceRange range;
    if (part_parse_range(options->ranges.texts[i], options->n_voices, &range, &error)) {
      return fail(&error, "--range");
    }
    size_t at = 0; // The last one given for a voice counts
    while (at < request->n_ranges && request->ranges[at].voice != range.voice) {
      ++at;
    }
    request->ranges[at] = range;
    request->n_ranges += at == request->n_ranges;
  }
  return QF_EXIT_DONE;
}

/// The first note of a line that belongs to a chord and sounds during it, or NULL
static const QfGivenNote*
find_in_line(const Line* const line, const QfLink* const link, const bool is_bass, bool* const has)
{
  QfChord      chord = {0};
  const QfTime end   = qf_time_add(link->start, link->duration);
  *has               = false;
  if (qf_numeral_chord(&link->numeral, link->key, &chord, NULL)) {
    return NULL;
  }
  for (size_t i = 0; i < line->n_notes; ++i) {
    const QfGivenNote* const note = &line->notes[i];
    if (qf_time_compare(note->start, end) >= 0 ||
        qf_time_compare(qf_time_add(note->start, note->duration), link->start) <= 0) {
      continue;
    }
    const int member = qf_chord_member_of(chord, qf_pitch_name(note->pitch));
    *has             = true;
    if (is_bass ? member == chord.inversion : member >= 0) {
      return note;
    }
  }
  return NULL;
}

/// Keep the notes of a line that the chords are to be written around
static QfExit
keep_line(const RealiseOptions* const options, const size_t voice, Request* const request)
{
  const Line* const line = &request->lines[voice];
  for (size_t i = 0; i < request->links.n_links; ++i) {
    bool                     has_notes = false;
    const QfLink* const      link      = &request->links.links[i];
    const QfGivenNote* const note =
      find_in_line(line, link, voice + 1U == (size_t)options->n_voices, &has_notes);
    if (note) {
      request->kept[request->n_kept++] = (QfKept){i, voice, note->pitch};
    } else if (has_notes) {
      char numeral[QF_NUMERAL_TEXT_SIZE];
      qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
      fprintf(stderr, "--line: no note of the %s belongs to chord %zu (%s)\n",
              part_name(options->n_voices, voice), i + 1U, numeral);
      return QF_EXIT_INPUT;
    }
  }
  return QF_EXIT_DONE;
}

/// Read "bass=hymn.musicxml:2"
static QfExit
take_line(const RealiseOptions* const options, const char* const text, Request* const request)
{
  const char* const equals = strchr(text, '=');
  size_t            voice  = 0;
  if (!equals || !equals[1] ||
      !part_find(text, (size_t)(equals - text), options->n_voices, &voice) ||
      request->has_line[voice]) {
    fprintf(stderr,
            "--line: \"%s\" is not VOICE=FILE, such as bass=hymn.musicxml, or the voice has a "
            "line already\n",
            text);
    return QF_EXIT_INPUT;
  }

  char* const path  = strdup(equals + 1);
  char* const colon = path ? strrchr(path, ':') : NULL;
  if (colon) {
    *colon = '\0';
  }
  const LineSource source  = {.path    = path,
                              .voice   = colon ? colon + 1 : NULL,
                              .is_bass = voice + 1U == (size_t)options->n_voices};
  request->has_line[voice] = true;
  const QfExit result      = path ? line_read(source, &request->lines[voice]) : QF_EXIT_MACHINE;
  free(path);
  return result ? result : keep_line(options, voice, request);
}

static QfExit
take_chain(const RealiseOptions* const options, Request* const request)
{
  QfError error = {0};
  if (qf_links_parse(options->chain, options->has_key ? &options->key : NULL, options->metre,
                     &request->links, &error)) {
    char place[64];
    snprintf(place, sizeof(place), "CHAIN, character %zu", error.offset + 1);
    return fail(&error, place);
  }

  const QfLinks* const links = &request->links;
  const QfTime         bar   = qf_metre_bar(links->metre);
  // A chord has a note to be kept in each voice at most, from a line, and those of --keep
  const size_t n_kept  = (links->n_links + options->kept.n_texts) * QF_WRITING_MAX_VOICES;
  request->kept        = (QfKept*)calloc(n_kept, sizeof(QfKept));
  request->on_downbeat = (bool*)calloc(links->n_links + 1U, sizeof(bool));
  for (size_t i = 0; request->on_downbeat && i < links->n_links; ++i) {
    const QfTime counted = qf_time_sub(links->links[i].start, links->pickup);
    request->on_downbeat[i] =
      counted.num >= 0 && !qf_time_compare(counted, qf_time_floor(counted, bar));
  }
  return request->kept && request->on_downbeat ? QF_EXIT_DONE : QF_EXIT_MACHINE;
}

QfExit
request_make(const RealiseOptions* const options, Request* const request)
{
  QfExit result = take_chain(options, request);
  result        = result ? result : take_kept(options, request);
  result        = result ? result : take_wishes(options, request);
  for (size_t i = 0; !result && i < options->lines.n_texts; ++i) {
    result = take_line(options, options->lines.texts[i], request);
  }
  return result;
}

void
request_clear(Request* const request)
{
  for (size_t v = 0; v < QF_WRITING_MAX_VOICES; ++v) {
    if (request->has_line[v]) {
      line_clear(&request->lines[v]);
    }
  }
  free(request->on_downbeat);
  free(request->kept);
  qf_links_clear(&request->links);
}
