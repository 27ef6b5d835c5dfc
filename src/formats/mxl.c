// SPDX-License-Identifier: MIT
// Compressed MusicXML. Source: MusicXML 4.0 documentation, "Compressed .mxl files".
#include "mxl.h"

#include "xml.h"

#include "quintfall/text.h"

#include <archive.h>
#include <archive_entry.h>

#include <stdlib.h>
#include <string.h>

#define MAX_UNPACKED ((size_t)256U << 20U)

enum {
  MAX_ENTRIES   = 10000,
  MAX_CONTAINER = 1 << 16,
  BLOCK         = 1 << 16,
};

static const char* const container_name = "META-INF/container.xml";
static const char* const media_type     = "application/vnd.recordare.musicxml";

bool
qf_mxl_is(const void* const data, const size_t length)
{
  return length >= 4U && !memcmp(data, "PK\3\4", 4U);
}

static QfStatus
broken(struct archive* const archive, QfError* const error)
{
  const char* const text = archive_error_string(archive);
  return qf_error_set(error, QF_ERR_BAD_FILE, "the .mxl archive is broken: %s",
                      text ? text : "unknown fault");
}

static QfStatus
read_entry(struct archive* const archive,
           const size_t          max,
           QfText* const         content,
           QfError* const        error)
{
  char block[BLOCK];
  for (;;) {
    const la_ssize_t n_read = archive_read_data(archive, block, sizeof(block));
    if (n_read < 0) {
      return broken(archive, error);
    }
    if (n_read == 0) {
      return QF_OK;
    }
    qf_text_add_bytes(content, block, (size_t)n_read);
    if (content->failed) {
      return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while unpacking");
    }
    if (content->length > max) {
      return qf_error_set(error, QF_ERR_BAD_FILE,
                          "the .mxl archive unpacks to more than %zu MiB; expected a score",
                          max >> 20U);
    }
  }
}

/// Go through the archive once and unpack one entry
static QfStatus
unpack_entry(const void* const data,
             const size_t      length,
             const char* const name,
             const size_t      max,
             QfText* const     content,
             QfError* const    error)
{
  struct archive* const archive = archive_read_new();
  if (!archive) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  archive_read_support_format_zip(archive);

  QfStatus st       = QF_OK;
  bool     is_found = false;
  if (archive_read_open_memory(archive, data, length)) {
    st = broken(archive, error);
  }
  for (int i = 0; !st && !is_found; ++i) {
    struct archive_entry* entry  = NULL;
    const int             result = archive_read_next_header(archive, &entry);
    if (result == ARCHIVE_EOF || i == MAX_ENTRIES) {
      st = qf_error_set(error, QF_ERR_BAD_FILE, "the .mxl archive has no entry \"%s\"", name);
    } else if (result < ARCHIVE_WARN) {
      st = broken(archive, error);
    } else {
      const char* const path = archive_entry_pathname(entry);
      is_found               = path && !strcmp(path, name);
      st                     = is_found ? read_entry(archive, max, content, error) : QF_OK;
    }
  }
  archive_read_free(archive);
  return st;
}

/// The score's name: that of the first rootfile that is MusicXML
static QfStatus
parse_container(const QfText* const container,
                char* const         name,
                const size_t        size,
                QfError* const      error)
{
  xmlDoc*  doc = NULL;
  QfStatus st =
    qf_xml_parse(container->data ? container->data : "", container->length, &doc, error);
  if (st) {
    return st;
  }

  const xmlNode* const root     = xmlDocGetRootElement(doc);
  const xmlNode* const files    = qf_xml_child(root, "rootfiles");
  const xmlNode* const rootfile = qf_xml_child(files, "rootfile");
  if (!rootfile || !qf_xml_attribute(rootfile, "full-path", name, size) || !name[0]) {
    st = qf_error_set(error, QF_ERR_BAD_FILE,
                      "%s names no score; expected a rootfile with a full-path", container_name);
  }
  xmlFreeDoc(doc);
  return st;
}

QfStatus
qf_mxl_unpack(const void* const data,
              const size_t      length,
              void** const      xml,
              size_t* const     xml_length,
              QfError* const    error)
{
  QfText   container = {0};
  char     name[512] = "";
  QfStatus st        = unpack_entry(data, length, container_name, MAX_CONTAINER, &container, error);
  if (!st) {
    st = parse_container(&container, name, sizeof(name), error);
  }
  qf_text_free(&container);

  QfText score = {0};
  if (!st) {
    st = unpack_entry(data, length, name, MAX_UNPACKED, &score, error);
  }
  if (!st) {
    *xml_length = score.length;
    *xml        = qf_text_take(&score);
    st          = *xml ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  qf_text_free(&score);
  return st;
}

static la_ssize_t
append_block(struct archive* const archive,
             void* const           target,
             const void* const     block,
             const size_t          length)
{
  QfText* const text = (QfText*)target;
  qf_text_add_bytes(text, (const char*)block, length);
  if (text->failed) {
    archive_set_error(archive, ARCHIVE_FATAL, "out of memory");
    return -1;
  }
  return (la_ssize_t)length;
}

static bool
pack_entry(struct archive* const archive,
           const char* const     name,
           const char* const     content,
           const size_t          length,
           const bool            is_stored)
{
  struct archive_entry* const entry = archive_entry_new();
  if (!entry) {
    return false;
  }
  archive_entry_set_pathname(entry, name);
  archive_entry_set_size(entry, (la_int64_t)length);
  archive_entry_set_filetype(entry, AE_IFREG);
  archive_entry_set_perm(entry, 0644);

  const int  method    = is_stored ? archive_write_zip_set_compression_store(archive)
                                   : archive_write_zip_set_compression_deflate(archive);
  const bool is_packed = method == ARCHIVE_OK &&
                         archive_write_header(archive, entry) == ARCHIVE_OK &&
                         archive_write_data(archive, content, length) == (la_ssize_t)length;
  archive_entry_free(entry);
  return is_packed;
}

QfStatus
qf_mxl_pack(const char* const xml,
            const size_t      xml_length,
            void** const      data,
            size_t* const     length,
            QfError* const    error)
{
  static const char container[] = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                                  "<container>\n"
                                  "  <rootfiles>\n"
                                  "    <rootfile full-path=\"score.musicxml\""
                                  " media-type=\"application/vnd.recordare.musicxml+xml\"/>\n"
                                  "  </rootfiles>\n"
                                  "</container>\n";

  struct archive* const archive = archive_write_new();
  if (!archive) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  QfText packed = {0};
  archive_write_set_bytes_in_last_block(archive, 1);
  const bool is_packed =
    archive_write_set_format_zip(archive) == ARCHIVE_OK &&
    archive_write_open(archive, &packed, NULL, append_block, NULL) == ARCHIVE_OK &&
    pack_entry(archive, "mimetype", media_type, strlen(media_type), true) &&
    pack_entry(archive, container_name, container, sizeof(container) - 1U, false) &&
    pack_entry(archive, "score.musicxml", xml, xml_length, false) &&
    archive_write_close(archive) == ARCHIVE_OK;
  archive_write_free(archive);

  if (!is_packed || packed.failed) {
    qf_text_free(&packed);
    return qf_error_set(error, QF_ERR_NO_MEM, "the .mxl archive could not be packed");
  }
  *length = packed.length;
  *data   = qf_text_take(&packed);
  return QF_OK;
}
