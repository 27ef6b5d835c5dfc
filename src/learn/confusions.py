#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""What is taken for what: confusions.py CORPUS FOLDER

FOLDER holds the labels of held-out pieces that folds.py has written. Prints, for the chorales, the
qualities and degrees that are confused, how applied chords are missed or seen where none is, and
the longest stretches without a right quarter.
"""
import collections
import os
import sys

corpus, folder = sys.argv[1:3]
sys.path.insert(0, corpus)
import score  # noqa: E402

SETS = {'chorales': ('chorales', 'training/chorales'),
        'textbooks': ('textbooks', 'training/textbooks')}
QUALITIES = ('maj', 'min', 'dim', 'dom7', 'maj7', 'min7', 'hdim7', 'dim7')
N_LONGEST = 20


def pieces(kinds):
    """Name, our readings on the human's time line, and the human's."""
    for kind in kinds:
        for name in sorted(os.listdir(os.path.join(folder, kind))):
            name = name.removesuffix('.rntxt')
            human = score.load(os.path.join(corpus, kind, name, 'analysis.rntxt'))
            ours = score.load(os.path.join(folder, kind, name + '.rntxt'))
            yield name, score.remap(ours, human, []), human.readings


def compared(ours, human):
    """Start, length, and the readings that agree best where both have one."""
    cuts = sorted({t for s, e, _ in ours + human for t in (s, e)})
    for start, end in zip(cuts, cuts[1:]):
        a, b = score.reading_at(ours, start), score.reading_at(human, start)
        if a and b:
            pairs = [(x[:2], y[:2], score.flags(x[:2], y[:2])) for x in a for y in b]
            yield start, end - start, max(pairs, key=lambda p: sum(p[2].values()))


def degree(chord):
    return chord.figure.split('[')[0].rstrip('0123456789/').replace('/o', 'ø') + (
        '/' + chord.figure.split('/')[-1] if chord.applied() else '')


def count(kinds):
    qualities, degrees, wrong = collections.Counter(), collections.Counter(), []
    for name, ours, human in pieces(kinds):
        since = None
        for start, length, (a, b, flags) in compared(ours, human):
            qualities[b[1].quality, a[1].quality] += float(length)
            if flags['key'] and not flags['degree']:
                degrees[degree(b[1]), degree(a[1])] += float(length)
            if not flags['roman+key']:
                since = since or (start, [])
                since[1].append('%s:%s for %s:%s' % (a[0].name, a[1].figure,
                                                     b[0].name, b[1].figure))
                wrong.append((float(start + length - since[0]), name, float(since[0]), since[1]))
            else:
                since = None
    return qualities, degrees, wrong


def kind_of_miss(start, readings, target):
    """What stands instead of an applied chord to a target."""
    key, chord = score.reading_at(readings, start)[-1][:2]
    if chord.applied_dominant():
        return 'another applied chord'
    if key.pc == target:
        return "in the target's own key"
    return 'otherwise'


def count_applied(kinds):
    missed, false = collections.Counter(), collections.Counter()
    for _, ours, human in pieces(kinds):
        a, b = score.applied_segments(ours), score.applied_segments(human)

        def is_met(one, others):
            return any(o[2] == one[2] and min(o[1], one[1]) > max(o[0], one[0]) for o in others)

        for segment in b:
            if not is_met(segment, a) and score.reading_at(ours, segment[0]):
                missed[kind_of_miss(segment[0], ours, segment[2])] += 1
        for segment in a:
            if not is_met(segment, b) and score.reading_at(human, segment[0]):
                false[kind_of_miss(segment[0], human, segment[2])] += 1
    return missed, false


def show_qualities(qualities):
    print('| |', ' | '.join(QUALITIES), '| quarters |')
    for human in QUALITIES:
        total = sum(t for (h, _), t in qualities.items() if h == human)
        shares = ('%.3f' % (qualities[human, ours] / total) for ours in QUALITIES)
        print('|', human, '|', ' | '.join(shares), '| %.0f |' % total)


def show_longest(wrong):
    longest, seen = sorted(wrong, key=lambda w: -w[0]), set()
    for length, name, start, chords in longest:
        if (name, start) not in seen and len(seen) < N_LONGEST:
            seen.add((name, start))
            print('%s, %.1f quarters from %.1f: %s' % (name, length, start, '; '.join(chords[:6])))


for title, kinds in SETS.items():
    qualities, degrees, wrong = count(kinds)
    print('#', title)
    show_qualities(qualities)
    print('degrees in the right key:',
          ', '.join('%s for %s %.0f' % (ours, human, time)
                    for (human, ours), time in degrees.most_common(16)))
    for what, counts in zip(('missed', 'false'), count_applied(kinds)):
        print('applied chords', what + ':', dict(counts.most_common()))
    show_longest(wrong)
