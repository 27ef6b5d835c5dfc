// SPDX-License-Identifier: MIT
#include "qf-guide-text.h"

#include "hearing/qf-hearing-care.h"

#include <string.h>

typedef struct {
  GtkApplication*      application;
  const QfGuideReader* reader;
  gpointer             data;
  GString*             markup; ///< Of the paragraph being read, or NULL between paragraphs
} Parse;

static const char*
attribute_of(const char** const names, const char** const values, const char* const wanted)
{
  for (gsize i = 0; names[i]; ++i) {
    if (!strcmp(names[i], wanted)) {
      return values[i];
    }
  }
  return "";
}

/// The first keys of a command, as GTK names them to the user
static void
append_keys(const Parse* const parse, const char* const action)
{
  g_auto(GStrv) accels = gtk_application_get_accels_for_action(parse->application, action);
  guint           key  = 0;
  GdkModifierType mods = 0;

  if (accels[0] && gtk_accelerator_parse(accels[0], &key, &mods)) {
    g_autofree char* label   = gtk_accelerator_get_label(key, mods);
    g_autofree char* escaped = g_markup_escape_text(label, -1);
    g_string_append_printf(parse->markup, "<b>%s</b>", escaped);
  }
}

static void
tell_care(const Parse* const parse)
{
  g_auto(GStrv) paragraphs = g_strsplit(qf_hearing_care_long(), "\n\n", -1);

  for (gsize i = 0; paragraphs[i]; ++i) {
    g_autofree char* markup = g_markup_escape_text(paragraphs[i], -1);
    parse->reader->paragraph(QF_GUIDE_TEXT, markup, parse->data);
  }
}

static void
start_cb(GMarkupParseContext* const context,
         const char* const          element,
         const char** const         names,
         const char** const         values,
         const gpointer             data,
         GError** const             error)
{
  Parse* const parse = (Parse*)data;

  (void)context;
  (void)error;
  if (!strcmp(element, "topic")) {
    parse->reader->topic(attribute_of(names, values, "title"), parse->data);
  } else if (!strcmp(element, "care")) {
    tell_care(parse);
  } else if (!strcmp(element, "keys") && parse->markup) {
    append_keys(parse, attribute_of(names, values, "action"));
  } else if (!strcmp(element, "text") || !strcmp(element, "point")) {
    parse->markup = g_string_new(NULL);
  }
}

static void
end_cb(GMarkupParseContext* const context,
       const char* const          element,
       const gpointer             data,
       GError** const             error)
{
  Parse* const   parse   = (Parse*)data;
  const gboolean is_text = !strcmp(element, "text");

  (void)context;
  (void)error;
  if (is_text || !strcmp(element, "point")) {
    g_autofree char* markup = g_string_free(g_steal_pointer(&parse->markup), FALSE);
    parse->reader->paragraph(is_text ? QF_GUIDE_TEXT : QF_GUIDE_POINT, markup, parse->data);
  }
}

static void
text_cb(GMarkupParseContext* const context,
        const char* const          text,
        const gsize                length,
        const gpointer             data,
        GError** const             error)
{
  const Parse* const parse = (const Parse*)data;

  (void)context;
  (void)error;
  if (parse->markup) {
    g_autofree char* escaped = g_markup_escape_text(text, (gssize)length);
    g_string_append(parse->markup, escaped);
  }
}

void
qf_guide_read(GtkApplication* const      application,
              const QfGuideReader* const reader,
              const gpointer             data)
{
  static const GMarkupParser parser = {
    .start_element = start_cb, .end_element = end_cb, .text = text_cb};
  g_autoptr(GBytes) bytes = g_resources_lookup_data("/app/quintfall/Quintfall/guide/guide.xml",
                                                    G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
  Parse parse             = {.application = application, .reader = reader, .data = data};
  g_autoptr(GMarkupParseContext) context = g_markup_parse_context_new(&parser, 0, &parse, NULL);
  g_autoptr(GError) error                = NULL;
  gsize             length               = 0;
  const char* const text                 = bytes ? g_bytes_get_data(bytes, &length) : "";

  if (!g_markup_parse_context_parse(context, text, (gssize)length, &error) ||
      !g_markup_parse_context_end_parse(context, &error)) {
    g_warning("The guide cannot be read: %s", error->message);
  }
}
