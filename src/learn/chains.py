#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Write out short chains of human numerals as block chords: chains.py QF CORPUS FOLDER

Takes stretches of three to nine numerals that close with V and I from the human analyses of the
chorales, has `qf realise` write them in four parts, a quarter each, and keeps score and analysis in
FOLDER like the items of the corpus. So the learner sees exercises too: short, in plain chords, with
the signature of their key, often beginning off the tonic, with applied chords that lead home. The
choice is the same each time.
"""
import os
import random
import subprocess
import sys

qf, corpus, folder = sys.argv[1:4]
sys.path.insert(0, corpus)
import score  # noqa: E402

KINDS = ('chorales', 'training/chorales')
PER_PIECE = 2
chance = random.Random(1)


def closes(chords):
    """V and then the tonic in root position, as they end a phrase."""
    last, before = chords[-1], chords[-2]
    return (last.degree() == ((1, 0),) and last.inv == 0 and before.kind == 'roman' and
            before.degree() == ((5, 0),) and before.inv == 0 and before.quality in ('maj', 'dom7'))


def stretches(analysis):
    """Runs of numerals of one key that close."""
    run = []
    for _, _, readings in analysis.readings:
        key, chord, text = readings[-1]
        if run and run[-1][0].ident() != key.ident():
            run = []
        if not run or run[-1][2] != text:
            run.append((key, chord, text))
        if len(run) >= 3 and closes([c for _, c, _ in run[-2:]]):
            yield list(run)


def choose(analysis):
    """A few of them, cut anywhere, rather such with applied chords."""
    found = []
    for run in stretches(analysis):
        part = run[-chance.randint(3, 9):]
        is_applied = any(c.applied_dominant() for _, c, _ in part)
        found.append((not is_applied, chance.random(), part))
    return [part for _, _, part in sorted(found, key=lambda f: f[:2])[:PER_PIECE]]


def write(part, title, name):
    key = part[0][0].name.replace('-', 'b')
    chain = '%s: %s' % (key, ' '.join(text for _, _, text in part))
    path = os.path.join(folder, name)
    os.makedirs(path, exist_ok=True)
    target = os.path.join(path, 'score.musicxml')
    run = subprocess.run([qf, 'realise', chain, '-o', target], capture_output=True)
    if run.returncode > 1 or not os.path.exists(target):
        os.rmdir(path)
        return
    with open(os.path.join(path, 'analysis.rntxt'), 'w', encoding='utf-8') as file:
        file.write('Composer: -\nTitle: %s\nTime Signature: 4/4\n\n' % title)
        for i in range(0, len(part), 4):
            beats = ('b%d %s' % (b + 1, text) for b, (_, _, text) in enumerate(part[i:i + 4]))
            file.write('m%d %s%s\n' % (i // 4 + 1, '' if i else key + ': ', ' '.join(beats)))


for kind in KINDS:
    for name in sorted(os.listdir(os.path.join(corpus, kind))):
        analysis = score.load(os.path.join(corpus, kind, name, 'analysis.rntxt'))
        title = analysis.headers.get('Title', name)
        for i, part in enumerate(choose(analysis)):
            write(part, title, '%s-%d' % (name, i + 1))
