"""A picture with its title and what is said under it, and the canvas that it is drawn on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

from nestcut.model.curves import Point
from nestcut.tolerances.lengths import LEAST_EXTENT_MM

TEXT_PX = 12.0
MARGIN_PX = 46.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fragment:
    """One picture.

    Parameters
    ----------
    name
        Of its file, without ending.
    title, words
        Above it and under it.
    svg
        The whole picture as SVG text, black lines on white.
    """

    name: str
    title: str
    svg: str
    words: tuple[str, ...] = ()


@dataclass(slots=True)
class Canvas:
    """Collects shapes in mm, y up, and scales them to a width in pixels."""

    width_px: float = 860.0
    most_px: float = 520.0
    _lines: list[tuple[Sequence[Point], str, str]] = field(default_factory=list)
    _texts: list[tuple[Point, str, str, float]] = field(default_factory=list)
    _rings: list[Point] = field(default_factory=list)

    def line(self, points: Sequence[Point], style: str = "line") -> None:
        """Draw a run of points.

        Parameters
        ----------
        points
            Corners of the run, as the part has them. [mm]
        style
            Class of the picture's own style sheet.
        """
        if len(points) > 1:
            self._lines.append((points, style, ""))

    def loop(self, points: Sequence[Point], style: str = "line") -> None:
        """Draw a run that ends where it begins; parameters as of :meth:`line`."""
        if len(points) > 1:
            self._lines.append((points, style, "Z"))

    def text(self, at: Point, words: str, anchor: str = "middle", turn_deg: float = 0.0) -> None:
        """Write words at a point.

        Parameters
        ----------
        at
            Where they stand. [mm]
        words
            One line.
        anchor
            What of them stands there: ``start``, ``middle`` or ``end``.
        turn_deg
            How far they are turned. [deg]
        """
        self._texts.append((at, words, anchor, turn_deg))

    def ring(self, at: Point) -> None:
        """Ring a point that is doubted."""
        self._rings.append(at)

    def svg(self, title: str) -> str:
        """Return the picture."""
        points = [p for line, _, _ in self._lines for p in line]
        x0, x1 = min(p[0] for p in points), max(p[0] for p in points)
        y0, y1 = min(p[1] for p in points), max(p[1] for p in points)
        wide, high = max(x1 - x0, LEAST_EXTENT_MM), max(y1 - y0, LEAST_EXTENT_MM)
        scale = min(
            (self.width_px - 2 * MARGIN_PX) / wide, (self.most_px - 2 * MARGIN_PX) / high, 1.0
        )
        height = high * scale + 2 * MARGIN_PX

        def place(p: Point) -> Point:
            return (MARGIN_PX + (p[0] - x0) * scale, height - MARGIN_PX - (p[1] - y0) * scale)

        body = [_path([place(p) for p in line], style, end) for line, style, end in self._lines]
        body += [
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="9" class="ring"/>'
            for x, y in (place(p) for p in self._rings)
        ]
        body += [_words(place(at), words, anchor, turn) for at, words, anchor, turn in self._texts]
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width_px:g} {height:.0f}" '
            f'width="{self.width_px:g}" height="{height:.0f}" font-family="sans-serif" '
            f'font-size="{TEXT_PX:g}" role="img">\n<title>{escape(title)}</title>\n'
            f"<style>{_STYLE}</style>\n"
            f'<rect width="100%" height="100%" fill="white"/>\n' + "\n".join(body) + "\n</svg>\n"
        )


_STYLE = (
    "path{fill:none;stroke:black;stroke-width:1.6}.thin{stroke-width:.6}"
    ".dash{stroke-width:.8;stroke-dasharray:5 3}.ring{fill:none;stroke:black;stroke-width:2.2}"
)


def _path(points: Iterable[Point], style: str, end: str) -> str:
    run = "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    return f'<path class="{style}" d="M{run}{end}"/>'


def _words(at: Point, words: str, anchor: str, turn_deg: float) -> str:
    x, y = at
    turn = f' transform="rotate({-turn_deg:g} {x:.1f} {y:.1f})"' if turn_deg else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{turn}>{escape(words)}</text>'
