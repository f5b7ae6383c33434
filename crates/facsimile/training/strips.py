"""Packs of strips, as `tests/examples/strips` writes them."""

import struct

import numpy as np

ROWS = 96
PLACED, PLACES, KINDS = 21, 17, 42
"""Kinds with a place, places, all kinds; as in `crates/facsimile/src/sort.rs`."""
SORTS = PLACED * PLACES + KINDS - PLACED
CLEFS, ACCIDENTALS, BOUND, DIRECT, DOT, PROPORTIONS = range(0, 3), range(3, 6), range(17, 20), 20, 21, (34, 35)
OBLIQUE, BAR, DOUBLE_BAR, CORONA, SIGNUM = 36, 37, 38, 40, 41


class Strip:
    """A strip: of which piece and voice, its grey rows, and the numbers of its sorts."""

    def __init__(self, piece, voice, pixels, sorts):
        self.piece, self.voice, self.pixels, self.sorts = piece, voice, pixels, sorts


def read(path):
    """All strips of a pack."""
    data = open(path, "rb").read()
    at, strips = 0, []
    while at < len(data):
        piece, voice, count, width = struct.unpack_from("<BBHH", data, at)
        at += 6
        sorts = np.frombuffer(data, "<u2", count, at).astype(np.int64)
        at += 2 * count
        pixels = np.frombuffer(data, np.uint8, ROWS * width, at).reshape(ROWS, width)
        at += ROWS * width
        strips.append(Strip(piece, voice, pixels, sorts))
    return strips


def write(out, strip):
    """One more strip of a pack."""
    out.write(struct.pack("<BBHH", strip.piece, strip.voice, len(strip.sorts), strip.pixels.shape[1]))
    out.write(np.asarray(strip.sorts).astype("<u2").tobytes())
    out.write(strip.pixels.tobytes())


def kind_of(sort):
    return sort // PLACES if sort < PLACED * PLACES else PLACED + sort - PLACED * PLACES


def place_of(sort):
    return sort % PLACES - 2 if sort < PLACED * PLACES else None


def compared(sorts):
    """What of a row of sorts the encodings tell: directs and bars they do not; and where a signature shows
    the same sign at two octaves, they have it once."""
    row, opening, signs = [], True, []
    for sort in map(int, sorts):
        kind = kind_of(sort)
        if kind in (DIRECT, DOUBLE_BAR, BAR):
            continue
        if kind in CLEFS:
            opening, signs = True, []
        elif kind in ACCIDENTALS and opening:
            # In a signature a sign counts by its letter, at the lower place.
            letter = (kind, (sort % PLACES) % 7)
            if letter in signs:
                continue
            signs.append(letter)
            sort = -1 - kind * 7 - letter[1]
        else:
            # What seemed a signature may have ended with the first note's accidental.
            opening = False
        row.append(sort)
    return row


def distance(one, other):
    """The least number of sorts left out, added or mistaken between two rows, and which they are:
    pairs of what stands there and what was read, None where nothing is."""
    n, m = len(one), len(other)
    cost = np.zeros((n + 1, m + 1), np.int32)
    cost[:, 0], cost[0, :] = np.arange(n + 1), np.arange(m + 1)
    for i in range(1, n + 1):
        for j in range(1, m + 1):
            cost[i, j] = min(cost[i - 1, j - 1] + (one[i - 1] != other[j - 1]), cost[i - 1, j] + 1, cost[i, j - 1] + 1)
    pairs, i, j = [], n, m
    while i or j:
        if i and j and cost[i, j] == cost[i - 1, j - 1] + (one[i - 1] != other[j - 1]):
            i, j = i - 1, j - 1
            if one[i] != other[j]:
                pairs.append((one[i], other[j]))
        elif i and cost[i, j] == cost[i - 1, j] + 1:
            i -= 1
            pairs.append((one[i], None))
        else:
            j -= 1
            pairs.append((None, other[j]))
    return int(cost[n, m]), pairs[::-1]
