"""Clips as a microphone in a treatment room would have them, a whole batch at once on the GPU, and their mel spectra."""

import math

import torch

RATE, HOP, POINTS = 16_000, 160, 400


class Room:
    """Everything that may happen to a clip on its way. All chances come from one generator, so that a seed fixes them."""

    def __init__(self, voices, noise, filters, seed, device):
        """`voices`: all clips one after the other, 16-bit; `noise`: pieces of music and fans, each of mean square 1."""
        self.voices, self.noise, self.device = voices, noise, device
        self.filters = torch.tensor(filters, device=device)
        self.window = torch.hann_window(POINTS, device=device)
        self.chance = torch.Generator(device=device).manual_seed(seed)

    def random(self, *shape):
        return torch.rand(*shape, generator=self.chance, device=self.device)

    def between(self, low, high, *shape):
        return low + (high - low) * self.random(*shape)

    def normal(self, *shape):
        return torch.randn(*shape, generator=self.chance, device=self.device)

    def clips(self, starts, lengths, lead, total):
        """Clips of `voices` with `lead` samples of silence before and silence after, `total` long."""
        at = torch.arange(total, device=self.device)[None] - lead[:, None]
        inside = (at >= 0) & (at < lengths[:, None])
        return torch.where(inside, self.voices[(starts[:, None] + at.clamp(min=0)).clamp(max=len(self.voices) - 1)].float() / 32768, 0.0)

    def plain(self, starts, lengths):
        """Clips as they were spoken, and how long they are with their silence, in samples."""
        lead = torch.full_like(lengths, int(0.3 * RATE))
        whole = lengths + int(0.6 * RATE)
        return self.clips(starts, lengths, lead, int(whole.max())), whole

    def worn(self, starts, lengths, others, noise_only):
        """Clips in a room, with noise, through a microphone. `others` are starts of other clips to babble with."""
        count = len(starts)
        lead = (self.between(0.02, 0.5, count) * RATE).long()
        whole = lengths + lead + (self.between(0.1, 0.8, count) * RATE).long()
        # Lengths with small factors only: the Fourier transforms are ten times as fast, and few plans are kept.
        total = -(-int(whole.max()) // 8000) * 8000
        x = self.clips(starts, lengths, lead, total)
        level = (x.square().sum(1) / lengths).sqrt().clamp(min=1e-4)
        x = torch.where((self.random(count) < 0.4)[:, None], self.echoed(x), x)
        x = x * (level / (x.square().sum(1) / lengths).sqrt().clamp(min=1e-4))[:, None]
        x = torch.where(noise_only[:, None], 0.0, x)
        # Half of the clips have noise that hinders, most others some hiss.
        snr = torch.where(self.random(count) < 0.55, self.between(2, 22, count), self.between(22, 45, count))
        under = self.under(count, total, others)
        x = x + under * (level * 10 ** (-snr / 20))[:, None]
        hiss = self.normal(count, total) * (level * 10 ** (-self.between(30, 60, count) / 20))[:, None]
        x = torch.where((self.random(count) < 0.7)[:, None], self.coloured(x + hiss), x + hiss)
        x = x * (10 ** (self.between(-30, -2, count) / 20) / x.abs().amax(1).clamp(min=1e-4))[:, None]
        inside = torch.arange(total, device=self.device)[None] < whole[:, None]
        return torch.where(inside, x, 0.0), whole

    def under(self, count, total, others):
        """Noise of mean square 1: voices, music and fans, hiss of any colour, or nothing."""
        kind = self.random(count)
        talkers = torch.randint(2, 9, (count,), generator=self.chance, device=self.device)
        at = torch.arange(total, device=self.device)[None]
        babble = torch.zeros(count, total, device=self.device)
        for talker in range(8):
            start = others[torch.randint(len(others), (count,), generator=self.chance, device=self.device)]
            voice = self.voices[(start[:, None] + at) % len(self.voices)].float() / 32768
            babble += voice * (self.between(0.5, 1.0, count) * (talker < talkers))[:, None]
        piece = torch.randint(len(self.noise), (count,), generator=self.chance, device=self.device)
        from_ = (self.random(count) * self.noise.shape[1]).long()
        played = self.noise[piece[:, None], (from_[:, None] + at) % self.noise.shape[1]].float()
        spectrum = torch.fft.rfft(self.normal(count, total))
        pitch = torch.linspace(0, 1, spectrum.shape[1], device=self.device).clamp(min=1e-3)
        hiss = torch.fft.irfft(spectrum * pitch[None] ** -self.between(0, 1.2, count)[:, None], total)
        one = torch.where((kind < 0.45)[:, None], babble, torch.where((kind < 0.75)[:, None], played, hiss))
        return one / one.square().mean(1, keepdim=True).sqrt().clamp(min=1e-6)

    def echoed(self, x):
        """In a room: a decaying tail of 0.1 to 0.6 s to −60 dB."""
        count, total = x.shape
        length = int(0.6 * RATE)
        time = torch.arange(length, device=self.device)[None] / RATE
        tail = self.normal(count, length) * 10 ** (-3 * time / self.between(0.1, 0.6, count)[:, None])
        tail[:, :64] = 0
        tail = tail / tail.norm(dim=1, keepdim=True) * 10 ** (-self.between(0, 12, count) / 20)[:, None]
        tail[:, 0] = 1
        points = -(-(total + length) // 8000) * 8000
        return torch.fft.irfft(torch.fft.rfft(x, points) * torch.fft.rfft(tail, points), points)[:, :total]

    def coloured(self, x):
        """Through a microphone: a bent frequency response, and often a telephone's or a cheap headset's limits."""
        count, total = x.shape
        spectrum = torch.fft.rfft(x)
        bend = self.normal(count, 1, 8) * 4
        gain = torch.nn.functional.interpolate(bend, spectrum.shape[1], mode="linear", align_corners=True)[:, 0]
        pitch = torch.linspace(0, RATE / 2, spectrum.shape[1], device=self.device)[None]
        low = torch.where(self.random(count) < 0.5, self.between(40, 350, count), 20.0)[:, None]
        high = torch.where(self.random(count) < 0.4, self.between(3200, 7500, count), 9000.0)[:, None]
        gain = gain - 12 * (low / pitch.clamp(min=1)).log2().clamp(0, 5) - 24 * (pitch / high).clamp(min=1e-3).log2().clamp(0, 3)
        return torch.fft.irfft(spectrum * 10 ** (gain / 20), total)

    def mel(self, x, places, warp=False):
        """The spectra that Whisper sees, for so many places of 20 ms, silence after the clip. With `warp` each as if from another
        vocal tract: its frequencies stretched or squeezed by up to 12 %."""
        frames = 2 * places
        x = torch.nn.functional.pad(x, (0, max(0, frames * HOP - x.shape[1])))[:, : frames * HOP]
        power = torch.stft(x, POINTS, HOP, window=self.window, return_complex=True)[..., :frames].abs().square()
        if warp:
            bins = power.shape[1]
            by = torch.where(self.random(len(x)) < 0.6, self.between(0.88, 1.12, len(x)), 1.0)
            at = (torch.arange(bins, device=self.device)[None] * by[:, None]).clamp(max=bins - 1.001)
            below = at.long()
            part = (at - below)[..., None]
            pick = lambda index: power.gather(1, index[..., None].expand(-1, -1, frames))  # noqa: E731
            power = pick(below) * (1 - part) + pick(below + 1) * part
        bands = (self.filters @ power).clamp(min=1e-10).log10()
        bands = torch.maximum(bands, bands.amax((1, 2), keepdim=True) - 8)
        return (bands + 4) / 4


def places(samples):
    """How many places of 20 ms so many samples take."""
    return math.ceil(samples / RATE * 50)
