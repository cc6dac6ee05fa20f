"""Writes mel_librosa.json: the mel filterbank as librosa computes it. Run once with `pip install librosa`.

The digest is over all values as little-endian float32, band after band, with negative zeros made positive.
"""

import hashlib
import json

import librosa
import numpy

cases = []
for bands in (80, 128):
    filters = librosa.filters.mel(sr=16000, n_fft=400, n_mels=bands).astype("<f4")
    filters[filters == 0] = 0.0
    some = [(0, 1), (1, 1), (1, 2), (40, 60), (bands - 1, 190), (bands - 1, 199), (bands - 1, 200)]
    cases.append(
        {
            "bands": bands,
            "sha256": hashlib.sha256(filters.tobytes()).hexdigest(),
            "values": [[band, frequency, float(filters[band, frequency])] for band, frequency in some],
        }
    )
text = json.dumps({"librosa": librosa.__version__, "numpy": numpy.__version__, "cases": cases}, indent=1)
with open("mel_librosa.json", "w", encoding="utf-8") as file:
    file.write(text + "\n")
