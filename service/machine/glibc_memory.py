"""Lets the C library give large pieces of memory back to the machine.

glibc learns from each large piece that is freed to keep the next ones of its size, in every
thread apart (mallopt(3), "dynamic mmap threshold"). To hash one password takes 19 MiB; after
people signed in through a dozen threads 250 MB were kept for ever, and a small board has 512.
"""

import ctypes

_M_MMAP_THRESHOLD = -3  # malloc.h
LARGE_BYTES = 1024 * 1024


def give_large_pieces_back() -> bool:
    """From now on a piece of 1 MiB or more goes back when it is freed; False: not with this
    C library.
    """
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None)
    return mallopt is not None and mallopt(_M_MMAP_THRESHOLD, LARGE_BYTES) == 1
