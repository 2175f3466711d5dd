"""Faults planted in code: all single changes of a module's syntax tree, and how they get in.

A fault within a function takes its place in the running process, whoever has imported that
function: its code object is exchanged.  What a module works out while it is loaded can't be
exchanged so; such a fault needs the modules loaded anew.
"""

from __future__ import annotations

import ast
import gc
import importlib.abc
import importlib.machinery
import importlib.util
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from inspect import CO_OPTIMIZED
from pathlib import Path
from types import CodeType, FunctionType, ModuleType

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Mutant:
    """One planted fault: the file, the line, what was done, the changed and the sound code."""

    path: Path
    line: int
    what: str
    code: CodeType
    sound: CodeType

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
    sound = compile(tree, str(path), "exec")
    passed = {id(n) for top in ast.walk(tree) for d in _decorators(top) for n in ast.walk(d)}
    for node in ast.walk(tree):
        if id(node) in passed:
            continue
        for what, change, undo in _changes(node):
            change()
            code = compile(ast.fix_missing_locations(tree), str(path), "exec")
            undo()
            yield Mutant(path, _line_of(node), what, code, sound)


def _line_of(node: ast.AST) -> int:
    """Where a fault is met: a function's is in its body, its head is only read when loaded."""
    if isinstance(node, ast.FunctionDef):
        has_words = ast.get_docstring(node) is not None and len(node.body) > 1
        return node.body[int(has_words)].lineno
    return getattr(node, "lineno", 0)


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


def _functions(code: CodeType) -> Iterator[CodeType]:
    """Outermost functions of a module's code, methods among them."""
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            if inner.co_flags & CO_OPTIMIZED:
                yield inner
            else:
                yield from _functions(inner)


def _is_loading_alike(a: CodeType, b: CodeType) -> bool:
    """Whether two modules do the same while they are loaded, whatever is in their functions."""
    if a.co_code != b.co_code or len(a.co_consts) != len(b.co_consts):
        return False
    return all(
        (x.co_flags & CO_OPTIMIZED or _is_loading_alike(x, y))
        if isinstance(x, CodeType) and isinstance(y, CodeType)
        else x == y and type(x) is type(y)
        for x, y in zip(a.co_consts, b.co_consts, strict=True)
    )


def exchange(mutant: Mutant) -> bool:
    """Plant a fault in this process; False: it can only be had by loading the modules anew."""
    if not _is_loading_alike(mutant.sound, mutant.code):
        return False
    pairs = zip(_functions(mutant.sound), _functions(mutant.code), strict=True)
    changed = [(old, new) for old, new in pairs if old != new]
    done = 0
    for thing in gc.get_objects():
        if not isinstance(thing, FunctionType):
            continue
        for old, new in changed:
            if thing.__code__ == old and thing.__code__.co_filename == str(mutant.path):
                thing.__code__ = new
                done += 1
    return bool(done)


class Planted(importlib.abc.MetaPathFinder, importlib.abc.Loader):
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
