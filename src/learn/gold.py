#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Prepare the human analyses for learn.c: gold.py CORPUS WORDS [CHAINS] > TASK

CORPUS is the folder of the development corpus (see src/analysis/LEARNING.md), WORDS the output of
`learn --words`, CHAINS what chains.py wrote. What counts as equal is decided by the corpus's own score.py, so that learning
and measuring agree. Pieces of the same title fall into the same fold.
"""
import os
import re
import sys
import zlib

corpus, words_path, *chains = sys.argv[1:]
sys.path.insert(0, corpus)
import score  # noqa: E402

N_FOLDS = 5
SETS = ('chorales', 'training/chorales', 'textbooks', 'training/textbooks')
numbers = {}


def number_of(thing):
    return numbers.setdefault(thing, len(numbers))


def describe(chord, tonic):
    """Numbers by which two chords are compared; pitch classes count from `tonic`."""
    target = chord.target_pc
    points_at = chord.key.pc if target is None else target
    applied = (target - tonic) % 12 if chord.applied_dominant() else -1
    return (number_of(chord.degree()), number_of(chord.quality), chord.inv, chord.step,
            (chord.root - tonic) % 12, (points_at - tonic) % 12, applied)


def write_words(path):
    keys = {'0': score.Key.parse('C'), '1': score.Key.parse('a')}
    for line in open(path, encoding='utf-8'):
        mode, entry, inversion, text = line.split()
        if text.startswith('Sw'):
            text = text.replace('Sw', 'Fr')  # not in the comparer's vocabulary
        chord = score.realise(text, keys[mode])
        print('W', mode, entry, inversion, *describe(chord, chord.key.pc))


def title_of(analysis, name):
    title = analysis.headers.get('Title', name)
    return re.sub(r'\W+', '', title).lower()


def write_piece(folder, name, kind):
    analysis = score.load(os.path.join(folder, 'analysis.rntxt'))
    path = os.path.join(folder, 'score.musicxml')
    path = path if os.path.exists(path) else os.path.join(folder, 'score.mxl')
    fold = zlib.crc32(title_of(analysis, name).encode()) % N_FOLDS
    print('P', kind, name, fold, path)
    for (number, letter), start, _, _ in analysis.measures:
        if not letter:
            print('M', number, float(start))
    for start, end, readings in analysis.readings:
        print('G', float(start), float(end), len(readings))
        for key, chord, _ in readings:
            print('R', key.pc, int(key.mode == 'minor'), *describe(chord, 0))


write_words(words_path)
for kind, top in [(k, os.path.join(corpus, k)) for k in SETS] + [('chains', c) for c in chains]:
    for name in sorted(os.listdir(top)):
        write_piece(os.path.join(top, name), name, kind)
