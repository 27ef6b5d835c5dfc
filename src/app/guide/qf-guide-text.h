// SPDX-License-Identifier: MIT
#ifndef QF_GUIDE_TEXT_H
#define QF_GUIDE_TEXT_H

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// What a paragraph of the guide is
typedef enum {
  QF_GUIDE_TEXT,
  QF_GUIDE_POINT, ///< One of a list
} QfGuideKind;

/// Called for each topic, and for each of its paragraphs as Pango markup
typedef struct {
  void (*topic)(const char* title, gpointer data);
  void (*paragraph)(QfGuideKind kind, const char* markup, gpointer data);
} QfGuideReader;

/// Read the guide from the program's resources, the keys of commands filled in
void
qf_guide_read(GtkApplication* application, const QfGuideReader* reader, gpointer data);

G_END_DECLS

#endif // QF_GUIDE_TEXT_H
