"""Write the sample job files: what a person with a tape and a mouse would have noted.

Picks are true pixels plus seeded normal scatter of 1 px in x and in y; taped lengths
are true lengths plus seeded scatter, rounded to whole millimetres. Only numpy is
needed: everything is read from the truth files.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np

FOLDER = Path(__file__).resolve().parents[1]
PICK_SIGMA_PX = 1.0
TAPE_SIGMA_MM = 1.5
TAPE_SD_MM = 3.0  # what the person claims
GAUGE_MM, GAUGE_SD_MM = 75.0, 0.5
ALONG_MM, ALONG_SD_MM = 225.0, 1.0
EAVES_PROJECTION_MM = 300.0  # as stated; the truth is in the truth file
RAKE_PROJECTION_MM = 120.0
PROJECTION_SD_MM = 20.0

Entry = dict[str, Any]


class Person:
    """Picks points and reads tapes of one picture with a small, seeded unsteadiness."""

    def __init__(self, picture: str, seed: int) -> None:
        path = FOLDER / f"{picture}.truth.json"
        self.truth: Entry = json.loads(path.read_text(encoding="utf-8"))
        self._rng = np.random.default_rng(seed)

    def pick(self, mark: Entry) -> list[float]:
        """Return the pixel of a true mark as the person picks it."""
        scatter = self._rng.normal(0.0, PICK_SIGMA_PX, 2)
        return [round(float(p + e), 2) for p, e in zip(mark["px"], scatter, strict=True)]

    def picks(self, marks: list[Entry]) -> list[list[float]]:
        """Return the picks of several marks."""
        return [self.pick(m) for m in marks]

    def tape(self, true_mm: float) -> int:
        """Return a taped length in whole millimetres."""
        return round(true_mm + float(self._rng.normal(0.0, TAPE_SIGMA_MM)))

    def line(self, name: str) -> Entry:
        """Return the truth of a named line."""
        return next(e for e in self.truth["lines"] if e["name"] == name)

    def opening(self, name: str) -> Entry:
        """Return the truth of a named opening."""
        return next(e for e in self.truth["openings"] if e["name"] == name)

    def joint_marks(self, counts: list[int]) -> list[Entry]:
        """Return one visible mark on each bed joint, spread across the wall."""
        table = {e["count"]: e["at"] for e in self.truth["bed_joints"]}
        chosen = []
        for i, count in enumerate(counts):
            seen = [m for m in table[count] if m["visible"]]
            # A stride through the places that alternates left, right and middle.
            share = (0.0, 1.0, 0.5, 0.8, 0.2)[i % 5]
            chosen.append(seen[round(share * (len(seen) - 1))])
        return chosen


def courses_up(person: Person, counts: list[int]) -> Entry:
    """Return the reference made by counting bed joints up the wall."""
    return {
        "kind": "courses",
        "name": "bed joints",
        "direction": "up",
        "picks": person.picks(person.joint_marks(counts)),
        "counts": [c - counts[0] for c in counts],
        "format": "uk-metric",
        "gauge_mm": GAUGE_MM,
        "gauge_sd_mm": GAUGE_SD_MM,
    }


def courses_along(person: Person, wanted: dict[int, list[int]]) -> Entry:
    """Return the reference made by counting whole bricks along the wall."""
    table = {e["course"]: e["at"] for e in person.truth["perpends"]}
    marks = [
        mark
        for course, counts in wanted.items()
        for mark in table[course]
        if mark["count"] in counts and mark["visible"]
    ]
    first = min(m["count"] for m in marks)
    return {
        "kind": "courses",
        "name": "perpends",
        "direction": "along",
        "picks": person.picks(marks),
        "counts": [m["count"] - first for m in marks],
        "format": "uk-metric",
        "gauge_mm": ALONG_MM,
        "gauge_sd_mm": ALONG_SD_MM,
    }


def plumb(person: Person, side: str) -> Entry:
    """Return a quoin as a plumb line."""
    points = person.truth["points"]
    ends = [points[f"{side} quoin low"], points[f"{side} quoin high"]]
    return {"kind": "plumb", "name": f"{side} quoin", "ends": person.picks(ends)}


def roofline(person: Person, name: str, role: str, projection_mm: float) -> Entry:
    """Return a traced line with its stated projection."""
    return {
        "name": name,
        "role": role,
        "picks": person.picks(person.line(name)["ends"]),
        "projection_mm": projection_mm,
        "projection_sd_mm": PROJECTION_SD_MM,
    }


def elevation(person: Person, name: str, references: list[Entry]) -> Entry:
    """Return an elevation without lines."""
    return {
        "name": name,
        "photo": person.truth["picture"],
        "pick_sd_px": PICK_SIGMA_PX,
        "references": references,
        "lines": [],
        "soffits": [],
    }


def front() -> Entry:
    """Return the front elevation: courses, perpends, a tape, quoins, eaves, soffit."""
    person = Person("front", 2025)
    marks = person.truth["taped"]
    tape = {
        "kind": "distance",
        "name": "left quoin to door jamb",
        "ends": person.picks(marks),
        "length_mm": person.tape(marks[1]["mm"][0] - marks[0]["mm"][0]),
        "sd_mm": TAPE_SD_MM,
        "direction": "level",
    }
    references = [
        courses_up(person, [2, 10, 20, 30, 35, 40, 45, 55, 60]),
        courses_along(person, {3: [3, 13, 25], 7: [8, 22, 30], 41: [3, 13, 22]}),
        tape,
        plumb(person, "left"),
        plumb(person, "right"),
    ]
    found = elevation(person, "front", references)
    found["lines"] = [roofline(person, "front eaves", "eaves", EAVES_PROJECTION_MM)]
    soffit = {
        "name": "front soffit",
        "wall_edge": person.picks(person.line("front soffit wall edge")["ends"]),
        "outer_edge": person.picks(person.line("front eaves")["ends"]),
        "lines": ["front eaves"],
    }
    found["soffits"] = [soffit]
    return found


def gable() -> Entry:
    """Return the gable: courses, quoins, a level bed joint, two rakes to one apex."""
    person = Person("gable", 2026)
    table = {e["count"]: e["at"] for e in person.truth["bed_joints"]}
    bed = [m for m in table[30] if m["visible"]]
    level = {
        "kind": "level",
        "name": "bed joint 30",
        "ends": person.picks([bed[0], bed[-1]]),
    }
    references = [
        courses_up(person, [1, 11, 21, 31, 41, 51, 61, 71, 81]),
        plumb(person, "left"),
        plumb(person, "right"),
        level,
    ]
    found = elevation(person, "gable", references)
    lines = [
        roofline(person, name, "rake", RAKE_PROJECTION_MM)
        for name in ("front rake", "back rake")
    ]
    lines[1]["picks"][1] = lines[0]["picks"][1]  # one apex, picked once
    found["lines"] = lines
    return found


def messenger() -> Entry:
    """Return the small copy without EXIF: the door, courses and the same eaves."""
    person = Person("front-messenger", 2027)
    door = person.opening("front door")
    rectangle = {
        "kind": "rectangle",
        "name": "front door opening",
        "corners": person.picks(door["corners"]),
        "width_mm": person.tape(door["width_mm"]),
        "height_mm": person.tape(door["height_mm"]),
        "sd_mm": TAPE_SD_MM,
    }
    references = [rectangle, courses_up(person, [2, 12, 30, 40, 45, 55, 60])]
    found = elevation(person, "front messenger", references)
    found["lines"] = [roofline(person, "front eaves", "eaves", EAVES_PROJECTION_MM)]
    return found


def takeoff() -> Entry:
    """Return what the owner and a look from a window told: all of it invented.

    The gutter hides the fascia's upper edge, so its depth was read off a rule, to 5 mm
    as one does; truth is 222 mm, 165 mm at the barge boards, 4,985 mm to the soffit.
    """
    return {
        "year_built": 1987,
        "soffit_look": "timber",
        "roof": {
            "fascia_depth_mm": 220,
            "barge_depth_mm": 165,
            "rafter_centres_mm": 600,
            "eaves_height_mm": 4980,
            "ceiling": "normal",
            "underlay": "high resistance",
        },
        "verge": "mortar",
        "fitting_temperature_c": 12,
        "lines": [{"name": "front eaves", "start": "box end", "end": "box end"}],
        "ventilation": {
            "regulation": "BS 5250",
            "form": "duopitch",
            "eaves": [{"kind": "over-fascia strip", "free_mm2_per_m": 10_000}],
            "high": [],
            "trays": True,
        },
        "rainwater": {
            "work": "take down and refit",
            "gutter": {"half_round_mm": 115},
            "outlet_mm": 63,
            "lines": [{"name": "front eaves", "outlets": ["left end"]}],
        },
    }


def job(title: str, elevations: list[Entry], **more: Entry) -> Entry:
    """Return a job file's content."""
    return {"photomeasure_job": 1, "title": title, "elevations": elevations, **more}


def all_jobs() -> dict[str, Entry]:
    """Return the content of every job file by its stem."""
    pictures = [front(), gable(), messenger()]
    return {
        "house": job("Invented demo house", pictures, takeoff=takeoff()),
        "messenger": job("Invented demo house, messenger copy only", [messenger()]),
    }


def main() -> None:
    """Write the job files next to the pictures."""
    for name, content in all_jobs().items():
        text = json.dumps(content, indent=1) + "\n"
        (FOLDER / f"{name}.job.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
