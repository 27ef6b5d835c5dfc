// SPDX-License-Identifier: MIT
#include "quintfall/rules.h"

#include <string.h>

#define OFF QF_SEVERITY_OFF
#define INFO QF_SEVERITY_INFO
#define WARN QF_SEVERITY_WARNING
#define ERR QF_SEVERITY_ERROR

// MT21C: R. Hutchinson, Music Theory for the 21st-Century Classroom; IBMT: S. Butterfield and
// E. Williamson, Inquiry-Based Music Theory, 2017-18; OMT: Open Music Theory, first edition.
// clang-format off
static const QfRuleText rules[QF_RULE_N_KINDS] = {
  [QF_RULE_RANGE] = {
    "range",
    "Each voice stays in its range.",
    "Singers tire, or have no such note.",
    "IBMT 6b",
    {ERR, WARN, OFF},
  },
  [QF_RULE_SPACING] = {
    "spacing",
    "Neighbouring upper voices are at most an octave apart.",
    "A wider gap splits the chord into two bodies of sound.",
    "MT21C Rules of Spacing; IBMT 6b, 10b",
    {ERR, ERR, WARN},
  },
  [QF_RULE_CROSSING] = {
    "crossing",
    "No voice sounds below a lower one.",
    "Crossed voices trade places, and the ear follows the wrong one.",
    "IBMT 10b; OMT First species",
    {ERR, ERR, WARN},
  },
  [QF_RULE_UNISON] = {
    "unison",
    "Two voices seldom share one note.",
    "Four parts sound like three.",
    "common practice",
    {INFO, OFF, OFF},
  },
  [QF_RULE_OVERLAP] = {
    "overlap",
    "A voice does not move past its neighbour's last note.",
    "It is heard as one voice leaping.",
    "OMT First species",
    {ERR, WARN, OFF},
  },
  [QF_RULE_PARALLEL_FIFTHS] = {
    "parallel_fifths",
    "Two voices do not move from a perfect fifth to another in the same direction.",
    "They fuse, and lose their independence.",
    "MT21C Objectionable Parallels; IBMT 10b; OMT",
    {ERR, ERR, ERR},
  },
  [QF_RULE_PARALLEL_OCTAVES] = {
    "parallel_octaves",
    "Two voices do not move from an octave or unison to another in the same direction.",
    "One voice vanishes in the other.",
    "MT21C Objectionable Parallels; IBMT 10b; OMT",
    {ERR, ERR, ERR},
  },
  [QF_RULE_CONTRARY_FIFTHS] = {
    "contrary_fifths",
    "Two voices do not go from fifth to fifth in contrary motion.",
    "The ear takes it for parallels with an octave's shift.",
    "IBMT 10b; between outer voices OMT",
    {ERR, WARN, OFF},
  },
  [QF_RULE_CONTRARY_OCTAVES] = {
    "contrary_octaves",
    "Two voices do not go from octave to octave in contrary motion.",
    "The ear takes it for parallels with an octave's shift.",
    "IBMT 10b; between outer voices OMT",
    {ERR, WARN, OFF},
  },
  [QF_RULE_DIRECT_FIFTHS] = {
    "direct_fifths",
    "Outer voices do not move in one direction into a fifth while the soprano leaps.",
    "The bare fifth stands out at the edges of the sound.",
    "IBMT 10b",
    {ERR, WARN, OFF},
  },
  [QF_RULE_DIRECT_OCTAVES] = {
    "direct_octaves",
    "Outer voices do not move in one direction into an octave while the soprano leaps.",
    "The bare octave stands out at the edges of the sound.",
    "IBMT 10b; OMT basso continuo style",
    {ERR, WARN, WARN},
  },
  [QF_RULE_UNEQUAL_FIFTHS] = {
    "unequal_fifths",
    "A diminished fifth does not open into a perfect one in the same direction.",
    "It passes for parallel fifths, and leaves the tritone unresolved.",
    "IBMT 10b, with the bass; MT21C accepts it between upper voices",
    {ERR, WARN, OFF},
  },
  [QF_RULE_LEADING_TONE_DOUBLED] = {
    "leading_tone_doubled",
    "A leading tone is not doubled.",
    "Both would have to rise, in octaves.",
    "MT21C; IBMT; OMT",
    {ERR, ERR, WARN},
  },
  [QF_RULE_LEADING_TONE_RESOLUTION] = {
    "leading_tone_resolution",
    "A dominant's leading tone rises to its tonic, or falls a semitone into the next seventh.",
    "Its pull is what makes the dominant lead on.",
    "OMT Tendency tones; MT21C; IBMT 14a",
    {ERR, WARN, WARN},
  },
  [QF_RULE_SEVENTH_DOUBLED] = {
    "seventh_doubled",
    "A seventh is not doubled.",
    "Both would have to fall, in octaves.",
    "IBMT 6b, 10b; MT21C",
    {ERR, ERR, WARN},
  },
  [QF_RULE_SEVENTH_RESOLUTION] = {
    "seventh_resolution",
    "A seventh falls by step, or is held; another voice may take it over within the harmony.",
    "A dissonance asks to be released.",
    "MT21C Voice Leading Seventh Chords; OMT",
    {ERR, ERR, WARN},
  },
  [QF_RULE_AUGMENTED_SECOND] = {
    "augmented_second",
    "No voice moves by an augmented second.",
    "A step that sounds like a leap is hard to sing.",
    "MT21C Rules of Melody; OMT",
    {ERR, ERR, WARN},
  },
  [QF_RULE_AUGMENTED_FOURTH] = {
    "augmented_fourth",
    "No voice leaps an augmented fourth.",
    "It is hard to sing, and wants to go on.",
    "MT21C Rules of Melody",
    {ERR, WARN, OFF},
  },
  [QF_RULE_AUGMENTED_LEAP] = {
    "augmented_leap",
    "No voice leaps another augmented interval.",
    "It is hard to sing, and wants to go on.",
    "MT21C Rules of Melody",
    {ERR, WARN, OFF},
  },
  [QF_RULE_DIMINISHED_LEAP] = {
    "diminished_leap",
    "After a diminished leap a voice turns back by step.",
    "The tone it reached is a tendency tone and is inside the leap.",
    "common practice",
    {WARN, INFO, OFF},
  },
  [QF_RULE_LARGE_LEAP] = {
    "large_leap",
    "No voice leaps a seventh, or more than an octave.",
    "The line breaks apart.",
    "IBMT 10c; limit: common practice",
    {WARN, WARN, OFF},
  },
  [QF_RULE_LEAP_RECOVERY] = {
    "leap_recovery",
    "After a leap larger than a fourth an upper voice turns back.",
    "The gap is filled, and the line keeps its balance.",
    "MT21C Rules of Melody",
    {WARN, INFO, OFF},
  },
  [QF_RULE_COMPOUND_LEAP] = {
    "compound_leap",
    "Two leaps of an upper voice in one direction do not span a seventh or more than an octave.",
    "Together they are one leap that could not be made alone.",
    "common practice",
    {WARN, INFO, OFF},
  },
  [QF_RULE_CROSS_RELATION] = {
    "cross_relation",
    "A note and its chromatic neighbour do not follow in different voices.",
    "The ear waits for one voice to make the semitone.",
    "common practice",
    {ERR, WARN, OFF},
  },
  [QF_RULE_MISSING_THIRD] = {
    "missing_third",
    "Every chord has its third.",
    "Without it nobody hears whether it is major or minor.",
    "IBMT 6b",
    {ERR, ERR, WARN},
  },
  [QF_RULE_MISSING_FIFTH] = {
    "missing_fifth",
    "Only a root-position chord may lack its fifth.",
    "An inverted chord needs all its notes to be known.",
    "IBMT 6b; MT21C; OMT; AP Music Theory guidelines 2015",
    {INFO, INFO, OFF},
  },
  [QF_RULE_MISSING_NOTE] = {
    "missing_note",
    "No chord leaves out its root or its seventh.",
    "It would be another chord.",
    "IBMT 6b, only the fifth may be left out",
    {ERR, WARN, OFF},
  },
  [QF_RULE_DOUBLED_THIRD] = {
    "doubled_third",
    "A triad in root position does not double its third.",
    "The third stands out already, and doubled it outweighs the root.",
    "MT21C; IBMT; OMT allows it",
    {WARN, INFO, OFF},
  },
  [QF_RULE_DOUBLED_THIRD_IN_BASS] = {
    "doubled_third_in_bass",
    "A major or minor triad in first inversion does not double its bass.",
    "The third in the bass stands out already.",
    "MT21C; OMT allows it where the bass is the degree 1, 2, 4 or 5",
    {WARN, OFF, OFF},
  },
  [QF_RULE_ALTERED_DOUBLED] = {
    "altered_doubled",
    "The tones of an augmented sixth are not doubled.",
    "Both would have to resolve the same way, in octaves.",
    "OMT, do not double altered notes",
    {ERR, WARN, OFF},
  },
  [QF_RULE_SIX_FOUR_DOUBLING] = {
    "six_four_doubling",
    "A six-four chord doubles its bass.",
    "The fourth above the bass is then heard as leaning on it.",
    "MT21C; OMT",
    {ERR, WARN, OFF},
  },
  [QF_RULE_SIX_FOUR_USE] = {
    "six_four_use",
    "A six-four chord cadences, passes, stands over a held bass, or belongs to a broken chord.",
    "Its fourth is a dissonance and needs a reason.",
    "MT21C Types of Six-Four Chords; IBMT",
    {WARN, INFO, OFF},
  },
  [QF_RULE_CADENTIAL_RESOLUTION] = {
    "cadential_resolution",
    "Sixth and fourth of a cadential six-four step down.",
    "They lean on the fifth and third of the dominant.",
    "OMT Cadence types; MT21C",
    {WARN, INFO, OFF},
  },
  [QF_RULE_AUGMENTED_SIXTH_RESOLUTION] = {
    "augmented_sixth_resolution",
    "An augmented sixth opens outward to an octave; its upper note may fall a semitone to a "
    "seventh.",
    "Both notes lean on the fifth degree.",
    "OMT Augmented sixth chords; MT21C",
    {ERR, WARN, OFF},
  },
  [QF_RULE_NEAPOLITAN_RESOLUTION] = {
    "neapolitan_resolution",
    "The lowered second degree of a Neapolitan falls.",
    "It leans down, to the leading tone or the tonic.",
    "OMT Neapolitan; MT21C",
    {WARN, INFO, OFF},
  },
  [QF_RULE_BASS_OVER_BAR] = {
    "bass_over_bar",
    "A new chord on a downbeat does not repeat the bass note before the bar line.",
    "The bass takes away the weight of the downbeat.",
    "common practice",
    {WARN, INFO, OFF},
  },
};
// clang-format on

static const char* const profile_names[QF_PROFILE_N_KINDS] = {"strict", "common", "free"};

const QfRuleText*
qf_rule_get_text(const QfRule rule)
{
  return &rules[rule];
}

const char*
qf_profile_name(const QfProfile profile)
{
  return profile_names[profile];
}

QfStatus
qf_profile_parse(const char* const text, QfProfile* const result, QfError* const error)
{
  for (int i = 0; i < QF_PROFILE_N_KINDS; ++i) {
    if (!strcmp(text, profile_names[i])) {
      *result = (QfProfile)i;
      return QF_OK;
    }
  }
  return qf_error_set(error, QF_ERR_BAD_TEXT, "a profile is strict, common or free, not \"%s\"",
                      text);
}

const char*
qf_severity_name(const QfSeverity severity)
{
  static const char* const names[] = {"off", "info", "warning", "error"};
  return names[severity];
}
