"""How many sorts are wrong where a network reads scans.

    python3 evaluate.py --truth truth.pack WEIGHTS…
    python3 evaluate.py --truth truth.pack --folds fold0.f16 fold1.f16 fold2.f16

The second counts of each fold the pieces that it has not seen, and all together.
"""

import argparse
from collections import Counter

import numpy as np
import torch

from network import BLANK, load, normalised
from strips import PLACED, compared, distance, kind_of, place_of, read

NAMES = """G C F flat sharp natural mx lg br sb mn sm fu sf black-lg black-br black-sb bound-lg bound-br bound-sb direct
dot _lg2 _lg3 _br _sb _mn _sm _fu _sf C C| O O| 3 3/2 oblique bar double repeat corona signum""".split()


def name(sort):
    if sort is None:
        return "-"
    if sort < 0:
        return "signature"
    place = place_of(sort)
    return NAMES[kind_of(sort)] + ("" if place is None else f"@{place}")


@torch.no_grad()
def rows_read(network, strips, device, statistics=False):
    """Each strip with the sorts read from it, by the likeliest output of each step."""
    network.train(statistics)
    rows = []
    for strip in strips:
        light = torch.from_numpy(strip.pixels.astype(np.float32) / 255).to(device)[None]
        widths = torch.tensor([strip.pixels.shape[1]], device=device)
        best = network(normalised(light, widths))[0].argmax(0).tolist()
        row = [sort for before, sort in zip([BLANK] + best, best) if sort != before and sort != BLANK]
        rows.append((strip, row))
    network.train()
    return rows


def report(rows):
    """The figures in a line; and what is mistaken for what, the most frequent first."""
    wrong, all_sorts, clean, invented, mistaken, kinds = 0, 0, 0, 0, Counter(), Counter()
    for strip, row in rows:
        one, other = compared(strip.sorts), compared(row)
        if not one:
            invented += len(other) > 0
            continue
        off, pairs = distance(one, other)
        wrong, all_sorts, clean = wrong + off, all_sorts + len(one), clean + (off == 0)
        for a, b in pairs:
            kind = lambda s: name(s).split("@")[0]
            same = a is not None and b is not None and kind(a) == kind(b)
            mistaken[(kind(a) + (" place" if same else ""), kind(b))] += 1
    music = sum(1 for strip, _ in rows if len(strip.sorts))
    figures = (f"{100 * wrong / max(1, all_sorts):.2f} % wrong ({wrong} of {all_sorts}), {clean} of {music} lines without any, "
               f"{invented} of {len(rows) - music} empty staves with something")
    return figures, [f"{count:4} {a} -> {b}" for (a, b), count in mistaken.most_common(45)]


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--truth", required=True)
    parser.add_argument("--folds", action="store_true")
    parser.add_argument("weights", nargs="+")
    options = parser.parse_args()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    strips, all_rows = read(options.truth), []
    for fold, path in enumerate(options.weights):
        rows = rows_read(load(path, device), [strip for strip in strips if not options.folds or strip.piece % 3 == fold], device)
        all_rows += rows
        figures, lines = report(rows)
        print(f"{path}: {figures}", *lines, sep="\n")
    if options.folds:
        print(f"all together: {report(all_rows)[0]}")
