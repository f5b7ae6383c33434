#!/bin/sh
# Trains the reader, then its folds at once, and adapts it meanwhile, on a machine with accelerators:
#
#   run.sh STRIPS TRUTH OUT
#
# STRIPS is the drawing program (`cargo build --release -p suite --example strips`), TRUTH what it packs of the
# open data (`strips truth TRUTH`), OUT a folder for weights and figures. Drawn strips take some 20 GB of the folder
# for temporary files, and as much memory again for each training at work.
set -eu
strips=$1 truth=$2 out=$3
here=$(dirname "$0")
cards=$(nvidia-smi -L | grep -c GPU) || { echo "run.sh: there is no accelerator" >&2; exit 1; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p "$out" "$work/all" "$work/some"

# 64 packs, of which the folds take some, and one is cut up.
seq 1 64 | xargs -P "$(nproc)" -I SEED "$strips" drawn SEED 6000 "$work/all/SEED.pack"
for pack in $(seq 1 25); do ln "$work/all/$pack.pack" "$work/some/"; done
python3 "$here/train.py" --drawn "$work/all" --truth "$truth" --out "$out" --name drawn --seconds 430

for fold in 0 1 2; do
    python3 "$here/spliced.py" --weights "$out/drawn.pt" --truth "$truth" --drawn "$work/all/26.pack" \
        --fold "$fold" --count 40000 "$work/spliced$fold.pack"
done
for fold in 0 1 2; do
    CUDA_VISIBLE_DEVICES=$((fold % cards)) python3 "$here/train.py" --drawn "$work/some" --truth "$truth" \
        --out "$out" --name "fold$fold" --fold "$fold" --from "$out/drawn.pt" --spliced "$work/spliced$fold.pack" \
        --seconds 450 >"$out/fold$fold.txt" &
    started="${started-} $!"
done
CUDA_VISIBLE_DEVICES=$((cards - 1)) python3 "$here/adapt.py" --weights "$out/drawn.pt" --truth "$truth" \
    --lines 0 5 10 20 40 --pieces $(seq 0 11) >"$out/adapted.txt"
for one in $started; do wait "$one"; done
python3 "$here/outputs.py" --weights "$out/drawn.pt" --truth "$truth" "$out/outputs"
