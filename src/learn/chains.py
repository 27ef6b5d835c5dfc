#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Write out short chains of numerals as block chords: chains.py QF CORPUS FOLDER

Takes stretches of three to nine numerals that close with V and I from the human analyses of the
chorales, has `qf realise` write them in four parts, a quarter each, and keeps score and analysis in
FOLDER like the items of the corpus. So the learner sees exercises too: short, in plain chords, with
the signature of their key, often beginning off the tonic, with applied chords that lead home. The
choice is the same each time. Chains of applied sevenths from several degrees, which chorales seldom
have, are added by rule, and longer ones that go to another key, close there, and return, if only to
its tonic: every second of them in half-notes. They have no fermatas, so that their keys must be told by
the chords.
"""
import os
import random
import re
import subprocess
import sys

qf, corpus, folder = sys.argv[1:4]
sys.path.insert(0, corpus)
import score  # noqa: E402

KINDS = ('chorales', 'training/chorales')
PER_PIECE = 2
MOST_HOME = 7  # Chords before an excursion, and after it
LEAST_AWAY, MOST_AWAY = 4, 20
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


def key_name(key):
    return key.name.replace('-', 'b')


def runs_of(analysis):
    """Runs of [key, figure, figure in the key before or None, chord] in one key each."""
    runs = []
    for _, _, readings in analysis.readings:
        key, chord, text = readings[-1]
        if not runs or runs[-1][-1][0].ident() != key.ident():
            is_pivot = (len(readings) > 1 and runs and
                        runs[-1][-1][0].ident() == readings[0][0].ident())
            runs.append([(key, text, readings[0][2] if is_pivot else None, chord)])
        elif runs[-1][-1][1] != text:
            runs[-1].append((key, text, None, chord))
    return runs


def way_home(run):
    """Chords up to the first close, or else to the last tonic before there are too many."""
    ends = [n for n in range(1, min(len(run), MOST_HOME) + 1) if run[n - 1][3].degree() == ((1, 0),)
            and run[n - 1][3].inv == 0]
    closing = [n for n in ends if n > 1 and closes([c for _, _, _, c in run[n - 2:n]])]
    return run[:closing[0] if closing else ends[-1] if ends else 0]


def excursions(analysis):
    """Chords of one key, of another in which they close, and of the first again to its close."""
    runs = runs_of(analysis)
    for before, away, after in zip(runs, runs[1:], runs[2:]):
        is_away = LEAST_AWAY <= len(away) <= MOST_AWAY and any(
            closes([c for _, _, _, c in away[n - 2:n]]) for n in range(2, len(away) + 1))
        if before[-1][0].ident() == after[0][0].ident() and len(before) >= 2 and is_away:
            end = way_home(after)
            if end:
                yield before[-MOST_HOME:] + away + end


def write(key, figures, title, name, beats=1):
    """Figures may be of another key: "D: V7"; or a pivot: "vi D: ii", of which the last is set."""
    chords = [re.sub(r'^\S+ (\S+: )', r'\1', text) for text in figures]
    chain = '%s: %s' % (key, ' '.join(
        text if beats == 1 else '%s(%d)' % (text, beats) for text in chords))
    path = os.path.join(folder, name)
    os.makedirs(path, exist_ok=True)
    target = os.path.join(path, 'score.musicxml')
    run = subprocess.run([qf, 'realise', chain, '-o', target], capture_output=True)
    if run.returncode > 1 or not os.path.exists(target):
        os.rmdir(path)
        return
    with open(os.path.join(path, 'analysis.rntxt'), 'w', encoding='utf-8') as file:
        file.write('Composer: -\nTitle: %s\nTime Signature: 4/4\n\n' % title)
        n = 4 // beats
        for i in range(0, len(figures), n):
            bar = ('b%d %s' % (b * beats + 1, text) for b, text in enumerate(figures[i:i + n]))
            file.write('m%d %s%s\n' % (i // n + 1, '' if i else key + ': ', ' '.join(bar)))


for kind in KINDS:
    for name in sorted(os.listdir(os.path.join(corpus, kind))):
        analysis = score.load(os.path.join(corpus, kind, name, 'analysis.rntxt'))
        title = analysis.headers.get('Title', name)
        for i, part in enumerate(choose(analysis)):
            key = key_name(part[0][0])
            write(key, [text for _, _, text in part], title, '%s-%d' % (name, i + 1))
        for i, part in enumerate(excursions(analysis)):
            figures = [part[0][1]]
            for last, (key, text, old, _) in zip(part, part[1:]):
                is_new = key.ident() != last[0].ident()
                figures.append(('%s ' % old if old else '') +
                               ('%s: ' % key_name(key) if is_new else '') + text)
            write(key_name(part[0][0]), figures, title, '%s-away-%d' % (name, i + 1),
                  int(name) % 2 + 1)
for i, (key, figures) in enumerate(falling_chains()):
    write(key, figures, 'Falling fifths %d' % (i + 1), 'fifths-%02d' % (i + 1))
