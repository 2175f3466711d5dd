"""What a builder of shapes says when the numbers make no part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nestcut.errors import NestcutError
from nestcut.facts import Value

if TYPE_CHECKING:
    from nestcut.shapes.reader import ShapeReader


class ShapeFaultError(NestcutError):
    """Numbers that give no part.

    Parameters
    ----------
    key
        Key of the reading at fault, for the key path of the finding.
    code
        Code of the finding; :mod:`nestcut.words` has its sentence.
    values
        The values met, by name.
    """

    def __init__(self, key: str, code: str, **values: Value) -> None:
        self.key = key
        self.code = code
        self.values = values
        super().__init__(f"{code} {key}: {values}")

    def record(self, reader: ShapeReader) -> None:
        """Write it down with the reader of the table that it belongs to."""
        reader.told(self.key, self.code, **self.values)


class FollowsError(ShapeFaultError):
    """A part that can't be made only because another one is at fault, which is told already."""

    def __init__(self) -> None:
        super().__init__("", "")

    def record(self, reader: ShapeReader) -> None:
        """Tell nothing; the table is no use all the same."""
        reader.spoil()
