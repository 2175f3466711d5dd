"""``nestcut check``: what was understood, echoed with units."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import click

from nestcut.cli.form import Form
from nestcut.cli.talk import say, show, show_findings
from nestcut.cli.verbs.drawn import write_drawings
from nestcut.door.findings import Finding, blocking, finding_record, speech_of
from nestcut.door.job import (
    PIECES_OF,
    BoardLength,
    BoardStock,
    Hands,
    Job,
    RailPart,
    SheetStock,
    Understanding,
    Written,
    check_job,
    find_misfits,
    find_oversize,
    grouped,
    length_in,
    many,
    part_rows,
    picture_files,
    reading_limits,
)
from nestcut.door.lengths import format_slope
from nestcut.door.papers import spelling_findings


def run_check(path: Path, *, form: Form, draw: Path | None) -> int:
    """Print what is understood of a job; exit 3 if anything stands in the way of a plan.

    Parameters
    ----------
    path
        The job file.
    form
        Who reads what is printed.
    draw
        Where to write the page of pictures; None: nowhere.
    """
    understanding = check_job(path)
    findings = understanding.findings
    fitted = find_misfits if understanding.is_usable else find_oversize
    findings = (
        *findings,
        *fitted(understanding.job),
        *reading_limits(understanding),
        *spelling_findings(understanding.job),
    )
    if draw is not None:
        _draw(path, draw, understanding)
    if form is Form.JSON:
        click.echo(json.dumps(_document(understanding, findings), indent=1, ensure_ascii=False))
    elif understanding.written.is_anything:
        _print(understanding)
    show_findings(findings, speech_of(understanding.job))
    n = len(blocking(findings))
    if n:
        say(f"{n} to settle before there can be a plan.")
        return 3
    say("Everything needed for a plan is there.")
    return 0


def _draw(job: Path, folder: Path, understanding: Understanding) -> None:
    """Write every picture, and one page of those of the job itself."""
    made = picture_files(job, understanding)
    write_drawings(folder, made.files)
    for file, name in made.drawn:
        say(f"drawn: {folder / name}.svg and .png ({file})")
    if made.page:
        say(f"drawn: {folder / made.page}, and each of its pictures beside it")
    if not made.files:
        say("nothing to draw: no part was understood.")


def _counted(what: str, read: int, to_make: int, missed: int) -> str:
    """Count what was written; how many there are to make is known only if all were understood."""
    if missed and not read:
        return f"{many(missed, what)}, not understood"
    if missed:
        return f"{many(read + missed, what)}, {missed} of them not understood"
    return f"{many(read, what)}, {to_make} to make"


def _how_many(count: int, hands: Hands) -> str:
    if hands is Hands.PAIR:
        return many(count, "pair")
    if hands is Hands.NONE:
        return str(count)
    return f"{count} {hands.value}"


def _saw_line(job: Job, written: Written) -> str:
    kerf, gap = written.kerf_mm, written.gap_mm
    shown = [("?" if mm is None else length_in(job, mm)) for mm in (kerf, gap)]
    apart = "?" if kerf is None or gap is None else length_in(job, kerf + gap)
    return f"saw: kerf {shown[0]}, gap {shown[1]}: pieces keep {apart} apart"


_MOST_PADDED = 32
"""Names that are longer stand out of their column, or they would pad all rows. [characters]"""


def _print(understanding: Understanding) -> None:
    job, written = understanding.job, understanding.written
    rows = part_rows(job)
    n_rails = sum(r.count * PIECES_OF[r.hands] for r in job.rail_parts)
    n_parts = sum(r.pieces for r in rows)
    parts = _counted("flat part", len(rows), n_parts, understanding.missed_parts)
    rails = _counted("rail", len(job.rail_parts), n_rails, understanding.missed_rails)
    has_rails = bool(job.rail_parts or understanding.missed_rails)
    show(f"{job.name}: {parts}{f'; {rails}' if has_rails else ''}")
    show(_saw_line(job, written))
    show("\nsheets")
    for sheet in job.sheet_stocks:
        show(f"  {_sheet_line(job, sheet)}")
    if written.sheets > len(job.sheet_stocks):
        show(f"  {written.sheets - len(job.sheet_stocks)} not understood")
    if written.boards:
        show("\nboards")
    if written.boards > len(job.board_stocks):
        show(f"  {written.boards - len(job.board_stocks)} not understood")
    for board in job.board_stocks:
        section = f"{length_in(job, board.thickness_mm)} x {length_in(job, board.width_mm)}"
        show(f"  {board.name}: {board.material}, {section}{_yard(board)}{_own_saw(job, board)}")
        for offer in board.lengths:
            show(f"      {_offer_line(job, offer)}")
    names = [p.name for p in job.sheet_parts] + [r.name for r in job.rail_parts]
    wide = min(_MOST_PADDED, max((len(name) for name in names), default=0)) + 1
    show("\nparts (length along the drawing's x, then width)")
    for row in rows:
        size = f"{length_in(job, row.length_mm)} x {length_in(job, row.width_mm)}"
        how_many = _how_many(row.count, Hands(row.hand))
        show(
            f"  {row.name:<{wide}} {how_many:>11}  {size:<24} "
            f"{length_in(job, row.thickness_mm):>6} {row.material}, grain {row.grain}, "
            f"turn {row.turn}"
            + (f", {row.holes} hole{'s' if row.holes > 1 else ''}" if row.holes else "")
            + (f", + {length_in(job, row.allowance_mm)} all round" if row.allowance_mm else "")
            + (f"; {row.joint}" if row.joint != "must come out whole" else "")
        )
    if job.rail_parts:
        show("\nrails")
    for rail in job.rail_parts:
        show(f"  {_rail_line(job, rail, wide)}")
    if job.assumed:
        show("\nassumed, since nobody said otherwise")
    for line in grouped(job.assumed):
        show(f"  {line}")


def _price(job: Job, price_minor: int) -> str:
    return f"{price_minor / 100:.2f} {job.currency}".rstrip() if price_minor else "no price"


def _sheet_line(job: Job, sheet: SheetStock) -> str:
    size = f"{length_in(job, sheet.length_mm)} x {length_in(job, sheet.width_mm)}"
    source = f"{sheet.count} to hand"
    if sheet.is_to_buy:
        source = f"to buy, {_price(job, sheet.price_minor)}{_sale(sheet.pack, sheet.most)}"
    extra = f", {many(len(sheet.keep_outs), 'keep-out area')}" if sheet.keep_outs else ""
    shape = ", irregular" if sheet.outline is not None else ""
    return (
        f"{sheet.name}: {sheet.material} {length_in(job, sheet.thickness_mm)}, {size}, {source}"
        f"{shape}{extra}{_yard(sheet)}{_own_saw(job, sheet)}"
    )


def _sale(pack: int, most: int | None) -> str:
    """How the yard sells it: in packs, no more than so many."""
    packs = f" in packs of {pack}" if pack > 1 else ""
    return packs + (f", {most} at most" if most is not None else "")


def _yard(stock: SheetStock | BoardStock) -> str:
    """Who sells it, and what is bought beyond what is cut."""
    yard = f", from {stock.supplier}" if stock.supplier else ""
    spare = stock.spare
    more = [f"{spare.count} spare"] if spare.count else []
    more += [f"{spare.share * 100:g} % spare"] if spare.share else []
    return "".join([yard, *(f", {m}" for m in more)])


def _own_saw(job: Job, stock: SheetStock | BoardStock) -> str:
    """Which saw cuts a stock, where it isn't the usual one."""
    if stock.saw is None or not stock.saw.name:
        return ""
    apart = length_in(job, job.cutting.on(stock).clearance_mm)
    return f"; {stock.saw.name}: pieces keep {apart} apart"


def _offer_line(job: Job, offer: BoardLength) -> str:
    source = f"{offer.count} to hand"
    if offer.is_to_buy:
        source = f"to buy, {_price(job, offer.price_minor)}{_sale(offer.pack, offer.most)}"
    return f"{length_in(job, offer.length_mm)}, {source}"


def _rail_line(job: Job, rail: RailPart, wide: int) -> str:
    section = f"{length_in(job, rail.thickness_mm)} x {length_in(job, rail.width_mm)}"
    how_many = _how_many(rail.count, rail.hands)
    joint = "in one length"
    if rail.joint is not None:
        joint = f"scarf {format_slope(rail.joint.slope)} where boards are too short"
    return (
        f"{rail.name:<{wide}} {how_many:>11}  {length_in(job, rail.length_mm)} of {section} "
        f"{rail.material}, {joint}"
        + (f", planed from {length_in(job, rail.planed_from_mm)}" if rail.planed_from_mm else "")
    )


def _document(understanding: Understanding, findings: tuple[Finding, ...]) -> dict[str, object]:
    job = understanding.job
    return {
        "format": "nestcut check",
        "version": 1,
        "job": {"name": job.name, "file": job.file, "sha256": job.sha256},
        "kerf_mm": understanding.written.kerf_mm,
        "gap_mm": understanding.written.gap_mm,
        "not_understood": {
            "parts": understanding.missed_parts,
            "rails": understanding.missed_rails,
            "sheets": understanding.written.sheets - len(job.sheet_stocks),
            "boards": understanding.written.boards - len(job.board_stocks),
        },
        "parts": [asdict(r) for r in part_rows(job)],
        "rails": [
            {
                "name": r.name,
                "material": r.material,
                "length_mm": r.length_mm,
                "thickness_mm": r.thickness_mm,
                "width_mm": r.width_mm,
                "pieces": r.count * PIECES_OF[r.hands],
                "hand": r.hands.value,
                "planed_from_mm": r.planed_from_mm,
            }
            for r in job.rail_parts
        ],
        "sheets": [
            {
                "name": s.name,
                "material": s.material,
                "thickness_mm": s.thickness_mm,
                "length_mm": s.length_mm,
                "width_mm": s.width_mm,
                "count": s.count,
                "price": s.price_minor / 100,
            }
            for s in job.sheet_stocks
        ],
        "boards": [
            {
                "name": b.name,
                "material": b.material,
                "thickness_mm": b.thickness_mm,
                "width_mm": b.width_mm,
                "lengths": [
                    {"length_mm": o.length_mm, "count": o.count, "price": o.price_minor / 100}
                    for o in b.lengths
                ],
            }
            for b in job.board_stocks
        ],
        "assumed": list(job.assumed),
        "findings": [finding_record(f, speech_of(job)) for f in findings],
        "usable": not blocking(findings),
    }
