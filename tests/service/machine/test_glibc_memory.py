"""What hashing passwords leaves behind in memory."""

import subprocess
import sys

import pytest

from service.machine.glibc_memory import give_large_pieces_back

PIECE_MB = 19  # of one hash, see service/people/passwords.py

HASH_IN_MANY_THREADS = """
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from service.machine.glibc_memory import give_large_pieces_back
from service.people.passwords import password_hash

def resident_mb():
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) // 1024 for line in lines if line.startswith("VmRSS"))

{prepare}
before = resident_mb()
with ThreadPoolExecutor(8) as threads:
    list(threads.map(password_hash, [f"a password of number {{n}}" for n in range(24)]))
    print(resident_mb() - before)
"""


def grown_mb(prepare: str) -> int:
    told = subprocess.run(
        [sys.executable, "-c", HASH_IN_MANY_THREADS.format(prepare=prepare)],
        capture_output=True,
        text=True,
        check=True,
    )
    return int(told.stdout)


def test_signing_in_through_many_threads_keeps_no_memory() -> None:
    if not give_large_pieces_back():
        pytest.skip("this C library has no mallopt")
    assert grown_mb("give_large_pieces_back()") < PIECE_MB
    # Without it: the reason why it is there, and the proof that this test can fail.
    assert grown_mb("") > 2 * PIECE_MB
