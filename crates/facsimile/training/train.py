"""Trains the reader on an accelerator.

    python3 train.py --drawn FOLDER --truth truth.pack --out OUT --seconds 400
    python3 train.py … --from drawn.pt --fold 0 --spliced fold0.pack --seconds 240

The first sees drawn strips alone: what ships. The second goes on from there with the scans of two thirds of
the pieces and what `spliced.py` made of them, and is tried on the third: those of fold 0, 1 or 2. In the end it
is trained with the statistics of these scans as they are. Both write `NAME.pt`, the weights in halves as `NAME.f16`,
and what they read of the scans they were tried on as `NAME.json`.
"""

import argparse
import copy
import glob
import json
import math
import os
import time

import numpy as np
import torch
from torch.nn import functional

from disturb import disturbed, disturbed_as_one_print
from evaluate import report, rows_read
from network import BLANK, STEP, Network, export, load, normalised, with_statistics
from strips import ROWS, read

parser = argparse.ArgumentParser(description=__doc__)
parser.add_argument("--drawn", required=True)
parser.add_argument("--truth", required=True)
parser.add_argument("--out", required=True)
parser.add_argument("--name", help="drawn, or fold0, fold1, fold2")
parser.add_argument("--seconds", type=float, required=True)
parser.add_argument("--from", dest="start")
parser.add_argument("--fold", type=int)
parser.add_argument("--spliced", help="lines spliced from the scans of the fold")
parser.add_argument("--parts", type=float, nargs=3, default=[0.3, 0.45, 0.25], help="scans, spliced and drawn strips in the batches of a fold")
parser.add_argument("--end", type=float, default=0.4, help="the part of a fold's time with statistics as they are")
parser.add_argument("--worse", type=float, default=0.7, help="how often the strips of a fold are disturbed as in all prints, not as in one")
parser.add_argument("--batch", type=int, default=96)
parser.add_argument("--rate", type=float, help="0.002, or half of that for a fold")
parser.add_argument("--seed", type=int, default=1582)
options = parser.parse_args()
if options.fold is not None and not options.spliced:
    parser.error("a fold needs --spliced")
options.name = options.name or ("drawn" if options.fold is None else f"fold{options.fold}")
options.rate = options.rate or (2e-3 if options.fold is None else 1e-3)

# Many small copies are slower on many threads.
torch.set_num_threads(1)
torch.manual_seed(options.seed)
np.random.seed(options.seed)
# Widths differ from batch to batch, so there is nothing to gain from trying algorithms out.
torch.backends.cudnn.benchmark = False
device = "cuda" if torch.cuda.is_available() else "cpu"
begun = time.time()


class Stock:
    """Strips in memory, drawn from at random, those of like width together."""

    def __init__(self, strips):
        self.widths = np.array([strip.pixels.shape[1] for strip in strips])
        most = int(self.widths.max())
        self.ink = torch.zeros(len(strips), ROWS, most, dtype=torch.uint8)
        for number, strip in enumerate(strips):
            self.ink[number, :, : strip.pixels.shape[1]] = torch.from_numpy(255 - strip.pixels)
        self.sorts = [strip.sorts for strip in strips]
        self.order = np.argsort(self.widths)
        if self.ink.numel() < 2.5e10:
            self.ink = self.ink.to(device)

    def batch(self, count):
        middle = np.random.randint(len(self.order))
        near = self.order[max(0, middle - 3000) : middle + 3000]
        chosen = np.random.choice(near, count, replace=len(near) < count)
        widths = self.widths[chosen]
        ink = self.ink[torch.from_numpy(chosen).to(self.ink.device), :, : int(widths.max())]
        return ink.to(device).float()[:, None] / 255, torch.from_numpy(widths).to(device), [self.sorts[i] for i in chosen]


def stretched(ink):
    """A scan's grey as ink from 0 to 1."""
    low = ink.flatten(1).quantile(0.3, 1).view(-1, 1, 1, 1) if ink[0].numel() < 16e6 else ink.amin((1, 2, 3), True)
    high = ink.flatten(1).quantile(0.985, 1).view(-1, 1, 1, 1)
    return ((ink - low) / (high - low + 1e-3)).clamp(0, 1)


def loss_of(network, ink, widths, sorts):
    """How far the network is from reading these sorts from disturbed ink."""
    with torch.no_grad():
        worse = options.fold is None or np.random.rand() < options.worse
        light, widths = disturbed(ink, widths) if worse else disturbed_as_one_print(ink, widths)
        strips = normalised(light, widths)
    with torch.autocast(device, torch.bfloat16):
        odds = network(strips.to(memory_format=torch.channels_last))
    lengths = torch.tensor([len(row) for row in sorts])
    targets = torch.from_numpy(np.concatenate(sorts)).to(device)
    steps = (widths // STEP).clamp(max=odds.shape[2]).cpu()
    return functional.ctc_loss(odds.permute(2, 0, 1), targets, steps, lengths, BLANK, zero_infinity=True)


def trained(network, seconds, rate, batch, kept=False):
    """Trains the network on batches; gives the mean of its last weights. Its statistics stay as they are if kept."""
    began, step, said = time.time(), 0, 0.0
    network = copy.deepcopy(network).to(memory_format=torch.channels_last)
    network.train(not kept)
    network.drop.train()
    mean = copy.deepcopy(network)
    decay = [p for p in network.parameters() if p.ndim > 1]
    plain = [p for p in network.parameters() if p.ndim <= 1]
    optimiser = torch.optim.AdamW([{"params": decay, "weight_decay": 0.01}, {"params": plain, "weight_decay": 0.0}], lr=rate)
    while (gone := time.time() - began) < seconds:
        for group in optimiser.param_groups:
            group["lr"] = rate * min(1.0, (step + 1) / 300) * (0.5 + 0.5 * math.cos(math.pi * gone / seconds) + 0.005)
        loss = loss_of(network, *batch())
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 2.0)
        optimiser.step()
        step += 1
        with torch.no_grad():
            keep = min(0.999, step / (step + 20))
            torch._foreach_lerp_(list(mean.parameters()), list(network.parameters()), 1 - keep)
            for one, other in zip(mean.buffers(), network.buffers()):
                one.lerp_(other, 1 - keep) if one.dtype.is_floating_point else one.copy_(other)
        if gone - said > 45:
            said = gone
            print(f"{options.name} {gone:.0f} s, step {step}: loss {loss.item():.4f}; {report(rows_read(mean, tried, device))[0]}", flush=True)
    print(f"{options.name}: {step} steps; {report(rows_read(mean, tried, device))[0]}", flush=True)
    return mean


truth = read(options.truth)
is_tried = lambda strip: options.fold is None or strip.piece % 3 == options.fold
tried = [strip for strip in truth if is_tried(strip)]
drawn = [strip for path in sorted(glob.glob(options.drawn + "/*.pack")) for strip in read(path)]
drawn = Stock([strip for strip in drawn if 2 * len(strip.sorts) < strip.pixels.shape[1] * 0.8 // STEP])
network = load(options.start, device) if options.start else Network().to(device)
print(f"{sum(p.numel() for p in network.parameters())} weights, {len(drawn.sorts)} drawn strips, {time.time() - begun:.0f} s", flush=True)
if options.fold is None:
    mean = trained(network, options.seconds - (time.time() - begun), options.rate, lambda: drawn.batch(options.batch))
else:
    known = [strip for strip in truth if not is_tried(strip)]
    real, spliced = Stock(known), Stock(read(options.spliced))

    def batch():
        """Scans, spliced and drawn strips, one or the other."""
        at = np.random.rand() * sum(options.parts)
        if at < options.parts[0]:
            ink, widths, sorts = real.batch(options.batch)
            return stretched(ink), widths, sorts
        return (spliced if at < options.parts[0] + options.parts[1] else drawn).batch(options.batch)

    seconds = options.seconds - (time.time() - begun)
    mean = network
    if options.end < 1:
        mean = trained(network, seconds * (1 - options.end), options.rate, batch)
    mean = with_statistics(mean, [strip for strip in known if len(strip.sorts)])
    print(f"{options.name}, with the statistics of the scans: {report(rows_read(mean, tried, device))[0]}", flush=True)
    if options.end > 0:
        mean = trained(mean, seconds * options.end, options.rate / 2, batch, kept=True)

read_rows = rows_read(mean, tried, device)
figures, lines = report(read_rows)
print("\n".join(lines))
os.makedirs(options.out, exist_ok=True)
torch.save(mean.state_dict(), f"{options.out}/{options.name}.pt")
export(mean, f"{options.out}/{options.name}.f16")
json.dump([{"piece": s.piece, "voice": s.voice, "truth": s.sorts.tolist(), "read": row} for s, row in read_rows],
          open(f"{options.out}/{options.name}.json", "w"))
