"""Render the sample pictures and write their truth.

``python -m sample_images.scenes.main`` makes all three at full size; see
``sample_images/README.md``. Wide pinhole pictures are kept in ``build/``, so that
the phone's effects can be tried again without rendering (``--reuse``).
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

import numpy as np

from sample_images.scenes import phone, render, truth
from sample_images.scenes.views import VIEWS, View

FOLDER = Path(__file__).resolve().parents[1]


def _arguments() -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--views", nargs="+", choices=list(VIEWS), default=list(VIEWS))
    parser.add_argument("--scale", type=float, default=1.0, help="1.0 is full size")
    parser.add_argument("--samples", type=int, default=48, help="light paths a pixel")
    parser.add_argument("--out", type=Path, default=FOLDER)
    parser.add_argument("--cache", type=Path, default=FOLDER.parent / "build")
    parser.add_argument("--reuse", action="store_true", help="keep wide pictures")
    parser.add_argument("--only-truth", action="store_true", help="make no pictures")
    return parser.parse_args()


def _wide(view: View, options: argparse.Namespace) -> phone.Picture:
    """Return the wide pinhole picture, rendered or from the cache."""
    cached = options.cache / f"{view.name}-{options.scale:g}.npy"
    if options.reuse and cached.exists():
        return np.load(cached).astype(np.float32)
    started = time.monotonic()
    wide = render.render(view, options.scale, options.samples)
    print(f"{view.name}: rendered in {time.monotonic() - started:.0f} s")
    options.cache.mkdir(parents=True, exist_ok=True)
    np.save(cached, wide.astype(np.float16))
    return wide.astype(np.float16).astype(np.float32)


def _picture(view: View, options: argparse.Namespace) -> None:
    """Make and write one picture."""
    _, focal_wide_px = render.wide_size_px(view, options.scale)
    picture = phone.finish(view, _wide(view, options), focal_wide_px, options.scale)
    phone.save(view, picture, options.out / f"{view.name}.jpg")


def main() -> None:
    """Make the pictures that the command line asks for."""
    options = _arguments()
    options.out.mkdir(parents=True, exist_ok=True)
    render.build_scene()
    for name in options.views:
        if not options.only_truth:
            _picture(VIEWS[name], options)
        scaled = phone.at_scale(VIEWS[name], options.scale)
        truth.write(scaled, render.visible, options.out / f"{name}.truth.json")


if __name__ == "__main__":
    main()
