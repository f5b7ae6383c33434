"""How the errors fall when the reader, which has seen drawn strips alone, is adapted to a print.

    python3 adapt.py --weights drawn.pt --truth truth.pack --lines 0 5 10 20 40

First the statistics of the normalisations are taken from all strips of the print, without any truth. Then
some lines, chosen at random, are taken as truth: for the outputs alone, or for all weights. What is read
of all other lines is counted.
"""

import argparse
import copy

import numpy as np
import torch
from torch import nn
from torch.nn import functional

from disturb import disturbed
from evaluate import report, rows_read
from network import BLANK, STEP, Network, normalised
from strips import ROWS, read

parser = argparse.ArgumentParser(description=__doc__)
parser.add_argument("--weights", required=True)
parser.add_argument("--truth", required=True)
parser.add_argument("--lines", type=int, nargs="+", required=True)
parser.add_argument("--steps", type=int, default=120)
options = parser.parse_args()
device = "cuda"


def batch(strips):
    """Strips as ink from 0 to 1, side by side."""
    widths = torch.tensor([strip.pixels.shape[1] for strip in strips], device=device)
    ink = torch.zeros(len(strips), 1, ROWS, int(widths.max()), device=device)
    for number, strip in enumerate(strips):
        grey = 255.0 - torch.from_numpy(strip.pixels.astype(np.float32)).to(device)
        low, high = grey.quantile(0.3), grey.quantile(0.985)
        ink[number, 0, :, : grey.shape[1]] = ((grey - low) / (high - low + 1e-3)).clamp(0, 1)
    return ink, widths


@torch.no_grad()
def with_statistics(network, strips):
    """The network with the statistics of these strips, each strip counting alike."""
    network = copy.deepcopy(network)
    norms = [m for m in network.modules() if isinstance(m, (nn.BatchNorm1d, nn.BatchNorm2d))]
    for norm in norms:
        norm.reset_running_stats()
        norm.momentum = None
    network.train()
    network.drop.eval()
    for strip in strips:
        light = torch.from_numpy(strip.pixels.astype(np.float32) / 255).to(device)[None]
        network(normalised(light, torch.tensor([light.shape[-1]], device=device)))
    return network.eval()


def trained(network, strips, only_outputs):
    """The network trained on a few lines, its normalisations as they are."""
    network = copy.deepcopy(network)
    weights = list(network.out.parameters()) if only_outputs else list(network.parameters())
    optimiser = torch.optim.AdamW(weights, lr=3e-3 if only_outputs else 4e-4)
    for step in range(options.steps):
        for group in optimiser.param_groups:
            group["lr"] *= 0.99
        chosen = [strips[i] for i in np.random.randint(len(strips), size=16)]
        with torch.no_grad():
            light, widths = disturbed(*batch(chosen))
            ink = normalised(light, widths)
        network.eval()
        odds = network(ink)
        steps = (widths // STEP).clamp(max=odds.shape[2]).cpu()
        targets = torch.from_numpy(np.concatenate([strip.sorts for strip in chosen])).to(device)
        lengths = torch.tensor([len(strip.sorts) for strip in chosen])
        loss = functional.ctc_loss(odds.permute(2, 0, 1), targets, steps, lengths, BLANK, zero_infinity=True)
        optimiser.zero_grad()
        loss.backward()
        optimiser.step()
    return network


base = Network().to(device)
base.load_state_dict(torch.load(options.weights))
strips = read(options.truth)
music = [strip for strip in strips if len(strip.sorts)]
print("as shipped:", report(rows_read(base.eval(), strips, device))[0], flush=True)
own = with_statistics(base, music)
print("statistics:", report(rows_read(own, strips, device))[0], flush=True)
for count in options.lines:
    for seed in range(1):
        torch.manual_seed(seed)
        np.random.seed(seed)
        order = np.random.permutation(len(music))
        seen, rest = [music[i] for i in order[:count]], [music[i] for i in order[count:]]
        for name, start in (("shipped", base), ("statistics", own)):
            for only in (True, False):
                network = trained(start, seen, only) if count else start
                what = "outputs" if only else "all weights"
                print(f"{count} lines, {name}, {what}: {report(rows_read(network, rest, device))[0]}", flush=True)
