"""Chance that can be looked up: the same seed and numbers always give the same draw.

A running generator would make a message depend on those before it; here any stretch of a
feed can be made on its own and has the same bytes.

Source: the mixing steps of SplitMix64: Steele, G. L., Lea, D. and Flood, C. H. (2014), Fast
splittable pseudorandom number generators, OOPSLA (constants from memory).
"""

from zlib import crc32

_MASK = (1 << 64) - 1


def _mixed(seed: int, stream: int, index: int) -> int:
    x = (
        seed * 0x9E3779B97F4A7C15 + stream * 0xD1B54A32D192ED03 + index * 0x8CB92BA72F3D8DD7
    ) & _MASK
    x = ((x ^ (x >> 30)) * 0xBF58476D1CE4E5B9) & _MASK
    x = ((x ^ (x >> 27)) * 0x94D049BB133111EB) & _MASK
    return x ^ (x >> 31)


def stream_of(name: str) -> int:
    """A number for a name, the same in every process."""
    return crc32(name.encode())


def uniform(seed: int, stream: int, index: int) -> float:
    """A draw from [0, 1)."""
    return _mixed(seed, stream, index) / (_MASK + 1)


def bell(seed: int, stream: int, index: int) -> float:
    """A draw with mean 0 and standard deviation 1, never beyond 3.5: four uniform ones added."""
    x = _mixed(seed, stream, index)
    total = (x & 0xFFFF) + (x >> 16 & 0xFFFF) + (x >> 32 & 0xFFFF) + (x >> 48)
    return (total / 65536 - 2.0) * 1.7320508
