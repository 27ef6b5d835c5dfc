#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Write out short chains of numerals as block chords: chains.py QF CORPUS FOLDER

Takes stretches of three to nine numerals that close with V and I from the human analyses of the
chorales, has `qf realise` write them in four parts, a quarter each, and keeps score and analysis in
FOLDER like the items of the corpus. So the learner sees exercises too: short, in plain chords, with
the signature of their key, often beginning off the tonic, with applied chords that lead home. The choice is the same each time. Chains
of applied sevenths from several degrees, which chorales seldom have, are added by rule.
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


# Chains of dominants that fall by fifths to the tonic, and what may come before. Rule: common
# practice; each dominant goes on to the next, or to its goal first.
FALLS = {'major': (('V7/vi', 'vi'), ('V7/ii', 'ii'), ('V7/V', 'V'), ('V7', 'I')),
         'minor': (('V7/iv', 'iv'), ('V7/VII', 'VII'), ('V7/III', 'III'), ('iv V7', 'i'))}
STARTS = {'major': (('I', 'IV', 'ii', 'vi'), ('vi', 'I', 'IV'), ('ii', 'vi', 'I', 'IV')),
          'minor': (('i', 'VI', 'v'), ('iv', 'i', 'VI'), ('VII', 'i', 'iv', 'v6'))}
KEYS = {'major': ('A', 'Bb', 'D', 'F', 'C', 'E', 'Eb', 'G'),
        'minor': ('d', 'c', 'e', 'g', 'a', 'b', 'f', 'f#')}


def falling_chains():
    """Key and numerals of each."""
    for mode, falls in FALLS.items():
        for first, starts in enumerate(STARTS[mode]):
            for i, start in enumerate(starts):
                steps = falls[first:]
                whole = ' '.join('%s %s' % step for step in steps)
                bare = ' '.join(dominant for dominant, _ in steps) + ' ' + steps[-1][1]
                for j, text in enumerate((whole, bare)):
                    yield KEYS[mode][(3 * first + 2 * i + j) % 8], (start + ' ' + text).split()


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


def write(key, figures, title, name):
    chain = '%s: %s' % (key, ' '.join(figures))
    path = os.path.join(folder, name)
    os.makedirs(path, exist_ok=True)
    target = os.path.join(path, 'score.musicxml')
    run = subprocess.run([qf, 'realise', chain, '-o', target], capture_output=True)
    if run.returncode > 1 or not os.path.exists(target):
        os.rmdir(path)
        return
    with open(os.path.join(path, 'analysis.rntxt'), 'w', encoding='utf-8') as file:
        file.write('Composer: -\nTitle: %s\nTime Signature: 4/4\n\n' % title)
        for i in range(0, len(figures), 4):
            beats = ('b%d %s' % (b + 1, text) for b, text in enumerate(figures[i:i + 4]))
            file.write('m%d %s%s\n' % (i // 4 + 1, '' if i else key + ': ', ' '.join(beats)))


for kind in KINDS:
    for name in sorted(os.listdir(os.path.join(corpus, kind))):
        analysis = score.load(os.path.join(corpus, kind, name, 'analysis.rntxt'))
        title = analysis.headers.get('Title', name)
        for i, part in enumerate(choose(analysis)):
            key = part[0][0].name.replace('-', 'b')
            write(key, [text for _, _, text in part], title, '%s-%d' % (name, i + 1))
for i, (key, figures) in enumerate(falling_chains()):
    write(key, figures, 'Falling fifths %d' % (i + 1), 'fifths-%02d' % (i + 1))
