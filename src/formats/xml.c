// SPDX-License-Identifier: MIT
#include "xml.h"

#include "import.h"

#include <libxml/parser.h>
#include <libxml/parserInternals.h>

#include <limits.h>
#include <string.h>

/// Called for every entity a document declares
static void
refuse_entity(void* const          context,
              const xmlChar* const name,
              const int            type,
              const xmlChar* const public_id,
              const xmlChar* const system_id,
              xmlChar* const       content)
{
  (void)name;
  (void)type;
  (void)public_id;
  (void)system_id;
  (void)content;

  xmlParserCtxt* const parser = (xmlParserCtxt*)context;
  int* const           line   = (int*)parser->_private;
  *line                       = parser->input && parser->input->line > 0 ? parser->input->line : 1;
  xmlStopParser(parser);
}

/// Take a parser's complaint over, without the line break at its end
static QfStatus
parser_error(xmlParserCtxt* const parser, const int entity_line, QfError* const error)
{
  const xmlError* const fault     = xmlCtxtGetLastError(parser);
  char                  text[200] = "";
  if (entity_line) {
    qf_error_set(error, QF_ERR_BAD_FILE,
                 "the XML declares entities; expected a document without them");
  } else {
    if (fault && fault->message) {
      qf_copy_text(fault->message, strlen(fault->message), text, sizeof(text));
    }
    qf_error_set(error, QF_ERR_BAD_FILE, "not well-formed XML: %s",
                 text[0] ? text : "no document found");
  }
  qf_error_place(error, entity_line ? entity_line : fault ? fault->line : 0, -1, NULL);
  return QF_ERR_BAD_FILE;
}

QfStatus
qf_xml_parse(const void* const data,
             const size_t      length,
             xmlDoc** const    result,
             QfError* const    error)
{
  if (length > (size_t)INT_MAX) {
    return qf_error_set(error, QF_ERR_BAD_FILE, "the XML is larger than this program takes");
  }
  xmlParserCtxt* const parser = xmlNewParserCtxt();
  if (!parser) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  int entity_line         = 0;
  parser->_private        = &entity_line;
  parser->sax->entityDecl = refuse_entity;
  const int options       = XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING |
                      XML_PARSE_NOCDATA | XML_PARSE_BIG_LINES | XML_PARSE_COMPACT;
  xmlDoc* const doc =
    xmlCtxtReadMemory(parser, (const char*)data, (int)length, NULL, NULL, options);

  QfStatus st = QF_OK;
  if (!doc || entity_line || !xmlDocGetRootElement(doc)) {
    st = parser_error(parser, entity_line, error);
    xmlFreeDoc(doc);
  } else {
    *result = doc;
  }
  xmlFreeParserCtxt(parser);
  return st;
}

bool
qf_xml_is(const xmlNode* const node, const char* const name)
{
  return !strcmp((const char*)node->name, name);
}

static const xmlNode*
first_element(const xmlNode* node, const char* const name)
{
  while (node && (node->type != XML_ELEMENT_NODE || (name && !qf_xml_is(node, name)))) {
    node = node->next;
  }
  return node;
}

const xmlNode*
qf_xml_child(const xmlNode* const parent, const char* const name)
{
  return parent ? first_element(parent->children, name) : NULL;
}

const xmlNode*
qf_xml_next(const xmlNode* const node, const char* const name)
{
  return first_element(node->next, name);
}

bool
qf_xml_text(const xmlNode* const node, char* const buffer, const size_t size)
{
  buffer[0] = '\0';
  if (!node) {
    return false;
  }

  // Comments may stand between pieces of text; the first piece with something in it counts.
  for (const xmlNode* child = node->children; child && !buffer[0]; child = child->next) {
    if ((child->type == XML_TEXT_NODE || child->type == XML_CDATA_SECTION_NODE) && child->content) {
      const char* const text = (const char*)child->content;
      qf_copy_text(text, strlen(text), buffer, size);
    }
  }
  return true;
}

bool
qf_xml_child_text(const xmlNode* const parent,
                  const char* const    name,
                  char* const          buffer,
                  const size_t         size)
{
  return qf_xml_text(qf_xml_child(parent, name), buffer, size);
}

bool
qf_xml_attribute(const xmlNode* const node,
                 const char* const    name,
                 char* const          buffer,
                 const size_t         size)
{
  buffer[0] = '\0';
  for (const xmlAttr* attribute = node->properties; attribute; attribute = attribute->next) {
    if (!strcmp((const char*)attribute->name, name)) {
      const xmlNode* const text = attribute->children;
      if (text && text->type == XML_TEXT_NODE && text->content) {
        const char* const value = (const char*)text->content;
        qf_copy_text(value, strlen(value), buffer, size);
      }
      return true;
    }
  }
  return false;
}

bool
qf_xml_attribute_is(const xmlNode* const node, const char* const name, const char* const value)
{
  char text[64];
  return qf_xml_attribute(node, name, text, sizeof(text)) && !strcmp(text, value);
}

bool
qf_decimal_parse(const char* text, QfDecimal* const result)
{
  enum {
    MAX_WHOLE    = 9,
    MAX_FRACTION = 6,
  };

  const bool is_negative = *text == '-';
  text += *text == '-' || *text == '+';

  QfDecimal value    = {0, 1};
  int       n_whole  = 0;
  int       n_digits = 0;
  for (; *text >= '0' && *text <= '9'; ++text, ++n_digits) {
    value.num = value.num * 10 + (*text - '0');
    n_whole += value.num > 0;
    if (n_whole > MAX_WHOLE) {
      return false;
    }
  }
  if (*text == '.') {
    int n_fraction = 0;
    for (++text; *text >= '0' && *text <= '9'; ++text, ++n_digits) {
      if (n_fraction++ < MAX_FRACTION) {
        value.num = value.num * 10 + (*text - '0');
        value.den *= 10;
      }
    }
  }
  if (*text || n_digits == 0) {
    return false;
  }

  value.num = is_negative ? -value.num : value.num;
  *result   = value;
  return true;
}

bool
qf_xml_child_int(const xmlNode* const parent,
                 const char* const    name,
                 const int            min,
                 const int            max,
                 int* const           result)
{
  char      text[32];
  QfDecimal value;
  if (!qf_xml_child_text(parent, name, text, sizeof(text)) || !qf_decimal_parse(text, &value) ||
      value.num % value.den) {
    return false;
  }
  const int64_t whole = value.num / value.den;
  if (whole < min || whole > max) {
    return false;
  }
  *result = (int)whole;
  return true;
}

int
qf_xml_line(const xmlNode* const node)
{
  const long line = xmlGetLineNo(node);
  return line > 0 && line < INT_MAX ? (int)line : 0;
}
