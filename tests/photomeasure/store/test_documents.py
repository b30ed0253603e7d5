"""What the documents promise is there."""

import re
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[2]
MODEL = (TESTS.parent / "docs" / "threat-model.md").read_text(encoding="utf-8")
LINES = [line for line in MODEL.splitlines() if line.startswith("| ")][1:]


@pytest.mark.parametrize("line", LINES, ids=lambda line: line.split("|")[1].strip())
def test_every_threat_has_a_test_that_exists(line):
    """A proof that was renamed or removed is found here."""
    proof = line.split("|")[3]
    file, folder = None, TESTS
    found = 0
    for name, test in re.findall(r"`([\w/]+\.py)?(?:::(\w+))?`", proof):
        if name:
            path = name.replace("store/", "photomeasure/store/", 1)
            path = name if name.startswith(("photomeasure", "calibration")) else path
            beside = folder / path.rsplit("/", 1)[-1]
            file = TESTS / path if (TESTS / path).exists() else beside
            folder = file.parent
        assert file is not None
        assert file.exists(), file
        if test:
            assert f"def {test}(" in file.read_text(encoding="utf-8"), test
        found += 1

    assert found
