#!/usr/bin/python3
"""Makes the samples of this folder with programs that are not ours.

python3 make.py writes them here. Needs scipy (Debian: python3-scipy); the
24-bit file is written by Python's own module wave. The numbers are invented: a
pattern that visits the whole range, which decode_test.go has again in Go.
"""

import os
import wave

import numpy as np
from scipy.io import wavfile

here = os.path.dirname(os.path.abspath(__file__))
n = 64
i = np.arange(n, dtype=np.int64)


def path(name):
    return os.path.join(here, name)


def pattern(bits, shift=0):
    """A pattern of whole numbers from -2^(bits-1) to 2^(bits-1)-1."""
    return (i * 2654435761 + shift * 40503) % (1 << bits) - (1 << (bits - 1))


rate = 4800
wavfile.write(path("pcm8.wav"), rate, (pattern(8) + 128).astype(np.uint8))
wavfile.write(path("pcm16.wav"), rate, pattern(16).astype(np.int16))
wavfile.write(path("pcm32.wav"), rate, pattern(32).astype(np.int32))
wavfile.write(path("float32.wav"), rate, (pattern(24) / 2.0**23).astype(np.float32))
wavfile.write(path("float64.wav"), rate, pattern(32) / 2.0**31)
wavfile.write(path("stereo.wav"), 48000, np.stack([pattern(16), pattern(16, 1)], axis=1).astype(np.int16))

with wave.open(path("pcm24.wav"), "wb") as w:
    w.setnchannels(1)
    w.setsampwidth(3)
    w.setframerate(44100)
    w.writeframes(b"".join(int(v).to_bytes(3, "little", signed=True) for v in pattern(24)))
