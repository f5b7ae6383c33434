"""New lines of a print, spliced from its types.

    python3 spliced.py --weights drawn.f16 --truth truth.pack --drawn drawn.pack --fold 0 --count 24000 fold0.pack

What stands on a strip is known, but not where: the weights, which need not have seen it, say where each sort
stands, and the strip is cut where there is least ink between two sorts. Notes are then set by whole spaces higher
or lower, lines are made up of what was cut, and what the print hardly has is taken from drawn strips. Each sort
comes about as often as its square root. No strip of a piece that the fold leaves out is used.
"""

import argparse
import multiprocessing
from collections import defaultdict

import numpy as np
import torch

from network import BLANK, STEP, load, normalised
from strips import ACCIDENTALS, BAR, BOUND, CLEFS, CORONA, DIRECT, DOT, OBLIQUE, PLACED, PROPORTIONS, ROWS, SIGNUM, Strip, kind_of, place_of, read, write

NARROW = 60
"""An opening that is narrower stands beside no initial."""
OF_NO_PIECE = 254
"""The piece of a spliced line."""
SPACE = 10
"""Rows to a staff space."""
LINES = [ROWS // 2 + SPACE * line for line in range(-2, 3)]
"""The rows of the staff lines, from above."""


def inked(strip):
    """A strip as ink from 0 to 1, without the grey of its paper."""
    grey = 255.0 - strip.pixels.astype(np.float32)
    low, high = np.quantile(grey, 0.3), np.quantile(grey, 0.985)
    return ((grey - low) / (high - low + 1e-3)).clip(0, 1)


@torch.no_grad()
def odds_of(network, strip):
    """The log-odds of all sorts at each step of a strip."""
    light = torch.from_numpy(strip.pixels.astype(np.float32) / 255)[None]
    return network(normalised(light, torch.tensor([light.shape[-1]])))[0].numpy()


def places_along(odds, sorts):
    """The column about which each sort stands, along the likeliest path that reads these sorts; nothing if
    none does. `odds`: (sorts and blank, steps)."""
    states = np.full(2 * len(sorts) + 1, BLANK)
    states[1::2] = sorts
    likely = odds[states]
    count, steps = likely.shape
    if steps < count // 2:
        return None
    skips = np.zeros(count, bool)
    skips[3::2] = sorts[1:] != sorts[:-1]
    best = np.full(count, -np.inf)
    best[:2] = likely[:2, 0]
    came = np.zeros((steps, count), np.int8)
    for step in range(1, steps):
        one = np.concatenate([[-np.inf], best[:-1]])
        two = np.where(skips, np.concatenate([[-np.inf, -np.inf], best[:-2]]), -np.inf)
        ways = np.stack([best, one, two])
        came[step] = ways.argmax(0)
        best = ways.max(0) + likely[:, step]
    state = count - 1 if best[-1] > best[-2] else count - 2
    if not np.isfinite(best[state]):
        return None
    found = defaultdict(list)
    for step in range(steps - 1, -1, -1):
        if state % 2:
            found[state // 2].append(step)
        state -= int(came[step, state])
    return [STEP * np.mean(found[number]) + STEP / 2 for number in range(len(sorts))]


class Type:
    """What is set as one: a note with its accidental and its dot; a ligature; a clef with its signature, and the sort
    behind that."""

    def __init__(self, ink, sorts, opens, ends):
        self.ink, self.sorts, self.opens, self.ends = ink, sorts, opens, ends

    def moved(self, spaces):
        """The same so many spaces higher; nothing if it cannot be."""
        if self.ink.shape[1] == 0 or not all(kind_of(sort) < PLACED or kind_of(sort) in (DOT, OBLIQUE, *PROPORTIONS) for sort in self.sorts):
            return None
        sorts = []
        for sort in self.sorts:
            place = place_of(sort)
            if place is not None:
                new = place + 2 * spaces
                inwards = (new - 6) * (place - 6) > 0 and abs(new - 6) <= abs(place - 6)
                if not (inwards or (kind_of(sort) in CLEFS and 2 <= new <= 10) or 1 <= new <= 11):
                    return None
                sort += 2 * spaces
            sorts.append(sort)
        # The bare line: what all lines have in common, and the space around them.
        bands = np.stack([self.ink[row - SPACE // 2 : row + SPACE // 2] for row in LINES])
        line = bands.min(0)
        ink = np.zeros_like(self.ink)
        rows = SPACE * spaces
        if rows > 0:
            ink[:-rows] = self.ink[rows:]
        else:
            ink[-rows:] = self.ink[:rows]
        for step in range(abs(spaces)):
            bare = LINES[0] - SPACE * (step + 1) if spaces > 0 else LINES[-1] + SPACE * (step + 1)
            new = LINES[-1] - SPACE * step if spaces > 0 else LINES[0] + SPACE * step
            for row, draws in ((bare, False), (new, True)):
                top = max(0, row - SPACE // 2)
                part = ink[top : row + SPACE // 2]
                own = line[SPACE - len(part) :] if top == 0 else line[: len(part)]
                part[:] = np.maximum(part, own) if draws else np.maximum(part - own, 0)
        return Type(ink, sorts, self.opens, self.ends)


def types_of(network, strip):
    """The types of a strip, from left to right."""
    sorts = strip.sorts
    if not len(sorts):
        return []
    at = places_along(odds_of(network, strip), sorts)
    if at is None:
        return []
    ink = inked(strip)
    amount = ink.sum(0)
    kinds = [kind_of(sort) for sort in sorts]
    types, left, first, opening = [], 0, 0, True
    for number in range(1, len(sorts) + 1):
        if number < len(sorts):
            before, kind = kinds[number - 1], kinds[number]
            opening = opening and (kind in ACCIDENTALS)
            bound = (opening or before in ACCIDENTALS or kind in (DOT, OBLIQUE, CORONA, SIGNUM) or before == OBLIQUE
                     or (before in BOUND and kind in BOUND))
            low, high = int(at[number - 1]) + 2, int(at[number]) - 1
            if first == 0:
                # A clef is often told before it stands there.
                low = max(low, high - 15)
            if bound or high - low < 2:
                continue
            # Where there is least ink, nearest to the middle where there is as little elsewhere.
            columns = np.arange(low, high)
            cut = int(columns[(amount[low:high] + 0.3 * np.abs(columns - (low + high) / 2)).argmin()])
        else:
            cut = ink.shape[1]
        types.append(Type(ink[:, left:cut], [int(sort) for sort in sorts[first:number]], first == 0, number == len(sorts)))
        left, first = cut, number
    return types


class Case:
    """The types of a print, and those of drawn strips."""

    def __init__(self, lines, drawn):
        self.lines = lines
        # The widest, nearly all beside an initial.
        self.openings = [line[0] for line in lines]
        self.first = sorted(self.openings, key=lambda one: one.ink.shape[1])[-len(lines) // 6 :]
        self.endings = [line[-1] for line in lines if len(line) > 1]
        self.by_kind, self.drawn = defaultdict(list), defaultdict(list)
        for number, line in enumerate(lines):
            for at, one in enumerate(line):
                if not one.opens and not one.ends:
                    for kind in {kind_of(sort) for sort in one.sorts}:
                        self.by_kind[kind].append((number, at))
        for line in drawn:
            for one in line[1:-1]:
                for kind in {kind_of(sort) for sort in one.sorts}:
                    self.drawn[kind].append(one)
        self.kinds = [*self.by_kind]
        weights = np.sqrt([len(self.by_kind[kind]) for kind in self.kinds])
        self.weights = weights / weights.sum()
        self.rare = [kind for kind in self.drawn if kind not in (DIRECT, BAR)]

    def segment(self, dice):
        """Some types beside one another in the print, or one that was drawn."""
        if dice.random() < 0.12:
            of = self.drawn[self.rare[dice.integers(len(self.rare))]]
            return [of[dice.integers(len(of))]]
        of = self.by_kind[self.kinds[dice.choice(len(self.kinds), p=self.weights)]]
        number, at = of[dice.integers(len(of))]
        line = self.lines[number]
        first = max(1, at - int(dice.integers(3)))
        last = min(len(line) - 1, at + 1 + int(dice.integers(3)))
        return line[first:last]

    def line(self, dice):
        """A line of this print that nobody printed."""
        length = int(dice.integers(250, 620))
        openings = self.first if dice.random() < 0.3 else self.openings
        row = [openings[dice.integers(len(openings))]]
        if row[0].ink.shape[1] < NARROW and dice.random() < 0.3:
            # Beside part of an initial.
            initial = self.first[dice.integers(len(self.first))].ink
            end = initial.shape[1] - NARROW
            if end > 5:
                part = initial[:, int(dice.integers(end - 4)) : end]
                row[0] = Type(np.concatenate([part, row[0].ink[:, 3:]], 1), row[0].sorts, True, False)
        while sum(one.ink.shape[1] for one in row) < length:
            segment = self.segment(dice)
            spaces = int(dice.integers(-2, 3))
            moved = [one.moved(spaces) if spaces else one for one in segment]
            row += [new or old for new, old in zip(moved, segment)]
        row.append(self.endings[dice.integers(len(self.endings))])
        moved = row[0].moved(int(dice.choice([-1, 1]))) if dice.random() < 0.3 else None
        row[0] = moved or row[0]
        ink = np.concatenate([one.ink * np.float32(dice.uniform(0.85, 1.0)) for one in row], 1)
        pixels = (255 * (1 - ink)).clip(0, 255).astype(np.uint8)
        return Strip(OF_NO_PIECE, 0, pixels, np.array([sort for one in row for sort in one.sorts]))


def cut_up(strip):
    """The types of a strip, told by the weights that were given."""
    return types_of(NETWORK, strip)


def made(task):
    """Some lines of the case, the seed given."""
    seed, count = task
    dice = np.random.default_rng(seed)
    return [CASE.line(dice) for _ in range(count)]


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--weights", required=True)
    parser.add_argument("--truth", required=True)
    parser.add_argument("--drawn", required=True)
    parser.add_argument("--drawn-count", type=int, default=2000, help="of so many drawn strips")
    parser.add_argument("--fold", type=int, required=True)
    parser.add_argument("--count", type=int, required=True)
    parser.add_argument("--processes", type=int, default=multiprocessing.cpu_count())
    parser.add_argument("out")
    options = parser.parse_args()
    torch.set_num_threads(1)
    NETWORK = load(options.weights, "cpu").eval()
    workers = multiprocessing.get_context("fork").Pool
    with workers(options.processes) as pool:
        cut = lambda strips: [line for line in pool.imap(cut_up, strips, 16) if len(line) > 2]
        lines = cut([strip for strip in read(options.truth) if strip.piece % 3 != options.fold])
        CASE = Case(lines, cut(read(options.drawn)[: options.drawn_count]))
    print(f"fold {options.fold}: {len(lines)} lines in {sum(map(len, lines))} types, {sum(map(len, CASE.drawn.values()))} drawn", flush=True)
    tasks = [(seed, 200) for seed in range(options.count // 200)]
    with workers(options.processes) as pool, open(options.out, "wb") as out:
        for strips in pool.imap(made, tasks):
            for strip in strips:
                write(out, strip)
