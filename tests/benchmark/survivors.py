"""Faults planted in the code one at a time: which of them do the tests of that room not see?

    python -m tests.benchmark.survivors [--rooms verify units ...] [--count 100] [--seed 0]

A mutant is one change of a module's syntax tree: a comparison, sum, number or truth value turned
round, a finding not told, a check switched off.  Each runs in a process forked from one that has
the libraries loaded, with the changed module in place of the file; the tests of its room stop at
the first failure.  ``--every`` tries all mutants, else a seeded sample is tried.  Survivors are
printed with file and line, the last line is a JSON summary.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import io
import json
import os
import resource
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, ModuleType

from nestcut.search.streams import stream

ROOT = Path(__file__).parents[2]
SECONDS = 120
"""Processor time of one mutant: an endless loop is seen by the clock. [s]"""

ROOMS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "verify": (("nestcut/verify",), ("tests/unit/verify",)),
    "units": (("nestcut/units.py",), ("tests/unit/test_units.py",)),
    "arithmetic": (
        ("nestcut/joints/arithmetic.py", "nestcut/joints/rules.py", "nestcut/joints/standing.py"),
        (
            "tests/published/test_joint_arithmetic.py",
            "tests/unit/joints/test_rules.py",
            "tests/unit/joints/test_standing.py",
        ),
    ),
    "pose": (("nestcut/geometry/pose.py",), ("tests/unit/geometry/test_pose.py",)),
    "totals": (("nestcut/planning/totals.py",), ("tests/unit/planning/test_totals.py",)),
    "amounts": (("nestcut/papers/lists/amounts.py",), ("tests/unit/papers/test_amounts.py",)),
    "trade": (("nestcut/trade",), ("tests/unit/trade/test_numbers.py",)),
}
"""Sources and the tests that must see their faults."""

SAME = {
    "nestcut/verify/findings.py": "how a difference is worded",
    "nestcut/verify/tally.py": "what was looked at is told, nothing is decided by it",
}
"""Files that are passed over, and why."""


@dataclass(frozen=True)
class Mutant:
    """One planted fault: the file, the line, what was done, and the changed code."""

    path: Path
    line: int
    what: str
    code: CodeType

    @property
    def module(self) -> str:
        """Dotted name of the changed module."""
        parts = self.path.relative_to(ROOT).with_suffix("").parts
        return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)

    def __str__(self) -> str:
        return f"{self.path.relative_to(ROOT)}:{self.line}: {self.what}"


Change = tuple[str, Callable[[], None], Callable[[], None]]
"""What it is called, doing it, undoing it."""

_OTHER = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
_NAMES = {"min": "max", "max": "min", "all": "any", "any": "all"}


def mutants(path: Path) -> Iterator[Mutant]:
    """Every planted fault of one file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    passed = {id(n) for top in ast.walk(tree) for d in _decorators(top) for n in ast.walk(d)}
    for node in ast.walk(tree):
        if id(node) in passed:
            continue
        for what, change, undo in _changes(node):
            change()
            code = compile(ast.fix_missing_locations(tree), str(path), "exec")
            undo()
            yield Mutant(path, getattr(node, "lineno", 0), what, code)


def _decorators(node: ast.AST) -> list[ast.expr]:
    """What stands above a definition: ``frozen=True`` decides nothing that a plan could show."""
    return getattr(node, "decorator_list", [])


def _set(node: ast.AST, field: str, value: object, what: str) -> Change:
    old = getattr(node, field)
    return what, lambda: setattr(node, field, value), lambda: setattr(node, field, old)


def _changes(node: ast.AST) -> Iterator[Change]:
    match node:
        case ast.Compare(ops=[op, *rest]):
            other = _OTHER[type(op)]
            name = f"{type(op).__name__} to {other.__name__}"
            yield _set(node, "ops", [other(), *rest], name)
        case ast.BinOp(op=op) | ast.BoolOp(op=op) if type(op) in _OTHER:
            other = _OTHER[type(op)]
            yield _set(node, "op", other(), f"{type(op).__name__} to {other.__name__}")
        case ast.UnaryOp(op=ast.Not(), operand=inner):
            double = ast.UnaryOp(op=ast.Not(), operand=inner)
            yield _set(node, "operand", double, "not left out")
        case ast.UnaryOp(op=ast.USub()):
            yield _set(node, "op", ast.UAdd(), "minus left out")
        case ast.Constant(value=bool(value)):
            yield _set(node, "value", not value, f"{value} to {not value}")
        case ast.Constant(value=int(value) | float(value)):
            other_value = 2 * value if value else 1
            yield _set(node, "value", other_value, f"{value} to {other_value}")
        case ast.Call(func=ast.Name(id=name)) if name in _NAMES:
            yield _set(node.func, "id", _NAMES[name], f"{name} to {_NAMES[name]}")
        case ast.AugAssign():
            yield (
                _set(node, "op", ast.Sub(), "added no more")
                if isinstance(node.op, ast.Add) and isinstance(node.value, ast.Constant)
                else _set(node, "value", _nothing_of(node), "nothing added")
            )
        case ast.FunctionDef(returns=ast.Subscript(value=ast.Name(id="list"))):
            empty = [ast.Return(value=ast.List(elts=[], ctx=ast.Load()))]
            yield _set(node, "body", empty, f"{node.name} switched off")
        case ast.IfExp(body=body, orelse=other_side):
            yield _set(node, "test", ast.Constant(value=True), "always the first")
            del body, other_side
        case _:
            pass


def _nothing_of(node: ast.AugAssign) -> ast.expr:
    """An expression that adds nothing to what the target is: ``[]`` for lists, 0 for numbers."""
    test = ast.Call(
        func=ast.Name(id="isinstance", ctx=ast.Load()),
        args=[
            _loaded(node.target),
            ast.Tuple(
                elts=[ast.Name(id="int", ctx=ast.Load()), ast.Name(id="float", ctx=ast.Load())],
                ctx=ast.Load(),
            ),
        ],
        keywords=[],
    )
    kind = ast.Call(
        func=ast.Call(
            func=ast.Name(id="type", ctx=ast.Load()), args=[_loaded(node.target)], keywords=[]
        ),
        args=[],
        keywords=[],
    )
    return ast.IfExp(test=test, body=ast.Constant(value=0), orelse=kind)


def _loaded(target: ast.expr) -> ast.expr:
    return ast.parse(ast.unparse(target), mode="eval").body


class _Planted(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives the changed code for one module, and leaves all others alone."""

    def __init__(self, mutant: Mutant) -> None:
        self.mutant = mutant

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        del path, target
        if fullname != self.mutant.module:
            return None
        return importlib.util.spec_from_file_location(
            fullname,
            self.mutant.path,
            loader=self,
            submodule_search_locations=[str(self.mutant.path.parent)]
            if self.mutant.path.name == "__init__.py"
            else None,
        )

    def exec_module(self, module: ModuleType) -> None:
        exec(self.mutant.code, module.__dict__)  # noqa: S102 - our own code, changed on purpose


def is_seen(mutant: Mutant, tests: tuple[str, ...]) -> bool:
    """Whether tests fail, or never end, with a fault planted."""
    child = os.fork()
    if child == 0:
        os._exit(_run(mutant, tests))
    _, status = os.waitpid(child, 0)
    return status != 0


def _run(mutant: Mutant, tests: tuple[str, ...]) -> int:
    """Run tests with a fault planted, in a process of its own; 0: all passed."""
    import pytest

    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    signal.signal(signal.SIGXCPU, signal.SIG_DFL)
    for name in [m for m in sys.modules if m.partition(".")[0] in {"nestcut", "tests"}]:
        del sys.modules[name]
    sys.meta_path.insert(0, _Planted(mutant))
    sys.dont_write_bytecode = True
    options = ["-q", "-x", "-n", "0", "-p", "no:cacheprovider", "--no-header"]
    options += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        try:
            return int(pytest.main([*options, *tests]))
        except BaseException:
            return 1


def _unharmed(source: str) -> Mutant:
    """No fault at all."""
    place = ROOT / source
    path = place / "__init__.py" if place.is_dir() else place
    return Mutant(path, 0, "nothing", compile(path.read_text(encoding="utf-8"), path, "exec"))


def _load_libraries() -> None:
    """Load what every mutant needs, once: nothing of ours."""
    for name in ("cattrs", "hypothesis", "numpy", "pytest", "shapely", "shapely.ops"):
        importlib.import_module(name)


def chosen(room: str, count: int, seed: int, *, is_whole: bool, only: str = "") -> list[Mutant]:
    """Mutants of a room, a seeded sample unless all are asked for."""
    files: list[Path] = []
    for name in ROOMS[room][0]:
        place = ROOT / name
        files += sorted(place.rglob("*.py")) if place.is_dir() else [place]
    found = [m for f in files if str(f.relative_to(ROOT)) not in SAME for m in mutants(f)]
    found = [m for m in found if only in m.what]
    if is_whole or count >= len(found):
        return found
    order = stream(seed, "survivors", room).permutation(len(found))[:count]
    return [found[k] for k in sorted(order.tolist())]


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--rooms", nargs="*", default=list(ROOMS), choices=list(ROOMS))
    parser.add_argument("--count", type=int, default=60, help="mutants of each room")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--every", action="store_true")
    parser.add_argument("--only", default="", help="only faults whose name has this in it")
    asked = parser.parse_args()
    _load_libraries()
    os.chdir(ROOT)
    counts: Counter[str] = Counter()
    began = time.monotonic()
    for room in asked.rooms:
        if is_seen(_unharmed(ROOMS[room][0][0]), ROOMS[room][1]):
            sys.stdout.write(f"{room}: its tests fail without any fault\n")
            return 1
        for mutant in chosen(room, asked.count, asked.seed, is_whole=asked.every, only=asked.only):
            seen = is_seen(mutant, ROOMS[room][1])
            counts[f"{room} {'seen' if seen else 'survived'}"] += 1
            if not seen:
                sys.stdout.write(f"{mutant}\n")
                sys.stdout.flush()
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    summary = {
        "seed": asked.seed,
        **counts,
        "processor_s": round(used.ru_utime + used.ru_stime),
        "seconds": round(time.monotonic() - began),
    }
    sys.stdout.write(json.dumps(summary) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
