// SPDX-License-Identifier: MIT
#include "passage.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <dirent.h>

/// A folder of its own for each test
typedef struct {
  char folder[64];
} Place;

static int
make_place(void** const state)
{
  Place* const place = (Place*)calloc(1, sizeof(Place));
  snprintf(place->folder, sizeof(place->folder), "/tmp/quintfall-engrave-XXXXXX");
  *state = place;
  return mkdtemp(place->folder) ? 0 : 1;
}

static size_t
count_files(const char* const folder, const int remove_them)
{
  DIR* const     dir = opendir(folder);
  struct dirent* entry;
  size_t         n = 0;
  while (dir && (entry = readdir(dir))) {
    char path[400];
    if (entry->d_name[0] != '.' || strlen(entry->d_name) > 2) {
      ++n;
      snprintf(path, sizeof(path), "%s/%s", folder, entry->d_name);
      if (remove_them) {
        unlink(path);
      }
    }
  }
  if (dir) {
    closedir(dir);
  }
  return n;
}

static int
drop_place(void** const state)
{
  Place* const place = (Place*)*state;
  count_files(place->folder, 1);
  rmdir(place->folder);
  free(place);
  return 0;
}

/// Enough bars for several pages
static QfEngraving*
engrave_pages(void)
{
  static const QfClef clefs[] = {QF_CLEF_TREBLE, QF_CLEF_TREBLE, QF_CLEF_TREBLE_8, QF_CLEF_BASS};
  QfScore* const      score   = new_score("G major", "4/4", 40, clefs, 4, 1);
  assert_int_equal(qf_score_set_title(score, "Two Piers"), QF_OK);
  for (size_t v = 0; v < 4; ++v) {
    for (int i = 0; i < 40 * 8; ++i) {
      const QfPitch pitch = qf_pitch_from_step(34 - 4 * (int)v + i % 5, 0);
      assert_int_equal(
        qf_score_put_note(score, v, qf_time(i, 8), qf_time(1, 8), pitch, QF_NO_NOTE, NULL), QF_OK);
    }
  }
  QfEngraving* const e = engrave(score, NULL, qf_engrave_options_page());
  qf_score_free(score);
  assert_true(qf_engraving_n_pages(e) > 1);
  return e;
}

static void
path_in(const Place* const place, const char* const name, char path[128])
{
  snprintf(path, 128, "%s/%s", place->folder, name);
}

static size_t
read_start(const char* const path, char* const buffer, const size_t size)
{
  FILE* const file = fopen(path, "rb");
  assert_non_null(file);
  const size_t n = fread(buffer, 1, size - 1, file);
  buffer[n]      = '\0';
  fclose(file);
  return n;
}

static void
test_a_pdf_holds_every_page_and_the_title(void** const state)
{
  QfEngraving* const e = engrave_pages();
  char               path[128];
  char               start[16];
  char               command[256];
  path_in((const Place*)*state, "sheet.pdf", path);
  assert_int_equal(qf_engraving_export(e, path, NULL), QF_OK);
  read_start(path, start, 6);
  assert_string_equal(start, "%PDF-"); // ISO 32000-1, 7.5.2

  // poppler's reading of our file
  snprintf(command, sizeof(command), "pdfinfo '%s' 2>/dev/null", path);
  FILE* const info = popen(command, "r");
  char        line[256];
  size_t      n_pages  = 0;
  int         is_named = 0;
  assert_non_null(info);
  while (fgets(line, sizeof(line), info)) {
    if (!strncmp(line, "Pages:", 6)) {
      n_pages = strtoul(line + 6, NULL, 10);
    }
    is_named = is_named || (!strncmp(line, "Title:", 6) && strstr(line, "Two Piers"));
  }
  if (pclose(info) == 0) {
    assert_int_equal(n_pages, qf_engraving_n_pages(e));
    assert_true(is_named);
  } else {
    print_message("pdfinfo is not installed: pages not counted\n");
  }
  qf_engraving_free(e);
}

static void
test_a_pdf_says_nothing_of_when_it_was_made(void** const state)
{
  QfEngraving* const e = engrave_pages();
  char               path[128];
  char               command[256];
  path_in((const Place*)*state, "sheet.pdf", path);
  assert_int_equal(qf_engraving_export(e, path, NULL), QF_OK);
  snprintf(command, sizeof(command), "grep -aq -e CreationDate -e ModDate '%s'", path);
  assert_int_not_equal(system(command), 0);
  qf_engraving_free(e);
}

static void
test_png_pages_carry_ink(void** const state)
{
  QfEngraving* const e = engrave_pages();
  char               path[128];
  path_in((const Place*)*state, "sheet.png", path);
  assert_int_equal(qf_engraving_export(e, path, NULL), QF_OK);
  assert_int_equal(count_files(((const Place*)*state)->folder, 0), qf_engraving_n_pages(e));

  cairo_surface_t* const image = cairo_image_surface_create_from_png(path);
  assert_int_equal(cairo_surface_status(image), CAIRO_STATUS_SUCCESS);
  const int width  = cairo_image_surface_get_width(image);
  const int height = cairo_image_surface_get_height(image);
  // ISO 216: the sides of A4 are as 1 to the root of 2; 150 dots an inch make 1240 by 1754
  assert_in_range(width, 1238, 1243);
  assert_in_range(height, 1752, 1757);
  const unsigned char* const data   = cairo_image_surface_get_data(image);
  const size_t               stride = (size_t)cairo_image_surface_get_stride(image);
  size_t                     n_dark = 0;
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      n_dark += data[(size_t)y * stride + (size_t)x * 4U] < 128;
    }
  }
  const double share = (double)n_dark / ((double)width * height);
  assert_true(share > 0.01 && share < 0.25);
  cairo_surface_destroy(image);
  qf_engraving_free(e);
}

static void
test_svg_has_a_file_for_each_page(void** const state)
{
  QfEngraving* const e = engrave_pages();
  char               path[128];
  char               start[64];
  path_in((const Place*)*state, "sheet.svg", path);
  assert_int_equal(qf_engraving_export(e, path, NULL), QF_OK);
  assert_int_equal(count_files(((const Place*)*state)->folder, 0), qf_engraving_n_pages(e));
  path_in((const Place*)*state, "sheet-2.svg", path);
  read_start(path, start, sizeof(start));
  assert_non_null(strstr(start, "<?xml"));
  qf_engraving_free(e);
}

static void
test_an_unknown_ending_is_refused(void** const state)
{
  (void)state;
  QfEngraving* const e     = engrave_pages();
  QfError            error = {0};
  assert_int_equal(qf_engraving_export(e, "sheet.doc", &error), QF_ERR_UNSUPPORTED);
  assert_non_null(strstr(error.text, ".pdf"));
  assert_int_equal(qf_engraving_export(e, "folder.pdf/sheet", &error), QF_ERR_UNSUPPORTED);
  qf_engraving_free(e);
}

static void
test_a_missing_folder_is_said(void** const state)
{
  QfEngraving* const e     = engrave_pages();
  QfError            error = {0};
  char               path[128];
  path_in((const Place*)*state, "nowhere/sheet.pdf", path);
  assert_int_equal(qf_engraving_export(e, path, &error), QF_ERR_IO);
  assert_true(error.text[0] != '\0');
  qf_engraving_free(e);
}

/// A limit on the size of files stands in for a full disk: writing fails half-way
static void
test_a_full_disk_leaves_the_old_file(void** const state)
{
  QfEngraving* const e     = engrave_pages();
  QfError            error = {0};
  char               path[128];
  char               content[16];
  struct rlimit      old;
  path_in((const Place*)*state, "sheet.pdf", path);
  FILE* const file = fopen(path, "w");
  assert_non_null(file);
  assert_true(fputs("old", file) >= 0);
  assert_int_equal(fclose(file), 0);

  assert_int_equal(getrlimit(RLIMIT_FSIZE, &old), 0);
  const struct rlimit small  = {4096, old.rlim_max};
  void (*const handler)(int) = signal(SIGXFSZ, SIG_IGN);
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
  const QfStatus st = qf_engraving_export(e, path, &error);
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &old), 0);
  signal(SIGXFSZ, handler);

  assert_int_equal(st, QF_ERR_IO);
  assert_true(error.text[0] != '\0');
  read_start(path, content, sizeof(content));
  assert_string_equal(content, "old");
  assert_int_equal(count_files(((const Place*)*state)->folder, 0), 1);
  qf_engraving_free(e);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup_teardown(test_a_pdf_holds_every_page_and_the_title, make_place,
                                    drop_place),
    cmocka_unit_test_setup_teardown(test_a_pdf_says_nothing_of_when_it_was_made, make_place,
                                    drop_place),
    cmocka_unit_test_setup_teardown(test_png_pages_carry_ink, make_place, drop_place),
    cmocka_unit_test_setup_teardown(test_svg_has_a_file_for_each_page, make_place, drop_place),
    cmocka_unit_test(test_an_unknown_ending_is_refused),
    cmocka_unit_test_setup_teardown(test_a_missing_folder_is_said, make_place, drop_place),
    cmocka_unit_test_setup_teardown(test_a_full_disk_leaves_the_old_file, make_place, drop_place),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
