#!/usr/bin/env python3
"""Makes what is shipped of what was trained: a part of the change, in 8-bit numbers, as a safetensors file; and applies it.

    pack.py pack --mix A --trained low.npz --model GGML --name NAME OUT.safetensors
    pack.py apply --model GGML CHANGE.safetensors OUT.bin

The mixed model is stock + A · change. Every number of a change is a whole number times a scale, so that the sum over the ranks
is exact and the result the same to the last bit wherever it is computed:

    matrices       NAME.up, NAME.down (8-bit), NAME.up_scale, NAME.down_scale (32-bit):
                   new[i][j] = stock[i][j] + up_scale[i] · down_scale[j] · sum of up[i][r] · down[r][j]
    convolutions   NAME.change (8-bit), NAME.scale (32-bit):  new[i]… = stock[i]… + scale[i] · change[i]…
    vectors        NAME.add (32-bit):                         new = stock + add

Each operation is rounded to 32 bits, the product of the scales first; the result to the 16 bits in which the model keeps it.
"""

import argparse
import hashlib
import sys
from pathlib import Path

import numpy as np
from safetensors import safe_open
from safetensors.numpy import save_file

from common import tensors_in

LARGEST = 127


def main():
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("what", choices=("pack", "apply"))
    reader.add_argument("files", nargs="+", type=Path)
    reader.add_argument("--model", type=Path, required=True)
    reader.add_argument("--trained", type=Path)
    reader.add_argument("--mix", type=float)
    reader.add_argument("--name")
    options = reader.parse_args()
    if options.what == "pack":
        pack(options)
    else:
        data = applied(options.model.read_bytes(), options.files[0])
        options.files[1].write_bytes(data)
        print(f"sha1 = \"{hashlib.sha1(data).hexdigest()}\"\nsha256 = \"{hashlib.sha256(data).hexdigest()}\"")


def pack(options):
    trained = np.load(options.trained)
    tensors, generator = {}, np.random.default_rng(909)
    for key in sorted(trained.files):
        if key.endswith(".down"):
            continue
        values = trained[key].astype(np.float64)
        if key.endswith(".up"):
            name = key.removesuffix(".up") + ".weight"
            up, down = balanced(options.mix * values, trained[key.removesuffix("up") + "down"].astype(np.float64), generator)
            tensors[name + ".up"], tensors[name + ".up_scale"] = whole(up)
            turned, tensors[name + ".down_scale"] = whole(down.T)
            tensors[name + ".down"] = np.ascontiguousarray(turned.T)
        elif values.squeeze().ndim > 1:
            tensors[key + ".change"], tensors[key + ".scale"] = whole(options.mix * values)
        else:
            tensors[key + ".add"] = (options.mix * values).astype(np.float32)
    about = {
        "name": options.name,
        "base_sha256": hashlib.sha256(options.model.read_bytes()).hexdigest(),
        "mix": str(options.mix),
        "licence": "MIT, as the weights that it changes",
        "about": "A change to OpenAI's Whisper tiny.en for dictated joint examinations. Trained on synthetic voices only. "
        "See models-readme/adapt/README.md.",
    }
    save_file(tensors, options.files[0], about)
    data = options.files[0].read_bytes()
    print(f"{options.files[0]}: {len(data)} bytes, sha256 {hashlib.sha256(data).hexdigest()}")


def balanced(up, down, generator):
    """The same product from factors of equal size whose columns weigh alike, so that 8 bits lose least."""
    left, first = np.linalg.qr(up)
    right, second = np.linalg.qr(down.T)
    inner_left, sizes, inner_right = np.linalg.svd(first @ second.T)
    turn, _ = np.linalg.qr(generator.standard_normal((len(sizes), len(sizes))))
    root = np.diag(np.sqrt(sizes))
    return left @ inner_left @ root @ turn, turn.T @ root @ inner_right @ right.T


def whole(values):
    """8-bit numbers and a scale for each row."""
    rows = values.reshape(len(values), -1)
    scale = (np.abs(rows).max(1) / LARGEST).astype(np.float32)
    scale[scale == 0] = 1
    numbers = np.rint(rows / scale[:, None]).clip(-LARGEST, LARGEST).astype(np.int8)
    return numbers.reshape(values.shape), scale


def applied(stock, file):
    """The bytes of the stock model with the change."""
    out = bytearray(stock)
    places = tensors_in(stock)
    with safe_open(file, "np") as change:
        keys = set(change.keys())
        if change.metadata()["base_sha256"] != hashlib.sha256(stock).hexdigest():
            sys.exit("the change is for another model")
        for name, (at, shape, kind) in places.items():
            before = np.frombuffer(stock, kind, int(np.prod(shape)), at).astype(np.float32).reshape(shape)
            if f"{name}.up" in keys:
                up, down = (change.get_tensor(f"{name}.{part}").astype(np.float64) for part in ("up", "down"))
                scales = change.get_tensor(f"{name}.up_scale")[:, None] * change.get_tensor(f"{name}.down_scale")[None]
                by = scales * (up @ down).astype(np.float32)
            elif f"{name}.change" in keys:
                numbers = change.get_tensor(f"{name}.change").astype(np.float32)
                by = change.get_tensor(f"{name}.scale").reshape(-1, *[1] * (numbers.ndim - 1)) * numbers
            elif f"{name}.add" in keys:
                by = change.get_tensor(f"{name}.add").reshape(shape)
            else:
                continue
            after = (before + by).astype(kind).tobytes()
            out[at : at + len(after)] = after
    return bytes(out)


if __name__ == "__main__":
    main()
