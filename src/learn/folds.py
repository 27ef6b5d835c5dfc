#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Cross-validate: folds.py LEARN CORPUS TASK FOLDER [options of learn]

Learns five times with a fifth of the pieces left out, labels those into FOLDER, and prints what
the corpus's score.py measures on all held-out pieces together, and the spread between the folds.
"""
import os
import statistics
import subprocess
import sys

learn, corpus, task, folder, *options = sys.argv[1:]
sys.path.insert(0, corpus)
import score  # noqa: E402

N_FOLDS = 5
SETS = {'chorales': ('chorales', 'training/chorales'),
        'textbooks': ('textbooks', 'training/textbooks'),
        'chains': ('chains',)}
COLUMNS = ('key', 'root', 'roman+key', 'resolved', 'applied_P', 'applied_R', 'applied_F1')


def label():
    for kinds in SETS.values():
        for kind in kinds:
            os.makedirs(os.path.join(folder, kind), exist_ok=True)
    for fold in range(N_FOLDS):
        subprocess.run([learn, '--task', task, '--fold', str(fold), '--label', folder, *options],
                       check=True, stdout=subprocess.DEVNULL)


def pieces():
    """Kind, name and fold of every piece of the task."""
    with open(task, encoding='utf-8') as lines:
        for line in lines:
            if line.startswith('P '):
                kind, name, fold, path = line.split()[1:5]
                yield kind, name, int(fold), os.path.dirname(path)


def compare(kind, name, path):
    ours = score.load(os.path.join(folder, kind, name + '.rntxt'))
    return score.compare(ours, score.load(os.path.join(path, 'analysis.rntxt')))


def show(title, values):
    print('%-12s' % title, *('%10.3f' % v for v in values))


label()
print('%-12s' % '', *('%10s' % c for c in COLUMNS))
for title, kinds in SETS.items():
    folds = [[] for _ in range(N_FOLDS)]
    for kind, name, fold, path in pieces():
        if kind in kinds:
            folds[fold].append(compare(kind, name, path))
    total = score.ratios(score.add_up([one for fold in folds for one in fold]))
    each = [score.ratios(score.add_up(fold)) for fold in folds if fold]
    show(title, [total[c] or 0.0 for c in COLUMNS])
    show('  spread', [statistics.pstdev([f[c] or 0.0 for f in each]) for c in COLUMNS])
