"""What public functions take is told: unit, shape and meaning of all that its type doesn't tell.

A public function or method with three or more parameters names, in a section Parameters (numpydoc)
and in the order of its signature, each whose type leaves open what it is: numbers, texts, arrays,
paths, callables, records of libraries, and collections of these.  A parameter that is a class of
ours, or holds nothing else, may be left out, since its class says what it is.  Commands of the
terminal tell their options by ``--help``.  Numbers with a fraction have their unit in the name or
in brackets, arrays their shape.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass

from tests.architecture.sources import PACKAGE, modules, text_of

MOST_UNTOLD = 2
"""Parameters that a function may have without a section."""

HOLDERS = {"tuple", "list", "set", "frozenset", "dict", "type", "None"} | {
    "Sequence", "Iterable", "Iterator", "Collection", "Mapping"
}  # fmt: skip
"""Types that say only how many there are of something."""

ARRAYS = {"ndarray", "NDArray", "FloatArray", "IntArray", "BoolArray", "Floats", "Array", "Numbers"}
IN_NAME = re.compile(r"_(mm|mm2|m2|m3|nm|pt|deg|rad|in|s|kg|kg_m3|minor|thicknesses)$")
BARE = re.compile(r"\[[^\]]+\]|^(?:shares?|slopes?|cosine|as in|as of)\b", re.IGNORECASE)
"""A unit in brackets, [-] for none; or what begins by saying so, or where it is told."""

SHAPED = re.compile(r"\bshapes? \(|\bas in\b", re.IGNORECASE)


@dataclass(frozen=True)
class Function:
    """A function or method, and how it is told."""

    node: ast.FunctionDef
    is_method: bool

    @property
    def parameters(self) -> list[ast.arg]:
        """All that a caller hands in, in order."""
        a = self.node.args
        is_static = "staticmethod" in map(ast.unparse, self.node.decorator_list)
        own = [*a.posonlyargs, *a.args][int(self.is_method and not is_static) :]
        return [*own, *filter(None, (a.vararg,)), *a.kwonlyargs, *filter(None, (a.kwarg,))]

    @property
    def is_command(self) -> bool:
        """Whether it is a command of the terminal, or hands on to click's own."""
        return any(
            re.search(r"\bcommand\(|click\.", ast.unparse(d)) for d in self.node.decorator_list
        )

    def entries(self) -> dict[str, str]:
        """Return what the section says of each parameter that it names."""
        lines = (ast.get_docstring(self.node) or "").split("\n")
        heads = [i for i, line in enumerate(lines) if re.fullmatch(r"-{3,}", line)]
        found: dict[str, str] = {}
        for at in heads:
            if lines[at - 1] != "Parameters":
                continue
            names: list[str] = []
            for line in lines[at + 1 : min([i - 1 for i in heads if i > at], default=len(lines))]:
                if line.startswith(" "):
                    found |= {n: f"{found[n]} {line.strip()}" for n in names}
                elif line:
                    names = [n.strip(" *") for n in line.partition(" : ")[0].split(",")]
                    found |= dict.fromkeys(names, "")
        return found


def leaves(parameter: ast.arg) -> set[str]:
    """Names of the types that a parameter is made of, holders apart."""
    if parameter.annotation is None:
        return {"?"}
    text = ast.unparse(parameter.annotation).replace("'", "")
    return set(re.findall(r"[A-Za-z_][\w.]*|\?", text)) - HOLDERS


def faults(module: ast.Module, known: set[str]) -> list[str]:
    """Return what the functions of a module leave open, given the names of all our classes."""
    found = []
    for function in functions(module.body, in_class=False):
        node, taken = function.node, function.parameters
        if len(taken) <= MOST_UNTOLD or function.is_command:
            continue
        entries, names = function.entries(), [p.arg for p in taken]
        where = f"{node.lineno} {node.name}"
        if strangers := [n for n in entries if n not in names]:
            found.append(f"{where}: names {strangers}, which it doesn't take")
        elif list(entries) != [n for n in names if n in entries]:
            found.append(f"{where}: names parameters in another order than it takes them")
        for p in taken:
            told, types = entries.get(p.arg), {t.rpartition(".")[2] for t in leaves(p)}
            if told is None:
                if not types <= known:
                    found.append(f"{where}: doesn't tell what '{p.arg}' is")
            elif "Callable" in types:
                continue
            elif types & ARRAYS:
                if not SHAPED.search(told):
                    found.append(f"{where}: doesn't tell the shape of '{p.arg}'")
            elif "float" in types and not IN_NAME.search(p.arg) and not BARE.search(told.strip()):
                found.append(f"{where}: doesn't tell the unit of '{p.arg}'")
    return found


def functions(body: list[ast.stmt], *, in_class: bool) -> Iterator[Function]:
    """Yield the public functions and methods of a module's, or a class's, lines."""
    for node in body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield Function(node, in_class)
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from functions(node.body, in_class=True)


def test_what_functions_take_is_told() -> None:
    """No public function of the package leaves open what it takes."""
    texts = {p.relative_to(PACKAGE).as_posix(): text_of(p) for p in modules()}
    lines = "\n".join(texts.values())
    known = set(re.findall(r"^class (\w+)", lines, re.MULTILINE))
    known |= {  # either of several of them
        name
        for name, either in re.findall(r"^(\w+) = (\w+(?: \| \w+)+)$", lines, re.MULTILINE)
        if set(either.split(" | ")) <= known
    }
    found = [
        f"{n}:{fault}" for n, text in texts.items() for fault in faults(ast.parse(text), known)
    ]

    assert not found, "\n".join(found)


HEAD = 'def spread(sheet: Sheet, by: float, at: "np.ndarray"):\n    """Do it.\n'
SECTION = "\n    Parameters\n    ----------\n"


def told(*lines: str) -> list[str]:
    """Return the faults of a function whose section has these lines; none: no section."""
    section = SECTION + "".join(f"    {line}\n" for line in lines) if lines else ""
    return [f.partition(": ")[2] for f in faults(ast.parse(f'{HEAD}{section}    """\n'), {"Sheet"})]


def test_the_eye_sees_what_is_left_open() -> None:
    """A missing section, a stranger, a wrong order, a missing unit and a missing shape are seen."""
    by, at = ("by", "    How far. [mm]"), ("at", "    Corners, shape (n, 2). [mm]")

    assert told(*by, *at) == []
    assert told("by, at", "    As in :func:`spread`.") == []
    assert told() == ["doesn't tell what 'by' is", "doesn't tell what 'at' is"]
    assert told(*by) == ["doesn't tell what 'at' is"]
    assert told("by", "    How far.", *at) == ["doesn't tell the unit of 'by'"]
    assert told(*by, "at", "    Corners.") == ["doesn't tell the shape of 'at'"]
    assert told(*at, *by) == ["names parameters in another order than it takes them"]
    assert told(*by, *at, "to", "    Where.") == ["names ['to'], which it doesn't take"]
