"""Outputs kept as files, and compared word for word.

``REWRITE_GOLDEN=1 pytest tests/photomeasure`` writes them anew; look at the difference
before committing it.
"""

import os
from pathlib import Path

GOLDEN = Path(__file__).parent / "golden"


def same_as_golden(name: str, text: str) -> bool:
    """Return whether a text is the kept one, or keep it if told to."""
    path = GOLDEN / name
    if os.environ.get("REWRITE_GOLDEN"):
        path.write_text(text, encoding="utf-8")
    return path.read_text(encoding="utf-8") == text
