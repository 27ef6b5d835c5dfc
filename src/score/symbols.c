// SPDX-License-Identifier: MIT
#include "quintfall/spelling.h"

#include "frame.h"
#include "tuplets.h"

#include <stdlib.h>

/// What is kept while a voice is written bar by bar
typedef struct {
  const QfScore*    score;
  const VoiceNotes* voice;
  size_t            next; ///< First note that ends after the bar's start
  Piece*            pieces;
  size_t            n_pieces;
  size_t            pieces_capacity;
  Tuplet*           tuplets;
  size_t            tuplets_capacity;
  QfSymbols         symbols;
  size_t            symbols_capacity;
} Writer;

/// A stretch of one piece, wholly inside or wholly outside a tuplet
typedef struct {
  const QfNote* note;
  QfTime        start;  ///< In the score
  QfTime        length; ///< Sounding
  QfTime        from;   ///< Written position in the frame
  int           factor; ///< Of the tuplet, or 1
  const Frame*  frame;
} Run;

static QfStatus
add_piece(Writer* const writer, const Piece piece)
{
  Piece* const grown = (Piece*)qf_array_grow(writer->pieces, &writer->pieces_capacity,
                                             writer->n_pieces + 1U, sizeof(Piece));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  writer->pieces                     = grown;
  writer->pieces[writer->n_pieces++] = piece;
  return QF_OK;
}

/// Cut the voice to one bar, rests filled in
static QfStatus
collect_pieces(Writer* const writer, const QfBar* const bar)
{
  const QfTime origin = qf_time_sub(bar->start, bar->offset);
  const QfTime end    = qf_time_add(bar->start, bar->length);
  QfTime       time   = bar->start;
  QfStatus     st     = QF_OK;

  writer->n_pieces = 0;
  while (!st && qf_time_compare(time, end) < 0) {
    const bool          is_left = writer->next < writer->voice->n_notes;
    const QfNote* const note    = is_left ? &writer->voice->notes[writer->next] : NULL;
    const bool          sounds  = note && qf_time_compare(note->start, time) <= 0;
    const QfTime        limit   = !note ? end : sounds ? qf_note_end(note) : note->start;
    const QfTime        until   = qf_time_min(limit, end);

    st = add_piece(
      writer, (Piece){qf_time_sub(time, origin), qf_time_sub(until, origin), sounds ? note : NULL});
    writer->next += sounds && qf_time_compare(limit, end) <= 0 ? 1U : 0U;
    time = until;
  }
  return st;
}

static QfStatus
add_symbol(Writer* const writer, const QfSymbol symbol)
{
  QfSymbol* const grown =
    (QfSymbol*)qf_array_grow(writer->symbols.symbols, &writer->symbols_capacity,
                             writer->symbols.n_symbols + 1U, sizeof(QfSymbol));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  writer->symbols.symbols            = grown;
  grown[writer->symbols.n_symbols++] = symbol;
  return QF_OK;
}

/// A symbol of a run, its value still to be set
static QfSymbol
start_symbol(const Run* const run, const QfTime start, const QfTime duration)
{
  QfSymbol symbol = {.start    = start,
                     .duration = duration,
                     .note     = run->note ? run->note->id : (uint32_t)QF_NO_NOTE,
                     .tuplet   = (uint8_t)(run->factor > 1 ? run->factor : 0)};
  if (run->note) {
    const QfTime end = qf_time_add(start, duration);
    symbol.pitch     = run->note->pitch;
    symbol.is_tied   = qf_time_compare(end, qf_note_end(run->note)) < 0;
  }
  return symbol;
}

/// The nearest value for a length that no note value can show
static QfStatus
write_roughly(Writer* const writer, const Run* const run)
{
  QfSymbol symbol = start_symbol(run, run->start, run->length);
  symbol.tuplet   = 0;
  symbol.value    = MIN_NOTE_VALUE;
  while (symbol.value < MAX_NOTE_VALUE &&
         qf_time_compare(qf_time_mul(run->length, qf_time(1 << (symbol.value + 1), 1)),
                         qf_time(2, 1)) < 0) {
    ++symbol.value;
  }
  return add_symbol(writer, symbol);
}

static QfStatus
write_run(Writer* const writer, const Run* const run)
{
  const int    base   = run->factor > 1 ? qf_tuplet_base(run->factor) : 1;
  const QfTime scale  = qf_time(run->factor, base); // written for sounding time
  int64_t      from   = 0;
  int64_t      length = 0;
  if (run->frame->total <= 0 || !qf_frame_ticks(run->from, &from) ||
      !qf_frame_ticks(qf_time_mul(run->length, scale), &length)) {
    return write_roughly(writer, run);
  }

  const int64_t to       = from + length;
  bool          is_plain = run->note && !qf_time_compare(run->note->duration, run->length);
  QfTime        start    = run->start;
  QfStatus      st       = QF_OK;
  while (!st && from < to) {
    const FrameValue value    = run->note ? qf_frame_note_value(run->frame, from, to, is_plain)
                                          : qf_frame_rest_value(run->frame, from, to);
    const QfTime     duration = qf_time_div(qf_time(value.ticks, FRAME_WHOLE), scale);

    QfSymbol symbol = start_symbol(run, start, duration);
    symbol.value    = (int8_t)value.value;
    symbol.dots     = (uint8_t)value.dots;
    st              = add_symbol(writer, symbol);
    start           = qf_time_add(start, duration);
    from += value.ticks;
    is_plain = false;
  }
  return st;
}

/// A rest for the whole of a full bar, written alike in any metre
static QfStatus
write_bar_rest(Writer* const writer, const QfBar* const bar)
{
  const bool is_breve = qf_time_compare(bar->length, qf_time(2, 1)) >= 0;
  return add_symbol(writer, (QfSymbol){.start        = bar->start,
                                       .duration     = bar->length,
                                       .value        = is_breve ? -1 : 0,
                                       .is_whole_bar = true});
}

/// The frame inside a tuplet; an empty one if its length cannot be written
static Frame
frame_inside(const Tuplet* const tuplet)
{
  int64_t      total   = 0;
  const QfTime scale   = qf_time(tuplet->factor, qf_tuplet_base(tuplet->factor));
  const QfTime written = qf_time_mul(qf_time_sub(tuplet->end, tuplet->start), scale);
  return tuplet->factor <= MAX_TUPLET && qf_frame_ticks(written, &total) ? qf_frame_of_tuplet(total)
                                                                         : (Frame){0};
}

static QfStatus
write_tuplet_run(Writer* const writer, const Tuplet* const tuplet, Run run)
{
  const Frame  frame = frame_inside(tuplet);
  const QfTime scale = qf_time(tuplet->factor, qf_tuplet_base(tuplet->factor));

  run.frame  = &frame;
  run.factor = tuplet->factor;
  run.from   = qf_time_mul(qf_time_sub(run.from, tuplet->start), scale);
  return write_run(writer, &run);
}

static QfStatus
write_piece(Writer* const      writer,
            const QfBar* const bar,
            const Frame* const frame,
            const Piece* const piece,
            const size_t       n_tuplets)
{
  const QfTime origin = qf_time_sub(bar->start, bar->offset);
  QfStatus     st     = QF_OK;
  size_t       i      = 0;
  for (QfTime from = piece->start; !st && qf_time_compare(from, piece->end) < 0;) {
    while (i < n_tuplets && qf_time_compare(writer->tuplets[i].end, from) <= 0) {
      ++i;
    }

    const Tuplet* const tuplet    = i < n_tuplets ? &writer->tuplets[i] : NULL;
    const bool          is_inside = tuplet && qf_time_compare(tuplet->start, from) <= 0;
    const QfTime        limit     = !tuplet ? piece->end : is_inside ? tuplet->end : tuplet->start;
    const QfTime        to        = qf_time_min(limit, piece->end);
    const Run           run       = {.note   = piece->note,
                                     .start  = qf_time_add(origin, from),
                                     .length = qf_time_sub(to, from),
                                     .from   = from,
                                     .factor = 1,
                                     .frame  = frame};

    st   = is_inside ? write_tuplet_run(writer, tuplet, run) : write_run(writer, &run);
    from = to;
  }
  return st;
}

static QfStatus
write_bar(Writer* const writer, const QfBar* const bar)
{
  QfStatus st = collect_pieces(writer, bar);
  if (st) {
    return st;
  }
  if (writer->n_pieces == 1 && !writer->pieces[0].note &&
      !qf_time_compare(bar->length, qf_metre_bar(bar->metre))) {
    return write_bar_rest(writer, bar);
  }

  Tuplet* const grown = (Tuplet*)qf_array_grow(writer->tuplets, &writer->tuplets_capacity,
                                               writer->n_pieces, sizeof(Tuplet));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  writer->tuplets = grown;

  const BarPieces pieces    = {writer->pieces, writer->n_pieces, bar->metre};
  const size_t    n_tuplets = qf_tuplets_of(&pieces, writer->tuplets);
  const Frame     frame     = qf_frame_of_metre(bar->metre);
  for (size_t i = 0; !st && i < writer->n_pieces; ++i) {
    st = write_piece(writer, bar, &frame, &writer->pieces[i], n_tuplets);
  }
  return st;
}

QfStatus
qf_symbols_of(const QfScore* const score, const size_t voice, QfSymbols* const result)
{
  if (voice >= score->n_voices) {
    return QF_ERR_RANGE;
  }

  Writer   writer = {.score = score, .voice = &score->voices[voice]};
  QfStatus st     = QF_OK;
  for (size_t i = 0; !st && i < score->n_bars; ++i) {
    st = write_bar(&writer, &score->bars[i]);
  }

  free(writer.tuplets);
  free(writer.pieces);
  if (st) {
    qf_symbols_clear(&writer.symbols);
    return st;
  }
  *result = writer.symbols;
  return QF_OK;
}

void
qf_symbols_clear(QfSymbols* const symbols)
{
  free(symbols->symbols);
  *symbols = (QfSymbols){0};
}
