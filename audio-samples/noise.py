"""Room noise from a fixed seed: the rumble of a ventilated room with a little hiss above it."""

import array
import random
import re

from speech import rms

NOISE = re.compile(r"room noise, (\d+) dB")


def with_noise(samples, noise, level, seed):
    """`samples` with the noise that `noise` describes ("none" or "room noise, 20 dB").

    The decibels say how far the noise lies under speech whose root mean square is `level`.
    """
    if noise == "none":
        return samples
    match = NOISE.fullmatch(noise)
    if not match:
        raise ValueError(f"no such noise: {noise}")
    room = room_noise(len(samples), seed)
    gain = level * 10 ** (-int(match[1]) / 20) / rms(room)
    return array.array("h", (limited(round(speech + gain * hum)) for speech, hum in zip(samples, room)))


def room_noise(count, seed):
    """White noise through a leaky sum (brown noise, which falls off at 6 dB an octave), and a tenth of hiss.

    Only additions and multiplications, so that every machine gets the same samples.
    """
    white = random.Random(seed)
    brown = 0.0
    room = []
    for _ in range(count):
        step = white.random() - 0.5
        brown = 0.98 * brown + step
        room.append(brown + 0.3 * step)
    return room


def limited(sample):
    """The nearest value that 16 bits can hold."""
    return max(-32_768, min(32_767, sample))
