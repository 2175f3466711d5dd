"""``nestcut check``: what was understood, echoed with units."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import click

from nestcut.cli.drawn import write_drawings
from nestcut.cli.talk import say, show_findings
from nestcut.errors import Finding, blocking
from nestcut.geometry.rings import shape_area_mm2, true_bounds_mm
from nestcut.intake.job import Understanding, understand_job
from nestcut.intake.pictures import job_fragments, pictures_of
from nestcut.jobfile.records import Written
from nestcut.joints.kinds import KINDS
from nestcut.model.job import Job
from nestcut.model.part import Hands, RailPart, SheetPart
from nestcut.model.stock import BoardLength, BoardStock, SheetStock
from nestcut.outlet import free_names
from nestcut.papers.draw import svg_png
from nestcut.papers.view import grouped, many, spelling_findings
from nestcut.pictures import page
from nestcut.planning.fit import find_misfits
from nestcut.units import format_length, format_mm, format_slope
from nestcut.words import finding_record, speech_of

_PIECES = {Hands.NONE: 1, Hands.PAIR: 2, Hands.PORT: 1, Hands.STARBOARD: 1}


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """One part as understood. Sizes in mm, area in mm2 each."""

    name: str
    pieces: int
    count: int
    hand: str
    length_mm: float
    width_mm: float
    area_mm2: float
    thickness_mm: float
    material: str
    grain: str
    turn: str
    holes: int
    allowance_mm: float
    joint: str
    cut_from: str


def run_check(path: Path, *, as_json: bool, draw: Path | None) -> int:
    """Print what is understood of a job; exit 3 if anything stands in the way of a plan."""
    understanding = understand_job(path)
    findings = understanding.findings
    if understanding.is_usable:
        findings = (*findings, *find_misfits(understanding.job))
    findings = (*findings, *spelling_findings(understanding.job))
    if draw is not None:
        _draw(path, draw, understanding)
    if as_json:
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


PAGE = "check.html"


def _draw(job: Path, folder: Path, understanding: Understanding) -> None:
    """Write every picture, and one page of those of the job itself."""
    drawn = pictures_of(job)
    fragments = job_fragments(understanding)
    names = free_names([*(Path(file).stem for file, _ in drawn), *(f.name for f in fragments)])
    svgs = [*(svg for _, svg in drawn), *(f.svg for f in fragments)]
    files = {f"{name}.svg": svg.encode() for name, svg in zip(names, svgs, strict=True)}
    shown = zip(drawn, names, strict=False)
    files |= {f"{name}.png": svg_png(svg) for (_, svg), name in shown}
    if fragments:
        title = f"{understanding.job.name}: what was understood"
        files[PAGE] = page(title, fragments, "To scale, each picture by itself.").encode()
    write_drawings(folder, files)
    for (file, _), name in zip(drawn, names, strict=False):
        say(f"drawn: {folder / name}.svg and .png ({file})")
    if fragments:
        say(f"drawn: {folder / PAGE}, and each of its pictures beside it")
    if not files:
        say("nothing to draw: no part was understood.")


def part_rows(job: Job) -> tuple[PartRow, ...]:
    """Describe every flat part."""
    return tuple(_row(job, p) for p in job.sheet_parts)


def _row(job: Job, part: SheetPart) -> PartRow:
    x0, y0, x1, y1 = true_bounds_mm(part.shape.outline)
    joint = "must come out whole"
    if part.joint is not None:
        slope = f" {format_slope(part.joint.slope)}" if KINDS[part.joint.kind].laps else ""
        at = part.joint.at_mm
        places = "where it suits" if at is None else "at " + ", ".join(_length(job, a) for a in at)
        joint = f"{part.joint.kind}{slope} {places}"
    return PartRow(
        name=part.name,
        pieces=part.count * _PIECES[part.hands],
        count=part.count,
        hand=part.hands.value,
        length_mm=round(x1 - x0, 3),
        width_mm=round(y1 - y0, 3),
        area_mm2=round(shape_area_mm2(part.shape), 3),
        thickness_mm=part.thickness_mm,
        material=part.material,
        grain=part.grain.value,
        turn=part.turning.value,
        holes=len(part.shape.holes),
        allowance_mm=part.allowance_mm,
        joint=joint,
        cut_from=part.cut_from.value,
    )


def _counted(what: str, read: int, to_make: int, missed: int) -> str:
    """Count what was written; how many there are to make is known only if all were understood."""
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
    shown = [("?" if mm is None else _length(job, mm)) for mm in (kerf, gap)]
    apart = "?" if kerf is None or gap is None else _length(job, kerf + gap)
    return f"saw: kerf {shown[0]}, gap {shown[1]}: pieces keep {apart} apart"


def _print(understanding: Understanding) -> None:
    job, written = understanding.job, understanding.written
    rows = part_rows(job)
    n_rails = sum(r.count * _PIECES[r.hands] for r in job.rail_parts)
    n_parts = sum(r.pieces for r in rows)
    parts = _counted("flat part", len(rows), n_parts, understanding.missed_parts)
    rails = _counted("rail", len(job.rail_parts), n_rails, understanding.missed_rails)
    has_rails = bool(job.rail_parts or understanding.missed_rails)
    click.echo(f"{job.name}: {parts}{f'; {rails}' if has_rails else ''}")
    click.echo(_saw_line(job, written))
    click.echo("\nsheets")
    for sheet in job.sheet_stocks:
        click.echo(f"  {_sheet_line(job, sheet)}")
    if written.sheets > len(job.sheet_stocks):
        click.echo(f"  {written.sheets - len(job.sheet_stocks)} not understood")
    if written.boards:
        click.echo("\nboards")
    if written.boards > len(job.board_stocks):
        click.echo(f"  {written.boards - len(job.board_stocks)} not understood")
    for board in job.board_stocks:
        section = f"{_length(job, board.thickness_mm)} x {_length(job, board.width_mm)}"
        click.echo(
            f"  {board.name}: {board.material}, {section}{_yard(board)}{_own_saw(job, board)}"
        )
        for offer in board.lengths:
            click.echo(f"      {_offer_line(job, offer)}")
    names = [p.name for p in job.sheet_parts] + [r.name for r in job.rail_parts]
    wide = max((len(name) for name in names), default=0) + 1
    click.echo("\nparts (length along the drawing's x, then width)")
    for row in rows:
        size = f"{_length(job, row.length_mm)} x {_length(job, row.width_mm)}"
        how_many = _how_many(row.count, Hands(row.hand))
        click.echo(
            f"  {row.name:<{wide}} {how_many:>11}  {size:<24} "
            f"{_length(job, row.thickness_mm):>6} {row.material}, grain {row.grain}, "
            f"turn {row.turn}"
            + (f", {row.holes} hole{'s' if row.holes > 1 else ''}" if row.holes else "")
            + (f", + {_length(job, row.allowance_mm)} all round" if row.allowance_mm else "")
            + (f"; {row.joint}" if row.joint != "must come out whole" else "")
        )
    if job.rail_parts:
        click.echo("\nrails")
    for rail in job.rail_parts:
        click.echo(f"  {_rail_line(job, rail, wide)}")
    if job.assumed:
        click.echo("\nassumed, since nobody said otherwise")
    for line in grouped(job.assumed):
        click.echo(f"  {line}")


def _length(job: Job, length_mm: float) -> str:
    if job.style == "mm" and abs(length_mm - round(length_mm)) > 0.05:
        return f"{format_mm(length_mm, decimals=1)} mm"
    return format_length(length_mm, job.style, job.fraction)


def _price(job: Job, price_minor: int) -> str:
    return f"{price_minor / 100:.2f} {job.currency}".rstrip() if price_minor else "no price"


def _sheet_line(job: Job, sheet: SheetStock) -> str:
    size = f"{_length(job, sheet.length_mm)} x {_length(job, sheet.width_mm)}"
    source = f"{sheet.count} to hand"
    if sheet.is_to_buy:
        source = f"to buy, {_price(job, sheet.price_minor)}{_sale(sheet.pack, sheet.most)}"
    extra = f", {many(len(sheet.keep_outs), 'keep-out area')}" if sheet.keep_outs else ""
    shape = ", irregular" if sheet.outline is not None else ""
    return (
        f"{sheet.name}: {sheet.material} {_length(job, sheet.thickness_mm)}, {size}, {source}"
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
    apart = _length(job, job.cutting.on(stock).clearance_mm)
    return f"; {stock.saw.name}: pieces keep {apart} apart"


def _offer_line(job: Job, offer: BoardLength) -> str:
    source = f"{offer.count} to hand"
    if offer.is_to_buy:
        source = f"to buy, {_price(job, offer.price_minor)}{_sale(offer.pack, offer.most)}"
    return f"{_length(job, offer.length_mm)}, {source}"


def _rail_line(job: Job, rail: RailPart, wide: int) -> str:
    section = f"{_length(job, rail.thickness_mm)} x {_length(job, rail.width_mm)}"
    how_many = _how_many(rail.count, rail.hands)
    joint = "in one length"
    if rail.joint is not None:
        joint = f"scarf {format_slope(rail.joint.slope)} where boards are too short"
    return (
        f"{rail.name:<{wide}} {how_many:>11}  {_length(job, rail.length_mm)} of {section} "
        f"{rail.material}, {joint}"
    )


def _document(understanding: Understanding, findings: tuple[Finding, ...]) -> dict[str, object]:
    from dataclasses import asdict

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
                "pieces": r.count * _PIECES[r.hands],
                "hand": r.hands.value,
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
