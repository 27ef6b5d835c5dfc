// SPDX-License-Identifier: MIT
// Source of every byte's sense: Standard MIDI Files 1.0 and MIDI 1.0.
#include "smf_parse.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  N_CHANNELS  = 16,
  N_KEYS      = 128,
  PERCUSSION  = 9,
  MAX_NOTES   = 2000000,
  MAX_CHANGES = 100000,
  MAX_TICKS   = 1 << 30,

  META_TRACK_NAME = 0x03,
  META_END        = 0x2F,
  META_TEMPO      = 0x51,
  META_TIME       = 0x58,
  META_KEY        = 0x59,
};

typedef struct {
  const uint8_t* data;
  size_t         at;
  size_t         end; ///< Of the chunk
  int64_t        now; ///< Ticks
  int            status;
  bool           has_ended;
  size_t         track;
  size_t         open[N_CHANNELS][N_KEYS]; ///< Index of the note that sounds, plus one
  QfSmfFile*     file;
  QfRemarks*     remarks;
  QfError*       error;
} Reader;

static QfStatus
broken(const Reader* const reader, const char* const expected)
{
  return qf_error_set(reader->error, QF_ERR_BAD_FILE,
                      "the MIDI file is broken at byte %zu of track %zu; expected %s", reader->at,
                      reader->track + 1U, expected);
}

static QfStatus
no_memory(QfError* const error)
{
  return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading MIDI");
}

static uint32_t
big_endian(const uint8_t* const data, const int n_bytes)
{
  uint32_t value = 0U;
  for (int i = 0; i < n_bytes; ++i) {
    value = (value << 8U) | data[i];
  }
  return value;
}

static QfStatus
parse_vlq(Reader* const reader, uint32_t* const value)
{
  const size_t n_bytes =
    qf_smf_read_vlq(reader->data + reader->at, reader->end - reader->at, value);
  if (!n_bytes) {
    return broken(reader, "a variable-length quantity of at most four bytes");
  }
  reader->at += n_bytes;
  return QF_OK;
}

//
// Notes
//

static QfStatus
start_note(Reader* const reader, const int channel, const int key)
{
  QfSmfFile* const file = reader->file;
  if (file->n_notes == MAX_NOTES) {
    return qf_error_set(reader->error, QF_ERR_UNSUPPORTED, "the MIDI file has more than %d notes",
                        MAX_NOTES);
  }
  if (file->n_notes == file->notes_capacity) {
    const size_t     wanted = file->notes_capacity ? 2U * file->notes_capacity : 256U;
    QfSmfNote* const more   = (QfSmfNote*)realloc(file->notes, wanted * sizeof(*more));
    if (!more) {
      return no_memory(reader->error);
    }
    file->notes          = more;
    file->notes_capacity = wanted;
  }
  file->notes[file->n_notes++] =
    (QfSmfNote){reader->now, reader->now, (uint16_t)reader->track, (uint8_t)channel, (uint8_t)key};
  reader->open[channel][key] = file->n_notes;
  return QF_OK;
}

static void
stop_note(Reader* const reader, const int channel, const int key)
{
  if (reader->open[channel][key]) {
    reader->file->notes[reader->open[channel][key] - 1U].end = reader->now;
    reader->open[channel][key]                               = 0U;
  }
}

static QfStatus
parse_channel_event(Reader* const reader)
{
  const int kind    = reader->status & 0xF0;
  const int channel = reader->status & 0x0F;
  const int n_bytes = kind == 0xC0 || kind == 0xD0 ? 1 : 2;
  if (reader->end - reader->at < (size_t)n_bytes) {
    return broken(reader, "the rest of an event");
  }
  const int first  = reader->data[reader->at];
  const int second = n_bytes > 1 ? reader->data[reader->at + 1U] : 0;
  if ((first | second) & 0x80) {
    return broken(reader, "a data byte below 80");
  }
  reader->at += (size_t)n_bytes;
  if (kind != 0x90 && kind != 0x80) {
    return QF_OK;
  }
  if (channel == PERCUSSION) {
    if (kind == 0x90 && second) {
      qf_remarks_add(reader->remarks, QF_REMARK_PERCUSSION, -1);
    }
    return QF_OK;
  }

  // A key struck again, or struck without velocity, ends what sounds.
  stop_note(reader, channel, first);
  return kind == 0x90 && second ? start_note(reader, channel, first) : QF_OK;
}

//
// Meta events
//

static QfStatus
add_change(const Reader* const reader,
           QfSmfChange** const changes,
           size_t* const       n_changes,
           size_t* const       capacity,
           const QfSmfChange   change)
{
  if (*n_changes == MAX_CHANGES) {
    return QF_OK;
  }
  if (*n_changes == *capacity) {
    const size_t       wanted = *capacity ? 2U * *capacity : 16U;
    QfSmfChange* const more   = (QfSmfChange*)realloc(*changes, wanted * sizeof(*more));
    if (!more) {
      return no_memory(reader->error);
    }
    *changes  = more;
    *capacity = wanted;
  }
  (*changes)[(*n_changes)++] = change;
  return QF_OK;
}

static void
parse_tempo(const Reader* const reader, const uint8_t* const data)
{
  QfSmfFile* const file    = reader->file;
  const uint32_t   quarter = big_endian(data, 3); // microseconds
  const double     tempo   = quarter ? 60e6 / quarter : 0.0;
  if (file->has_tempo) {
    if (fabs(file->tempo - tempo) > 1e-6) {
      qf_remarks_add(reader->remarks, QF_REMARK_TEMPO_CHANGE, -1);
    }
  } else if (tempo < 10.0 || tempo > 400.0) {
    qf_remarks_add(reader->remarks, QF_REMARK_TEMPO, -1);
  } else {
    file->has_tempo = true;
    file->tempo     = tempo;
  }
}

static QfStatus
parse_time(const Reader* const reader, const uint8_t* const data)
{
  QfSmfFile* const file   = reader->file;
  QfSmfChange      change = {.at = reader->now};
  if (data[1] > 6 || qf_metre(data[0], 1 << data[1], &change.metre)) {
    return broken(reader, "a time signature over 1, 2, 4, 8, 16, 32 or 64");
  }
  return add_change(reader, &file->metres, &file->n_metres, &file->metres_capacity, change);
}

static QfStatus
parse_key(const Reader* const reader, const uint8_t* const data)
{
  QfSmfFile* const file   = reader->file;
  QfSmfChange      change = {.at = reader->now};
  const QfMode     mode   = data[1] ? QF_MINOR : QF_MAJOR;
  if (qf_key_from_fifths((int8_t)data[0], mode, &change.key)) {
    return broken(reader, "a key signature of at most seven sharps or flats");
  }
  return add_change(reader, &file->keys, &file->n_keys, &file->keys_capacity, change);
}

static QfStatus
parse_meta_data(Reader* const        reader,
                const int            type,
                const uint8_t* const data,
                const size_t         length)
{
  char* const name = reader->file->names[reader->track];
  if (type == META_TRACK_NAME && !name[0]) {
    qf_copy_text((const char*)data, length, name, QF_NAME_SIZE);
  } else if (type == META_END) {
    reader->has_ended = true;
  } else if (type == META_TEMPO && length >= 3U) {
    parse_tempo(reader, data);
  } else if (type == META_TIME && length >= 2U) {
    return parse_time(reader, data);
  } else if (type == META_KEY && length >= 2U) {
    return parse_key(reader, data);
  }
  return QF_OK;
}

/// A system exclusive or meta event: passed over, or understood
static QfStatus
parse_long_event(Reader* const reader, const int status)
{
  int type = -1;
  if (status == 0xFF) {
    if (reader->at == reader->end) {
      return broken(reader, "the type of a meta event");
    }
    type = reader->data[reader->at++];
  }
  uint32_t length = 0U;
  QfStatus st     = parse_vlq(reader, &length);
  if (!st && length > reader->end - reader->at) {
    st = broken(reader, "an event that ends within its track");
  }
  if (!st && status == 0xFF) {
    st = parse_meta_data(reader, type, reader->data + reader->at, length);
  }
  reader->at += st ? 0U : length;
  reader->status = 0; // running status ends here
  return st;
}

static QfStatus
parse_event(Reader* const reader)
{
  uint32_t delta = 0U;
  QfStatus st    = parse_vlq(reader, &delta);
  if (st) {
    return st;
  }
  reader->now += delta;
  if (reader->now > MAX_TICKS) {
    return broken(reader, "a piece that ends within 2^30 ticks");
  }
  if (reader->at == reader->end) {
    return broken(reader, "an event after its time");
  }

  const int status = reader->data[reader->at];
  if (status == 0xFF || status == 0xF0 || status == 0xF7) {
    reader->at++;
    return parse_long_event(reader, status);
  }
  if (status > 0xF0) {
    return broken(reader, "no system message inside a file");
  }
  if (status & 0x80) {
    reader->at++;
    reader->status = status;
  }
  return reader->status ? parse_channel_event(reader)
                        : broken(reader, "a status byte before the first data byte");
}

//
// Chunks
//

static QfStatus
parse_track(Reader* const reader, const size_t at, const size_t length)
{
  reader->at        = at;
  reader->end       = at + length;
  reader->now       = 0;
  reader->status    = 0;
  reader->has_ended = false;
  memset(reader->open, 0, sizeof(reader->open));

  QfStatus st = QF_OK;
  while (!st && !reader->has_ended && reader->at < reader->end) {
    st = parse_event(reader);
  }
  for (int channel = 0; channel < N_CHANNELS; ++channel) {
    for (int key = 0; key < N_KEYS; ++key) {
      if (reader->open[channel][key]) {
        qf_remarks_add(reader->remarks, QF_REMARK_HANGING_NOTE, -1);
        stop_note(reader, channel, key);
      }
    }
  }
  return st;
}

static QfStatus
parse_header(const uint8_t* const data,
             const size_t         length,
             size_t* const        first_chunk,
             QfSmfFile* const     file,
             QfError* const       error)
{
  if (length < 14U || memcmp(data, "MThd", 4U) != 0) {
    return qf_error_set(error, QF_ERR_BAD_FILE, "not a MIDI file; expected it to begin with MThd");
  }
  const uint32_t header   = big_endian(data + 4, 4);
  const uint32_t format   = big_endian(data + 8, 2);
  const uint32_t division = big_endian(data + 12, 2);
  if (header < 6U || header > length - 8U) {
    return qf_error_set(error, QF_ERR_BAD_FILE, "the MIDI header is %u bytes; expected 6",
                        (unsigned)header);
  }
  if (format > 1U) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED,
                        "the MIDI file is of format %u; expected format 0 or 1", (unsigned)format);
  }
  if (division & 0x8000U) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED,
                        "the MIDI file counts film frames; expected quarter notes");
  }
  if (division == 0U) {
    return qf_error_set(error, QF_ERR_BAD_FILE, "the MIDI file has no ticks per quarter note");
  }
  file->division = (int)division;
  *first_chunk   = 8U + header;
  return QF_OK;
}

/// Go through the chunks; those of an unknown kind are passed over, as the standard asks
static QfStatus
parse_chunks(Reader* const reader, const size_t length, size_t at)
{
  QfStatus st = QF_OK;
  while (!st && length - at >= 8U) {
    const uint32_t size     = big_endian(reader->data + at + 4U, 4);
    const bool     is_track = !memcmp(reader->data + at, "MTrk", 4U);
    reader->at              = at;
    at += 8U;
    if (size > length - at) {
      return broken(reader, "a chunk that ends within the file");
    }
    if (is_track && reader->track == QF_SMF_MAX_TRACKS) {
      return qf_error_set(reader->error, QF_ERR_UNSUPPORTED,
                          "the MIDI file has more than %d tracks", QF_SMF_MAX_TRACKS);
    }
    if (is_track) {
      st = parse_track(reader, at, size);
      reader->track++;
    }
    at += size;
  }
  reader->file->n_tracks = reader->track;
  return st;
}

QfStatus
qf_smf_parse(const uint8_t* const data,
             const size_t         length,
             QfSmfFile* const     file,
             QfRemarks* const     remarks,
             QfError* const       error)
{
  size_t   first_chunk = 0U;
  QfStatus st          = parse_header(data, length, &first_chunk, file, error);
  if (st) {
    return st;
  }

  Reader* const reader = (Reader*)calloc(1, sizeof(*reader));
  if (!reader) {
    return no_memory(error);
  }
  reader->data    = data;
  reader->file    = file;
  reader->remarks = remarks;
  reader->error   = error;
  st              = parse_chunks(reader, length, first_chunk);
  free(reader);
  return st;
}

void
qf_smf_file_clear(QfSmfFile* const file)
{
  free(file->notes);
  free(file->metres);
  free(file->keys);
}
