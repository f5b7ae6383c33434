"""The network: convolutions, and two heads whose outputs are added into one alphabet."""

import copy

import numpy as np
import torch
from torch import nn
from torch.nn import functional

from strips import KINDS, PLACED, PLACES, SORTS

STEP = 4
"""Columns of a strip to a step of the outputs."""
BLANK = SORTS
BEFORE = 10
"""The statistics of a network count as those of so many strips, where those of a print are taken."""

PLANE = [(1, 16, (1, 1)), (16, 32, (2, 2)), (32, 32, (1, 1)), (32, 64, (2, 2)), (64, 64, (1, 1)), (64, 96, (2, 1)), (96, 96, (2, 1))]
"""Convolutions of three rows and columns: channels before and after, and by how much rows and columns
are thinned out before them, the largest of each standing for all."""
HEIGHT = 6
ALONG, REACH, SPREAD = 128, 5, (1, 1, 2, 2)
"""Channels of the convolutions along the line, how far they reach, and how far apart."""


class Network(nn.Module):
    def __init__(self):
        super().__init__()
        self.plane = nn.ModuleList(nn.Conv2d(i, o, 3, padding=1, bias=False) for i, o, _ in PLANE)
        self.plane_norm = nn.ModuleList(nn.BatchNorm2d(o) for _, o, _ in PLANE)
        self.fold = nn.Conv1d(PLANE[-1][1] * HEIGHT, ALONG, 1, bias=False)
        self.fold_norm = nn.BatchNorm1d(ALONG)
        self.along = nn.ModuleList(
            nn.Conv1d(ALONG, ALONG, REACH, padding=REACH // 2 * by, dilation=by, bias=False) for by in SPREAD)
        self.along_norm = nn.ModuleList(nn.BatchNorm1d(ALONG) for _ in SPREAD)
        self.out = nn.Conv1d(ALONG, 1 + KINDS + PLACES, 1)
        self.drop = nn.Dropout(0.1)

    def forward(self, strips):
        """Strips of normalised ink, (count, 1, 96, columns), to log-odds, (count, sorts and blank, steps)."""
        x = strips
        for conv, norm, (_, _, thin) in zip(self.plane, self.plane_norm, PLANE):
            if thin != (1, 1):
                x = functional.max_pool2d(x, thin)
            x = functional.relu(norm(conv(x)))
        x = functional.relu(self.fold_norm(self.fold(x.flatten(1, 2))))
        x = self.drop(x)
        for conv, norm in zip(self.along, self.along_norm):
            x = x + functional.relu(norm(conv(x)))
        return joined(self.out(self.drop(x)).float())


def joined(outputs):
    """Blank, kinds and places as the log-odds of all sorts, the blank last."""
    blank, kinds, places = outputs.split([1, KINDS, PLACES], 1)
    placed = kinds[:, :PLACED, None] + places[:, None]
    return torch.cat([placed.flatten(1, 2), kinds[:, PLACED:], blank], 1).log_softmax(1)


def normalised(light, widths):
    """Lightness as ink: the mean of each strip 0, its deviation 1; nothing beyond its width."""
    columns = torch.arange(light.shape[-1], device=light.device)
    inside = (columns[None] < widths[:, None])[:, None]
    count = (inside.sum((1, 2)) * light.shape[1]).clamp(min=1)
    light = light * inside
    mean = light.sum((1, 2)) / count
    spread = ((light - mean[:, None, None]).square() * inside).sum((1, 2)) / count
    ink = (mean[:, None, None] - light) / (spread.sqrt() + 1e-3)[:, None, None]
    return (ink * inside)[:, None]


@torch.no_grad()
def with_statistics(network, strips):
    """The network with the statistics of these strips, each counting alike, beside its own."""
    network = copy.deepcopy(network)
    norms = [m for m in network.modules() if isinstance(m, (nn.BatchNorm1d, nn.BatchNorm2d))]
    before = [(norm.running_mean.clone(), norm.running_var.clone()) for norm in norms]
    for norm in norms:
        norm.reset_running_stats()
        norm.momentum = None
    network.train()
    network.drop.eval()
    for strip in strips:
        light = torch.from_numpy(strip.pixels.astype(np.float32) / 255).to(next(network.parameters()).device)[None]
        network(normalised(light, torch.tensor([light.shape[-1]], device=light.device)))
    part = BEFORE / (len(strips) + BEFORE)
    for norm, (mean, variance) in zip(norms, before):
        norm.running_mean.lerp_(mean, part)
        norm.running_var.lerp_(variance, part)
    return network.eval()


def parts(network):
    """The weights in the order of the file: each convolution with its normalisation (scale, shift, mean,
    variance); the outputs with their bias."""
    layers = [*zip(network.plane, network.plane_norm), (network.fold, network.fold_norm), *zip(network.along, network.along_norm)]
    for conv, norm in layers:
        yield from (conv.weight, norm.weight, norm.bias, norm.running_mean, norm.running_var)
    yield from (network.out.weight, network.out.bias)


def export(network, path):
    """Writes the weights in halves, one after another."""
    flat = np.concatenate([part.detach().float().cpu().numpy().ravel() for part in parts(network)])
    flat.astype("<f2").tofile(path)


@torch.no_grad()
def load(path, device):
    """A network with the weights of a file, in halves or as PyTorch saves them."""
    network = Network().to(device)
    if str(path).endswith(".pt"):
        network.load_state_dict(torch.load(path, map_location=device))
        return network
    flat, at = np.fromfile(path, "<f2").astype(np.float32), 0
    for part in parts(network):
        part.copy_(torch.from_numpy(flat[at : at + part.numel()]).view_as(part))
        at += part.numel()
    assert at == len(flat)
    return network
