#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Write learned weights as the C table that the program is built with.

table.py WEIGHTS LEARNED_H DATE > learned_table.inc

WEIGHTS is what `learn --out` wrote, LEARNED_H the header that lists the blocks of features.
"""
import re
import struct
import sys

weights_path, header_path, date = sys.argv[1:4]
text = open(header_path, encoding='utf-8').read()
names = {k: int(v) for k, v in re.findall(r'(QF_N_\w+)\s*=\s*(\d+)', text)}
blocks = [(name, eval(size, {}, names))
          for name, size in re.findall(r'^  BLOCK\((\w+), (.*?)\) *\\?$', text, re.M)]
data = open(weights_path, 'rb').read()
weights = struct.unpack('<%df' % (len(data) // 4), data)
assert len(weights) == sum(size for _, size in blocks), 'the header and the weights disagree'

print('''// SPDX-License-Identifier: CC-BY-SA-4.0
// Learned weights; made by learn/table.py on %s, not to be edited.
//
// Learned from the human analyses of the When in Rome corpus (M. Gotham and others): chorales by
// D. Tymoczko and colleagues, textbook passages by N. Napoles Lopez and others (2020). Licence of
// the analyses and so of this table: CC BY-SA 4.0. How it is made and what it reaches: LEARNING.md.
static const float learned_weights[QF_N_FEATURES] = {''' % date)
start = 0
for name, size in blocks:
    items = ['[QF_F_%s + %d] = %.2fF' % (name, i, w)
             for i, w in enumerate(weights[start:start + size]) if abs(w) >= 0.01]
    items = [re.sub(r' \+ 0\]', ']', x) for x in items]
    start += size
    line = ''
    for item in items:
        if len(line) + len(item) + 4 > 100:
            print(' ' + line)
            line = ''
        line += ' ' + item + ','
    if line:
        print(' ' + line)
print('};')
