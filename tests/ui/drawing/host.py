"""A small host that answers the drawing module's routes, for tests and for looking.

It measures with the real code and keeps its jobs in memory; ``python -m
tests.ui.drawing.host`` serves the sample house.
"""

import io
import json
import tomllib
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response
from fastapi.staticfiles import StaticFiles
from PIL import Image

from calibration.brick_formats import FORMATS
from calibration.errors import MeasureError
from photomeasure.job.build import build_elevation
from photomeasure.job.schema import ElevationSpec
from photomeasure.measure import measure_elevation
from photomeasure.results import MeasuredElevation, MeasuredLine, interval95, single

ROOT: Final = Path(__file__).parents[3]
TILE_PX: Final = 512
TEXTS: Final = tomllib.loads((ROOT / "ui/drawing/texts.en.toml").read_text("utf-8"))[
    "drawing"
]

PAGE: Final = """<!doctype html><html lang="en"><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Drawing</title><style>body {{ margin: 0; font-family: system-ui }}</style>
<body class="{body}"><div id="drawing"></div><script type="module">
import {{ mount }} from "/drawing/mount.mjs";
const options = await (await fetch("/options")).json();
Object.assign(options, Object.fromEntries(new URL(location.href).searchParams));
options.onCommit = (revision) => {{ window.revision = revision; }};
window.mounted = await mount(document.getElementById("drawing"), options);
</script></body></html>"""


@dataclass
class Kept:
    """One job and the pictures of its elevations by name."""

    document: dict[str, Any]
    pictures: dict[str, Image.Image]
    folder: Path
    revision: int = 1
    read: dict[str, Any] = field(
        default_factory=lambda: {
            "references": [],
            "proposals": [],
            "questions": [],
            "notes": [],
        }
    )
    snap: dict[str, Any] = field(default_factory=lambda: {"candidates": [], "clear": False})
    refuse_saves: bool = False
    asked: list[dict[str, Any]] = field(default_factory=list)
    preview_px: int = 4032
    encoded: dict[str, bytes] = field(default_factory=dict)

    def preview_size(self, name: str) -> tuple[int, int]:
        """Return the size of the preview of an elevation's picture."""
        width, height = self.pictures[name].size
        share = min(1.0, self.preview_px / max(width, height))
        return round(width * share), round(height * share)

    def preview(self, name: str) -> Image.Image:
        """Return the preview of an elevation's picture."""
        picture, size = self.pictures[name], self.preview_size(name)
        return (
            picture if size == picture.size else picture.resize(size, Image.Resampling.BOX)
        )


def as_jpeg(picture: Image.Image, quality: int = 90) -> bytes:
    """Return a picture as a JPEG file."""
    buffer = io.BytesIO()
    picture.convert("RGB").save(buffer, "JPEG", quality=quality, subsampling=0)
    return buffer.getvalue()


def said(value: float, u: float) -> str:
    """Return a length in metres with the half-width of its interval."""
    low, high = interval95(value, u)
    return f"{value / 1000:.3f} m ± {(high - low) / 2:.0f} mm"


def _line(line: Any) -> dict[str, Any]:
    row = {"name": line.name, "role": str(line.role)}
    if not isinstance(line, MeasuredLine):
        return {**row, "refused": line.reason}
    return {
        **row,
        "length_mm": line.length_mm,
        "u_mm": line.u_mm,
        "interval95_mm": interval95(line.length_mm, line.u_mm),
        "said": said(line.length_mm, line.u_mm),
    }


def answer(seq: int, found: MeasuredElevation, spec: ElevationSpec) -> dict[str, Any]:
    """Return a measured elevation in the measure route's form."""
    longest = max(found.measured, key=lambda line: line.length_mm, default=None)
    text = (
        "The wall's size is known."
        if longest is None
        else (f"{longest.name}: {said(longest.length_mm, longest.u_mm)}.")
    )
    best = found.next_reference
    return {
        "seq": seq,
        "ok": True,
        "lines": [_line(line) for line in found.lines],
        "soffits": [
            {"name": s.name, "said": f"{said(*single(s.overhang))} wide"}
            for s in found.soffits
        ],
        "cautions": list(found.cautions),
        "scale": {"said": text, "best_next": best.what if best else None},
        "references": [
            {"index": i, "name": r.name or r.kind, "suspect": False, "said": r.kind}
            for i, r in enumerate(spec.references)
        ],
    }


def measured(elevation: dict[str, Any], folder: Path) -> MeasuredElevation:
    """Measure an elevation of the job file's form."""
    return measure_elevation(
        build_elevation(ElevationSpec.model_validate(elevation), folder)
    )


def make_host(jobs: dict[str, Kept], body: str = "") -> FastAPI:  # noqa: C901
    """Return an app that serves some jobs, the module and a bare page."""
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    app.mount("/drawing", StaticFiles(directory=ROOT / "ui" / "drawing"))

    @app.get("/")
    def page() -> HTMLResponse:
        return HTMLResponse(PAGE.format(body=body))

    @app.get("/options")
    def options() -> dict[str, Any]:
        formats = [
            {"name": f.name, "said": f"{f.name}, {f.country}"} for f in FORMATS.values()
        ]
        return {"texts": TEXTS, "formats": formats, "job": next(iter(jobs))}

    @app.get("/work-on/{job}")
    def opened(job: str) -> dict[str, Any]:
        kept = jobs[job]
        return {
            "title": kept.document.get("title", ""),
            "revision": kept.revision,
            "document": kept.document,
            "elevations": [
                {"name": e["name"], "photo": _photo(job, kept, e["name"])}
                for e in kept.document["elevations"]
            ],
        }

    @app.put("/work-on/{job}")
    async def save(job: str, request: Request) -> Response:
        kept, body = jobs[job], await request.json()
        if kept.refuse_saves:
            return JSONResponse({"message": "The disk is full."}, 507)
        if body["base"] != kept.revision:
            message = f"Someone else saved revision {kept.revision} meanwhile."
            return JSONResponse({"message": message, "revision": kept.revision}, 409)
        kept.document, kept.revision = body["document"], kept.revision + 1
        return JSONResponse({"revision": kept.revision, "result": None})

    @app.post("/work-on/{job}/measure")
    def measure(job: str, body: dict[str, Any]) -> dict[str, Any]:
        jobs[job].asked.append(body)
        try:
            found = measured(body["elevation"], jobs[job].folder)
        except (MeasureError, ValueError) as error:
            return {"seq": body["seq"], "ok": False, "message": str(error)}
        spec = ElevationSpec.model_validate(body["elevation"])
        return answer(body["seq"], found, spec)

    @app.post("/work-on/{job}/snap")
    def snap(job: str, body: dict[str, Any]) -> dict[str, Any]:
        return {"seq": body["seq"], **jobs[job].snap}

    @app.post("/work-on/{job}/read")
    def read(job: str) -> dict[str, Any]:
        return jobs[job].read

    @app.get("/pictures/{job}/{name}/preview.jpg")
    def preview(job: str, name: str) -> Response:
        kept = jobs[job]
        if name not in kept.encoded:
            kept.encoded[name] = as_jpeg(kept.preview(name))
        return Response(kept.encoded[name], media_type="image/jpeg")

    @app.get("/pictures/{job}/{name}/{level}/{column}/{row}.jpg")
    def tile(job: str, name: str, level: int, column: int, row: int) -> Response:
        assert level == 0
        picture = jobs[job].pictures[name]
        left, top = column * TILE_PX, row * TILE_PX
        right, bottom = (
            min(left + TILE_PX, picture.width),
            min(top + TILE_PX, picture.height),
        )
        piece = picture.crop((left, top, right, bottom))
        return Response(as_jpeg(piece, 95), media_type="image/jpeg")

    return app


def _photo(job: str, kept: Kept, name: str) -> dict[str, Any]:
    root = f"/pictures/{job}/{name}"
    return {
        "size_px": kept.pictures[name].size,
        "preview": f"{root}/preview.jpg",
        "preview_size_px": kept.preview_size(name),
        "tiles": {"size": TILE_PX, "url": root + "/{level}/{column}/{row}.jpg"},
        "facts": [],
        "warnings": [],
    }


@cache
def _pictures() -> dict[str, Image.Image]:
    folder = ROOT / "sample_images"
    return {e["name"]: Image.open(folder / e["photo"]) for e in _document()["elevations"]}


def _document() -> dict[str, Any]:
    return dict(json.loads((ROOT / "sample_images/house.job.json").read_text("utf-8")))


_encoded: dict[int, dict[str, bytes]] = {}
"""Previews of the sample house by size, made once for all tests."""


def sample_house(preview_px: int = 4032) -> Kept:
    """Return the sample house, with previews of a size."""
    kept = Kept(_document(), _pictures(), ROOT / "sample_images", preview_px=preview_px)
    kept.encoded = _encoded.setdefault(preview_px, {})
    return kept


def main() -> None:
    """Serve the sample house."""
    import uvicorn

    uvicorn.run(make_host({"house": sample_house()}), port=8791, log_level="warning")


if __name__ == "__main__":
    main()
