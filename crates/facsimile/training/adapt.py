"""How the errors fall when the reader, which has seen drawn strips alone, learns a print: by itself, and from
lines that are known. What is done is what `crates/facsimile/src/learning` and `cartella read --learn` do.

    python3 adapt.py --weights ../src/network/drawn.f16 --truth truth.pack --lines 0 5 10 20 40

First the statistics of the normalisations are taken from all strips of the print. Then, three times over,
the lines that are read with some confidence are taken as truth, with those that are known, and the network is
trained on them from its beginning. If enough lines are known, it is trained on them alone in the end. Which
lines are known is chosen by chance; what is read of all others is counted.
"""

import argparse
import copy

import numpy as np
import torch
from torch.nn import functional

from disturb import disturbed_as_one_print
from evaluate import report, rows_read
from network import BLANK, STEP, load, normalised, with_statistics
from strips import ROWS, Strip, read

parser = argparse.ArgumentParser(description=__doc__)
parser.add_argument("--weights", required=True)
parser.add_argument("--truth", required=True)
parser.add_argument("--lines", type=int, nargs="+", required=True)
parser.add_argument("--seeds", type=int, nargs="+", default=[0, 1, 2])
parser.add_argument("--pieces", type=int, nargs="*", default=[], help="these pieces, each by itself, none of its lines known")
options = parser.parse_args()
device = "cuda" if torch.cuda.is_available() else "cpu"
torch.set_num_threads(1)

ROUNDS, STEPS, BATCH, RATE, RISE, KEPT = 3, 120, 8, 2.5e-4, 10, 0.97
SURE = 0.5
"""A line is taken as it is read if every sort on it is at least so likely."""
ENOUGH = 10
"""The network is trained on known lines alone if there are so many."""


def batch(strips):
    """Strips as ink from 0 to 1, side by side."""
    widths = torch.tensor([strip.pixels.shape[1] for strip in strips], device=device)
    ink = torch.zeros(len(strips), 1, ROWS, int(widths.max()), device=device)
    for number, strip in enumerate(strips):
        grey = 255.0 - torch.from_numpy(strip.pixels.astype(np.float32)).to(device)
        low, high = grey.quantile(0.3), grey.quantile(0.985)
        ink[number, 0, :, : grey.shape[1]] = ((grey - low) / (high - low + 1e-3)).clamp(0, 1)
    return ink, widths


def trained(network, strips):
    """The network trained on some strips, its statistics as they are; the mean of the last weights."""
    network = copy.deepcopy(network).eval()
    mean = copy.deepcopy(network)
    optimiser = torch.optim.Adam(network.parameters(), lr=RATE)
    waiting = []
    for step in range(STEPS):
        for group in optimiser.param_groups:
            group["lr"] = RATE * min(1, (step + 1) / RISE) * (0.5 + 0.5 * np.cos(np.pi * step / STEPS) + 0.01)
        while len(waiting) < BATCH:
            waiting += list(np.random.permutation(len(strips)))
        chosen, waiting = [strips[i] for i in waiting[:BATCH]], waiting[BATCH:]
        with torch.no_grad():
            light, widths = disturbed_as_one_print(*batch(chosen))
            ink = normalised(light, widths)
        odds = network(ink)
        steps = (widths // STEP).clamp(max=odds.shape[2]).cpu()
        targets = torch.from_numpy(np.concatenate([strip.sorts for strip in chosen])).to(device)
        lengths = torch.tensor([len(strip.sorts) for strip in chosen])
        loss = functional.ctc_loss(odds.permute(2, 0, 1), targets, steps, lengths, BLANK, zero_infinity=True)
        optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 2.0)
        optimiser.step()
        with torch.no_grad():
            kept = min(KEPT, (step + 1) / (step + 5))
            for one, other in zip(mean.parameters(), network.parameters()):
                one.lerp_(other, 1 - kept)
    return mean


@torch.no_grad()
def sure(network, strips):
    """Those strips on which every sort is read with some confidence, with what is read."""
    found = []
    network.eval()
    for strip in strips:
        light = torch.from_numpy(strip.pixels.astype(np.float32) / 255).to(device)[None]
        odds = network(normalised(light, torch.tensor([light.shape[-1]], device=device)))[0].exp()
        row, likely, before = [], [], BLANK
        for most, best in zip(*(values.tolist() for values in odds.max(0))):
            if best != BLANK and best == before:
                likely[-1] = max(likely[-1], most)
            elif best != BLANK:
                row.append(best)
                likely.append(most)
            before = best
        if row and min(likely) >= SURE:
            found.append(Strip(strip.piece, strip.voice, strip.pixels, np.array(row)))
    return found


def learned(network, strips, known, say=lambda network, what: None):
    """The network after it has learned a print of which some lines are known."""
    own = now = with_statistics(network, strips + known)
    for number in range(ROUNDS):
        lines = sure(now, strips) + known
        if lines:
            now = trained(own, lines)
        say(now, f"round {number + 1}, {len(lines)} lines")
    return trained(now, known) if len(known) >= ENOUGH else now


base = load(options.weights, device).eval()
strips = read(options.truth)
music = [strip for strip in strips if len(strip.sorts)]
figures = lambda network, strips: report(rows_read(network, strips, device))[0]
if options.pieces:
    rows = []
    for piece in options.pieces:
        own = [strip for strip in music if strip.piece == piece]
        rows += rows_read(learned(base, own, []), own, device)
    print(f"pieces {options.pieces} by themselves: {report(rows)[0]}", flush=True)
for seed in options.seeds:
    for count in options.lines:
        torch.manual_seed(seed)
        np.random.seed(seed)
        order = np.random.permutation(len(music))
        known, rest = [music[i] for i in order[:count]], [music[i] for i in order[count:]]
        say = lambda network, what: print(f"seed {seed}: {count} lines, {what}: {figures(network, rest)}", flush=True)
        say(learned(base, rest, known, say), "in the end")
