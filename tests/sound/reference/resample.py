"""Makes the reference that the resampler is checked against: the same mix of sines, resampled by
scipy.signal.resample_poly with a long Kaiser filter. Made once with scipy 1.17.1 and numpy 2.4.6:

    python3 resample.py

Each file holds the 16 kHz output as little-endian 32-bit floats.
"""

from math import gcd
from pathlib import Path

import numpy as np
from scipy.signal import firwin, resample_poly

SINES = [(0.031, 0.3), (0.127, 1.1), (0.31, 2.0), (0.52, 0.7), (0.8, 2.9)]
OUT = 16_000

for rate in (8_000, 22_050, 44_100, 48_000, 96_000):
    top = min(rate, OUT) / 2
    t = np.arange(int(0.25 * rate)) / rate
    mix = sum(0.15 * np.sin(2 * np.pi * part * top * t + phase) for part, phase in SINES)
    up, down = OUT // gcd(OUT, rate), rate // gcd(OUT, rate)
    half = 60 * max(up, down)
    taps = firwin(2 * half + 1, 0.95 / max(up, down), window=("kaiser", 12))
    out = resample_poly(mix, up, down, window=taps)
    out.astype("<f4").tofile(Path(__file__).with_name(f"from_{rate}.f32"))
