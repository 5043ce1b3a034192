"""Fuzzing led by coverage, run by hand: ``python tests/fuzz/by_hand.py season_yaml 120``, or ``all``.

With `atheris <https://pypi.org/project/atheris/>`_ (``pip install atheris``; Linux, Python 3.11 to 3.13) it
goes where new code is reached; without it, hypothesis mutates the files of ``corpus/`` at random. What an
input breaks is written beside the corpus as ``crash-…``; once mended, the smallest such input goes into
``corpus/READER/``, where ``test_hostile_files.py`` tries it for ever.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
CORPUS = HERE / "corpus"
LARGEST = 4096  # bytes of one input
HANG = 10  # seconds


def fuzz(reader: str, seconds: int) -> None:
    """Never returns: the fuzzer ends the process, with 77 where it found something."""
    import atheris

    with atheris.instrument_imports(include=["planner"]):
        from hostile_readers import READERS
    found = tempfile.mkdtemp(prefix=f"{reader}-")  # new inputs; the corpus kept here stays small
    arguments = [
        found, str(CORPUS / reader), f"-max_total_time={seconds}", f"-max_len={LARGEST}", f"-timeout={HANG}",
        f"-artifact_prefix={HERE}/crash-{reader}-", "-rss_limit_mb=1500", "-verbosity=0",
        "-print_final_stats=1",
    ]  # fmt: skip
    atheris.Setup([sys.argv[0], *arguments], READERS[reader])
    atheris.Fuzz()


def mutate(reader: str, seconds: int) -> None:
    """The same without atheris, blind."""
    from hostile_mutations import mutated
    from hostile_readers import READERS

    files = [p.read_bytes() for p in sorted((CORPUS / reader).iterdir())]
    chance, tried, end = random.Random(0), 0, time.monotonic() + seconds
    while time.monotonic() < end:
        data = mutated(files, chance)
        (HERE / f"crash-{reader}").write_bytes(data)
        READERS[reader](data)
        tried += 1
    (HERE / f"crash-{reader}").unlink()
    print(f"{reader}: {tried} inputs, nothing found")


def main() -> None:
    """One reader in this process, or each in one of its own."""
    reader, seconds = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 60
    if reader == "all":
        names = sorted(p.name for p in CORPUS.iterdir())
        codes = [subprocess.run([sys.executable, __file__, n, str(seconds)]).returncode for n in names]
        sys.exit(any(codes))
    try:
        import atheris  # noqa: F401
    except ImportError:
        mutate(reader, seconds)
    else:
        os.nice(10)
        fuzz(reader, seconds)


if __name__ == "__main__":
    main()
