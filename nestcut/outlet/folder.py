"""A folder of results: every file of ours over its own predecessor, the register last.

The steps, and what a stop between them leaves:

1. Files are made in a private place: the folder is as it was.
2. The new register is put into the private place: from here on the next run can finish.
3. Each file is renamed over its predecessor, files no longer made are removed: both registers
   together vouch for what lies there, and ``verify`` and ``report`` tell of the stop.
4. The register is renamed over its own: done.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
from collections.abc import Callable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from nestcut.errors import Finding, InputError, Severity, finding
from nestcut.outlet.faults import (
    in_the_way,
    leads_nowhere,
    no_folder,
    shown,
    unwritable,
    where,
    working_folder,
)
from nestcut.outlet.lock import LOCK, alone_in
from nestcut.outlet.register import (
    Register,
    digest_of,
    matter_of,
    read_register,
    register_text,
    without_files,
)
from nestcut.outlet.staging import begun, clear_place, files_in, new_place, places_in
from nestcut.outlet.undisturbed import undisturbed


@dataclass(frozen=True, slots=True, kw_only=True)
class Papers:
    """Which papers go into a folder.

    Parameters
    ----------
    register
        Name of the register, ``plan.json``.
    form
        Its format, by which a register of ours is known.
    names
        Pattern of all names that papers may have; nothing else is ever replaced or removed.
    folders
        Folders inside that papers may lie in.
    """

    register: str
    form: str
    names: re.Pattern[str]
    folders: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of writing: the names written, and what is to be told."""

    names: tuple[str, ...]
    findings: tuple[Finding, ...]


def check_folder(target: Path, papers: Papers, expected: re.Pattern[str] | None = None) -> None:
    """Make sure, before a long search, that papers can go into a folder.

    Writing is tried, and the trial is taken away again.

    Parameters
    ----------
    target
        The folder.
    papers
        What will be written.
    expected
        Names that this run may write, where that is narrower than ``papers.names``.

    Raises
    ------
    InputError
        If nothing can be written there, or something stands in the way that isn't ours.
    """
    try:
        _check_kind(target, papers)
        if target.is_dir():
            wanted = expected or papers.names
            around = [n for n in _around(target, papers) if wanted.fullmatch(n)]
            _check_way(target, papers, around, matter=None)
        _try_place(target, papers)
    except OSError as error:
        raise InputError([unwritable(target, error)]) from None


def write_folder(
    target: Path,
    papers: Papers,
    fill: Callable[[Path], None],
    matter: str,
    on_written: Callable[[], None] = lambda: None,
) -> Outcome:
    """Have ``fill`` make files in a private place, then put each where it belongs.

    Parameters
    ----------
    target
        The folder that shall hold the files; made if it isn't there.
    papers
        What may be written.
    fill
        Makes all files but the register in the folder it is given, and checks them there: when it
        raises, the folder stays as it was.
    matter
        Text of the register, a JSON object; the list of files is added to it.
    on_written
        Called as soon as all is in its place, before a signal that came meanwhile is heard.

    Raises
    ------
    InputError
        If the folder can't be written (``OUT-007`` beside it says that it is half way), or
        something stands in the way that isn't ours.
    """
    made_folders: list[Path] = []
    try:
        with ExitStack() as stack:
            _check_kind(target, papers)
            stack.callback(_take_away, made_folders)
            _make_folder(target, made_folders)
            stack.enter_context(alone_in(target))
            settled = _settle(target, papers)
            place = new_place(target)
            clearing = stack.enter_context(ExitStack())
            clearing.callback(_clear, place)
            fill(place)
            names = files_in(place)
            _check_way(target, papers, names, matter=matter_of(matter))
            kept = _kept(target, papers, names, matter_of(matter))
            files = {name: digest_of(place / name) for name in names} | kept
            with undisturbed():
                _put_text(place / papers.register, register_text(matter, files))
                clearing.pop_all()  # what is left half way from here on, the next run finishes
                stale = _move(target, papers, place)
                made_folders.clear()
                on_written()
                clear_place(place)
    except OSError as error:
        raise InputError([unwritable(target, error), *half_way(target, papers)]) from None
    told = list(settled)
    if stale:
        told.append(finding("OUT-009", Severity.WARNING, where(target), names=shown(stale)))
    return Outcome(names=(*names, papers.register), findings=tuple(told))


def half_way(target: Path, papers: Papers) -> tuple[Finding, ...]:
    """Whether a move has begun and not come to its end."""
    places = places_in(target)
    if all(begun(target, p, papers.register, papers.form) is None for p in places):
        return ()
    return (finding("OUT-007", Severity.ERROR, where(target)),)


def add_to_folder(target: Path, papers: Papers, fill: Callable[[Path], None]) -> Outcome:
    """Add files to a folder of results as it stands; they stay as long as its matter does.

    Parameters and errors are those of :func:`write_folder`; the register must be there.

    Parameters
    ----------
    target
        The folder.
    fill
        Writes the new files into the folder that it is given.
    """
    return write_folder(target, papers, fill, without_files(target / papers.register))


def settle_folder(target: Path, papers: Papers) -> tuple[Finding, ...]:
    """Finish or clear what a stopped run has left in a folder, and tell of it.

    Raises
    ------
    InputError
        If the folder can't be written, or something stands in the way that isn't ours.
    """
    around = (target, *(target / folder for folder in papers.folders))
    if not (target / LOCK).exists() and not any(map(places_in, around)):
        return ()
    try:
        with alone_in(target):
            return _settle(target, papers)
    except OSError as error:
        raise InputError([unwritable(target, error)]) from None


def _settle(target: Path, papers: Papers) -> tuple[Finding, ...]:
    """Finish what an earlier run had begun to move, and clear what it hadn't."""
    told: list[Finding] = []
    for place in places_in(target):
        register = begun(target, place, papers.register, papers.form)
        if register is not None:
            _check_way(target, papers, tuple(register.files), matter=register.matter)
            with undisturbed():
                _move(target, papers, place)
            told.append(finding("OUT-010", Severity.REPAIRED, where(target)))
        _clear(place)
    for folder in papers.folders:  # trials of a killed run
        for place in places_in(target / folder):
            _clear(place)
    return tuple(told)


def _move(target: Path, papers: Papers, place: Path) -> tuple[str, ...]:
    """Move a place's files over their predecessors, the register last.

    Returns
    -------
    tuple of str
        Files of the register before, no longer made, that were changed since: they are left.
    """
    for folder in papers.folders:
        if (place / folder).is_dir():
            (target / folder).mkdir(exist_ok=True)
    for name in files_in(place):
        if name != papers.register:
            _rename(place / name, target / name)
    left = _remove_stale(target, papers, place)
    _rename(place / papers.register, target / papers.register)
    return left


def _remove_stale(target: Path, papers: Papers, place: Path) -> tuple[str, ...]:
    """Remove what the register before lists and the new one doesn't, if it is as we wrote it."""
    before = read_register(target / papers.register, papers.form)
    after = read_register(place / papers.register, papers.form)
    if before is None or after is None:
        return ()
    stale = [n for n in before.files if n not in after.files and papers.names.fullmatch(n)]
    left = []
    for name in stale:
        if before.is_as_written(target, name):
            (target / name).unlink()
        elif os.path.lexists(target / name):
            left.append(name)
    return tuple(left)


def _rename(source: Path, goal: Path) -> None:
    """Rename over a predecessor; across disks (a linked folder) a copy is made beside it first."""
    try:
        source.replace(goal)
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise
        beside = goal.with_name(f".nestcut-new-{goal.name}")
        shutil.copyfile(source, beside)
        beside.replace(goal)
        source.unlink()


def _kept(
    target: Path, papers: Papers, names: tuple[str, ...], matter: Mapping[str, object]
) -> dict[str, str]:
    """Files of the register before that aren't made now, and stay since the matter is the same."""
    before = read_register(target / papers.register, papers.form)
    if before is None or before.matter != matter:
        return {}
    return {
        name: digest
        for name, digest in before.files.items()
        if name not in names and papers.names.fullmatch(name) and os.path.lexists(target / name)
    }


def _around(target: Path, papers: Papers) -> tuple[str, ...]:
    """Names of what lies in the folder and in the folders inside that papers may lie in."""
    names = [p.name for p in target.iterdir()]
    for folder in papers.folders:
        if (target / folder).is_dir():
            names += [f"{folder}/{p.name}" for p in (target / folder).iterdir()]
    return tuple(sorted(names))


def _check_way(
    target: Path,
    papers: Papers,
    names: tuple[str, ...] | list[str],
    matter: Mapping[str, object] | None,
) -> None:
    """Refuse to go on where one of the names is taken by something that isn't ours as written.

    ``matter`` is what will be written; None: not known yet.
    """
    vouched = _vouched(target, papers)
    foreign = [name for name in papers.folders if _is_no_folder(target / name)]
    for name in names:
        path = target / name
        if not os.path.lexists(path) or name == papers.register:
            continue
        if not any(register.is_as_written(target, name) for register in vouched):
            foreign.append(name)
    if not _is_our_register(target, papers, matter):
        foreign.append(papers.register)
    if foreign:
        raise InputError([in_the_way(target, sorted(set(foreign)))])


def _is_no_folder(path: Path) -> bool:
    return os.path.lexists(path) and not path.is_dir()


def _vouched(target: Path, papers: Papers) -> tuple[Register, ...]:
    """Registers that vouch for files: the folder's own, and those of runs stopped half way."""
    own = read_register(target / papers.register, papers.form)
    stopped = [read_register(p / papers.register, papers.form) for p in places_in(target)]
    return tuple(r for r in (own, *stopped) if r is not None)


def _is_our_register(target: Path, papers: Papers, matter: Mapping[str, object] | None) -> bool:
    """Whether the register may be replaced: it says the same, or lies among its own files.

    A plan.json that was put here alone, a friend's perhaps, is nobody's to replace.
    """
    path = target / papers.register
    if not os.path.lexists(path):
        return True
    own = read_register(path, papers.form)
    if own is None:
        return False
    is_same = matter is not None and own.matter == matter
    vouched = _vouched(target, papers)
    return is_same or any(r.is_as_written(target, n) for r in vouched for n in own.files)


def _check_kind(target: Path, papers: Papers) -> None:
    if target.is_symlink() and not target.exists():
        raise InputError([leads_nowhere(target)])
    if target.exists() and not target.is_dir():
        raise InputError([no_folder(target)])
    is_around_us = target.exists() and target.resolve() in {Path.cwd(), *Path.cwd().parents}
    if is_around_us and read_register(target / papers.register, papers.form) is None:
        raise InputError([working_folder(target)])


def _try_place(target: Path, papers: Papers) -> None:
    """Make a private place in the folder and in those inside, and take them away again."""
    made: list[Path] = []
    try:
        with undisturbed():
            _make_folder(target, made)
            for folder in (target, *(target / f for f in papers.folders)):
                if folder.is_dir():
                    place = new_place(folder)
                    try:
                        _put_text(place / "trial", "trial\n")
                    finally:
                        _clear(place)
    finally:
        _take_away(made)


def _make_folder(target: Path, made: list[Path]) -> None:
    """Make a folder and those above; each is noted as it is made."""
    missing = [target]
    while not missing[-1].parent.exists():
        missing.append(missing[-1].parent)
    for folder in reversed(missing):
        if not folder.is_dir():
            folder.mkdir()
            made.append(folder)


def _take_away(made: list[Path]) -> None:
    """Take away folders that were made for nothing, if nobody has put anything there."""
    for folder in reversed(made):
        try:
            folder.rmdir()
        except OSError:
            return


def _clear(place: Path) -> None:
    with undisturbed():
        clear_place(place)


def _put_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")
