#!/bin/sh
# Trains the reader and its folds, one after another, and adapts it, on a machine with an accelerator:
#
#   run.sh STRIPS TRUTH OUT
#
# STRIPS is the drawing program (`cargo build --release -p suite --example strips`), TRUTH what it packs of the
# open data (`strips truth TRUTH`), OUT a folder for weights and figures.
set -eu
strips=$1 truth=$2 out=$3
here=$(dirname "$0")
drawn=$(mktemp -d)
cores=$(nproc)
for seed in $(seq 1 "$cores"); do
    "$strips" drawn "$seed" $((160000 / cores)) "$drawn/$seed.pack" &
done
wait
train() {
    python3 "$here/train.py" --drawn "$drawn" --truth "$truth" --out "$out" "$@"
}
train --name drawn --seconds 165
for fold in 0 1 2; do
    train --name "fold$fold" --fold "$fold" --from "$out/drawn.pt" --rate 1e-3 --seconds 165
done
python3 "$here/adapt.py" --weights "$out/drawn.pt" --truth "$truth" --lines 0 5 10 20 40 --pieces $(seq 0 11)
python3 "$here/outputs.py" --weights "$out/drawn.pt" --truth "$truth" "$out/outputs"
