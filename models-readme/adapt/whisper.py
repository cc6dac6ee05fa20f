"""A Whisper model in PyTorch, with the weights of a ggml file, and with a low-rank change if that is wanted."""

import math
import struct

import numpy as np
import torch
import torch.nn.functional as F
from torch import nn

from common import Tokens, tensors_in

HEAD = 64  # columns a head, in every Whisper model


def read_ggml(file):
    """The sizes, the mel filters and the tensors of a 16-bit ggml model, as float32."""
    data = open(file, "rb").read()
    sizes = struct.unpack_from("<10I", data, 4)
    bands, frequencies = struct.unpack_from("<2I", data, 48)
    filters = np.frombuffer(data, "<f4", bands * frequencies, 56).reshape(bands, frequencies)
    tensors = {
        name: np.frombuffer(data, kind, math.prod(shape), at).astype(np.float32).reshape(shape)
        for name, (at, shape, kind) in tensors_in(data).items()
    }
    return sizes, filters, tensors


class Linear(nn.Linear):
    """A linear layer that may carry a low-rank change: its weight is W + up · down."""

    def lower(self, rank):
        self.weight.requires_grad_(False)
        self.down = nn.Parameter(torch.empty(rank, self.in_features))
        nn.init.uniform_(self.down, -(self.in_features**-0.5), self.in_features**-0.5)
        self.up = nn.Parameter(torch.zeros(self.out_features, rank))

    def forward(self, x):
        weight = self.weight + self.up @ self.down if hasattr(self, "up") else self.weight
        return F.linear(x, weight, self.bias)


class Attention(nn.Module):
    def __init__(self, width):
        super().__init__()
        self.query, self.key = Linear(width, width), Linear(width, width, bias=False)
        self.value, self.out = Linear(width, width), Linear(width, width)

    def forward(self, x, of=None, causal=False):
        of = x if of is None else of
        heads = lambda y: y.unflatten(-1, (-1, HEAD)).transpose(1, 2)  # noqa: E731
        y = F.scaled_dot_product_attention(heads(self.query(x)), heads(self.key(of)), heads(self.value(of)), is_causal=causal)
        return self.out(y.transpose(1, 2).flatten(2))


class Block(nn.Module):
    def __init__(self, width, cross):
        super().__init__()
        self.attn, self.attn_ln = Attention(width), nn.LayerNorm(width)
        if cross:
            self.cross_attn, self.cross_attn_ln = Attention(width), nn.LayerNorm(width)
        self.mlp = nn.Sequential(Linear(width, 4 * width), nn.GELU(), Linear(4 * width, width))
        self.mlp_ln = nn.LayerNorm(width)

    def forward(self, x, heard=None):
        x = x + self.attn(self.attn_ln(x), causal=heard is not None)
        if heard is not None:
            x = x + self.cross_attn(self.cross_attn_ln(x), heard)
        return x + self.mlp(self.mlp_ln(x))


class Encoder(nn.Module):
    def __init__(self, sizes):
        super().__init__()
        _, places, width, _, layers, _, _, _, _, bands = sizes
        self.conv1, self.conv2 = nn.Conv1d(bands, width, 3, padding=1), nn.Conv1d(width, width, 3, stride=2, padding=1)
        self.positional_embedding = nn.Parameter(torch.zeros(places, width), requires_grad=False)
        self.blocks = nn.ModuleList(Block(width, False) for _ in range(layers))
        self.ln_post = nn.LayerNorm(width)

    def forward(self, mel):
        x = F.gelu(self.conv2(F.gelu(self.conv1(mel)))).transpose(1, 2)
        x = x + self.positional_embedding[: x.shape[1]]
        for block in self.blocks:
            x = block(x)
        return self.ln_post(x)


class Decoder(nn.Module):
    def __init__(self, sizes):
        super().__init__()
        tokens, _, _, _, _, length, width, _, layers, _ = sizes
        self.token_embedding = nn.Embedding(tokens, width)
        self.token_embedding.weight.requires_grad_(False)
        self.positional_embedding = nn.Parameter(torch.zeros(length, width), requires_grad=False)
        self.blocks = nn.ModuleList(Block(width, True) for _ in range(layers))
        self.ln = nn.LayerNorm(width)

    def forward(self, tokens, heard):
        x = self.token_embedding(tokens) + self.positional_embedding[: tokens.shape[1]]
        for block in self.blocks:
            x = block(x, heard)
        return self.ln(x) @ self.token_embedding.weight.T


class Whisper(nn.Module):
    def __init__(self, sizes, tensors, rank=None):
        """All weights are trained but the tokens and the places; with `rank` only a change of that rank of every matrix, and
        convolutions, norms and biases as they are."""
        super().__init__()
        self.encoder, self.decoder = Encoder(sizes), Decoder(sizes)
        own = self.state_dict()
        self.load_state_dict({name: torch.from_numpy(values.copy()).reshape(own[name].shape) for name, values in tensors.items()})
        for part in self.modules() if rank else ():
            if isinstance(part, Linear):
                part.lower(rank)

    @torch.no_grad()
    def write(self, mel, most=60):
        """What it writes, always the likeliest next token: lists of tokens without the end."""
        heard = self.encoder(mel)
        tokens = torch.tensor([[Tokens.START, Tokens.NO_TIMES]], device=mel.device).repeat(len(mel), 1)
        ended = torch.zeros(len(mel), dtype=torch.bool, device=mel.device)
        for _ in range(most):
            scores = self.decoder(tokens, heard)[:, -1]
            scores[:, Tokens.END + 1 :] = -torch.inf
            following = torch.where(ended, Tokens.END, scores.argmax(-1))
            tokens = torch.cat([tokens, following[:, None]], 1)
            ended |= following == Tokens.END
            if ended.all():
                break
        return [[token for token in one if token < Tokens.END] for one in tokens[:, 2:].tolist()]
