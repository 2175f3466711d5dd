"""Values as a job file has them."""

from __future__ import annotations

import json


def toml_points(points: tuple[tuple[float, float], ...]) -> str:
    """A list of points with their units."""
    return "[" + ", ".join(f"[{toml_mm(x)}, {toml_mm(y)}]" for x, y in points) + "]"


def toml_mm(length_mm: float) -> str:
    """A length in mm, to a tenth of a micrometre."""
    number = f"{length_mm:.4f}".rstrip("0").rstrip(".")
    return f'"{"0" if number == "-0" else number} mm"'


def toml_text(text: str) -> str:
    """A TOML basic string: JSON's, with the one control character more that TOML escapes."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def one_line(text: str) -> str:
    """A text that can't end its comment."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
