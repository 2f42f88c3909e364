"""Keeps the draws of an assessment in the case folder, small, and reads them back as they were.

Times are rounded once, before anything is counted, so that what is printed at once and what is printed from the file
are the same figures.
"""

from __future__ import annotations

import dataclasses
import hashlib
import json
import os
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from ashcomb.kernel.errors import FaultError
from ashcomb.outbreak.scene import Scene

if TYPE_CHECKING:
    from ashcomb.outbreak.posterior import Posterior

FOLDER, WORDS, DRAWS = "assessment", "assessment.json", "draws.npz"
_VERSION = 2
_WIDE = ("rates", "dates")  # tables of which most columns never change


def rounded(posterior: Posterior) -> Posterior:
    """The same draws with times to single precision."""
    draws = posterior.draws
    short = {name: getattr(draws, name).astype(np.float32).astype(np.float64)
             for name in ("time", "onset", "turn", "length")}  # fmt: skip
    return dataclasses.replace(posterior, draws=dataclasses.replace(draws, **short))


def digest(scene: Scene) -> str:
    """A fingerprint of everything in a scene."""
    found = hashlib.sha256()
    for name, part in zip(scene._fields, scene, strict=True):
        found.update(name.encode())
        found.update(np.ascontiguousarray(part).tobytes())
    return found.hexdigest()


def write(folder: Path, posterior: Posterior, said: dict[str, Any]) -> None:
    """Writes draws and words; what was there before is replaced only when both are on the disk."""
    place = folder / FOLDER
    place.mkdir(exist_ok=True)
    arrays = {f"quality_{f.name}": getattr(posterior.quality, f.name) for f in dataclasses.fields(posterior.quality)}
    for item in dataclasses.fields(posterior.draws):
        arrays |= _packed(item.name, getattr(posterior.draws, item.name))
    with (place / f"{DRAWS}.new").open("wb") as file:
        np.savez_compressed(file, **arrays)
    drawn = hashlib.sha256((place / f"{DRAWS}.new").read_bytes()).hexdigest()
    words = {**said, "version": _VERSION, "draws": drawn, "stopped": posterior.stopped, "sweeps": posterior.sweeps,
             "seed": posterior.seed}  # fmt: skip
    (place / f"{WORDS}.new").write_text(json.dumps(words, indent=1, ensure_ascii=False), "utf-8")
    for name in (DRAWS, WORDS):
        os.replace(place / f"{name}.new", place / name)


def read(folder: Path) -> tuple[Posterior, dict[str, Any]] | None:
    """Draws and words as they were written, or None if there are none, or the two files do not belong together."""
    from ashcomb.outbreak.convergence import Quality
    from ashcomb.outbreak.posterior import Draws, Posterior

    said = words(folder)
    if said is None or hashlib.sha256((folder / FOLDER / DRAWS).read_bytes()).hexdigest() != said["draws"]:
        return None
    try:
        with np.load(folder / FOLDER / DRAWS) as file:
            arrays = dict(file)
        quality = Quality(**{f.name: _plain(arrays[f"quality_{f.name}"]) for f in dataclasses.fields(Quality)})
        draws = Draws(**{f.name: _unpacked(f.name, arrays) for f in dataclasses.fields(Draws)})
        return Posterior(draws, quality, said["stopped"], said["sweeps"], said["seed"]), said
    except (KeyError, TypeError, ValueError, zipfile.BadZipFile):
        return None  # written by another version of the program


def words(folder: Path) -> dict[str, Any] | None:
    """What stands beside the draws: seed, seal, options, without reading them; None if there are none."""
    file = folder / FOLDER / WORDS
    if not file.is_file() or not (folder / FOLDER / DRAWS).is_file():
        return None
    try:
        said = json.loads(file.read_text("utf-8"))
    except (OSError, ValueError):
        raise FaultError("The stored assessment cannot be read.", "Run `ashcomb assess` again.", str(file)) from None
    return said if said.get("version") == _VERSION else None


def _packed(name: str, array: np.ndarray[Any, Any]) -> dict[str, np.ndarray[Any, Any]]:
    if name in _WIDE:
        moving = np.flatnonzero(np.ptp(array, axis=0) > 0.0) if len(array) else np.arange(array.shape[1])
        return {f"{name}_first": array[0] if len(array) else np.zeros(array.shape[1]), f"{name}_at": moving,
                f"{name}_moving": array[:, moving], f"{name}_rows": np.array(len(array))}  # fmt: skip
    kind = np.float32 if array.dtype.kind == "f" else np.int32
    return {name: array.astype(kind)}


def _unpacked(name: str, arrays: dict[str, np.ndarray[Any, Any]]) -> np.ndarray[Any, Any]:
    if name in _WIDE:
        table = np.tile(arrays[f"{name}_first"], (int(arrays[f"{name}_rows"]), 1))
        table[:, arrays[f"{name}_at"]] = arrays[f"{name}_moving"]
        return table
    array = arrays[name]
    return array.astype(np.float64 if array.dtype.kind == "f" else np.int64)


def _plain(array: np.ndarray[Any, Any]) -> Any:
    return array if array.ndim else array.item()
