#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Count which numeral follows which in the human analyses, as the C table of the program.

count_moves.py CORPUS DATE > moves_table.inc

CORPUS is the folder of the development corpus. A move is counted between two chords that stand
next to each other in one phrase: in the key of the first one, whatever that key is, or as "*" if
the second one is read in another key. A chord said again is no move, and none leads over the sign
of a phrase end or a repeat. Numerals are written as the program writes them: figures without
slashes, changes in brackets left out, and I64 before a dominant in root position as Cad64.
"""
import collections
import pathlib
import re
import sys

SETS = ('chorales', 'training/chorales', 'textbooks', 'training/textbooks')
ELSEWHERE = '*'
FIGURES = {'6/5': '65', '6/4': '64', '4/3': '43', '4/2': '42', '2': '42'}
NUMERAL = re.compile(r'([b#]*)(Cad|It|Fr|Ger|Sw|N|[IViv]+)(/o|o|\+)?(maj)?'
                     r'([0-9](?:/[0-9])?|[0-9]*)$')


def plain(token):
    """A numeral without changes, its targets apart: "V6/5/ii" is ["V6/5", "ii"]."""
    token = re.sub(r'\[.*?\]', '', token).replace('ø', '/o').replace('%', '/o')
    # A slash before a letter begins a target, but not the one of the half-diminished sign.
    return re.split(r'/(?=[b#]*[IVNiv])', token)


def without_superfluous_sign(text, is_minor):
    """In minor one sign on the sixth and seventh degree says what the case says already."""
    return re.sub(r'^(b(?=VII?\b)|#(?=vii?\b))', '', text) if is_minor else text


def canonical(token, is_minor):
    head, *targets = plain(token)
    signs, name, quality, major, figures = NUMERAL.match(head).groups()
    own = 'i' if is_minor else 'I'  # applied to the tonic: not applied
    targets = [without_superfluous_sign(t, is_minor) for t in targets if t != own]
    inside_minor = targets[0].lstrip('b#').islower() if targets else is_minor
    # A diatonic major seventh needs no word for it.
    return '/'.join([without_superfluous_sign(signs + name, inside_minor) + (quality or '') +
                     (major or '' if signs else '') + FIGURES.get(figures, figures)] + targets)


def is_dominant_root(text):
    return re.match(r'V\+?[79]?$', text) is not None


def readings(path):
    """Every chord as (key, numeral), and None where a phrase ends."""
    key = None
    for line in path.read_text(encoding='utf-8').splitlines():
        measure = re.match(r'm\d+[a-z]?\s+(.*)', line)
        for token in measure[1].split() if measure else ():
            if re.match(r'[A-Ga-g][b#]*:$', token):
                key = token
            elif '|' in token:
                yield None
            elif not re.match(r'b[\d.]+$', token):
                yield key, canonical(token, key[0].islower())


def with_cadential(chords):
    """I64 before a dominant in root position is the cadential one."""
    for chord, after in zip(chords, chords[1:] + [None]):
        if (chord and after and chord[1] in ('I64', 'i64', 'V64') and chord[0] == after[0] and
                is_dominant_root(after[1])):
            chord = chord[0], 'Cad64'
        yield chord


def moves(path):
    chords = list(with_cadential(list(readings(path))))
    for chord, after in zip(chords, chords[1:]):
        if chord and after and chord != after:
            mode = 'QF_MINOR' if chord[0][0].islower() else 'QF_MAJOR'
            yield mode, chord[1], after[1] if chord[0] == after[0] else ELSEWHERE


def main():
    corpus, date = pathlib.Path(sys.argv[1]), sys.argv[2]
    paths = [path for kind in SETS for path in sorted((corpus / kind).glob('*/analysis.rntxt'))]
    counts = collections.Counter(move for path in paths for move in moves(path))
    print(f'''// SPDX-License-Identifier: CC-BY-SA-4.0
// Mode, numeral, what follows, how often; made by explore/count_moves.py on {date}, not to be
// edited.
//
// {sum(counts.values())} moves in {len(paths)} human analyses of the When in Rome corpus
// (M. Gotham and others): chorales by D. Tymoczko and colleagues, textbook passages by N. Napoles
// Lopez and others (2020). Licence of the analyses and so of this table: CC BY-SA 4.0.''')
    for (mode, chord, after), count in sorted(counts.items()):
        print(f'{{{mode}, "{chord}", "{after}", {count}}},')


if __name__ == '__main__':
    main()
