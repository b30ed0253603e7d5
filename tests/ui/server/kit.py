"""Photos, jobs and requests for tests of the server."""

import copy
import io
import json
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).parents[3]
BASE = "http://127.0.0.1:7421"
SIZE = (1200, 900)

ELEVATION = {
    "name": "front",
    "photo": "front.jpg",
    "camera": {"focal_px": 900.0},
    "references": [
        {
            "kind": "rectangle",
            "corners": [[450, 660], [750, 660], [750, 300], [450, 300]],
            "width_mm": 2000,
            "height_mm": 2400,
            "name": "garage door",
        },
        {"kind": "level", "ends": [[90, 840], [1110, 840]]},
        {"kind": "plumb", "ends": [[90, 840], [90, 120]]},
    ],
    "lines": [
        {
            "name": "eaves",
            "role": "eaves",
            "picks": [[90, 120], [1110, 120]],
            "projection_mm": 300,
            "projection_sd_mm": 20,
        }
    ],
}
"""An invented wall, seen nearly straight on."""

HOSTILE = '<img src=x onerror=alert(1)>"${alert(2)}{{3}}'
"""What would run if it ever became markup or a template."""


def jpeg(size=SIZE, colour=(160, 90, 70), quality=90):
    """Return a small picture; other colours are other photos."""
    picture = Image.new("RGB", size, colour)
    for x in range(0, size[0], 60):
        picture.paste((230, 230, 225), (x, 0, x + 4, size[1]))
    stream = io.BytesIO()
    picture.save(stream, "JPEG", quality=quality)
    return stream.getvalue()


def new_job(client, title="invented"):
    """Return the id of a new job."""
    answer = client.post("/jobs", json={"title": title})
    assert answer.status_code == 200, answer.text
    return answer.json()["job"]


def send(client, job, *files):
    """Send photos, pairs of name and content."""
    parts = [("photos", (name, content)) for name, content in files]
    return client.post(f"/work-on/{job}/photos", files=parts)


def opened(client, job):
    """Return what the page is told of a job."""
    answer = client.get(f"/work-on/{job}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def traced(client, title="invented", **changes):
    """Return the id of a job with a photo, references and a line."""
    job = new_job(client, title)
    assert send(client, job, ("front.jpg", jpeg())).status_code == 200
    told = opened(client, job)
    document = {**told["document"], "elevations": [{**elevation(), **changes}]}
    saved = save(client, job, document, told["revision"])
    assert saved.status_code == 200, saved.text
    return job


def save(client, job, document, base, who="tester"):
    """Save a job."""
    return client.put(
        f"/work-on/{job}",
        content=json.dumps({"base": base, "document": document, "who": who}),
        headers={"content-type": "application/json"},
    )


def elevation():
    """Return the invented wall, to be changed."""
    return copy.deepcopy(ELEVATION)
