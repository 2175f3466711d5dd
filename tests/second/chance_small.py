"""Very small jobs by lot, for bounds: a few rails, a few rectangles, or both."""

from __future__ import annotations

import numpy as np


def small_job(seed: int) -> str:
    """Return the text of a job; kinds take turns: rails, rectangles, both."""
    draw = np.random.default_rng([20261129, seed])
    kind = ("rails", "rectangles", "both")[seed % 3]
    lines = ["[job]", f'name = "small {seed}"', 'unit = "mm"', 'currency = "EUR"']
    two_saws = draw.random() < 0.2
    lines += ["[[saw]]", 'name = "first"', f"kerf = {draw.choice([0, 2, 3.2])}"]
    if draw.random() < 0.2:
        lines.append("gap = 1")
    if two_saws:
        lines += ["[[saw]]", 'name = "second"', f"kerf = {draw.choice([0, 1, 6])}"]
    if kind != "rails":
        lines += _sheets(draw, 5 if kind == "rectangles" else 3, is_second=two_saws)
    if kind != "rectangles":
        lines += _rails(draw, 4 if kind == "rails" else 3, is_second=two_saws)
    return "\n".join(lines) + "\n"


def _sheets(draw: np.random.Generator, n: int, *, is_second: bool) -> list[str]:
    length, width = int(draw.integers(800, 1600)), int(draw.integers(500, 800))
    lines = []
    for name in ("new", "other")[: 2 if draw.random() < 0.5 else 1]:
        size = (length, width) if name == "new" else (int(0.7 * length), width)
        lines += ["[[sheet]]", f'name = "{name}"', "thickness = 6"]
        lines += [f"length = {max(size)}", f"width = {min(size)}"]
        if name == "other" and draw.random() < 0.5:
            lines.append("count = 1")
        else:
            lines.append(f"price = {int(draw.integers(10, 60))}.00")
        if draw.random() < 0.2:
            lines.append("trim = 5")
        if is_second and name == "other":
            lines.append('saw = "second"')
    for k in range(int(draw.integers(2, n + 1))):
        a, b = int(draw.uniform(0.3, 0.8) * length), int(draw.uniform(0.3, 0.7) * width)
        lines += ["[[part]]", f'name = "part {k}"', "thickness = 6"]
        lines.append(f'grain = "{draw.choice(["along", "any"])}"')
        lines.append('turn = "quarter"' if "any" in lines[-1] else 'turn = "half"')
        lines.append(f'shape = {{ kind = "rectangle", length = {a}, width = {b} }}')
    return lines


def _rails(draw: np.random.Generator, n: int, *, is_second: bool) -> list[str]:
    width = int(draw.choice([60, 95]))
    lines = []
    for name in ("fir", "other fir")[: 2 if is_second else 1]:
        lines += ["[[board]]", f'name = "{name}"', 'material = "fir"', "thickness = 20"]
        lines.append(f"width = {width}")
        if draw.random() < 0.4:
            lines.append("end_trim = 10")
        if name != "fir":
            lines.append('saw = "second"')
        offers = [
            f"{{ length = {x}, price = {int(draw.integers(400, 1500)) / 100:.2f} }}"
            for x in sorted({int(draw.integers(18, 31)) * 100 for _ in range(2)})
        ]
        if draw.random() < 0.3:
            at = int(draw.integers(300, 1500))
            offers.append(
                f"{{ length = 2100, count = 1, defects = [{{ from = {at}, to = {at + 40} }}] }}"
            )
        lines.append("lengths = [" + ", ".join(offers) + "]")
    widths = [30, 45, width] if draw.random() < 0.5 else [int(draw.choice([30, 45]))]
    is_free = len(widths) == 1 and draw.random() < 0.6
    for k in range(int(draw.integers(2, n + 1))):
        length = int(draw.integers(60, 240)) * 10
        if is_free and draw.random() < 0.4:
            length += 1500
        lines += ["[[rail]]", f'name = "rail {k}"', 'material = "fir"']
        lines += [f"section = [20, {draw.choice(widths)}]", f"length = {length}"]
        if is_free:
            clear = '"none"'
            if draw.random() < 0.4:
                at = int(draw.uniform(0.3, 0.7) * length)
                clear = f"[{{ from = {at - 60}, to = {at + 60} }}]"
            lines.append(f'joint = {{ slope = "8:1", keep_clear = {clear}, most_joints = 2 }}')
        elif length > 1400 and draw.random() < 0.3:
            lines.append(f'joint = {{ slope = "8:1", at = [{length // 2}] }}')
        else:
            lines.append('joints = "none"')
    return lines
