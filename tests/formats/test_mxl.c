// SPDX-License-Identifier: MIT
// Source: MusicXML 4.0 documentation, "Compressed .mxl files"; ZIP layout after PKWARE's APPNOTE.
#include "support.h"

#include <archive.h>
#include <archive_entry.h>

typedef struct {
  const char* name;
  const char* content;
  size_t      length;
} Entry;

#define CONTAINER(path)                                                                            \
  "<container><rootfiles><rootfile full-path=\"" path "\"/></rootfiles></container>"

static const char small_score[] =
  "<score-partwise><part-list><score-part id=\"P1\"/></part-list><part id=\"P1\"><measure "
  "number=\"1\"><attributes><divisions>1</divisions></attributes><note><pitch><step>C</step>"
  "<octave>4</octave></pitch><duration>4</duration></note></measure></part></score-partwise>";

/// Pack entries with the library's own defaults, as another program would (transfer full)
static char*
pack(const Entry* const entries, const size_t n_entries, size_t* const length)
{
  enum { CAPACITY = 4 << 20 };

  char* const           data    = (char*)malloc(CAPACITY);
  struct archive* const archive = archive_write_new();
  assert_int_equal(ARCHIVE_OK, archive_write_set_format_zip(archive));
  assert_int_equal(ARCHIVE_OK, archive_write_set_bytes_in_last_block(archive, 1));
  assert_int_equal(ARCHIVE_OK, archive_write_open_memory(archive, data, CAPACITY, length));
  for (size_t i = 0; i < n_entries; ++i) {
    struct archive_entry* const entry = archive_entry_new();
    archive_entry_set_pathname(entry, entries[i].name);
    archive_entry_set_filetype(entry, AE_IFREG);
    archive_entry_set_perm(entry, 0644);
    archive_entry_set_size(entry, (la_int64_t)entries[i].length);
    assert_int_equal(ARCHIVE_OK, archive_write_header(archive, entry));
    assert_int_equal((la_ssize_t)entries[i].length,
                     archive_write_data(archive, entries[i].content, entries[i].length));
    archive_entry_free(entry);
  }
  assert_int_equal(ARCHIVE_OK, archive_write_close(archive));
  archive_write_free(archive);
  return data;
}

static void
test_the_first_rootfile_is_the_score(void** const state)
{
  (void)state;
  static const char container[] =
    "<?xml version=\"1.0\"?><container><rootfiles><rootfile full-path=\"in/here.xml\" "
    "media-type=\"application/vnd.recordare.musicxml+xml\"/><rootfile full-path=\"other.pdf\"/>"
    "</rootfiles></container>";
  const Entry entries[] = {
    {"wrong.xml", "<html/>", 7U},
    {"in/here.xml", small_score, sizeof(small_score) - 1U},
    {"META-INF/container.xml", container, sizeof(container) - 1U},
  };
  size_t         length = 0U;
  char* const    data   = pack(entries, N_ITEMS(entries), &length);
  QfScore* const score  = must_read(data, length, "packed");
  assert_int_equal(1U, qf_score_n_notes(score, 0));
  qf_score_free(score);
  free(data);
}

static void
test_packed_and_plain_say_the_same(void** const state)
{
  (void)state;
  Lcg lcg = {31};
  for (int i = 0; i < 20; ++i) {
    QfScore* const score  = random_score(&lcg);
    void*          data   = NULL;
    size_t         length = 0U;
    assert_int_equal(QF_OK, qf_mxl_write(score, NULL, &data, &length, NULL));
    QfScore* const again = must_read(data, length, "mxl");
    assert_true(qf_score_equals(score, again));
    qf_score_free(again);
    qf_score_free(score);
    free(data);
  }
}

static void
test_mimetype_is_first_and_stored(void** const state)
{
  (void)state;
  Lcg            lcg    = {5};
  QfScore* const score  = random_score(&lcg);
  void*          packed = NULL;
  size_t         length = 0U;
  assert_int_equal(QF_OK, qf_mxl_write(score, NULL, &packed, &length, NULL));
  qf_score_free(score);

  // APPNOTE 4.3.7: method at 8, name length at 26, extra length at 28, name at 30.
  static const char          type[] = "application/vnd.recordare.musicxml";
  const unsigned char* const bytes  = (const unsigned char*)packed;
  const size_t               extra  = bytes[28] + 256U * bytes[29];
  assert_memory_equal("PK\3\4", bytes, 4U);
  assert_int_equal(0, bytes[8] + 256 * bytes[9]);
  assert_int_equal(8, bytes[26] + 256 * bytes[27]);
  assert_memory_equal("mimetype", bytes + 30, 8U);
  assert_memory_equal(type, bytes + 38 + extra, sizeof(type) - 1U);
  assert_memory_equal("PK", bytes + 38 + extra + sizeof(type) - 1U, 2U); // the content ends there
  free(packed);
}

/// Archives that are none, or hold no score
static void
test_broken_archives_say_what_is_missing(void** const state)
{
  (void)state;
  static const char nothing[] = "<container/>";
  static const struct {
    const char* label;
    Entry       entries[2];
    size_t      n_entries;
    const char* words;
  } cases[] = {
    {"no container", {{"a.xml", small_score, sizeof(small_score) - 1U}}, 1U, "META-INF/container"},
    {"container that names nothing",
     {{"META-INF/container.xml", nothing, sizeof(nothing) - 1U}},
     1U,
     "names no score"},
    {"container that names a missing entry",
     {{"META-INF/container.xml", CONTAINER("gone.xml"), sizeof(CONTAINER("gone.xml")) - 1U}},
     1U,
     "gone.xml"},
    {"container that names itself",
     {{"META-INF/container.xml", CONTAINER("META-INF/container.xml"),
       sizeof(CONTAINER("META-INF/container.xml")) - 1U}},
     1U,
     "expected MusicXML's"},
  };
  for (size_t i = 0; i < N_ITEMS(cases); ++i) {
    size_t      length = 0U;
    char* const data   = pack(cases[i].entries, cases[i].n_entries, &length);
    QfScore*    score  = NULL;
    QfError     error  = {0};
    assert_int_equal(QF_ERR_BAD_FILE, qf_musicxml_read(data, length, &score, NULL, &error));
    if (!strstr(error.text, cases[i].words)) {
      fail_msg("%s: \"%s\"", cases[i].label, error.text);
    }
    free(data);
  }
}

static void
test_an_archive_that_grows_is_refused(void** const state)
{
  (void)state;
  // 300 MiB of spaces pack into well under a megabyte; the reader stops at 256 MiB.
  const size_t length = (size_t)300U << 20U;
  char* const  spaces = (char*)malloc(length);
  memset(spaces, ' ', length);
  const Entry entries[] = {
    {"META-INF/container.xml", CONTAINER("big.xml"), sizeof(CONTAINER("big.xml")) - 1U},
    {"big.xml", spaces, length},
  };
  size_t      packed = 0U;
  char* const data   = pack(entries, N_ITEMS(entries), &packed);
  free(spaces);
  assert_true(packed < (1U << 20U));

  QfScore* score = NULL;
  QfError  error = {0};
  assert_int_equal(QF_ERR_BAD_FILE, qf_musicxml_read(data, packed, &score, NULL, &error));
  assert_non_null(strstr(error.text, "256 MiB"));
  free(data);
}

static void
test_damaged_archives_do_no_harm(void** const state)
{
  (void)state;
  Lcg            lcg    = {77};
  QfScore* const score  = random_score(&lcg);
  void*          packed = NULL;
  size_t         length = 0U;
  assert_int_equal(QF_OK, qf_mxl_write(score, NULL, &packed, &length, NULL));
  qf_score_free(score);

  for (int i = 0; i < 300; ++i) {
    const size_t cut  = i % 2 ? length : 1U + draw(&lcg, (uint32_t)length);
    char* const  copy = (char*)malloc(cut);
    memcpy(copy, packed, cut);
    if (i % 2) {
      copy[draw(&lcg, (uint32_t)cut)] ^= (char)(1U << draw(&lcg, 8));
    }
    QfScore*       again = NULL;
    QfError        error = {0};
    const QfStatus st    = qf_musicxml_read(copy, cut, &again, NULL, &error);
    assert_true(st ? error.text[0] != '\0' : again != NULL);
    qf_score_free(again);
    free(copy);
  }
  free(packed);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_the_first_rootfile_is_the_score),
    cmocka_unit_test(test_packed_and_plain_say_the_same),
    cmocka_unit_test(test_mimetype_is_first_and_stored),
    cmocka_unit_test(test_broken_archives_say_what_is_missing),
    cmocka_unit_test(test_an_archive_that_grows_is_refused),
    cmocka_unit_test(test_damaged_archives_do_no_harm),
  };
  return cmocka_run_group_tests_name("mxl", tests, NULL, NULL);
}
