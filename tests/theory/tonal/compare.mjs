// SPDX-License-Identifier: MIT
// Check the facts printed by theory_dump (standard input) against the tonal library.
import { createInterface } from "node:readline";
import { Chord, Interval, Key, Note, Scale } from "tonal";

const scaleNames = {
  "natural minor": "aeolian",
  "melodic minor ascending": "melodic minor",
  "melodic minor descending": "aeolian",
};

// The library's own words for chords that have several usual signs
const chordSigns = { mMaj7: "m/ma7", "maj7#5": "maj7#5", dimMaj7: "oM7", add9: "Madd9" };

const root = /^[A-G](?:#+|b+)?/;

function same(found, expected) {
  return found === expected ? null : `expected ${expected}`;
}

function chord(symbol) {
  const tonic = symbol.match(root)[0];
  const sign = symbol.slice(tonic.length);
  return Chord.getChord(chordSigns[sign] ?? sign, tonic);
}

// Degree 1-7 of a Roman numeral's head
function degree(numeral) {
  const head = numeral.match(/^[ivIV]+/)[0].toUpperCase();
  return ["I", "II", "III", "IV", "V", "VI", "VII"].indexOf(head);
}

function keyChords(keyName, isTriad) {
  const [tonic, mode] = keyName.split(" ");
  const key = mode === "major" ? Key.majorKey(tonic) : Key.minorKey(tonic).natural;
  return isTriad ? key.triads : key.chords;
}

const checks = {
  pitch([name, midi, frequency]) {
    const note = Note.get(name);
    if (note.midi === null) {
      // The library numbers only the keys 0 to 127, but its height counts on
      return same(Number(midi), note.height);
    }
    const off = Math.abs(note.freq - Number(frequency));
    return same(Number(midi), note.midi) ??
      (off < 0.00001 * note.freq ? null : `expected ${note.freq} Hz`);
  },
  interval([low, high, name, semitones]) {
    const found = Interval.get(Interval.distance(low, high));
    const [, quality, number] = name.match(/^([A-Za-z]+)(\d+)$/);
    return same(`${number}${quality}`, found.name) ?? same(Number(semitones), found.semitones);
  },
  scale([tonic, name, notes]) {
    return same(notes, Scale.get(`${tonic} ${scaleNames[name] ?? name}`).notes.join(" "));
  },
  chord([symbol, notes]) {
    const found = chord(symbol);
    return found.empty ? "unknown to the library" : same(notes, found.notes.join(" "));
  },
  reading([symbol, notes]) {
    const found = Chord.detect(notes.split(" "));
    const [head, bass] = symbol.split("/");
    const tonic = head.match(root)[0];
    const sign = head.slice(tonic.length) || "M";
    const wanted = `${tonic}${sign}${bass ? `/${bass}` : ""}`;
    return found.includes(wanted) ? null : `expected one of ${found.join(", ")}`;
  },
  signature([name, fifths]) {
    const [tonic, mode] = name.split(" ");
    const key = mode === "major" ? Key.majorKey(tonic) : Key.minorKey(tonic);
    return same(Number(fifths), key.alteration);
  },
  diatonic([keyName, numeral, symbol, notes]) {
    const expected = keyChords(keyName, !numeral.includes("7"))[degree(numeral)];
    return same(notes, Chord.get(expected).notes.join(" "));
  },
  applied([keyName, numeral, symbol, notes]) {
    const target = degree(numeral.split("/")[1]);
    const expected = Key.majorKey(keyName.split(" ")[0]).secondaryDominants[target];
    return same(symbol, expected) ?? same(notes, Chord.get(expected).notes.join(" "));
  },
};

const counts = {};
let passed = 0;
let failed = 0;
for await (const line of createInterface({ input: process.stdin })) {
  const [kind, ...cells] = line.split("\t");
  counts[kind] = (counts[kind] ?? 0) + 1;
  const fault = checks[kind] ? checks[kind](cells) : "no such check";
  if (fault) {
    failed += 1;
    if (failed <= 40) {
      console.log(`${line}: ${fault}`);
    }
  } else {
    passed += 1;
  }
}

for (const kind of Object.keys(checks)) {
  if (!counts[kind]) {
    console.log(`no line of kind ${kind}`);
    failed += 1;
  }
}
console.log(Object.entries(counts).map(([kind, n]) => `${n} ${kind}`).join(", "));
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
