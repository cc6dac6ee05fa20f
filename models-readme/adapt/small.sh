#!/usr/bin/env bash
# Every step of adapting a model, in miniature and without a GPU: it fails if one does not work, and learns nothing.
set -euo pipefail
cd "$(dirname "$0")/../.."
couchside=${COUCHSIDE:-target/release/couchside}
work=.cache/adapt-small
prose=${FORTUNES:-/usr/share/games/fortunes}
models=$("$couchside" model list | sed -n '1s/^speech models in //p')
model=$models/ggml-tiny.en.bin
step() { .tools/adapt/run "models-readme/adapt/$1.py" "${@:2}"; }

step texts --small --work "$work" --model "$model" --prose "$prose" --couchside "$couchside"
step speak --small --work "$work" --workers 2
step train --small --work "$work" --model "$model" --device cpu
step pack pack --mix 0.6 --trained "$work/low.npz" --model "$model" --name small "$work/small.safetensors"
step pack apply --model "$model" "$work/small.safetensors" "$work/ggml-small.bin"
"$couchside" evaluate --json audio-samples/confirm > "$work/report.json"
step card --small --work "$work" --model "$model" --change "$work/small.safetensors" --report "one sample=$work/report.json" "$work/card.md"
COUCHSIDE_MODELS=$work/models "$couchside" model add "$work/ggml-small.bin" --allow-unknown-model --name small
# The change that the program carries is applied here as the program does it: to the last bit.
step pack apply --model "$model" models-readme/adapt/tiny.en-joints.safetensors "$work/ggml-tiny.en-joints.bin"
cmp "$work/ggml-tiny.en-joints.bin" "$models/ggml-tiny.en-joints.bin"
echo 'every step works'
