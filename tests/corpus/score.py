#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
# Copied unchanged below this line from the development corpus, which this project made and uses.
"""Compare a RomanText harmonic analysis with a reference one.  Standard library only.

  score.py PRED REF                 two .rntxt files
  score.py --dir PREDDIR REFDIR     all REFDIR/<item>/analysis.rntxt against
                                    PREDDIR/<item>/analysis.rntxt or PREDDIR/<item>.rntxt
                                    (<item> may be several folders deep)
  score.py --selftest               run the built-in assertions
  score.py --dump FILE              print the parsed time line of one file

Options: --json, --strict-pivot, --variants, --pred-name NAME, --ref-name NAME,
         --quiet (only the totals), --offset-measures N (added to PRED's measure numbers).

Every figure is a share of the reference's duration in quarter notes.  What is
treated as equal is listed in README.md beside this file ("What the scorer treats
as equal").  RomanText: Tymoczko, Gotham, Cuthbert & Ariza, ISMIR 2019.
"""
import json
import os
import re
import sys
from fractions import Fraction as F

# ---------------------------------------------------------------- keys
STEP_PC = {'C': 0, 'D': 2, 'E': 4, 'F': 5, 'G': 7, 'A': 9, 'B': 11}
MAJOR = (0, 2, 4, 5, 7, 9, 11)
MINOR = (0, 2, 3, 5, 7, 8, 10)
KEY_RE = re.compile(r'^([A-Ga-g])([#b-]*):(.*)$')
ROMAN = {'I': 1, 'II': 2, 'III': 3, 'IV': 4, 'V': 5, 'VI': 6, 'VII': 7}


def acc_value(s):
    return s.count('#') - s.count('b') - s.count('-')


class Key:
    __slots__ = ('pc', 'mode', 'name')

    def __init__(self, pc, mode, name=''):
        self.pc, self.mode, self.name = pc % 12, mode, name

    @classmethod
    def parse(cls, s):
        """'C', 'g', 'Bb', 'f#' (lower case is minor)."""
        return cls(STEP_PC[s[0].upper()] + acc_value(s[1:]),
                   'major' if s[0].isupper() else 'minor', s)

    def scale(self):
        return MAJOR if self.mode == 'major' else MINOR

    def degree_pc(self, step, alter=0):
        return (self.pc + self.scale()[(step - 1) % 7] + alter) % 12

    def ident(self):
        return (self.pc, self.mode)


# ---------------------------------------------------------------- chords
HEAD_RE = re.compile(
    r'^([#b-]*)(Cad|Ger|It|Fr|N|VII|VI|V|IV|III|II|I|vii|vi|v|iv|iii|ii|i)')
QUAL_RE = re.compile(r'^(/o|/0|ø|Ø|%|°|o|0|\+|maj|Maj|M|min|m|dom|d)')
FIG_RE = re.compile(r'^[#b]*\d')
SEVENTHS = {(0, 4, 7, 11): 'maj7', (0, 4, 7, 10): 'dom7', (0, 3, 7, 10): 'min7',
            (0, 3, 6, 10): 'hdim7', (0, 3, 6, 9): 'dim7', (0, 3, 7, 11): 'minmaj7',
            (0, 4, 8, 11): 'augmaj7', (0, 4, 8, 10): 'aug7', (0, 4, 6, 10): 'dom7b5',
            (0, 3, 6, 11): 'dimmaj7'}
TRIADS = {(0, 4, 7): 'maj', (0, 3, 7): 'min', (0, 3, 6): 'dim', (0, 4, 8): 'aug',
          (0, 4, 6): 'majb5'}


class ChordError(ValueError):
    pass


class Chord:
    """A realised Roman numeral.

    degree  ((step, alter), target, target...)  alter counts semitones from the
            plain scale (minor: natural minor, so vii in minor is (7, +1));
            targets run from the nearest to the outermost.
    """
    __slots__ = ('figure', 'key', 'step', 'alter', 'targets', 'quality', 'inv',
                 'root', 'bass', 'pcs', 'cad', 'has7', 'target_pc', 'kind')

    def degree(self):
        return ((self.step, self.alter),) + tuple(self.targets)

    def applied(self):
        return bool(self.targets)

    def applied_dominant(self):
        """Secondary dominant: V.. or leading-note vii.. of something else."""
        return bool(self.targets) and self.kind == 'roman' and (
            (self.step == 5 and self.quality in ('maj', 'dom7', 'aug', 'aug7', 'dom7b5')) or
            (self.step == 7 and self.quality in ('dim', 'dim7', 'hdim7')))

    def label(self):
        return (self.degree(), self.quality, self.inv)

    def resolved(self):
        """The chord against the tonic it points at: V7/V in C and V7 in G agree."""
        tonic = self.key.pc if self.target_pc is None else self.target_pc
        return (tonic, self.step, self.root, self.quality, self.inv)


def minor67(step, lower_case, acc):
    """Alteration of degree 6 / 7 in minor against natural minor ('cautionary' reading)."""
    if acc:
        return {1: 1, 2: 2, -1: 0, -2: -1}.get(acc, acc)
    return 1 if lower_case else 0


def head_degree(num, acc, key, qual=''):
    step = ROMAN[num.upper()]
    if key.mode == 'minor' and step in (6, 7):
        lower = num.islower()
        return step, minor67(step, lower, acc)
    return step, acc


def split_applied(rest):
    """Split '7/V/V' style remainder that starts right after the numeral."""
    quals, figs, mods, target = [], [], [], None
    while rest:
        if rest[0] == '[':
            end = rest.find(']')
            if end < 0:
                raise ChordError('unclosed [')
            mods.append(rest[1:end])
            rest = rest[end + 1:]
            continue
        m = QUAL_RE.match(rest)
        if m and not (m.group(1) == '0'):
            quals.append(m.group(1))
            rest = rest[m.end():]
            continue
        m = FIG_RE.match(rest)
        if m:
            figs.append(m.group(0))
            rest = rest[m.end():]
            continue
        if rest[0] == '/':
            if len(rest) > 1 and re.match(r'[#b]*\d', rest[1:]):
                rest = rest[1:]
                continue
            target = rest[1:]
            break
        if rest[0] in '(),;?!*':
            rest = rest[1:]
            continue
        raise ChordError('cannot read %r' % rest)
    return quals, figs, mods, target


def target_key(target, key):
    """Key of an applied target such as 'V', 'bVII', 'ii', 'V/V'; returns (key, [degrees])."""
    m = HEAD_RE.match(target)
    if not m:
        raise ChordError('bad target %r' % target)
    acc, num = acc_value(m.group(1)), m.group(2)
    quals, figs, mods, further = split_applied(target[m.end():])
    chain = []
    if further:
        key, chain = target_key(further, key)
    if num == 'N':
        step, alter, mode = 2, -1 if key.mode == 'major' else -1, 'major'
    elif num in ('Cad', 'It', 'Ger', 'Fr'):
        raise ChordError('bad target %r' % target)
    else:
        step, alter = head_degree(num, acc, key)
        mode = 'major' if num.isupper() else 'minor'
    pc = key.degree_pc(step, alter)
    if (step, alter) == (1, 0):       # X/I is X; X/i keeps the mode only
        return Key(pc, mode, ''), chain
    return Key(pc, mode, ''), [(step, alter)] + chain


def realise(figure, key):
    """Realise one RomanText chord symbol in a Key; raises ChordError."""
    c = Chord()
    c.figure, c.key, c.cad = figure, key, False
    fig = figure.strip().rstrip(',;')
    m = HEAD_RE.match(fig)
    if not m:
        raise ChordError('bad chord %r' % figure)
    acc, num = acc_value(m.group(1)), m.group(2)
    quals, figs, mods, target = split_applied(fig[m.end():])
    local, c.targets = key, []
    if target is not None:
        local, c.targets = target_key(target, key)
    c.targets = tuple(c.targets)
    c.target_pc = local.pc if c.targets else None
    c.kind = 'roman'
    nums = [int(re.sub(r'\D', '', f)) for f in figs]
    fset = ''.join(str(n) for n in nums)
    if num in ('It', 'Ger', 'Fr'):
        return augmented_sixth(c, num, fset, mods, local)
    if num == 'Cad':
        num, nums, fset, c.cad = ('I' if local.mode == 'major' else 'i'), [6, 4], '64', True
    if num == 'N':
        num, acc = 'II', -1
    step, alter = head_degree(num, acc, local)
    c.step, c.alter = step, alter
    c.root = local.degree_pc(step, alter)
    # inversion
    inv, has7 = 0, False
    s = set(nums)
    if fset in ('2', '42', '24', '642', '62') or (2 in s and 4 in s) or fset == '2':
        inv, has7 = 3, True
    elif fset in ('43', '34', '643'):
        inv, has7 = 2, True
    elif fset in ('65', '56', '653'):
        inv, has7 = 1, True
    elif fset in ('64', '46'):
        inv = 2
    elif fset in ('6', '63', '36'):
        inv = 1
    elif s & {7, 9, 11, 13}:
        has7 = True
    elif fset in ('', '5', '53', '3', '35', '8', '853'):
        pass
    elif 6 in s:
        inv = 1
    c.inv, c.has7 = inv, has7
    # triad
    q = ''.join(quals).replace('Maj', 'maj').replace('maj', 'M')
    half = any(x in ('/o', '/0', 'ø', 'Ø', '%') for x in quals)
    dim = any(x in ('o', '°') for x in quals)
    aug = '+' in quals
    if half or dim:
        triad = [0, 3, 6]
    elif aug:
        triad = [0, 4, 8]
    elif num.isupper():
        triad = [0, 4, 7]
    else:
        triad = [0, 3, 7]
    if half and not has7:
        has7 = c.has7 = True        # iiø on its own is a seventh chord
        if nums:
            has7 = c.has7 = fset not in ('6', '64', '63')
    # interval above the root of the n-th chord step, diatonic in the local key; for a
    # chromatically altered root the interval stands above the unaltered degree
    base_alter = alter if (local.mode == 'minor' and step in (6, 7)) else 0

    def diatonic(n):
        lo = local.scale()[step - 1] + base_alter
        i = step - 1 + n - 1
        return (local.scale()[i % 7] + 12 * (i // 7) - lo)

    tones = {1: 0, 3: triad[1], 5: triad[2]}
    if has7:
        if 'M' in q:
            tones[7] = 11
        elif dim:
            tones[7] = 9
        elif half:
            tones[7] = 10
        elif any(x in ('d', 'dom', 'm', 'min') for x in quals):
            tones[7] = 10
        else:
            tones[7] = diatonic(7)
        if step == 5 and num == 'V' and 'M' not in q:
            tones[7] = 10
    for n in (9, 11, 13):
        if n in s:
            tones[n] = diatonic(n) % 12
    core = tuple(sorted(v for k, v in tones.items() if k in (1, 3, 5, 7)))
    c.quality = SEVENTHS.get(core) or TRIADS.get(core) or 'other' + str(core)
    for mod in mods:
        apply_mod(mod, tones, diatonic)
    c.pcs = frozenset((c.root + v) % 12 for v in tones.values())
    bass_step = {0: 1, 1: 3, 2: 5, 3: 7}[inv]
    c.bass = (c.root + dict(core_map(core, tones)).get(bass_step, 0)) % 12
    return c


def core_map(core, tones):
    out = {1: 0}
    for k in (3, 5, 7):
        if k in tones:
            out[k] = tones[k]
    return out.items()


def apply_mod(mod, tones, diatonic):
    """[no3], [add9], [add#4], [b9], [#5], [maj7] ..; anything else is ignored."""
    m = re.match(r'^(no|add)?([#b-]*)(\d+)$', mod.strip())
    if mod.strip() in ('maj7', 'M7'):
        tones[7] = 11
        return
    if not m:
        return
    kind, acc, n = m.group(1), acc_value(m.group(2)), int(m.group(3))
    simple = {8: 1, 10: 3, 12: 5}.get(n, n)
    if kind == 'no':
        for k in list(tones):
            if isinstance(k, int) and (k == simple or (k > 7 and (k - simple) % 7 == 0)):
                del tones[k]
        return
    slot = ('add', simple, acc) if kind == 'add' else simple
    tones[slot if kind == 'add' else simple] = (diatonic(simple) + acc) % 12


def augmented_sixth(c, num, fset, mods, local):
    low6 = (local.pc + 8) % 12
    tonic, sharp4 = local.pc, (local.pc + 6) % 12
    pcs = {low6, tonic, sharp4}
    c.kind, c.has7 = 'aug6', num != 'It'
    c.quality = num
    if num == 'Ger':
        pcs.add((local.pc + 3) % 12)
    if num == 'Fr':
        pcs.add((local.pc + 2) % 12)
        c.step, c.alter, c.root = 2, 0, (local.pc + 2) % 12
        order = [c.root, sharp4, low6, tonic]
        c.inv = {'65': 1, '42': 3, '2': 3, '7': 0}.get(fset, 2)
    else:
        c.step, c.alter, c.root = 4, 1, sharp4
        order = [sharp4, low6, tonic, (local.pc + 3) % 12]
        c.inv = {'43': 2, '64': 2, '42': 3, '2': 3, '7': 0, '5': 0, '53': 0}.get(fset, 1)
    if local.mode == 'minor' and num == 'Fr':
        c.alter = 0
    c.bass = order[c.inv]
    c.pcs = frozenset(pcs)
    return c


# ---------------------------------------------------------------- RomanText
MEAS_RE = re.compile(
    r'^m(\d+)([a-z]?)(var\w*)?(?:-m?(\d+)([a-z]?))?:?(?=\s|=|$)\s*(.*)$', re.I)
COPY_RE = re.compile(r'^=\s*m(\d+)([a-z]?)(?:-m?(\d+)([a-z]?))?\s*$', re.I)
BEAT_RE = re.compile(r'^b(\d+(?:\.\d+)*)$')
NOT_CHORDS = {'||', ':||', '||:', ':||:', '|', '|:', ':|', '(', ')', '-', '=', 'NC',
              'rest', 'r', ',', '.', '|||'}


def parse_time_signature(s):
    """-> (beats in the bar, beat length in quarters, bar length in quarters)"""
    t = s.strip().lower().replace('?', '').strip()
    slow, fast = 'slow' in t, 'fast' in t
    t = t.replace('slow', '').replace('fast', '').strip()
    if t in ('c', 'common'):
        t = '4/4'
    if t in ('c|', 'cut', 'cut-time'):
        t = '2/2'
    m = re.match(r'^(\d+)\s*/\s*(\d+)', t)
    if not m:
        raise ValueError('bad time signature %r' % s)
    n, d = int(m.group(1)), int(m.group(2))
    bar = F(4 * n, d)
    compound = (n % 3 == 0 and n > 3) or (n == 3 and d >= 8) or (n == 3 and fast)
    if slow:
        compound = False
    beat = F(12, d) if compound else F(4, d)
    return n // 3 if compound else n, beat, bar


def parse_beat(s):
    """'2.5' -> 5/2; .33/.67/.17/.83 read as thirds/sixths; '1.66.5' = 1 + 2/3 + half a third."""
    parts = s.split('.')
    v = F(int(parts[0]))
    if len(parts) > 1:
        v += near(parts[1])
    if len(parts) > 2:
        v += F(1, 3) * near(parts[2])
    return v


def near(digits):
    x = F(int(digits), 10 ** len(digits))
    for d in (1, 2, 3, 4, 6, 8, 12, 5, 7, 16, 9, 24, 32):
        f = F(round(x * d), d)
        if abs(f - x) <= (F(1, 150) if len(digits) > 1 else F(1, 1000)):
            return f
    if digits in ('3', '6'):         # b1.3 / b1.6 used loosely for thirds
        return F(1, 3) if digits == '3' else F(2, 3)
    return x.limit_denominator(64)


class Event:
    __slots__ = ('q', 'chord', 'figure', 'key', 'label')

    def __init__(self, q, chord, figure, key, label):
        self.q, self.chord, self.figure, self.key, self.label = q, chord, figure, key, label


class Analysis:
    """headers   dict of header lines
    measures  ordered list of (label, start quarter, length, beat length)
    readings  list of (start, end, [(Key, Chord or None, figure), ...])
    variants  list of (start, end, Key, Chord, figure) from mNvarM lines
    problems  list of strings"""

    def __init__(self):
        self.headers, self.measures, self.readings = {}, [], []
        self.variants, self.problems = [], []
        self.end = F(0)

    def index(self):
        return {m[0]: m for m in self.measures}


def parse_romantext(text):
    """Full RomanText parser: returns an Analysis on its own time line
    (quarter 0 = beat 1 of the first measure label in the file)."""
    an = Analysis()
    entries, variants = [], []        # entries: [label, tokens, timesig]
    by_label = {}
    ts = (4, F(1), F(4))
    ts_text, ts_seen = None, False
    text = text.lstrip('\ufeff')
    eighth_hint = loose_3_8(text)
    for raw in text.splitlines():
        line = raw.replace('\u00a0', ' ').replace('\u00ac\u2020', ' ').strip()
        if not line:
            continue
        m = MEAS_RE.match(line)
        if not m:
            h = re.match(r'^\s*([A-Za-z][\w .-]*?)\s*:\s*(.*)$', line)
            if h and re.match(r'^(\w+ )?time ?signature$', h.group(1), re.I):
                try:
                    ts_text = h.group(2)
                    ts = parse_time_signature(('slow ' if eighth_hint and
                                               ts_text.strip().startswith('3/8') else '') + ts_text)
                    ts_seen = True
                except ValueError as e:
                    an.problems.append(str(e))
            elif h:
                an.headers.setdefault(h.group(1).strip().lower(), h.group(2))
            else:
                an.problems.append('unread line: ' + line[:60])
            continue
        n, suf, var, n2, suf2, rest = m.groups()
        label = (int(n), (suf or '').lower())
        cp = COPY_RE.match(rest)
        if cp or (n2 and rest.startswith('=')):
            if not cp:
                an.problems.append('unread copy: ' + line[:60])
                continue
            dst = list(range(int(n), int(n2 or n) + 1))
            src = list(range(int(cp.group(1)), int(cp.group(3) or cp.group(1)) + 1))
            if len(dst) != len(src):
                an.problems.append('uneven copy: ' + line[:60])
            for d, s in zip(dst, src):
                sl = (s, (cp.group(2) or '').lower())
                e = by_label.get(sl) or by_label.get((s, ''))
                if e is None and s > d:
                    an.problems.append('copy of unknown measure m%d' % s)
                # a source measure the file leaves out holds its chord: an empty copy
                new = [(d, (suf or '') if d == int(n) else ''), list(e[1]) if e else [], ts]
                entries.append(new)
                by_label[new[0]] = new
            continue
        toks = rest.split()
        if var:
            variants.append((label, toks))
            continue
        if label in by_label and entries and entries[-1][0] == label:
            by_label[label][1].extend(toks)
            continue
        if label in by_label:
            an.problems.append('measure m%d%s twice' % label)
            by_label[label][1].extend(toks)
            continue
        e = [label, toks, ts]
        entries.append(e)
        by_label[label] = e
    if not ts_seen:
        an.problems.append('no time signature, 4/4 taken')
    # fill measures the file leaves out
    full = []
    for e in entries:
        if full:
            last, cur = full[-1][0][0], e[0][0]
            if last < cur:
                for k in range(last + 1, cur):
                    full.append([(k, ''), [], full[-1][2]])
        full.append(e)
    q = F(0)
    key = None
    evs = []
    start = {}
    for label, toks, tsig in full:
        an.measures.append((label, q, tsig[2], tsig[1]))
        start[label] = (q, tsig)
        key = walk(toks, key, q, tsig, evs, an.problems, label)
        q += tsig[2]
    an.end = q
    # merge events at equal times (pivot chords)
    evs.sort(key=lambda e: e.q)
    groups = []
    for e in evs:
        if groups and groups[-1][0] == e.q:
            groups[-1][1].append(e)
        else:
            groups.append((e.q, [e]))
    for i, (t, es) in enumerate(groups):
        end = groups[i + 1][0] if i + 1 < len(groups) else an.end
        if end <= t:
            end = max(t + F(1, 4), an.end)
        an.readings.append((t, end, [(e.key, e.chord, e.figure) for e in es]))
    fix_cadential(an)
    for label, toks in variants:
        if label not in start:
            continue
        q0, tsig = start[label]
        ve = []
        walk(toks, key_at(an, q0) or key, q0, tsig, ve, [], label)
        for i, e in enumerate(ve):
            end = ve[i + 1].q if i + 1 < len(ve) else q0 + tsig[2]
            if e.chord and end > e.q:
                an.variants.append((e.q, end, e.key, e.chord, e.figure))
    return an


def loose_3_8(text):
    """True when a 3/8 file counts eighths (uses b2 / b3) rather than one dotted beat."""
    in38 = False
    for line in text.splitlines():
        m = re.match(r'^\s*time signature\s*:\s*(.*)$', line, re.I)
        if m:
            in38 = m.group(1).strip().startswith('3/8')
        elif in38 and re.match(r'^m\d', line) and re.search(r'\sb[23](\s|\.|$)', line):
            return True
    return False


def walk(toks, key, q0, tsig, evs, problems, label):
    beat, unit = F(1), tsig[1]
    for t in toks:
        m = BEAT_RE.match(t)
        if m:
            beat = parse_beat(m.group(1))
            continue
        m = KEY_RE.match(t)
        if m:
            key = Key.parse(m.group(1) + m.group(2))
            if not m.group(3):
                continue
            t = m.group(3)
        if t in NOT_CHORDS or set(t) <= set('|:()'):
            continue
        t = t.strip('()')
        if re.match(r'^[A-Ga-g][#b]*;$', t):
            key = Key.parse(t[:-1])
            continue
        if key is None:
            problems.append('chord before any key in m%d%s' % label)
            key = Key.parse('C')
        try:
            ch = realise(t, key)
        except ChordError as e:
            problems.append('m%d%s: %s' % (label[0], label[1], e))
            continue
        q = q0 + (beat - 1) * unit
        if not q0 <= q < q0 + tsig[2]:
            problems.append('m%d%s: beat %s outside the bar' % (label[0], label[1], float(beat)))
        evs.append(Event(q, ch, t, key, label))
    return key


def key_at(an, q):
    k = None
    for s, e, rs in an.readings:
        if s > q:
            break
        k = rs[-1][0]
    return k


def fix_cadential(an):
    """V64 directly before V / V7 (root position, same key and target) is the cadential I64."""
    for i in range(len(an.readings) - 1):
        s, e, rs = an.readings[i]
        nxt = an.readings[i + 1][2]
        out = []
        for k, c, f in rs:
            if (c.kind == 'roman' and c.step == 5 and c.inv == 2 and not c.has7 and
                    c.quality == 'maj' and any(
                        n.kind == 'roman' and n.step == 5 and n.inv == 0 and
                        n.targets == c.targets and n.key.ident() == c.key.ident()
                        for _, n, _ in nxt)):
                tail = f[f.index('64') + 2:] if '64' in f else (
                    f[f.index('6/4') + 3:] if '6/4' in f else '')
                c = realise('Cad64' + tail, k)
            out.append((k, c, f))
        an.readings[i] = (s, e, out)


# ---------------------------------------------------------------- comparison
METRICS = ('key', 'degree', 'quality', 'inversion', 'roman', 'roman+key', 'resolved', 'root',
           'pcset')


def flags(p, r):
    """Metric -> bool for one (Key, Chord) pair."""
    (pk, pc), (rk, rc) = p, r
    key = pk.ident() == rk.ident()
    deg = pc.degree() == rc.degree()
    qual = pc.quality == rc.quality
    inv = pc.inv == rc.inv
    roman = deg and qual and inv
    return {'key': key, 'degree': deg, 'quality': qual, 'inversion': inv, 'roman': roman,
            'roman+key': roman and key, 'resolved': pc.resolved() == rc.resolved(),
            'root': pc.root == rc.root, 'pcset': pc.pcs == rc.pcs}


def remap(pred, ref, problems):
    """Put the prediction on the reference's time line, measure by measure."""
    ridx = ref.index()
    byn = {}
    for m in ref.measures:
        byn.setdefault(m[0][0], m)
    shift = {}
    for label, q, ln, beat in pred.measures:
        r = ridx.get(label) or byn.get(label[0])
        if r is None:
            continue
        if r[2] != ln:
            problems.append('m%d%s: bar of %s quarters against %s' % (
                label[0], label[1], float(ln), float(r[2])))
        shift[q] = r
    out = []
    starts = sorted(shift)
    if not starts:
        return []
    pm = sorted((q, ln, label) for label, q, ln, _ in pred.measures)

    def conv(t):
        for q, ln, label in reversed(pm):
            if q <= t:
                r = shift.get(q)
                return None if r is None else r[1] + (t - q)
        return None
    conv_starts = [(conv(s), rs) for s, e, rs in pred.readings]
    conv_starts = [x for x in conv_starts if x[0] is not None]
    conv_starts.sort(key=lambda x: x[0])
    for i, (s, rs) in enumerate(conv_starts):
        e = conv_starts[i + 1][0] if i + 1 < len(conv_starts) else ref.end
        if e > s:
            out.append((s, e, rs))
    return out


def reading_at(lst, t):
    for s, e, rs in lst:
        if s <= t < e:
            return rs
    return None


def applied_segments(readings):
    """Runs of secondary-dominant chords with one target: [start, end, target pc]."""
    segs = []
    for s, e, rs in readings:
        tgt = None
        for k, c, f in rs:
            if c.applied_dominant():
                tgt = c.target_pc
        if tgt is None:
            continue
        if segs and segs[-1][2] == tgt and segs[-1][1] == s:
            segs[-1][1] = e
        else:
            segs.append([s, e, tgt])
    return segs


def match_segments(ps, rs):
    """Greedy one-to-one matching by overlap of segments with equal target."""
    cand = []
    for i, p in enumerate(ps):
        for j, r in enumerate(rs):
            ov = min(p[1], r[1]) - max(p[0], r[0])
            if ov > 0 and p[2] == r[2]:
                cand.append((ov, i, j))
    cand.sort(key=lambda x: -x[0])
    ui, uj = set(), set()
    for ov, i, j in cand:
        if i not in ui and j not in uj:
            ui.add(i)
            uj.add(j)
    return len(ui)


def compare(pred, ref, strict_pivot=False, variants=False):
    """Score one Analysis against another; returns a dict of raw sums."""
    problems = list(pred.problems)
    plist = remap(pred, ref, problems)
    rlist = ref.readings
    if strict_pivot:
        plist = [(s, e, rs[-1:]) for s, e, rs in plist]
        rlist = [(s, e, rs[-1:]) for s, e, rs in rlist]
    cuts = {s for s, _, _ in plist} | {s for s, _, _ in rlist} | {rlist[-1][1]} if rlist else set()
    if variants:
        cuts |= {v[0] for v in ref.variants} | {v[1] for v in ref.variants}
    cuts = sorted(c for c in cuts if rlist[0][0] <= c <= ref.end) if rlist else []
    res = {m: F(0) for m in METRICS}
    total = jac = missing = F(0)
    app_time = app_root = app_label = F(0)
    for a, b in zip(cuts, cuts[1:]):
        d = b - a
        rr = reading_at(rlist, a)
        if rr is None:
            continue
        total += d
        rr = [(k, c) for k, c, _ in rr]
        if variants:
            rr += [(v[2], v[3]) for v in ref.variants if v[0] <= a < v[1]]
        pr = reading_at(plist, a)
        main = rr[0] if len(rr) == 1 else None
        is_app = any(c.applied_dominant() for _, c in rr)
        if is_app:
            app_time += d
        if not pr:
            missing += d
            continue
        best = None
        for k, c, _ in pr:
            for r in rr:
                f = flags((k, c), r)
                sc = sum(f.values())
                j = len(c.pcs & r[1].pcs) / len(c.pcs | r[1].pcs)
                if best is None or (sc, j) > best[0]:
                    best = ((sc, j), f, c, r[1], j)
        for m in METRICS:
            if best[1][m]:
                res[m] += d
        jac += d * F(best[4]).limit_denominator(1000)
        if is_app:
            if any(c.root == r.root for _, c, _ in pr for _, r in rr if r.applied_dominant()):
                app_root += d
            if any(c.applied_dominant() and c.target_pc == r.target_pc
                   for _, c, _ in pr for _, r in rr if r.applied_dominant()):
                app_label += d
    ps, rs = applied_segments(plist), applied_segments(rlist)
    tp = match_segments(ps, rs)
    out = {'quarters': total, 'missing': missing, 'jaccard': jac, 'tp': tp, 'npred': len(ps),
           'nref': len(rs), 'app_time': app_time, 'app_root': app_root, 'app_label': app_label,
           'problems': problems}
    out.update(res)
    return out


def add_up(rows):
    tot = {}
    for r in rows:
        for k, v in r.items():
            if k != 'problems':
                tot[k] = tot.get(k, 0) + v
    return tot


def ratios(r):
    q = float(r['quarters']) or 1.0
    out = {'quarters': float(r['quarters'])}
    for m in METRICS:
        out[m] = float(r[m]) / q
    out['pc_jaccard'] = float(r['jaccard']) / q
    out['missing'] = float(r['missing']) / q
    p = r['tp'] / r['npred'] if r['npred'] else None
    c = r['tp'] / r['nref'] if r['nref'] else None
    out['applied_P'], out['applied_R'] = p, c
    out['applied_F1'] = None if p is None and c is None else (
        0.0 if not r['tp'] else 2 * r['tp'] / (r['npred'] + r['nref']))
    out['applied_tp'], out['applied_pred'], out['applied_ref'] = r['tp'], r['npred'], r['nref']
    out['applied_time_root'] = (float(r['app_root'] / r['app_time']) if r['app_time'] else None)
    out['applied_time_label'] = (float(r['app_label'] / r['app_time']) if r['app_time'] else None)
    return out


COLS = ('key', 'degree', 'quality', 'inversion', 'roman', 'roman+key', 'resolved', 'root', 'pcset',
        'pc_jaccard', 'applied_P', 'applied_R', 'applied_F1')


def table(rows):
    """rows: [(name, ratios)]"""
    w = max([5] + [len(n) for n, _ in rows])
    heads = ('key', 'degr', 'qual', 'inv', 'roman', 'rom+k', 'resolv', 'root', 'pcset', 'pcJac',
             'appP', 'appR', 'appF1')
    lines = ['%-*s %8s ' % (w, 'item', 'quarters') + ' '.join('%6s' % h for h in heads)]
    for n, r in rows:
        lines.append('%-*s %8.1f ' % (w, n, r['quarters']) + ' '.join(
            '%6s' % ('-' if r[c] is None else '%.3f' % r[c]) for c in COLS))
    return '\n'.join(lines)


# ---------------------------------------------------------------- files
def load(path):
    with open(path, encoding='utf-8', errors='replace') as fh:
        return parse_romantext(fh.read())


def shift_measures(an, n):
    an.measures = [((l[0] + n, l[1]), q, ln, b) for l, q, ln, b in an.measures]
    return an


def find_pairs(pdir, rdir, pname, rname):
    pairs, absent = [], []
    for root, dirs, files in sorted(os.walk(rdir)):
        dirs.sort()
        if rname not in files:
            continue
        rel = os.path.relpath(root, rdir)
        tries = [os.path.join(pdir, rel, pname), os.path.join(pdir, rel + '.rntxt'),
                 os.path.join(pdir, rel + '.txt')]
        hit = next((t for t in tries if os.path.isfile(t)), None)
        (pairs if hit else absent).append((rel, hit, os.path.join(root, rname)))
    return pairs, [a[0] for a in absent]


def macro(rows):
    out = {}
    for c in COLS:
        v = [r[c] for _, r in rows if r[c] is not None]
        out[c] = sum(v) / len(v) if v else None
    out['quarters'] = sum(r['quarters'] for _, r in rows)
    return out


def score_files(pairs, strict_pivot=False, variants=False, offset=0):
    raw, rows, notes = [], [], []
    for name, p, r in pairs:
        pa, ra = load(p), load(r)
        if offset:
            shift_measures(pa, offset)
        if not ra.readings:
            notes.append('%s: reference has no chords' % name)
            continue
        one = compare(pa, ra, strict_pivot, variants)
        raw.append(one)
        rows.append((name, ratios(one)))
        for x in one['problems'][:5]:
            notes.append('%s: pred: %s' % (name, x))
        for x in ra.problems[:5]:
            notes.append('%s: ref: %s' % (name, x))
    return raw, rows, notes


# ---------------------------------------------------------------- self test
def selftest():
    n = 0

    def ok(cond, what):
        nonlocal n
        n += 1
        assert cond, what

    def ch(fig, key='C'):
        return realise(fig, Key.parse(key))

    def pcs(fig, key='C'):
        return sorted(ch(fig, key).pcs)

    # realisation, by hand
    ok(pcs('I') == [0, 4, 7], 'I')
    ok(pcs('ii65') == [0, 2, 5, 9] and ch('ii65').bass == 5, 'ii65')
    ok(pcs('ii6/5') == pcs('ii65') and ch('ii6/5').inv == 1, 'ii6/5')
    ok(pcs('V7') == [2, 5, 7, 11] and ch('V7').quality == 'dom7', 'V7')
    ok(ch('V42').bass == 5 and ch('V2').inv == 3 and ch('V4/2').inv == 3, 'V42')
    ok(ch('V4/3').inv == 2 and ch('V43').bass == 2, 'V43')
    ok(pcs('V7/ii') == [1, 4, 7, 9], 'V7/ii is A C# E G')
    ok(pcs('V65/V/V') == [1, 4, 7, 9] and ch('V65/V/V').bass == 1, 'V65/V/V')
    ok(ch('V65/V/V').degree() == ((5, 0), (5, 0), (5, 0)), 'nested degrees')
    ok(pcs('V6/5/V') == [0, 2, 6, 9], 'V6/5/V')
    ok(pcs('viio7/V') == [0, 3, 6, 9] and ch('viio7/V').root == 6, 'viio7/V')
    ok(pcs('vii/o7') == [2, 5, 9, 11], 'vii/o7 half-diminished')
    ok(ch('vii/o7').label() == ch('viiø7').label() == ch('vii%7').label(), 'ø spellings')
    ok(pcs('ii/o6/5', 'a') == [2, 5, 9, 11] and ch('ii/o6/5', 'a').inv == 1, 'ii/o6/5 minor')
    ok(pcs('viio', 'a') == [2, 8, 11] and ch('viio', 'a').label() == ch('#viio', 'a').label(),
       '#vii = vii in minor')
    ok(pcs('VII', 'a') == [2, 7, 11] and ch('VII', 'a').label() == ch('bVII', 'a').label(),
       'VII = bVII in minor')
    ok(pcs('VI', 'a') == [0, 5, 9] and pcs('vio', 'a') == [0, 6, 9], 'VI, vio in minor')
    ok(pcs('vi/o7', 'a') == [0, 4, 6, 9], 'vi/o7 on raised 6')
    ok(pcs('III+', 'a') == [0, 4, 8] and ch('III+', 'a').quality == 'aug', 'III+')
    ok(pcs('bVI') == [0, 3, 8] and pcs('bII6') == pcs('N6') == [1, 5, 8], 'bVI, N6')
    ok(ch('N6').label() == ch('bII6').label() and ch('N6').bass == 5, 'N6 = bII6')
    ok(pcs('N6', 'a') == [2, 5, 10], 'N6 in a: Bb D F')
    ok(pcs('It6') == [0, 6, 8] and pcs('Fr43') == [0, 2, 6, 8] and
       pcs('Ger65') == [0, 3, 6, 8], 'augmented sixths')
    ok(ch('Ger6').label() == ch('Ger65').label() == ch('Ger6/5').label() and
       ch('Ger65').bass == 8 and ch('Fr4/3').bass == 8 and ch('It6').bass == 8, 'aug6 bass')
    ok(ch('Cad64').label() == ch('I64').label() and ch('Cad64', 'c').label() ==
       ch('i64', 'c').label() and ch('Cad64').bass == 7, 'Cad64')
    ok(pcs('Cad64/V') == [2, 7, 11], 'Cad64/V')
    ok(ch('IVM7').label() == ch('IVmaj7').label() == ch('IV7').label(), 'IVmaj7')
    ok(ch('I7').quality == 'maj7' and ch('IVd7').quality == 'dom7', 'd7')
    ok(pcs('V[no3][add4]') == [0, 2, 7], 'V[no3][add4] = V sus4')
    ok(pcs('I[add9]') == [0, 2, 4, 7], 'add9')
    ok(pcs('V9') == [2, 5, 7, 9, 11] and pcs('V9[b9]') == [2, 5, 7, 8, 11], 'V9, V9[b9]')
    ok(pcs('V9', 'c') == [2, 5, 7, 8, 11], 'V9 in minor')
    ok(pcs('V7[no3][add4]/V') == [0, 2, 7, 9], 'modifier before target')
    ok(pcs('i7', 'c') == [0, 3, 7, 10] and pcs('VI7', 'c') == [0, 3, 7, 8], 'minor sevenths')
    ok(pcs('bVII7') == [2, 5, 8, 10], 'bVII7 is a dominant seventh')
    ok(ch('viio').label() != ch('viio6').label(), 'viio vs viio6 differ')
    ok(ch('V7/I').targets == () and ch('V7/i', 'c').targets == (), 'target I dropped')
    ok(ch('V/VII', 'c').target_pc == 10 and pcs('V/VII', 'c') == [0, 5, 9], 'V/VII minor')
    ok(ch('V7/ii').applied_dominant() and ch('viio6/IV').applied_dominant() and
       not ch('IV/IV').applied_dominant() and not ch('Cad64/V').applied_dominant(), 'applied')
    for bad in ('H', 'X7', 'V7/Q'):
        try:
            ch(bad)
            ok(False, 'should fail: ' + bad)
        except ChordError:
            n += 1
    # beats and time signatures
    ok(parse_beat('2.5') == F(5, 2) and parse_beat('1.66') == F(5, 3) and
       parse_beat('1.67') == F(5, 3) and parse_beat('2.33') == F(7, 3) and
       parse_beat('1.66.5') == F(11, 6) and parse_beat('1.125') == F(9, 8), 'beats')
    ok(parse_time_signature('6/8') == (2, F(3, 2), 3) and
       parse_time_signature('3/2') == (3, 2, 6) and parse_time_signature('C|') == (2, 2, 4) and
       parse_time_signature('Slow 6/8') == (6, F(1, 2), 3) and
       parse_time_signature('4/4?') == (4, 1, 4), 'time signatures')
    # parsing
    head = 'Composer: x\nTitle: t\nTime Signature: 4/4\n\n'
    a = parse_romantext(head + 'Form: chorale\nm0 b4 C: I\nm1 V6 b2.5 I || b3 G: IV b4 V7\n'
                        'Note: hello\nPedal: G m1 b1 m2 b1\nm1var1 V\nm2 I :||\nm3-4 = m1-2\nm6 I')
    ok([m[0][0] for m in a.measures] == [0, 1, 2, 3, 4, 5, 6], 'measures with a gap filled')
    ok([float(s) for s, _, _ in a.readings] ==
       [3, 4, 5.5, 6, 7, 8, 12, 13.5, 14, 15, 16, 24], 'event times, copies')
    ok(a.readings[6][2][0][0].name == 'G' and a.readings[6][2][0][2] == 'V6', 'copy keeps key')
    ok(a.end == 28 and len(a.variants) == 1 and not a.problems, 'end, variants, problems')
    b = parse_romantext(head + 'm1a C: I\nm1b V\nm2 I b1 G: IV b3 V')
    ok([m[0] for m in b.measures] == [(1, 'a'), (1, 'b'), (2, '')], 'endings')
    ok(len(b.readings[2][2]) == 2, 'pivot chord has two readings')
    c = parse_romantext('Time Signature: 6/8\nm1 C: I b2 V7\n')
    ok([float(s) for s, _, _ in c.readings] == [0, 1.5], '6/8 has two beats')
    c = parse_romantext('Time Signature: 3/4\nm1 C: I\nTime Signature: 2/4\nm2 V\nm3 I')
    ok(c.end == 7, 'change of time signature')

    def sc(p, r, **kw):
        return ratios(compare(parse_romantext(head + p), parse_romantext(head + r), **kw))

    ref = 'm1 C: I b3 V7/V\nm2 V b3 I6\n'
    s = sc(ref, ref)
    ok(all(abs(s[m] - 1) < 1e-9 for m in METRICS) and s['applied_F1'] == 1.0 and
       s['quarters'] == 8.0, 'self = 1')
    # key wrong for half of the time: m2 read in G (V -> I, I6 -> IV6)
    s = sc('m1 C: I b3 V7/V\nm2 G: I b3 IV6\n', ref)
    ok(abs(s['key'] - .5) < 1e-9 and abs(s['root'] - 1) < 1e-9 and abs(s['degree'] - .5) < 1e-9
       and abs(s['roman+key'] - .5) < 1e-9 and abs(s['pcset'] - 1) < 1e-9 and
       abs(s['inversion'] - 1) < 1e-9, 'wrong key half of the time')
    # applied chord missed: ii instead of V7/V for 2 of 8 quarters
    s = sc('m1 C: I b3 ii\nm2 V b3 I6\n', ref)
    ok(abs(s['roman'] - .75) < 1e-9 and abs(s['key'] - 1) < 1e-9 and s['applied_R'] == 0 and
       s['applied_F1'] == 0 and s['applied_P'] is None and abs(s['root'] - 1) < 1e-9 and
       abs(s['quality'] - .75) < 1e-9 and s['applied_time_root'] == 1.0, 'applied chord missed')
    # a tonicisation written as a change of key: V7/V - V against G: V7 - I
    s = sc('m1 C: I b3 G: V7\nm2 I b3 C: I6\n', ref)
    ok(abs(s['roman'] - .5) < 1e-9 and abs(s['resolved'] - .75) < 1e-9 and
       abs(s['key'] - .5) < 1e-9 and abs(s['pcset'] - 1) < 1e-9, 'tonicisation as modulation')
    # inversion wrong: I instead of I6 for 2 of 8
    s = sc('m1 C: I b3 V7/V\nm2 V b3 I\n', ref)
    ok(abs(s['inversion'] - .75) < 1e-9 and abs(s['roman'] - .75) < 1e-9 and
       abs(s['degree'] - 1) < 1e-9 and abs(s['pcset'] - 1) < 1e-9, 'inversion wrong')
    # right chord, wrong target: V7/ii against V7/V; and one spurious applied chord
    s = sc('m1 C: I b3 V7/ii\nm2 V7/IV b3 I6\n', ref)
    ok(s['applied_P'] == 0 and s['applied_R'] == 0 and s['applied_F1'] == 0, 'wrong target')
    s = sc('m1 C: I b3 V7/V\nm2 V7/IV b3 I6\n', ref)
    ok(s['applied_P'] == .5 and s['applied_R'] == 1 and abs(s['applied_F1'] - 2 / 3) < 1e-9,
       'one spurious applied chord')
    # boundary off by one beat: chord changes at b4 instead of b3 -> 1 of 8 wrong
    s = sc('m1 C: I b4 V7/V\nm2 V b3 I6\n', ref)
    ok(abs(s['roman'] - 7 / 8) < 1e-9 and s['applied_F1'] == 1, 'late boundary')
    # cadential spellings
    r2 = 'm1 C: I b2 Cad64 b3 V7 b4 I\n'
    for x in ('I64', 'V64', 'Cad64', 'I6/4'):
        s = sc('m1 C: I b2 %s b3 V7 b4 I\n' % x, r2)
        ok(s['roman'] == 1 and s['pcset'] == 1, 'cadential ' + x)
    s = sc('m1 C: I b2 V64 b3 I6 b4 I\n', 'm1 C: I b2 Cad64 b3 I6 b4 I\n')
    ok(s['roman'] == .75, 'a passing V64 is not cadential')
    # pivot: either reading counts, unless strict
    r3 = 'm1 C: I b3 vi b3 G: ii\nm2 V\n'
    ok(sc('m1 C: I b3 vi\nm2 G: V\n', r3)['roman+key'] == 1, 'pivot lenient')
    ok(abs(sc('m1 C: I b3 vi\nm2 G: V\n', r3, strict_pivot=True)['roman+key'] - .75) < 1e-9,
       'pivot strict')
    # missing tail, extra measures, variants
    s = sc('m2 C: V b3 I6\nm3 I\n', ref)
    ok(abs(s['missing'] - .5) < 1e-9 and abs(s['roman'] - .5) < 1e-9, 'missing half')
    ok(sc('m1 C: ii', 'm1 C: IV6\nm1var1 ii', variants=True)['roman'] == 1 and
       sc('m1 C: ii', 'm1 C: IV6\nm1var1 ii')['roman'] == 0, 'variants')
    s = sc('m1 C: V[no3][add4] b2 V', 'm1 C: V')
    ok(s['roman'] == 1 and abs(s['pcset'] - .75) < 1e-9, 'suspension only in pcset')
    # micro-average: 4 quarters right + 8 quarters half right = 8 / 12
    tot = ratios(add_up([compare(parse_romantext(head + p), parse_romantext(head + r))
                         for p, r in (('m1 C: I', 'm1 C: I'),
                                      ('m1 C: I\nm2 IV', 'm1 C: I\nm2 ii6'))]))
    ok(abs(tot['roman'] - 8 / 12) < 1e-9 and tot['quarters'] == 12, 'micro average')
    print('selftest: %d assertions passed' % n)


def main(argv):
    import argparse
    ap = argparse.ArgumentParser(description=__doc__,
                                 formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument('paths', nargs='*')
    ap.add_argument('--dir', action='store_true')
    ap.add_argument('--json', action='store_true')
    ap.add_argument('--selftest', action='store_true')
    ap.add_argument('--dump', metavar='FILE')
    ap.add_argument('--strict-pivot', action='store_true')
    ap.add_argument('--variants', action='store_true')
    ap.add_argument('--pred-name', default='analysis.rntxt')
    ap.add_argument('--ref-name', default='analysis.rntxt')
    ap.add_argument('--offset-measures', type=int, default=0)
    ap.add_argument('--quiet', action='store_true')
    a = ap.parse_args(argv)
    if a.selftest:
        selftest()
        return 0
    if a.dump:
        an = load(a.dump)
        for s, e, rs in an.readings:
            print('%7.2f %7.2f  ' % (s, e) + '  |  '.join(
                '%s: %s %s pcs %s' % (k.name, f, c.quality, sorted(c.pcs)) for k, c, f in rs))
        for x in an.problems:
            print('problem:', x)
        return 0
    if len(a.paths) != 2:
        ap.error('two paths wanted: PRED REF')
    absent = []
    if a.dir:
        pairs, absent = find_pairs(a.paths[0], a.paths[1], a.pred_name, a.ref_name)
    else:
        pairs = [(os.path.basename(os.path.dirname(os.path.abspath(a.paths[1]))) or 'item',
                  a.paths[0], a.paths[1])]
    raw, rows, notes = score_files(pairs, a.strict_pivot, a.variants, a.offset_measures)
    if not raw:
        print('nothing to compare', file=sys.stderr)
        return 1
    tot = ratios(add_up(raw))
    if a.json:
        print(json.dumps({'items': dict(rows), 'micro': tot, 'macro': macro(rows),
                          'count': len(rows), 'no_prediction': absent, 'notes': notes},
                         indent=1, ensure_ascii=False))
        return 0
    out = [] if a.quiet else list(rows)
    if len(rows) > 1 or a.quiet:
        out += [('MICRO (%d)' % len(rows), tot), ('MACRO', macro(rows))]
    print(table(out))
    print('applied chords: %d found of %d, %d predicted; time on the right root %s, '
          'with an applied label for the same target %s; no prediction for %.1f %% of the time' % (
              tot['applied_tp'], tot['applied_ref'], tot['applied_pred'],
              *('-' if tot[k] is None else '%.3f' % tot[k]
                for k in ('applied_time_root', 'applied_time_label')), 100 * tot['missing']))
    if absent:
        print('no prediction file for %d items: %s' % (len(absent), ' '.join(absent[:40])))
    for x in notes[:40]:
        print('note:', x)
    return 0


if __name__ == '__main__':
    sys.exit(main(sys.argv[1:]))
