"""Search for files that crash a reader, guided by what they make it run.

``python -m tests.fuzz TARGET [seconds]`` needs ``atheris`` (not in the test extra: it is
built for few systems). It ends with status 0 if every file was taken or refused in one
sentence; otherwise it prints the error and keeps the file in the working folder.
"""

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import atheris

SLOW_S = 10
MEMORY_MIB = 2048

with atheris.instrument_imports(include=["calibration", "photomeasure"]):
    from tests.fuzz.targets import TARGETS, refused_or_taken, target


def main() -> None:
    """Attack one reader until the time is over."""
    if len(sys.argv) < 2 or sys.argv[1] not in TARGETS:
        raise SystemExit(f"usage: python -m tests.fuzz {{{','.join(TARGETS)}}} [seconds]")
    name, seconds = sys.argv[1], (sys.argv[2:] or ["60"])[0]
    with TemporaryDirectory() as folder:
        attacked = target(name, Path(folder))
        corpus = Path(folder) / "corpus"
        corpus.mkdir()
        for i, seed in enumerate(attacked.seeds):
            (corpus / str(i)).write_bytes(seed)
        limits = [
            f"-max_total_time={seconds}",
            f"-timeout={SLOW_S}",
            f"-rss_limit_mb={MEMORY_MIB}",
        ]
        atheris.Setup(
            [sys.argv[0], *limits, str(corpus)],
            lambda data: refused_or_taken(attacked.take, data),
        )
        atheris.Fuzz()


if __name__ == "__main__":
    main()
