"""What lies under the speech, each from a fixed seed: other people, music, a fan with mains hum; and a room's echo."""

import numpy as np

from engines import PEAK, RATE, rms

TALKERS = 8  # in the babble: enough that no single one is followed


def echoed(samples, generator):
    """The speech in a room of plaster and lino: a decaying tail, 0.3 to 0.7 s to −60 dB, 3 to 9 dB under the voice."""
    decay_s = generator.uniform(0.3, 0.7)
    time = np.arange(round(decay_s * RATE)) / RATE
    tail = generator.standard_normal(len(time)) * 10 ** (-3 * time / decay_s)
    tail[: round(0.004 * RATE)] = 0  # the nearest wall is more than half a metre away
    tail *= 10 ** (-generator.uniform(3, 9) / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1
    length = len(samples) + len(tail)
    heard = np.fft.irfft(np.fft.rfft(samples, length) * np.fft.rfft(tail, length), length)[: len(samples)]
    return heard * (rms(samples) / rms(heard))


def babble(count, generator, talk):
    """Several other clips at once, over and over, each from a random place on."""
    sum_of = np.zeros(count)
    for at in generator.choice(len(talk), TALKERS, replace=len(talk) < TALKERS):
        voice = talk[at]().astype(np.float64)
        voice = np.tile(voice, count // len(voice) + 2)
        start = generator.integers(len(voice) - count)
        sum_of += voice[start : start + count]
    return sum_of


def music(count, generator, _talk):
    """Plucked chords of a few partials each, a bass note and a beat: a radio in the next room."""
    time = np.arange(count) / RATE
    out = np.zeros(count)
    beat = round(RATE * generator.uniform(0.35, 0.6))
    root = generator.integers(45, 57)
    for at, start in enumerate(range(0, count, beat)):
        if at % 4 == 0:
            chord = root + generator.choice([0, 5, 7, 9]) + np.array([0, 4, 7])
        length = min(2 * beat, count - start)
        decay = np.exp(-3 * time[:length] / (beat / RATE))
        for key in [*chord, chord[0] - 12, chord[generator.integers(3)] + 12]:
            pitch = 440 * 2 ** ((key - 69) / 12)
            for partial in range(1, 6):
                phase = generator.uniform(0, 2 * np.pi)
                out[start : start + length] += decay * np.sin(2 * np.pi * pitch * partial * time[:length] + phase) / partial**1.3
        hit = min(round(0.05 * RATE), count - start)
        out[start : start + hit] += 1.5 * generator.standard_normal(hit) * np.exp(-np.arange(hit) / 120)
    return out


def hum(count, generator, _talk):
    """A fan: noise that falls off towards high pitch, the beat of its blades, and mains hum with its overtones."""
    spectrum = np.fft.rfft(generator.standard_normal(count))
    pitch = np.fft.rfftfreq(count, 1 / RATE)
    air = np.fft.irfft(spectrum / np.maximum(pitch, 60) ** generator.uniform(0.7, 1.1), count)
    time = np.arange(count) / RATE
    air *= 1 + 0.3 * np.sin(2 * np.pi * generator.uniform(8, 25) * time)
    mains = sum(np.sin(2 * np.pi * 50 * k * time + generator.uniform(0, 6.3)) / k for k in (1, 2, 3, 4, 6))
    return air / rms(air) + 0.6 * mains / rms(mains)


KINDS = {"babble": babble, "music": music, "hum": hum}


def with_noise(samples, spoken, kind, snr_db, generator, talk):
    """`samples` with noise `snr_db` under the speech, whose level is taken where `spoken` says that there is some.

    `talk` are functions that give other clips. What would clip is made quieter as a whole.
    """
    mixed = samples.astype(np.float64)
    if kind == "echo":
        mixed = echoed(samples, generator)
    elif kind != "none":
        under = KINDS[kind](len(samples), generator, talk)
        mixed += under * (rms(samples[spoken]) * 10 ** (-snr_db / 20) / rms(under))
    loudest = np.abs(mixed).max()
    return np.round(mixed * min(1, PEAK / loudest)).astype(np.int16)

