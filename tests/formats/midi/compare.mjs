// SPDX-License-Identifier: MIT
// Reads the MIDI file of a performed plan with @tonejs/midi and midi-file, and checks it against
// what the plan says, worked out by hand: E flat major, three-four with an upbeat of a quarter, at
// 90, where a quarter lasts 2/3 s (common practice). Key prelude of six beats; count-in of a bar
// and the two beats the upbeat's bar lacks; the bass forward; 3 s of silence; count-in and the
// whole at half speed.
import { readFileSync } from "node:fs";
import tone from "@tonejs/midi";
import { parseMidi } from "midi-file";

const bytes = readFileSync(0);
const midi = new tone.Midi(bytes);
const raw = parseMidi(bytes);
const failures = [];
let passed = 0;

function check(label, found, expected) {
  if (JSON.stringify(found) === JSON.stringify(expected)) {
    ++passed;
  } else {
    failures.push(`${label}: ${JSON.stringify(found)}; expected ${JSON.stringify(expected)}`);
  }
}

// A tick of 960 to the quarter is 0.7 ms; what is said is exact to one of them.
const round = (seconds) => Math.round(seconds * 1000) / 1000;
const Q = 2 / 3;
const COUNT = 4;
const FIRST = COUNT + 5 * Q;
const SECOND = FIRST + 4 * Q + 3 + 10 * Q;
const seconds = (ticks) => round(midi.header.ticksToSeconds(ticks));

check("title", midi.header.name, "Two hearings");
check("tempo", midi.header.tempos.map((t) => [seconds(t.ticks), Math.round(t.bpm * 1000) / 1000]),
      [[0, 90], [round(SECOND - 10 * Q), 45]]);
check("metre", midi.header.timeSignatures.map((t) => [seconds(t.ticks), t.timeSignature.join("/")]),
      [[0, "4/4"], [COUNT, "3/4"], [round(FIRST), "1/4"], [round(FIRST + Q), "3/4"],
       [round(SECOND), "1/4"], [round(SECOND + 2 * Q), "3/4"]]);
check("key", midi.header.keySignatures.map((k) => [k.ticks, k.key, k.scale]), [[0, "Eb", "major"]]);
check("hearings", midi.header.meta.filter((m) => m.type === "marker").map((m) => [seconds(m.ticks), m.text]),
      [[0, "Bass forward"], [round(SECOND - 10 * Q), "Slow and whole"]]);

// Voices: MIDI keys, C4 = 60, and where they lie in quarters.
const voices = {
  Soprano: [[70, 0, 1], [75, 1, 2], [74, 3, 1]],
  Alto: [[67, 1, 3]],
  Tenor: [[58, 1, 2], [57, 3, 1]],
  Bass: [[51, 0, 1], [55, 1, 2], [46, 3, 1]],
};
// Movable do. Source: tests/data/references/solfege.tsv and solfege_chromatic_scales.tsv.
const syllables = {
  Soprano: ["sol", "do", "ti"],
  Alto: ["mi"],
  Tenor: ["sol", "fi"],
  Bass: ["do", "mi", "sol"],
};
const named = (name) => midi.tracks.find((track) => track.name === name);
for (const [name, notes] of Object.entries(voices)) {
  const track = named(name);
  const expected = [
    ...notes.map(([key, at, long]) => [key, round(FIRST + at * Q), round(long * Q)]),
    ...notes.map(([key, at, long]) => [key, round(SECOND + 2 * at * Q), round(2 * long * Q)]),
  ];
  check(`${name}'s notes`, track.notes.map((n) => [n.midi, round(n.time), round(n.duration)]), expected);
  check(`${name}'s program`, track.instrument.number, 19);
  const events = raw.tracks.find((t) => t.some((e) => e.type === "trackName" && e.text === name));
  check(`${name}'s syllables`, events.filter((e) => e.type === "lyrics").map((e) => e.text),
        [...syllables[name], ...syllables[name]]);

  // Source: General MIDI, volume: 40 log10(value / 127) dB (from memory). The bass is 12 dB over
  // the others the first time, and level with them the second.
  const volumes = track.controlChanges[7].map((c) => c.value * 127);
  const bass = named("Bass").controlChanges[7].map((c) => c.value * 127);
  const over = bass.map((value, i) => 40 * Math.log10(value / volumes[i]));
  check(`the bass over ${name}`, over.map((db) => Math.round(db)), name === "Bass" ? [0, 0] : [12, 0]);
}

// I, IV, V7 and I in E flat major. Source: tests/data/references/diatonic_chords.tsv.
const chords = [[3, 7, 10], [0, 3, 8], [2, 8, 10], [3, 7, 10]];
const prelude = named("Key prelude").notes;
check("prelude's times", [...new Set(prelude.map((n) => round(n.time)))], [0, 1, 2, 3].map((n) => round(n * Q)));
chords.forEach((chord, i) => {
  const found = prelude.filter((n) => round(n.time) === round(i * Q)).map((n) => n.midi % 12);
  check(`prelude's chord ${i + 1}`, [...new Set(found)].sort((a, b) => a - b), chord);
});

const count = named("Count-in");
check("count-in's channel", count.channel, 9); // Percussion. Source: General MIDI (from memory).
check("count-in's beats", count.notes.map((n) => round(n.time)),
      [...[0, 1, 2, 3, 4].map((n) => round(COUNT + n * Q)),
       ...[0, 2, 4, 6, 8].map((n) => round(SECOND - 10 * Q + n * Q))]);

console.log(failures.join("\n"));
console.log(`${passed} passed, ${failures.length} failed`);
process.exit(failures.length || passed < 20 ? 1 : 0);
