"""Weights and coating in words, the same on every paper."""

from __future__ import annotations

from nestcut.papers.lists.amounts import Amounts, epoxy_source, paint_source
from nestcut.papers.view import Figures


def weight_words(amounts: Amounts, figures: Figures) -> str:
    """What the pieces weigh together, in a sentence; empty where no density is known."""
    if not any(w.kilograms for w in amounts.weights):
        return ""
    whose = "The pieces weigh" if amounts.is_all_known else "Pieces of known density weigh"
    return f"{whose} about {figures.weights(amounts.kilograms)}."


def amount_words(amounts: Amounts, figures: Figures) -> tuple[str, ...]:
    """Weights by material with their sources, the area to coat and what covers it."""
    if amounts.coat_mm2 <= 0.0:
        return ()
    each = []
    for w in amounts.weights:
        weight = "no density at hand" if w.kilograms is None else figures.weights(w.kilograms)
        each.append(f"{w.material} {figures.thickness(w.thickness_mm)} {weight}")
    by_source: dict[str, list[str]] = {}
    for w in amounts.weights:
        if w.source and w.material not in by_source.setdefault(w.source, []):
            by_source[w.source].append(w.material)
    sources = "; ".join(f"{', '.join(names)}: {said}" for said, names in by_source.items())
    told = [f"{weight_words(amounts, figures)} {', '.join(each)}.".strip()]
    if sources:
        told.append(f"Densities of {sources}. Estimates, without glue, cloth and fastenings.")
    epoxy, paint = (
        f"{figures.volume(low)} to {figures.volume(high)}"
        for low, high in (amounts.epoxy_litres, amounts.paint_litres)
    )
    told += [
        f"Area to coat: {figures.area(amounts.face_mm2)} (one face of every piece) to "
        f"{figures.area(amounts.coat_mm2)} (both faces and all edges), as trimmed, "
        "overlaps counted twice.",
        f"Epoxy for both faces and all edges {epoxy} mixed: {epoxy_source(figures.style)}; "
        "cloth and fillets come on top.",
        f"Paint for the same {paint}: {paint_source(figures.style)}.",
    ]
    return tuple(told)
