"""A builder's folder with thirty things in it, and a record of them to the byte and the mode."""

from __future__ import annotations

import hashlib
import os
import stat
import subprocess
from pathlib import Path

Record = dict[str, tuple[str, int, str]]
"""Kind, mode and content of each thing, by its path in the folder."""


def put_thirty_things(folder: Path, elsewhere: Path) -> None:
    """Fill a folder (and the one its links lead to) as a builder's folder may be filled."""
    elsewhere.mkdir()
    (elsewhere / "photos").mkdir()
    (elsewhere / "photos" / "stem.jpg").write_bytes(b"\xff\xd8stem")
    (elsewhere / "price.txt").write_text("62.50")
    files = {
        "notes.txt": "sharpen the plane",
        "README": "",
        ".hidden": "key of the shed",
        "plan.json~": "older",
        "plan.json.bak": '{"format": "nestcut plan"}',
        "Plan.JSON": "another",
        "shop.pdf.txt": "told",
        "my shop.pdf": "%PDF-1.4 mine",
        "labels (1).pdf": "%PDF-1.4 mine",
        "pattern-of-mine.pdf": "%PDF-1.4 my own pattern",
        "cut-list.ods": "sheet",
        "buying-list.csv~": "what I paid",
        "sheets/07-spare.dxf": "drawn by hand",
        "sheets/hull.dxf": "drawn by hand",
        "sheets/01-my-ply.svg": "<svg/>",
        "boards/photo.jpg": "\u00ff",
        "boards/99-oak.svg": "<svg/>",
        "knee.txt": "1 of 2",
        "nestcut.txt": "mine",
        ".nestcut-notes": "mine",
        "deep/er/still/log.txt": "day 40",
        "zero.bin": "\0" * 100,
    }
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    for name in ("empty", "sheets/empty", "boards/old"):
        (folder / name).mkdir()
    (folder / "photos").symlink_to(elsewhere / "photos")
    (folder / "price").symlink_to(elsewhere / "price.txt")
    (folder / "broken").symlink_to(elsewhere / "gone")
    (folder / "sheets" / "broken.svg").symlink_to("nowhere")
    os.mkfifo(folder / "pipe")
    os.link(folder / "notes.txt", folder / "notes too.txt")
    (folder / "deep").chmod(0o700)
    (folder / ".hidden").chmod(0o400)
    (folder / "notes.txt").chmod(0o640)
    _pack_repository(folder)
    folder.chmod(0o700)


def _pack_repository(folder: Path) -> None:
    quiet = {**os.environ, "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull}
    who = ["-c", "user.name=b", "-c", "user.email=b@example.invalid"]
    for words in (
        ["init", "-q"],
        ["add", "notes.txt"],
        [*who, "commit", "-q", "-m", "notes"],
        ["gc", "-q"],
    ):
        subprocess.run(["git", *words], cwd=folder, env=quiet, check=True, capture_output=True)


def record_of(folder: Path) -> Record:
    """Return everything in a folder, its own mode included; links are not followed."""
    record: Record = {".": ("folder", stat.S_IMODE(folder.stat().st_mode), "")}
    for path in sorted(folder.rglob("*")):
        state = path.lstat()
        mode = stat.S_IMODE(state.st_mode)
        name = path.relative_to(folder).as_posix()
        if stat.S_ISLNK(state.st_mode):
            record[name] = ("link", mode, path.readlink().as_posix())
        elif stat.S_ISDIR(state.st_mode):
            record[name] = ("folder", mode, "")
        elif stat.S_ISFIFO(state.st_mode):
            record[name] = ("pipe", mode, "")
        else:
            record[name] = ("file", mode, hashlib.sha256(path.read_bytes()).hexdigest())
    return record


def lost(before: Record, after: Record) -> dict[str, object]:
    """Return what is gone or changed."""
    return {name: after.get(name) for name, thing in before.items() if after.get(name) != thing}
