// SPDX-License-Identifier: MIT
#include "passage.h"

#include "quintfall/file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/// Pages of a PDF: objects of type Page. Source: ISO 32000-1, 7.7.3.3.
static size_t
count_pages(const char* const path)
{
  static const char mark[] = "/Type /Page";
  void*             data   = NULL;
  size_t            length = 0;
  size_t            n      = 0;
  assert_int_equal(qf_file_read(path, &data, &length, NULL), QF_OK);
  const char*       at  = (const char*)data;
  const char* const end = at + length;
  assert_memory_equal(at, "%PDF-", 5);
  while ((at = (const char*)memmem(at, (size_t)(end - at), mark, strlen(mark)))) {
    at += strlen(mark);
    n += *at != 's'; // The tree of pages is of type Pages.
  }
  free(data);
  return n;
}

static QfEngraving*
endless_page(const size_t n_bars)
{
  QfScore* const   score   = new_treble("Bb major", "3/4", n_bars, 1);
  QfEngraveOptions options = qf_engrave_options_page();
  options.page_height      = 0.0;
  QfEngraving* const made  = engrave(score, NULL, options);
  qf_score_free(score);
  return made;
}

/// Save a booklet of so many passages and count its pages
static size_t
pages_of(const size_t n_passages, const size_t n_bars)
{
  char path[] = "/tmp/quintfall-booklet-XXXXXX";
  assert_true(close(mkstemp(path)) == 0);
  QfBooklet* const booklet = qf_booklet_new("Answers");
  assert_non_null(booklet);
  for (size_t i = 0; i < n_passages; ++i) {
    QfEngraving* const passage = endless_page(n_bars);
    assert_int_equal(qf_booklet_add(booklet, passage, NULL), QF_OK);
    qf_engraving_free(passage);
  }
  assert_int_equal(qf_booklet_save(booklet, path, NULL), QF_OK);
  qf_booklet_free(booklet);
  const size_t n_pages = count_pages(path);
  unlink(path);
  return n_pages;
}

static void
test_short_passages_share_a_page(void** state)
{
  (void)state;
  double             width   = 0.0;
  double             height  = 0.0;
  QfEngraving* const passage = endless_page(2);
  qf_engraving_get_size(passage, &width, &height);
  qf_engraving_free(passage);

  // By hand: an A4 page is 842 points high, and a passage keeps at least its height less a margin.
  const double margin = qf_engrave_options_page().margin;
  assert_true(2.0 * height < 842.0);
  assert_int_equal(pages_of(2, 2), 1);
  assert_true(pages_of(20, 2) >= (size_t)(20.0 * (height - margin) / 842.0));
  assert_in_range(pages_of(20, 2), 2, 10);
}

static void
test_a_passage_taller_than_a_page_has_one_of_its_own(void** state)
{
  (void)state;
  assert_int_equal(pages_of(3, 300), 3);
}

static void
test_an_empty_booklet_does_no_harm(void** state)
{
  (void)state;
  char path[] = "/tmp/quintfall-booklet-XXXXXX";
  assert_true(close(mkstemp(path)) == 0);
  QfBooklet* const booklet = qf_booklet_new("Nothing");
  assert_int_equal(qf_booklet_save(booklet, path, NULL), QF_OK);
  qf_booklet_free(booklet);
  unlink(path);
  qf_booklet_free(NULL);

  QfBooklet* const unsaved = qf_booklet_new("Never saved");
  qf_booklet_free(unsaved);
}

static void
test_a_folder_that_is_missing_is_told(void** state)
{
  (void)state;
  QfError            error   = {0};
  QfBooklet* const   booklet = qf_booklet_new("Answers");
  QfEngraving* const passage = endless_page(2);
  assert_int_equal(qf_booklet_add(booklet, passage, NULL), QF_OK);
  qf_engraving_free(passage);
  assert_int_equal(qf_booklet_save(booklet, "/tmp/no/such/folder/key.pdf", &error), QF_ERR_IO);
  assert_true(*error.text);
  qf_booklet_free(booklet);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_short_passages_share_a_page),
    cmocka_unit_test(test_a_passage_taller_than_a_page_has_one_of_its_own),
    cmocka_unit_test(test_an_empty_booklet_does_no_harm),
    cmocka_unit_test(test_a_folder_that_is_missing_is_told),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
