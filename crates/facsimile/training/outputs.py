"""What a network with weights in halves puts out for all strips of a pack, for comparison: raw outputs in
singles, strip after strip, step after step.

    python3 outputs.py --weights drawn.pt --truth truth.pack OUT
"""

import argparse

import numpy as np
import torch

import network as reader
from strips import read

parser = argparse.ArgumentParser(description=__doc__)
parser.add_argument("--weights", required=True)
parser.add_argument("--truth", required=True)
parser.add_argument("out")
options = parser.parse_args()
torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = False
device = "cuda" if torch.cuda.is_available() else "cpu"
network = reader.Network().to(device)
halves = {key: value.half().float() if value.is_floating_point() else value for key, value in torch.load(options.weights, map_location=device).items()}
network.load_state_dict(halves)
network.eval()
reader.joined = lambda outputs: outputs
with torch.no_grad(), open(options.out, "wb") as file:
    for strip in read(options.truth):
        light = torch.from_numpy(strip.pixels.astype(np.float32) / 255).to(device)[None]
        outputs = network(reader.normalised(light, torch.tensor([light.shape[-1]], device=device)))[0]
        file.write(outputs.T.contiguous().cpu().numpy().astype("<f4").tobytes())
