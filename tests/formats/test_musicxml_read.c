// SPDX-License-Identifier: MIT
// Documents are written here by hand after the MusicXML 4.0 documentation (W3C Music Notation
// Community Group); what each must mean is worked out by hand from the same text.
#include "support.h"

#define HEAD                                                                                       \
  "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>Choir"              \
  "</part-name></score-part></part-list><part id=\"P1\">"
#define TAIL "</part></score-partwise>"
#define ATTRIBUTES(divisions, fifths, beats, type)                                                 \
  "<attributes><divisions>" #divisions "</divisions><key><fifths>" #fifths                         \
  "</fifths></key><time><beats>" #beats "</beats><beat-type>" #type "</beat-type></time>"          \
  "</attributes>"
#define NOTE(step, octave, duration, more)                                                         \
  "<note><pitch><step>" #step "</step><octave>" #octave "</octave></pitch><duration>" #duration    \
  "</duration>" more "</note>"

static QfScore*
read_text(const char* const xml, QfImport* const import)
{
  QfScore* score = NULL;
  QfError  error = {0};
  if (qf_musicxml_read(xml, strlen(xml), &score, import, &error)) {
    fail_msg("%d: %s\n%s", error.line, error.text, xml);
  }
  return score;
}

/// Write a voice as "start+duration pitch" in quarters, for comparison with a line of text
static void
assert_voice(const QfScore* const score, const size_t voice, const char* const expected)
{
  char   text[800] = "";
  size_t filled    = 0U;
  assert_true(voice < qf_score_n_voices(score));
  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    char                start[44];
    char                duration[44];
    char                pitch[12];
    qf_time_write(qf_time_mul(note->start, qf_time(4, 1)), start, sizeof(start));
    qf_time_write(qf_time_mul(note->duration, qf_time(4, 1)), duration, sizeof(duration));
    qf_pitch_write(note->pitch, pitch, sizeof(pitch));
    filled += (size_t)snprintf(text + filled, sizeof(text) - filled, "%s%s+%s %s", i ? ", " : "",
                               start, duration, pitch);
  }
  assert_string_equal(text, expected);
}

static void
assert_remark(const QfImport* const import, const char* const words)
{
  if (!import->remarks || !strstr(import->remarks, words)) {
    fail_msg("remarks are \"%s\", expected \"%s\"", import->remarks, words);
  }
}

static void
test_the_sample_is_read_whole(void** const state)
{
  (void)state;
  // Source: tests/data/references/sample_satb.musicxml, read by hand.
  size_t      length = 0U;
  char* const xml    = read_data("references/sample_satb.musicxml", &length);
  QfScore*    score  = must_read(xml, length, "sample_satb.musicxml");
  free(xml);

  assert_int_equal(2U, qf_score_n_staves(score));
  assert_string_equal("SA", qf_score_get_staff(score, 0)->name);
  assert_int_equal(QF_CLEF_TREBLE, qf_score_get_staff(score, 0)->clef);
  assert_int_equal(QF_CLEF_BASS, qf_score_get_staff(score, 1)->clef);
  assert_int_equal(4U, qf_score_n_voices(score));
  assert_int_equal(1U, qf_score_get_voice(score, 2)->staff);

  assert_int_equal(2U, qf_score_n_bars(score));
  const QfBar* const pickup = qf_score_get_bar(score, 0);
  assert_int_equal(0, pickup->number);
  assert_int_equal(0, qf_time_compare(qf_time(1, 4), pickup->length));
  assert_int_equal(0, qf_time_compare(qf_time(3, 4), pickup->offset));
  assert_int_equal(1, qf_score_get_bar(score, 1)->number);
  assert_int_equal(0, qf_score_get_bar(score, 1)->offset.num);

  assert_voice(score, 0, "0+3 Bb4, 3+2 Ab4");
  assert_voice(score, 1, "0+1 G4, 1+2 G4, 3+1 F4");
  assert_voice(score, 2, "0+1 Bb3, 1+2 C4, 3+2 C4");
  assert_voice(score, 3, "0+1 Eb3, 1+2 E3, 3+2 F3");

  char key[16];
  qf_key_write(qf_score_signature_at(score, QF_TIME_ZERO), key, sizeof(key));
  assert_string_equal("Eb major", key);
  qf_score_free(score);
}

/// One document and one voice it must give
typedef struct {
  const char* label;
  const char* xml;
  size_t      n_voices;
  size_t      voice;
  const char* expected;
  const char* remark; ///< Words of a remark, or NULL for none at all
} ReadCase;

// clang-format off
static const ReadCase read_cases[] = {
  {"divisions may change",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 2, 4) NOTE(C, 4, 1, "")
     "<attributes><divisions>6</divisions></attributes>" NOTE(D, 4, 6, "") "</measure>" TAIL,
   1, 0, "0+1 C4, 1+1 D4", NULL},
  {"a triplet is exact",
   HEAD "<measure number=\"1\">" ATTRIBUTES(480, 0, 1, 4) NOTE(C, 4, 160, "") NOTE(D, 4, 160, "")
     NOTE(E, 4, 160, "") "</measure>" TAIL, 1, 0, "0+1/3 C4, 1/3+1/3 D4, 2/3+1/3 E4",
   NULL},
  {"decimal divisions and durations",
   HEAD "<measure number=\"1\">" ATTRIBUTES(0.5, 0, 2, 4) NOTE(C, 4, 0.5, "") NOTE(D, 4, 0.5, "")
     "</measure>" TAIL, 1, 0, "0+1 C4, 1+1 D4", NULL},
  {"backup and forward",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 3, 4) NOTE(C, 5, 3, "<voice>1</voice>")
     "<backup><duration>3</duration></backup><forward><duration>1</duration></forward>"
     NOTE(E, 4, 1, "<voice>2</voice>") "</measure>" TAIL, 2,
   1, "1+1 E4", NULL},
  {"a chord splits, the highest note first",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 2, 4) NOTE(C, 4, 1, "")
     "<note><chord/><pitch><step>G</step><octave>4</octave></pitch><duration>1</duration>"
     "</note>" NOTE(D, 4, 1, "") "</measure>" TAIL, 2, 0, "0+1 G4, 1+1 D4",
   "split into more voices (measure 1)"},
  {"the lower note of a chord has its own voice",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 2, 4) NOTE(C, 4, 1, "")
     "<note><chord/><pitch><step>G</step><octave>4</octave></pitch><duration>1</duration>"
     "</note>" NOTE(D, 4, 1, "") "</measure>" TAIL, 2, 1, "0+1 C4",
   "split into more voices (measure 1)"},
  {"ties make one note over three measures",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 1, 4) NOTE(C, 4, 1, "<tie type=\"start\"/>")
     "</measure><measure number=\"2\">"
     NOTE(C, 4, 1, "<tie type=\"stop\"/><tie type=\"start\"/>") "</measure><measure "
     "number=\"3\">" NOTE(C, 4, 1, "<tie type=\"stop\"/>") "</measure>" TAIL,
   1, 0, "0+3 C4", NULL},
  {"a note tied within a chord goes on under the next",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 3, 4) NOTE(G, 4, 1, "")
     "<note><chord/><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration>"
     "<tie type=\"start\"/></note>" NOTE(C, 4, 1, "<tie type=\"stop\"/>")
     "<note><chord/><pitch><step>A</step><octave>4</octave></pitch><duration>1</duration>"
     "</note>" NOTE(B, 4, 1, "") "</measure>" TAIL, 2, 1, "0+2 C4",
   "split into more voices (measure 1)"},
  {"repeated notes without a tie stay two",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 2, 4) NOTE(C, 4, 1, "") NOTE(C, 4, 1, "")
     "</measure>" TAIL, 1, 0, "0+1 C4, 1+1 C4", NULL},
  {"a drawn tie counts where the sounding one is missing",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 2, 4)
     NOTE(C, 4, 1, "<notations><tied type=\"start\"/></notations>")
     NOTE(C, 4, 1, "<notations><tied type=\"stop\"/></notations>") "</measure>" TAIL,
   1, 0, "0+2 C4", NULL},
  {"a tie to nowhere is passed over",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 2, 4) NOTE(C, 4, 1, "<tie type=\"start\"/>")
     NOTE(D, 4, 1, "") "</measure>" TAIL, 1, 0, "0+1 C4, 1+1 D4",
   "only one end"},
  {"grace notes take no time",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 1, 4) "<note><grace/><pitch><step>D</step>"
     "<octave>5</octave></pitch></note>" NOTE(C, 5, 1, "") "</measure>" TAIL,
   1, 0, "0+1 C5", "Grace notes were left out (measure 1)"},
  {"cue notes keep their time",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 2, 4) "<note><cue/><pitch><step>D</step>"
     "<octave>5</octave></pitch><duration>1</duration></note>" NOTE(C, 5, 1, "") "</measure>"
     TAIL, 1, 0, "1+1 C5", "Cue notes"},
  {"a quarter tone is rounded",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 1, 4) "<note><pitch><step>F</step><alter>0.75"
     "</alter><octave>4</octave></pitch><duration>1</duration></note></measure>" TAIL,
   1, 0, "0+1 F#4", "Microtones"},
  {"five flats are spelled anew with the same sound",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 1, 4) "<note><pitch><step>C</step><alter>-5"
     "</alter><octave>4</octave></pitch><duration>1</duration></note></measure>" TAIL,
   1, 0, "0+1 G3", "spelled anew"},
  {"a clarinet in B flat sounds a tone lower",
   HEAD "<measure number=\"1\"><attributes><divisions>1</divisions><key><fifths>2</fifths></key>"
     "<time><beats>2</beats><beat-type>4</beat-type></time><transpose><diatonic>-1</diatonic>"
     "<chromatic>-2</chromatic></transpose></attributes>" NOTE(D, 5, 1, "")
     "<note><pitch><step>C</step><alter>1</alter><octave>5</octave></pitch><duration>1"
     "</duration></note></measure>" TAIL, 1, 0, "0+1 C5, 1+1 B4",
   NULL},
  {"an octave change without diatonic steps",
   HEAD "<measure number=\"1\"><attributes><divisions>1</divisions><transpose><chromatic>-9"
     "</chromatic><octave-change>-1</octave-change></transpose><time><beats>1</beats>"
     "<beat-type>4</beat-type></time></attributes>" NOTE(C, 6, 1, "") "</measure>" TAIL,
   1, 0, "0+1 Eb4", NULL},
  {"UTF-8 with a byte order mark",
   "\xEF\xBB\xBF" HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 1, 4) NOTE(C, 4, 1, "")
     "</measure>" TAIL, 1, 0, "0+1 C4", NULL},
};
// clang-format on

static void
test_each_document_gives_its_voice(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(read_cases); ++i) {
    const ReadCase* const c      = &read_cases[i];
    QfImport              import = {0};
    QfScore* const        score  = read_text(c->xml, &import);
    if (qf_score_n_voices(score) != c->n_voices) {
      fail_msg("%s: %zu voices", c->label, qf_score_n_voices(score));
    }
    print_message("  %s\n", c->label);
    assert_voice(score, c->voice, c->expected);
    if (c->remark) {
      assert_remark(&import, c->remark);
    } else if (import.remarks) {
      fail_msg("%s: unexpected remark \"%s\"", c->label, import.remarks);
    }
    qf_import_clear(&import);
    qf_score_free(score);
  }
}

static void
test_a_transposing_part_gives_the_sounding_key(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(read_cases); ++i) {
    if (strstr(read_cases[i].label, "clarinet")) {
      QfScore* const score = read_text(read_cases[i].xml, NULL);
      // Written D major for an instrument in B flat sounds C major (common practice).
      assert_int_equal(0, qf_key_fifths(qf_score_signature_at(score, QF_TIME_ZERO)));
      qf_score_free(score);
    }
  }
}

static void
test_split_bars_go_on_counting(void** const state)
{
  (void)state;
  // clang-format off
  static const char xml[] = HEAD
    "<measure number=\"0\">" ATTRIBUTES(1, 1, 4, 4) NOTE(G, 4, 1, "") "</measure>"
    "<measure number=\"1\">" NOTE(G, 4, 3, "")
      "<barline location=\"right\"><repeat direction=\"backward\"/></barline></measure>"
    "<measure number=\"1a\">" NOTE(A, 4, 1, "") "</measure>"
    "<measure number=\"2\"><barline location=\"left\"><repeat direction=\"forward\"/></barline>"
      NOTE(B, 4, 4, "") "</measure>"
    "<measure number=\"3\">" NOTE(B, 4, 2, "") "</measure>"
    "<measure number=\"X1\" implicit=\"yes\">" NOTE(B, 4, 2, "") "</measure>"
    "<measure number=\"4\">" NOTE(C, 5, 3, "") "</measure>" TAIL;
  // clang-format on
  static const struct {
    int  number;
    char suffix;
    int  length; // quarters
    int  offset; // quarters
    bool starts_repeat;
    bool ends_repeat;
  } expected[] = {
    {0, 0, 1, 3, false, false}, {1, 0, 3, 0, false, true},  {1, 'a', 1, 3, false, false},
    {2, 0, 4, 0, true, false},  {3, 0, 2, 0, false, false}, {3, 'a', 2, 2, false, false},
    {4, 0, 3, 0, false, false}, // a last bar may be short
  };

  QfScore* const score = read_text(xml, NULL);
  assert_int_equal(N_ITEMS(expected), qf_score_n_bars(score));
  for (size_t i = 0; i < N_ITEMS(expected); ++i) {
    const QfBar* const bar = qf_score_get_bar(score, i);
    assert_int_equal(expected[i].number, bar->number);
    assert_int_equal(expected[i].suffix, bar->suffix);
    assert_int_equal(0, qf_time_compare(qf_time(expected[i].length, 4), bar->length));
    assert_int_equal(0, qf_time_compare(qf_time(expected[i].offset, 4), bar->offset));
    assert_int_equal(expected[i].starts_repeat, bar->starts_repeat);
    assert_int_equal(expected[i].ends_repeat, bar->ends_repeat);
  }
  qf_score_free(score);
}

static void
test_staves_metres_keys_tempo_and_titles(void** const state)
{
  (void)state;
  static const char xml[] =
    "<?xml version=\"1.0\"?><!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 3.1 "
    "Partwise//EN\" \"http://www.musicxml.org/dtds/partwise.dtd\"><score-partwise>"
    "<work><work-title> Low\n  Water </work-title></work><identification><creator "
    "type=\"lyricist\">"
    "Nobody</creator><creator type=\"composer\">A &amp; B</creator></identification>"
    "<part-list><score-part id=\"A\"><part-name>Piano</part-name></score-part>"
    "<score-part id=\"D\"><part-name>Drum</part-name></score-part></part-list>"
    "<part id=\"A\"><measure number=\"1\"><attributes><divisions>2</divisions><key><fifths>-4"
    "</fifths><mode>minor</mode></key><time><beats>3+2</beats><beat-type>8</beat-type></time>"
    "<staves>2</staves><clef number=\"1\"><sign>G</sign><line>2</line></clef><clef number=\"2\">"
    "<sign>F</sign><line>4</line></clef></attributes><direction><sound tempo=\"96.5\"/></direction>"
    "<note><pitch><step>C</step><octave>5</octave></pitch><duration>5</duration><voice>1</voice>"
    "<staff>1</staff></note><backup><duration>5</duration></backup><note><pitch><step>F</step>"
    "<octave>3</octave></pitch><duration>5</duration><voice>5</voice><staff>2</staff></note>"
    "</measure><measure number=\"2\"><attributes><key><fifths>1</fifths><mode>major</mode></key>"
    "<time><beats>2</beats><beat-type>4</beat-type></time></attributes><note><rest "
    "measure=\"yes\"/>"
    "<duration>4</duration></note></measure></part>"
    "<part id=\"D\"><measure number=\"1\"><attributes><divisions>1</divisions></attributes><note>"
    "<unpitched/><duration>2</duration></note></measure><measure number=\"2\"/></part>"
    "</score-partwise>";
  QfImport       import = {0};
  QfScore* const score  = read_text(xml, &import);
  assert_remark(&import, "Parts without pitch were left out");
  qf_import_clear(&import);

  assert_string_equal("Low Water", qf_score_get_title(score));
  assert_string_equal("A & B", qf_score_get_composer(score));
  assert_true(qf_score_get_tempo(score) == 96.5);
  assert_int_equal(2U, qf_score_n_staves(score));
  assert_int_equal(2U, qf_score_n_voices(score));
  assert_int_equal(QF_CLEF_BASS, qf_score_get_staff(score, 1)->clef);
  assert_voice(score, 1, "0+5/2 F3");
  assert_int_equal(0, qf_time_compare(qf_time(1, 2), qf_score_get_bar(score, 1)->length));
  assert_int_equal(2U, qf_score_n_signatures(score));
  char key[16];
  qf_key_write(qf_score_signature_at(score, QF_TIME_ZERO), key, sizeof(key));
  assert_string_equal("F minor", key);
  qf_key_write(qf_score_signature_at(score, qf_time(5, 8)), key, sizeof(key));
  assert_string_equal("G major", key);
  qf_score_free(score);
}

#define PART(id, clef, notes)                                                                      \
  "<part id=\"" id "\"><measure number=\"1\"><attributes><divisions>1</divisions>" clef            \
  "</attributes>" notes "</measure></part>"

/// Common practice: middle C lies between the treble and the bass staff.
static void
test_a_part_without_clef_gets_that_of_most_of_its_notes(void** state)
{
  (void)state;
  // clang-format off
  static const char xml[] =
    "<score-partwise><part-list><score-part id=\"A\"/><score-part id=\"B\"/>"
    "<score-part id=\"C\"/><score-part id=\"D\"/></part-list>"
    // Three low notes are more than one, however high it is.
    PART("A", "", NOTE(B, 3, 1, "") NOTE(G, 3, 1, "") NOTE(A, 3, 1, "") NOTE(C, 6, 1, ""))
    PART("B", "", NOTE(C, 4, 1, "") NOTE(D, 4, 1, "") NOTE(E, 4, 1, "") NOTE(C, 2, 1, ""))
    PART("C", "", NOTE(C, 3, 1, "") NOTE(D, 3, 1, "") NOTE(E, 3, 1, "") NOTE(F, 3, 1, ""))
    // What the file says holds.
    PART("D", "<clef><sign>G</sign><line>2</line></clef>", NOTE(C, 3, 4, ""))
    "</score-partwise>";
  // clang-format on
  static const QfClef clefs[] = {QF_CLEF_BASS, QF_CLEF_TREBLE, QF_CLEF_BASS, QF_CLEF_TREBLE};
  QfImport            import  = {0};
  QfScore* const      score   = read_text(xml, &import);

  assert_int_equal(N_ITEMS(clefs), qf_score_n_staves(score));
  for (size_t i = 0; i < N_ITEMS(clefs); ++i) {
    assert_int_equal(clefs[i], qf_score_get_staff(score, i)->clef);
  }
  qf_import_clear(&import);
  qf_score_free(score);
}

#define FERMATA "<notations><fermata type=\"upright\"/></notations>"
#define TIED(kind, more)                                                                           \
  "<tie type=\"" kind "\"/><notations><tied type=\"" kind "\"/>" more "</notations>"

static void
test_fermatas_belong_to_the_start_of_their_notes(void** const state)
{
  (void)state;
  // MusicXML 4.0: a fermata stands in the `notations` of a note. The note tied from bar 1 to 2
  // starts on the second quarter; the one tied to bar 3 ends together with another voice's note.
  static const char xml[] =
    HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 2, 4) NOTE(C, 5, 1, FERMATA) NOTE(
      D, 5, 1,
      TIED("start",
           "")) "</measure>"
                "<measure number=\"2\">" NOTE(D, 5, 1, TIED("stop", "<fermata/>")) NOTE(
                  E, 5, 1,
                  TIED("start",
                       "")) "</measure>"
                            "<measure number=\"3\">" NOTE(
                              E, 5, 2,
                              TIED("stop", "<fermata/>")) "<backup><duration>2</duration></"
                                                          "backup>" NOTE(
                                                            C, 4, 1, "<voice>2</voice>") "<note><"
                                                                                         "rest/"
                                                                                         "><"
                                                                                         "duration>"
                                                                                         "1</"
                                                                                         "duration>"
                                                                                         "<voice>2<"
                                                                                         "/voice><"
                                                                                         "notations"
                                                                                         "><"
                                                                                         "fermata/"
                                                                                         "></"
                                                                                         "notations"
                                                                                         "></note>"
                                                                                         "</"
                                                                                         "measure"
                                                                                         ">" TAIL;
  static const QfTime expected[] = {{0, 1}, {1, 4}, {1, 1}};

  QfScore* const score = read_text(xml, NULL);
  assert_int_equal(N_ITEMS(expected), qf_score_n_fermatas(score));
  for (size_t i = 0; i < N_ITEMS(expected); ++i) {
    assert_int_equal(0, qf_time_compare(expected[i], qf_score_get_fermata(score, i)));
  }
  qf_score_free(score);
}

/// Three parts of two measures, each with a signature in either (or none)
static QfScore*
read_parts(const char* const first[3], const char* const second[3], QfImport* const import)
{
  char   xml[4000];
  size_t length =
    (size_t)snprintf(xml, sizeof(xml),
                     "<score-partwise><part-list><score-part id=\"P1\"><part-name/></score-part>"
                     "<score-part id=\"P2\"><part-name/></score-part>"
                     "<score-part id=\"P3\"><part-name/></score-part></part-list>");
  for (int i = 0; i < 3; ++i) {
    length += (size_t)snprintf(
      xml + length, sizeof(xml) - length,
      "<part id=\"P%d\"><measure number=\"1\"><attributes><divisions>1</divisions>%s<time>"
      "<beats>1</beats><beat-type>4</beat-type></time></attributes>" NOTE(
        C, 4, 1, "") "</measure>"
                     "<measure number=\"2\"><attributes>%s</attributes>" NOTE(
                       C, 4, 1, "") "</measure></part>",
      i + 1, first[i], second[i]);
  }
  snprintf(xml + length, sizeof(xml) - length, "</score-partwise>");
  return read_text(xml, import);
}

#define KEY(fifths) "<key><fifths>" #fifths "</fifths></key>"

static void
test_the_key_of_most_parts_is_taken(void** const state)
{
  (void)state;
  // Worked out by hand: the majority at each moment, of equals the first part.
  static const struct {
    const char* first[3];
    const char* second[3];
    int         fifths[2];
    bool        is_told;
  } rows[] = {
    {{KEY(2), KEY(2), KEY(2)}, {"", "", ""}, {2, 2}, false},
    {{KEY(4), KEY(2), KEY(2)}, {"", "", ""}, {2, 2}, true},
    {{KEY(2), KEY(2), KEY(2)}, {"", KEY(-1), KEY(-1)}, {2, -1}, true},
    {{KEY(2), KEY(2), KEY(2)}, {KEY(-1), "", ""}, {2, 2}, true},
    {{KEY(2), "", ""}, {KEY(-1), "", ""}, {2, -1}, false},
    {{KEY(1), KEY(3), KEY(5)}, {"", "", ""}, {1, 1}, true},
  };
  for (size_t i = 0; i < N_ITEMS(rows); ++i) {
    QfImport       import = {0};
    QfScore* const score  = read_parts(rows[i].first, rows[i].second, &import);
    if (qf_key_fifths(qf_score_signature_at(score, QF_TIME_ZERO)) != rows[i].fifths[0] ||
        qf_key_fifths(qf_score_signature_at(score, qf_time(1, 4))) != rows[i].fifths[1]) {
      fail_msg("row %zu has other keys", i);
    }
    if (rows[i].is_told) {
      assert_remark(&import, "The parts have different key signatures");
    } else {
      assert_null(import.remarks);
    }
    qf_import_clear(&import);
    qf_score_free(score);
  }
}

static void
test_timewise_says_the_same(void** const state)
{
  (void)state;
  static const char list[] =
    "<part-list><score-part id=\"P1\"><part-name>S</part-name></score-part>"
    "<score-part id=\"P2\"><part-name>B</part-name></score-part></part-list>";
  static const char cells[2][2][400] = {
    {ATTRIBUTES(1, 0, 1, 4) NOTE(E, 5, 1, ""), NOTE(D, 5, 1, "")},
    {ATTRIBUTES(2, 0, 1, 4) NOTE(C, 3, 2, ""), NOTE(G, 3, 2, "")},
  };
  char partwise[4000];
  char timewise[4000];
  snprintf(partwise, sizeof(partwise),
           "<score-partwise>%s<part id=\"P1\"><measure number=\"1\">%s</measure><measure "
           "number=\"2\">%s</measure></part><part id=\"P2\"><measure number=\"1\">%s</measure>"
           "<measure number=\"2\">%s</measure></part></score-partwise>",
           list, cells[0][0], cells[0][1], cells[1][0], cells[1][1]);
  snprintf(timewise, sizeof(timewise),
           "<score-timewise>%s<measure number=\"1\"><part id=\"P1\">%s</part><part id=\"P2\">%s"
           "</part></measure><measure number=\"2\"><part id=\"P1\">%s</part><part id=\"P2\">%s"
           "</part></measure></score-timewise>",
           list, cells[0][0], cells[1][0], cells[0][1], cells[1][1]);
  QfScore* const a = read_text(partwise, NULL);
  QfScore* const b = read_text(timewise, NULL);
  assert_voice(a, 1, "0+1 C3, 1+1 G3");
  assert_true(qf_score_equals(a, b));
  qf_score_free(a);
  qf_score_free(b);
}

/// A broken document, and what the message must say
typedef struct {
  const char* label;
  const char* xml;
  QfStatus    status;
  int         line;
  int         measure;
  const char* words;
} BrokenCase;

// clang-format off
static const BrokenCase broken_cases[] = {
  {"empty",
   "", QF_ERR_BAD_FILE, 0, -1, "empty"},
  {"no XML",
   "Dear reader", QF_ERR_BAD_FILE, 1, -1, "not well-formed"},
  {"cut off",
   HEAD "<measure number=\"1\">\n<no", QF_ERR_BAD_FILE, 2, -1,
   "not well-formed"},
  {"another document",
   "<html>\n</html>", QF_ERR_BAD_FILE, 1, -1, "expected MusicXML's"},
  {"no part list",
   "<score-partwise/>", QF_ERR_BAD_FILE, 1, -1, "<part-list>"},
  {"no measures",
   HEAD TAIL, QF_ERR_BAD_FILE, 1, -1, "no measures"},
  {"a part nobody announced",
   "<score-partwise><part-list><score-part id=\"P1\"/></part-list>\n<part id=\"P9\"><measure/>"
     "</part></score-partwise>", QF_ERR_BAD_FILE, 2, -1, "<part-list>"},
  {"a duration before divisions",
   HEAD "<measure number=\"7\">\n" NOTE(C, 4, 1, "") "</measure>" TAIL,
   QF_ERR_BAD_FILE, 2, 7, "<divisions>"},
  {"no duration",
   HEAD "<measure number=\"3\">" ATTRIBUTES(1, 0, 4, 4) "\n\n<note><rest/></note></measure>" TAIL,
   QF_ERR_BAD_FILE, 3, 3, "no <duration>"},
  {"a strange letter",
   HEAD "<measure number=\"3\">" ATTRIBUTES(1, 0, 4, 4) "\n" NOTE(H, 4, 1, "") "</measure>" TAIL,
   QF_ERR_BAD_FILE, 2, 3, "from A to G"},
  {"an octave out of bounds",
   HEAD "<measure number=\"3\">" ATTRIBUTES(1, 0, 4, 4) "\n" NOTE(C, 77, 1, "") "</measure>" TAIL,
   QF_ERR_BAD_FILE, 2, 3, "from 0 to 9"},
  {"a pitch MIDI cannot say",
   HEAD "<measure number=\"3\">" ATTRIBUTES(1, 0, 4, 4) "\n" NOTE(A, 9, 1, "") "</measure>" TAIL,
   QF_ERR_BAD_FILE, 2, 3, "outside the range"},
  {"backup before the measure",
   HEAD "<measure number=\"5\">" ATTRIBUTES(1, 0, 4, 4) NOTE(C, 4, 1, "")
     "\n<backup><duration>2</duration></backup></measure>" TAIL,
   QF_ERR_BAD_FILE, 2, 5, "inside the measure"},
  {"a huge duration",
   HEAD "<measure number=\"5\">" ATTRIBUTES(1, 0, 4, 4) NOTE(C, 4, 999999999, "") "</measure>"
     TAIL, QF_ERR_BAD_FILE, 1, 5, "too long"},
  {"a duration beyond all digits",
   HEAD "<measure number=\"5\">" ATTRIBUTES(1, 0, 4, 4) NOTE(C, 4, 99999999999999999999, "")
     "</measure>" TAIL, QF_ERR_BAD_FILE, 1, 5, "<duration> is"},
  {"divisions of nothing",
   HEAD "<measure number=\"1\">" ATTRIBUTES(0, 0, 4, 4) "</measure>" TAIL,
   QF_ERR_BAD_FILE, 1, 1, "positive number"},
  {"an impossible metre",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 4, 3) "</measure>" TAIL,
   QF_ERR_BAD_FILE, 1, 1, "\"4/3\""},
  {"an impossible key",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 9, 4, 4) "</measure>" TAIL,
   QF_ERR_BAD_FILE, 1, 1, "from -7 to 7"},
  {"an entity, harmless",
   "<!DOCTYPE score-partwise [<!ENTITY a \"x\">]><score-partwise/>",
   QF_ERR_BAD_FILE, 1, -1, "declares entities"},
  {"an entity that names a file",
   "<!DOCTYPE score-partwise [<!ENTITY a SYSTEM \"/etc/passwd\">]><score-partwise>&a;"
     "</score-partwise>", QF_ERR_BAD_FILE, 1, -1, "declares entities"},
  {"entities that grow",
   "<!DOCTYPE s [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;\"><!ENTITY c "
     "\"&b;&b;&b;&b;&b;&b;&b;&b;\">]><score-partwise>&c;</score-partwise>",
   QF_ERR_BAD_FILE, 1, -1, "declares entities"},
  {"percussion only",
   HEAD "<measure number=\"1\">" ATTRIBUTES(1, 0, 1, 4) "<note><unpitched/><duration>1"
     "</duration></note></measure>" TAIL, QF_ERR_UNSUPPORTED,
   0, -1, "no part has pitched notes"},
};
// clang-format on

static void
test_broken_documents_say_what_and_where(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(broken_cases); ++i) {
    const BrokenCase* const c     = &broken_cases[i];
    QfScore*                score = NULL;
    QfError                 error = {0};
    const QfStatus          st    = qf_musicxml_read(c->xml, strlen(c->xml), &score, NULL, &error);
    assert_null(score);
    if (st != c->status || error.status != st || error.line != c->line ||
        error.measure != c->measure || !strstr(error.text, c->words)) {
      fail_msg("%s: status %d, line %d, measure %d, \"%s\"", c->label, (int)st, error.line,
               error.measure, error.text);
    }
  }
}

static void
test_utf16_is_read(void** const state)
{
  (void)state;
  static const char xml[] =
    "<?xml version=\"1.0\" encoding=\"UTF-16\"?>" HEAD
    "<measure number=\"1\">" ATTRIBUTES(1, 0, 1, 4) NOTE(C, 4, 1, "") "</measure>" TAIL;
  // Little-endian with a byte order mark: every ASCII character and a zero (Unicode, chapter 3).
  unsigned char wide[2U * sizeof(xml)];
  wide[0] = 0xFFU;
  wide[1] = 0xFEU;
  for (size_t i = 0; i + 1U < sizeof(xml); ++i) {
    wide[2U * i + 2U] = (unsigned char)xml[i];
    wide[2U * i + 3U] = 0U;
  }
  QfScore* const score = must_read(wide, sizeof(wide), "UTF-16");
  assert_voice(score, 0, "0+1 C4");
  qf_score_free(score);
}

static void
test_deep_nesting_is_refused(void** const state)
{
  (void)state;
  enum { DEPTH = 100000 };
  char* const xml = (char*)malloc(4U * DEPTH + 1U);
  for (size_t i = 0; i < DEPTH; ++i) {
    memcpy(xml + 3U * i, "<a>", 3U);
  }
  QfScore* score = NULL;
  QfError  error = {0};
  assert_int_equal(QF_ERR_BAD_FILE, qf_musicxml_read(xml, 3U * DEPTH, &score, NULL, &error));
  free(xml);
}

/// Whatever comes, the answer is a score or a message, never a crash (the sanitizers watch)
static void
read_hostile(const char* const xml, const size_t length)
{
  QfScore*       score  = NULL;
  QfError        error  = {0};
  QfImport       import = {0};
  const QfStatus st     = qf_musicxml_read(xml, length, &score, &import, &error);
  if (st) {
    assert_null(score);
    assert_true(error.text[0] != '\0');
  } else {
    assert_non_null(score);
  }
  qf_import_clear(&import);
  qf_score_free(score);
}

static void
test_truncated_and_flipped_files_do_no_harm(void** const state)
{
  (void)state;
  size_t      length = 0U;
  char* const xml    = read_data("references/sample_satb.musicxml", &length);
  for (size_t i = 0; i < length; i += 7U) {
    // A copy of exactly that size, so that reading past its end is seen.
    char* const copy = (char*)malloc(i ? i : 1U);
    memcpy(copy, xml, i);
    read_hostile(copy, i);
    free(copy);
  }

  Lcg lcg = {2024};
  for (int i = 0; i < 600; ++i) {
    char* const copy = (char*)malloc(length);
    memcpy(copy, xml, length);
    for (uint32_t n = 1U + draw(&lcg, 4); n > 0; --n) {
      const size_t at = draw(&lcg, (uint32_t)length);
      copy[at]        = draw(&lcg, 2) ? (char)('0' + draw(&lcg, 10)) : (char)draw(&lcg, 256);
    }
    read_hostile(copy, length);
    free(copy);
  }
  free(xml);
}

#define FIGURE(prefix, number, suffix)                                                             \
  "<figure><prefix>" prefix "</prefix><figure-number>" number "</figure-number><suffix>" suffix    \
  "</suffix></figure>"

static void
assert_figures(const QfFigures* const figures, const QfTime start, const char* const text)
{
  assert_int_equal(qf_time_compare(figures->start, start), 0);
  assert_string_equal(figures->text, text);
}

/// MusicXML 4.0, figured-bass: it counts where the next note stands; durations place those after
static void
test_figures_are_read_with_their_times(void** const state)
{
  (void)state;
  QfImport import = {0};
  // clang-format off
  static const char xml[] =
    HEAD "<measure number=\"1\">" ATTRIBUTES(2, 0, 4, 4)
    "<figured-bass>" FIGURE("", "6", "") "</figured-bass>"
    NOTE(E, 3, 2, "") NOTE(F, 3, 2, "")
    "<figured-bass>" FIGURE("", "6", "") FIGURE("flat", "4", "") "<duration>2</duration>"
    "</figured-bass>"
    "<figured-bass>" FIGURE("sharp", "", "") "<duration>2</duration></figured-bass>"
    NOTE(G, 3, 4, "")
    "</measure><measure number=\"2\">"
    "<figured-bass>" FIGURE("", "6", "backslash") FIGURE("", "5", "slash") "</figured-bass>"
    NOTE(C, 3, 8, "") "</measure>" TAIL;
  // clang-format on
  QfScore* const score = read_text(xml, &import);
  assert_int_equal(import.n_figures, 4);
  assert_figures(&import.figures[0], QF_TIME_ZERO, "6");
  assert_figures(&import.figures[1], qf_time(1, 2), "6/b4");
  assert_figures(&import.figures[2], qf_time(3, 4), "#");
  assert_figures(&import.figures[3], qf_time(1, 1), "6+/5");
  qf_import_clear(&import);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_a_part_without_clef_gets_that_of_most_of_its_notes),
    cmocka_unit_test(test_the_sample_is_read_whole),
    cmocka_unit_test(test_each_document_gives_its_voice),
    cmocka_unit_test(test_a_transposing_part_gives_the_sounding_key),
    cmocka_unit_test(test_split_bars_go_on_counting),
    cmocka_unit_test(test_staves_metres_keys_tempo_and_titles),
    cmocka_unit_test(test_fermatas_belong_to_the_start_of_their_notes),
    cmocka_unit_test(test_the_key_of_most_parts_is_taken),
    cmocka_unit_test(test_timewise_says_the_same),
    cmocka_unit_test(test_broken_documents_say_what_and_where),
    cmocka_unit_test(test_utf16_is_read),
    cmocka_unit_test(test_deep_nesting_is_refused),
    cmocka_unit_test(test_truncated_and_flipped_files_do_no_harm),
    cmocka_unit_test(test_figures_are_read_with_their_times),
  };
  return cmocka_run_group_tests_name("musicxml read", tests, NULL, NULL);
}
