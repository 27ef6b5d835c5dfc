#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Labels of whole pieces against human analyses, with a floor for each measure.

test_corpus.py PRINT_ROMANTEXT SOURCE_ROOT SET

SET is `textbooks` (in the tree, tests/data/textbooks) or `chorales`: these scores may not be
copied, so they are read from the development corpus in ../shared/corpus or QUINTFALL_CORPUS and
the test is skipped (77) without it. No key is given.

Source: the When in Rome corpus (CC BY-SA 4.0); see tests/data/textbooks/README.md. What counts as
equal is said in tests/corpus/score.py.

The weights were learned from these same pieces among others, so the figures here flatter: they
guard against loss, no more. What may be expected of other pieces is measured by cross-validation,
see src/analysis/LEARNING.md.
"""
import os
import subprocess
import sys

program, root, kind = sys.argv[1:4]
sys.path.insert(0, os.path.join(root, 'tests', 'corpus'))
import score  # noqa: E402

SKIPPED = 77

# A little under what was measured when the weights were learned.
FLOORS = {
    'textbooks': {'key': .77, 'root': .99, 'roman+key': .75, 'resolved': .89, 'applied_F1': .78},
    'chorales': {'key': .955, 'root': .96, 'roman+key': .90, 'resolved': .91, 'applied_F1': .82},
}


def folder_of_set():
    if kind == 'textbooks':
        return os.path.join(root, 'tests', 'data', 'textbooks')
    corpus = os.environ.get('QUINTFALL_CORPUS') or os.path.join(root, '..', 'shared', 'corpus')
    return os.path.join(corpus, kind)


def compare_piece(folder):
    run = subprocess.run([program, os.path.join(folder, 'score.musicxml')], check=True,
                         capture_output=True, encoding='utf-8')
    ours = score.parse_romantext(run.stdout)
    human = score.load(os.path.join(folder, 'analysis.rntxt'))
    return score.compare(ours, human)


def main():
    top = folder_of_set()
    if not os.path.isdir(top):
        print('skipped: the corpus is not beside the project, and QUINTFALL_CORPUS names none')
        return SKIPPED

    names = sorted(n for n in os.listdir(top) if os.path.isdir(os.path.join(top, n)))
    total = score.ratios(score.add_up([compare_piece(os.path.join(top, n)) for n in names]))
    failed = False

    print('%d pieces, %.0f quarters' % (len(names), total['quarters']))
    for measure, floor in FLOORS[kind].items():
        is_low = total[measure] is None or total[measure] < floor
        failed |= is_low
        print('%-11s %.3f, floor %.2f%s' % (measure, total[measure] or 0.0, floor,
                                            '  TOO LOW' if is_low else ''))
    return 1 if failed else 0


sys.exit(main())
