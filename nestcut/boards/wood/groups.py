"""Which rails are planned together: those of one material that could share a board."""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.boards.wood.problem import Section, Supply, strip_nm
from nestcut.boards.wood.rails import Rail


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Rails of one material, and the supplies that any of them can be cut from."""

    name: str
    rails: tuple[Rail, ...]
    supplies: tuple[Supply, ...]

    @property
    def gives_one_width(self) -> bool:
        """Whether every board gives strips of one width only."""
        sections = {r.section for r in self.rails}
        return all(
            len({strip_nm(section, s.stock) for section in sections} - {None}) <= 1
            for s in self.supplies
        )


def group_rails(rails: tuple[Rail, ...], supplies: tuple[Supply, ...]) -> tuple[Group, ...]:
    """Put rails together where stock connects their sections; in order of first appearance."""
    sections: list[tuple[str, Section]] = []
    for rail in rails:
        key = (rail.part.material, rail.section)
        if key not in sections:
            sections.append(key)
    family = {key: key for key in sections}

    def head(key: tuple[str, Section]) -> tuple[str, Section]:
        while family[key] != key:
            key = family[key]
        return key

    serving: dict[int, list[tuple[str, Section]]] = {}
    for s, supply in enumerate(supplies):
        served = [
            (material, section)
            for material, section in sections
            if material == supply.stock.material and strip_nm(section, supply.stock) is not None
        ]
        serving[s] = served
        for other in served[1:]:
            a, b = sorted((head(served[0]), head(other)), key=sections.index)
            family[b] = a
    groups = []
    for key in sections:
        if head(key) != key:
            continue
        own = [k for k in sections if head(k) == key]
        groups.append(
            _group(
                tuple(r for r in rails if (r.part.material, r.section) in own),
                tuple(
                    supply for s, supply in enumerate(supplies) if any(k in own for k in serving[s])
                ),
            )
        )
    return tuple(groups)


def _group(rails: tuple[Rail, ...], supplies: tuple[Supply, ...]) -> Group:
    """Call a group by its boards, as the yard does; by its rails where nothing is sold for them."""
    boards = dict.fromkeys(s.stock.name for s in supplies)
    names = boards or dict.fromkeys(r.part.name for r in rails)
    return Group(name=", ".join(names), rails=rails, supplies=supplies)
