// SPDX-License-Identifier: MIT
#include "qf-chain-private.h"

/// Index of the link that has the focus, or SIZE_MAX
static size_t
focused_link(const QfChainView* const self)
{
  for (guint i = 0; i < self->links->len; ++i) {
    if (gtk_widget_has_focus(GTK_WIDGET(qf_chain_link_at(self, i)))) {
      return i;
    }
  }

  return SIZE_MAX;
}

static const QfBracket*
focused_bracket(const QfChainView* const self)
{
  for (guint i = 0; self->brackets && i < self->brackets->len; ++i) {
    const QfBracket* const bracket = &g_array_index(self->brackets, QfBracket, i);
    if (gtk_widget_has_focus(bracket->button)) {
      return bracket;
    }
  }

  return NULL;
}

/// The bracket over a link in the next lane below or above one, or NULL
static const QfBracket*
bracket_beyond(const QfChainView* const self,
               const size_t             link,
               const int                lane,
               const bool               is_below)
{
  const QfBracket* nearest = NULL;

  for (guint i = 0; self->brackets && i < self->brackets->len; ++i) {
    const QfBracket* const bracket   = &g_array_index(self->brackets, QfBracket, i);
    const bool             is_beyond = is_below ? bracket->lane > lane : bracket->lane < lane;
    const bool             is_nearer =
      !nearest || (is_below ? bracket->lane < nearest->lane : bracket->lane > nearest->lane);
    if (is_beyond && is_nearer && bracket->first <= link && link <= bracket->last) {
      nearest = bracket;
    }
  }

  return nearest;
}

/// The next bracket of the same lane, or NULL
static const QfBracket*
bracket_beside(const QfChainView* const self, const QfBracket* const from, const bool is_right)
{
  const QfBracket* nearest = NULL;

  for (guint i = 0; i < self->brackets->len; ++i) {
    const QfBracket* const bracket = &g_array_index(self->brackets, QfBracket, i);
    const bool is_beyond = is_right ? bracket->first > from->first : bracket->first < from->first;
    const bool is_nearer =
      !nearest || (is_right ? bracket->first < nearest->first : bracket->first > nearest->first);
    if (bracket->lane == from->lane && is_beyond && is_nearer) {
      nearest = bracket;
    }
  }

  return nearest;
}

static gboolean
choose(QfChainView* const self, const size_t link)
{
  gtk_widget_grab_focus(GTK_WIDGET(qf_chain_link_at(self, link)));
  g_signal_emit_by_name(self, "chosen", (guint)link);
  return TRUE;
}

static gboolean
move_among_brackets(QfChainView* const     self,
                    const QfBracket* const from,
                    const GtkDirectionType direction)
{
  const size_t     link   = CLAMP(self->current, from->first, from->last);
  const QfBracket* wanted = NULL;

  if (direction == GTK_DIR_LEFT || direction == GTK_DIR_RIGHT) {
    wanted = bracket_beside(self, from, direction == GTK_DIR_RIGHT);
  } else if (direction == GTK_DIR_UP || direction == GTK_DIR_DOWN) {
    wanted = bracket_beyond(self, link, from->lane, direction == GTK_DIR_DOWN);
  } else {
    return FALSE; // Tab leaves the chain
  }

  if (wanted) {
    gtk_widget_grab_focus(wanted->button);
  } else if (direction == GTK_DIR_UP && link < self->links->len) {
    choose(self, link);
  }
  return TRUE;
}

gboolean
qf_chain_view_focus(GtkWidget* const widget, const GtkDirectionType direction)
{
  QfChainView* const     self    = QF_CHAIN_VIEW(widget);
  const size_t           focused = focused_link(self);
  const QfBracket* const bracket = focused_bracket(self);
  const size_t           n_links = self->links->len;

  if (bracket) {
    return move_among_brackets(self, bracket, direction);
  }
  if (focused == SIZE_MAX) {
    return n_links ? choose(self, self->current < n_links ? self->current : 0) : FALSE;
  }
  if (direction == GTK_DIR_LEFT) {
    return focused > 0 ? choose(self, focused - 1) : TRUE;
  }
  if (direction == GTK_DIR_RIGHT) {
    return focused + 1 < n_links ? choose(self, focused + 1) : TRUE;
  }

  const QfBracket* const below =
    direction == GTK_DIR_DOWN ? bracket_beyond(self, focused, -1, true) : NULL;
  return below && gtk_widget_grab_focus(below->button);
}
