"""Imports point one way, and commands start without what they do not need."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

HEAVY = (
    *("gradio", "skimage", "cv2", "PIL", "pillow_heif", "matplotlib", "pandas"),
    *("reportlab", "openpyxl", "ezdxf"),
)
"""What takes long to import and no command needs before it is running."""

HEAVY_AT_HELP = (*HEAVY, "numpy", "scipy", "pydantic")
"""What the command line does not even need to print its help."""


LIST_MODULES = """
import json, sys
print(json.dumps(sorted({name.split(".")[0] for name in sys.modules})))
"""

CHECK_CONTRACTS = """
from importlinter.cli import lint_imports_command
lint_imports_command()
"""

MUTED = """
import contextlib, io
from photomeasure.cli import main
with contextlib.redirect_stdout(io.StringIO()):
    assert main({arguments!r}) == 0
"""


def run(program: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run a program by this interpreter, from the repository alone."""
    return subprocess.run(  # noqa: S603
        [sys.executable, "-c", program, *arguments],
        cwd=ROOT,
        env={"PYTHONPATH": str(ROOT), "PATH": ""},
        capture_output=True,
        text=True,
        check=False,
    )


def imported(program: str) -> set[str]:
    """Return the top-level packages that a program has imported when it ends."""
    done = run(program + LIST_MODULES)
    assert done.returncode == 0, done.stderr
    return set(json.loads(done.stdout.splitlines()[-1]))


def test_import_contracts_hold():
    """Imports run ui, photomeasure, calibration; no front end or storage where barred."""
    done = run(CHECK_CONTRACTS, "--no-cache")

    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_command_line_imports_nothing_heavy():
    """Loading the command line brings in none of the slow packages, nor numpy."""
    found = imported("import photomeasure.cli\n")

    assert "photomeasure" in found
    assert found.isdisjoint(HEAVY_AT_HELP)


@pytest.mark.parametrize("command", ["formats", "schema"])
def test_short_commands_stay_light(command):
    """Listing formats and printing the schema decode no picture and draw nothing."""
    found = imported(MUTED.format(arguments=[command]))

    assert found.isdisjoint(HEAVY)


JOB = {
    "photomeasure_job": 1,
    "title": "invented",
    "elevations": [
        {
            "name": "front",
            "camera": {"size_px": [4000, 3000], "focal_px": 3000.0},
            "references": [
                {
                    "kind": "rectangle",
                    "corners": [[1500, 2200], [2500, 2200], [2500, 1000], [1500, 1000]],
                    "width_mm": 2000,
                    "height_mm": 2400,
                    "name": "garage door",
                },
                {"kind": "level", "ends": [[300, 2800], [3700, 2800]]},
                {"kind": "plumb", "ends": [[300, 2800], [300, 400]]},
            ],
            "lines": [
                {
                    "name": "eaves",
                    "role": "eaves",
                    "picks": [[300, 400], [3700, 400]],
                    "projection_mm": 300,
                    "projection_sd_mm": 20,
                }
            ],
        }
    ],
}


def test_measuring_a_job_without_a_photo_decodes_no_picture(tmp_path):
    """A job that states its picture's size is measured without an image library."""
    path = tmp_path / "job.json"
    path.write_text(json.dumps(JOB), encoding="utf-8")
    found = imported(MUTED.format(arguments=["measure", str(path)]))

    assert "numpy" in found
    assert found.isdisjoint(HEAVY)


def test_the_calibration_package_knows_no_picture_library_until_asked():
    """Camera, network and solution are numbers: importing them decodes nothing."""
    found = imported("import calibration.solution, calibration.references\n")

    assert found.isdisjoint({*HEAVY, "photomeasure", "ui"})
