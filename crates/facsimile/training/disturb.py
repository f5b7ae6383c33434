"""What happens to drawn ink until it is a scan: bent, spread, worn, shone through, shaded, blurred."""

import math

import torch
from torch.nn import functional


def uniform(count, low, high, device):
    return torch.rand(count, device=device) * (high - low) + low


def blurred(x, deviation):
    if deviation < 0.15:
        return x
    reach = max(1, math.ceil(2.5 * deviation))
    at = torch.arange(-reach, reach + 1, device=x.device, dtype=x.dtype)
    weights = torch.exp(-0.5 * (at / deviation) ** 2)
    weights = weights / weights.sum()
    x = functional.conv2d(x, weights.view(1, 1, -1, 1), padding=(reach, 0))
    return functional.conv2d(x, weights.view(1, 1, 1, -1), padding=(0, reach))


def clouds(count, rows, columns, size, device):
    """Soft noise whose spots are about so large, from -1 to 1."""
    coarse = torch.rand(count, 1, max(2, rows // size + 2), max(2, columns // size + 2), device=device) * 2 - 1
    return functional.interpolate(coarse, (rows, columns), mode="bicubic", align_corners=False)


def bent(ink, widths):
    """Stretched, moved, slanted, waved; with the new widths."""
    count, _, rows, columns = ink.shape
    device = ink.device
    across, down = uniform(count, 0.8, 1.2, device), uniform(count, 0.9, 1.1, device)
    new = (widths * across).long().clamp(max=int(columns * 1.2))
    out = int(new.max().item() + 31) // 32 * 32
    x = torch.arange(out, device=device)[None, None] + 0.5
    y = torch.arange(rows, device=device)[None, :, None] + 0.5 - rows / 2
    by = lambda low, high: uniform(count, low, high, device).view(-1, 1, 1)
    wave = by(0, 1.3) * torch.sin(x / by(15, 120) + by(0, 6.28)) + by(-3, 3)
    lean = by(-0.012, 0.012)
    source_y = (y + wave + lean * (x - out / 2)) / down.view(-1, 1, 1) + rows / 2
    stretch = by(0, 2.5) * torch.sin(x / by(20, 150) + by(0, 6.28))
    source_x = (x + by(-0.08, 0.08) * y + stretch) / across.view(-1, 1, 1)
    grid = torch.stack([source_x / columns * 2 - 1, (source_y / rows * 2 - 1).expand(-1, -1, out)], -1)
    return functional.grid_sample(ink, grid, align_corners=False, padding_mode="zeros"), new


def disturbed_as_one_print(ink, widths):
    """Bent, blurred, of another contrast, grained: what one print has anyhow."""
    ink, widths = bent(ink, widths)
    by = lambda low, high: uniform(len(ink), low, high, ink.device).view(-1, 1, 1, 1)
    if torch.rand(()) < 0.5:
        ink = blurred(ink, float(torch.rand(())) * 0.8 + 0.2)
    curve = torch.sigmoid((ink - by(0.22, 0.6)) / by(0.1, 0.3))
    ink = torch.where(torch.rand(len(ink), 1, 1, 1, device=ink.device) < 0.5, curve, ink)
    return (1 - ink + torch.randn_like(ink) * by(0, 0.08))[:, 0], widths


def disturbed(ink, widths):
    """Ink from 0 to 1 as the lightness of a scan, from about 0 to 1, and the widths that strips have then."""
    device = ink.device
    ink, widths = bent(ink, widths)
    count, _, rows, columns = ink.shape
    by = lambda low, high: uniform(count, low, high, device).view(-1, 1, 1, 1)
    some = lambda part: (torch.rand(count, 1, 1, 1, device=device) < part).float()
    one = lambda low, high: float(torch.rand(()) * (high - low) + low)
    chance = lambda part: float(torch.rand(())) < part
    # The next staff above or below reaches into this one's strip.
    if chance(0.3):
        other = ink.roll(1, 0).roll(int(one(-8, 8)), 3)
        rise = int(one(58, 72)) * (1 if chance(0.5) else -1)
        shifted = torch.zeros_like(other)
        if rise > 0:
            shifted[:, :, rise:] = other[:, :, :-rise]
        else:
            shifted[:, :, :rise] = other[:, :, -rise:]
        ink = torch.maximum(ink, shifted * some(0.5))
    # Ink that is worn, or did not take.
    worn = blurred(torch.rand(count, 1, rows, columns, device=device), one(0.5, 1.3))
    spread = worn.std() + 1e-6
    worn = (worn - 0.5) / spread
    ink = ink * (1 - some(0.5) * torch.sigmoid((worn - by(0.8, 3.0)) * 4))
    ink = ink * (1 - by(0, 0.5) * some(0.6) * (clouds(count, rows, columns, int(one(12, 60)), device) * 0.5 + 0.5).clamp(0, 1))
    # Ink that runs, or is thin.
    ink = blurred(ink, one(0.3, 1.2))
    curve = torch.sigmoid((ink - by(0.22, 0.6)) / by(0.04, 0.25))
    ink = torch.where(some(0.6) > 0, curve, ink)
    # What shines through from the back, or has come off from the facing page.
    behind = ink.roll(2, 0).flip(3)
    behind = blurred(behind, one(0.8, 3.0))
    ink = ink + (1 - ink) * behind * by(0, 0.45) * some(0.5)
    # Fewer pixels.
    if chance(0.5):
        part = one(0.5, 1.0)
        small = functional.interpolate(ink, scale_factor=part, mode="area" if chance(0.5) else "bilinear")
        ink = functional.interpolate(small, (rows, columns), mode="bilinear", align_corners=False)
    if chance(0.5):
        ink = blurred(ink, one(0.2, 1.0))
    paper = by(0.6, 1.0) * (1 - by(0, 0.2) * clouds(count, rows, columns, int(one(30, 200)), device))
    light = paper * (1 - ink * by(0.35, 1.0))
    grain = torch.randn(count, 1, rows, columns, device=device)
    if chance(0.5):
        grain = blurred(grain, 0.7) * 2
    light = light + grain * by(0, 0.08) * some(0.8)
    light = light - by(0, 0.1) * some(0.5) * clouds(count, rows, columns, int(one(4, 12)), device).clamp(0, 1)
    return light[:, 0].clamp(0, 1.2), widths
