// SPDX-License-Identifier: MIT
#include "qf-link-button.h"

#include "quintfall/figured_bass.h"

#include <string.h>

const char*
qf_link_row_name(const int row)
{
  static const char* const names[QF_N_SHOWS] = {"Quality", "Chord", "Figures", "Top", "Bass"};
  return names[row];
}

/// Bytes of a note name at the start of a symbol: a letter and its accidentals
static size_t
name_length(const char* const symbol)
{
  static const char* const signs[] = {"\u266F", "\u266D", "\U0001D12A", "\U0001D12B", "#", "b"};
  size_t                   length  = symbol[0] ? 1 : 0;

  for (bool found = length > 0; found;) {
    found = false;
    for (size_t i = 0; i < G_N_ELEMENTS(signs); ++i) {
      if (g_str_has_prefix(symbol + length, signs[i])) {
        length += strlen(signs[i]);
        found = true;
      }
    }
  }

  return length;
}

/// A chord symbol with its notes named as the user names them
static void
write_symbol(const QfChord chord, const QfNamingKind naming, char* const buffer, const size_t size)
{
  char       symbol[48];
  char       root[24];
  char       bass[24];
  QfNoteName bass_name = chord.root;

  qf_chord_write_symbol(chord, true, symbol, sizeof(symbol));
  if (naming == QF_NAMING_ENGLISH || qf_chord_bass(chord, &bass_name)) {
    g_strlcpy(buffer, symbol, size);
    return;
  }

  qf_note_name_spell_out(chord.root, naming, root, sizeof(root));
  qf_note_name_spell_out(bass_name, naming, bass, sizeof(bass));
  const char* const middle = symbol + name_length(symbol);
  const char* const slash  = strrchr(middle, '/');
  const int         length = slash ? (int)(slash - middle) : (int)strlen(middle);
  g_snprintf(buffer, size, "%s%.*s%s%s", root, length, middle, slash ? "/" : "", slash ? bass : "");
}

static void
fill_rows(QfLinkText* const           text,
          const QfLabel* const        label,
          const QfNoteName* const     top,
          const QfViewSettings* const view)
{
  enum {
    QUALITY,
    SYMBOL,
    FIGURES,
    SOLFEGE,
    DEGREES,
  };
  const size_t size = sizeof(text->rows[0]);
  QfNoteName   bass = {0, 0};

  g_strlcpy(text->rows[QUALITY], qf_chord_kind_id(label->chord.kind), size);
  write_symbol(label->chord, view->naming, text->rows[SYMBOL], size);
  qf_figured_bass_write(label->chord, label->key, text->rows[FIGURES], size);
  if (top) {
    g_strlcpy(text->rows[SOLFEGE], qf_solfege(*top, label->key, view->solfege), size);
  }
  if (!qf_chord_bass(label->chord, &bass)) {
    qf_scale_degree_write(bass, label->key, true, text->rows[DEGREES], size);
  }
}

/// Set every byte, so that sources can be compared as a whole
static void
fill_source(QfLinkSource* const         source,
            const QfLabel* const        label,
            const QfNoteName* const     top,
            const QfViewSettings* const view)
{
  memset(source, 0, sizeof(*source));
  source->key        = label->key;
  source->numeral    = label->numeral;
  source->chord      = label->chord;
  source->motion     = label->motion;
  source->resolution = label->resolution;
  source->has_next   = label->has_next;
  source->has_top    = top != NULL;
  source->solfege    = view->solfege;
  source->naming     = view->naming;
  source->is_known   = label->is_known;
  source->is_pinned  = label->is_pinned;
  source->is_unsure  = label->is_known && label->sureness < 0.5;
  if (top) {
    source->top = *top;
  }
}

void
qf_link_text_fill(QfLinkText* const           text,
                  const QfLinkText* const     before,
                  const QfLabel* const        label,
                  const size_t                index,
                  const QfNoteName* const     top,
                  const QfViewSettings* const view)
{
  memset(text, 0, sizeof(*text));
  fill_source(&text->source, label, top, view);
  // Writing the words takes long, and most links say what they said before an edit.
  if (before && before->spoken[0] && before->index == index &&
      !memcmp(&before->source, &text->source, sizeof(text->source))) {
    *text = *before;
    return;
  }

  text->index     = index;
  text->is_known  = label->is_known;
  text->is_pinned = label->is_pinned;
  text->is_unsure = text->source.is_unsure;
  qf_label_speak(label, index, view->naming, text->spoken, sizeof(text->spoken));

  if (!label->is_known) {
    g_strlcpy(text->head, "?", sizeof(text->head));
    return;
  }

  QfNumeralParts parts = {0};
  qf_numeral_parts(&label->numeral, label->key.mode, &parts);
  text->function = qf_numeral_function(&label->numeral);
  g_strlcpy(text->head, parts.head, sizeof(text->head));
  g_strlcpy(text->figures, parts.figures, sizeof(text->figures));
  g_strlcpy(text->tail, parts.tail, sizeof(text->tail));
  fill_rows(text, label, top, view);
}

gboolean
qf_link_text_looks_like(const QfLinkText* const a, const QfLinkText* const b)
{
  return a->function == b->function && a->is_known == b->is_known && a->is_pinned == b->is_pinned &&
         a->is_unsure == b->is_unsure && g_str_equal(a->head, b->head) &&
         g_str_equal(a->figures, b->figures) && g_str_equal(a->tail, b->tail) &&
         !memcmp(a->rows, b->rows, sizeof(a->rows));
}
