"""Everything that must hold between a job and the files made from it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from shapely import box

from tests.second.asked import FlatPart, JobAsked, RailAsked, Stock, read_job
from tests.second.copies import LISTED_MM, Copy, Key, check_copy, copies_of, keys_of
from tests.second.drawing import Read, read_whole
from tests.second.flat import (
    SLACK_MM,
    Placed,
    check_piece,
    check_sheet,
    frame,
    loose_of,
    shares_of,
    stock_of,
)
from tests.second.joined import fits_strap, reassembled, wanted_straps
from tests.second.money import check_money
from tests.second.rails import check_boards, check_rail, is_clear, seat_of
from tests.second.written import DrawnPiece, DrawnSheet, Row, Written, number, read_written


@dataclass
class Verdict:
    """What is wrong, what couldn't be judged, and how much was looked at."""

    objections: list[str] = field(default_factory=list)
    not_judged: list[str] = field(default_factory=list)
    looked_at: Counter[str] = field(default_factory=Counter)


def judge(job_file: Path, folder: Path, read: Read = read_whole) -> Verdict:
    """Judge the DXF and CSV files of a folder by the job file alone."""
    job, written = read_job(job_file, read), read_written(folder, read)
    verdict = Verdict(not_judged=list(job.not_understood))
    _Judge(job, written, verdict).run()
    return verdict


class _Judge:
    def __init__(self, job: JobAsked, written: Written, verdict: Verdict) -> None:
        self.job, self.written, self.verdict = job, written, verdict
        self.copies = copies_of(written)
        self.placed: dict[str, list[Placed]] = {}
        self.used: Counter[tuple[str, float]] = Counter()
        self.from_hand: Counter[tuple[str, float]] = Counter()
        self.drawn: dict[str, tuple[DrawnSheet, DrawnPiece]] = {}
        self.rows = {r["piece"]: r for r in written.cut}
        self.stock: dict[str, Stock] = {}
        self.places: dict[str, DrawnSheet] = {}

    def object(self, *words: str) -> None:
        self.verdict.objections.extend(words)

    def run(self) -> None:
        self.sheets()
        self.parts()
        for sheet in self.written.sheets:
            if sheet.file in self.stock:
                placed = self.placed.get(sheet.file, [])
                self.object(*check_sheet(sheet, self.stock[sheet.file], placed))
                self.verdict.looked_at["sheets"] += 1
        self.boards()
        self.object(*check_money(self.job, self.written, self.used, self.from_hand))
        self.usage()

    def boards(self) -> None:
        """Rails in their boards, and which of these can come out of the shed."""
        self.object(*check_boards(self.job, self.written.cut))
        boards: dict[tuple[str, str, float], list[Row]] = {}
        for row in self.written.cut:
            if row["board mm"]:
                key = (row["from"], row["stock"], number(row["board mm"]))
                boards.setdefault(key, []).append(row)
        for (place, stock, length), rows in boards.items():
            alike = stock_of(self.job, stock, length)
            kind = (stock, alike[0].length_mm if alike else length)
            if place in self.places:  # parts are sawn from the same board: it is counted once
                self.object(*self._beside_parts(place, rows, stock))
                continue
            self.used[kind] += 1
            hand = [s for s in alike if s.count is not None]
            self.from_hand[kind] += any(all(is_clear(r, s) for r in rows) for s in hand)
        self.verdict.looked_at["boards"] += len(boards)

    def _beside_parts(self, place: str, rows: list[Row], stock: str) -> list[str]:
        """Rails keep the blade's width from all that is sawn from their board."""
        sheet = self.places[place]
        own = self.stock.get(sheet.file)
        if own is None or own.name != stock:
            return [f"{place}: rails from {stock}, parts from another stock"]
        seats = []
        for row in rows:
            a, b, low, high = seat_of(row)
            seats.append((row["piece"], box(a, low, b, high)))
        least = own.saw.kerf_mm - SLACK_MM - LISTED_MM
        return [
            f"{place}: {piece.name} is {shape.distance(seat):.2f} from {rail}"
            for piece in sheet.pieces
            for shape in [piece.cut]
            for rail, seat in seats
            if shape.distance(seat) < least
        ]

    # ---- what lies where ----

    def sheets(self) -> None:
        """Which stock each drawing is of, and which pieces are on it, by drawing and list alike."""
        listed: dict[str, set[str]] = {}
        for row in self.written.cut:
            if not row["board mm"]:
                listed.setdefault(row["from"], set()).add(row["piece"])
        seen: set[str] = set()
        for sheet in self.written.sheets:
            self.object(*sheet.faults)
            names = [p.name for p in sheet.pieces]
            places = {self.rows[n]["from"] for n in names}
            stocks = {self.rows[n]["stock"] for n in names}
            if len(places) != 1 or len(stocks) != 1:
                self.object(f"{sheet.file}: its pieces are listed on {sorted(places)}")
                continue
            place = places.pop()
            if place in seen or listed.get(place) != set(names) or len(names) != len(set(names)):
                self.object(f"{sheet.file}: not the pieces that are listed for {place}")
            seen.add(place)
            self.places[place] = sheet
            length = sheet.edge.bounds[2]
            stock = self._stock(stocks.pop(), sheet, length)
            if stock is None:
                self.object(f"{sheet.file}: no stock of the job is {length} long and so named")
                continue
            self.stock[sheet.file] = stock
            self.used[stock.name, stock.length_mm] += 1
            self.from_hand[stock.name, stock.length_mm] += any(
                s.count is not None and len(s.barred) == len(sheet.keep_outs)
                for s in stock_of(self.job, stock.name, length)
            )
            for piece in sheet.pieces:
                self.drawn[piece.name] = (sheet, piece)
                row = self.rows[piece.name]
                if (
                    row["lies"] in ("good face down", "either face, mirrored")
                ) != piece.is_face_down:
                    self.object(f"{piece.name}: face down on one of drawing and list only")
        for place in set(listed) - seen:
            self.object(f"{place}: listed, not drawn")

    def _stock(self, name: str, sheet: DrawnSheet, length: float) -> Stock | None:
        stocks = stock_of(self.job, name, length)
        if len(stocks) > 1:
            stocks = [s for s in stocks if len(s.barred) == len(sheet.keep_outs)] or stocks
        return stocks[0] if stocks else None

    # ---- what was asked for ----

    def parts(self) -> None:
        asked: tuple[FlatPart | RailAsked, ...] = (*self.job.parts, *self.job.rails)
        wanted = {key for p in asked for key in keys_of(p)}
        unplaced = {r["piece"] for r in self.written.unplaced}
        straps: list[tuple[FlatPart, Copy]] = []
        for part in self.job.parts:
            for key in keys_of(part):
                copy = self._copy(key, unplaced)
                if copy is not None:
                    self.flat(part, copy)
                    if part.joint and part.joint.kind == "butt strap" and len(copy.rows) > 1:
                        straps.append((part, copy))
        for rail in self.job.rails:
            for key in keys_of(rail):
                copy = self._copy(key, unplaced)
                if copy is not None:
                    self.object(*check_copy(rail, copy, rail.joint, rail.length_mm))
                    self.object(*check_rail(rail, copy))
                    self.verdict.looked_at["rail pieces"] += len(copy.rows)
        extra = {key: c for key, c in self.copies.items() if key not in wanted}
        self.straps(straps, extra)
        if self.job.not_understood and any(w.startswith("[") for w in self.job.not_understood):
            return
        unknown = [p.name for p in self.job.parts if p.shape is None]
        for key in extra:
            if any(key[0].startswith(f"{name} strap ") for name in unknown):
                self.verdict.not_judged.append(f"{key}")
                continue
            self.object(f"{key}: nobody asked for it")

    def _copy(self, key: Key, unplaced: set[str]) -> Copy | None:
        copy = self.copies.get(key)
        letter = {"": "", "port": "P", "starboard": "S"}[key[1]]
        name = f"{key[0]} {letter}{key[2]}"
        missing = [u for u in unplaced if u == name or u.startswith(f"{name} ")]
        if missing:
            self.verdict.looked_at["told as not placed"] += 1
            return None
        if copy is None or not copy.rows:
            self.object(f"{name}: asked for, not there")
            return None
        return copy

    def flat(self, part: FlatPart, copy: Copy) -> None:
        length = None
        if part.shape is not None and part.joint is not None:
            low, high, _ = frame(part, part.joint)
            length = high - low
        self.object(*check_copy(part, copy, part.joint, length))
        for row in copy.rows:
            if abs(number(row["thickness mm"]) - part.thickness_mm) > 0.006:
                self.object(f"{row['piece']}: {row['thickness mm']} thick")
            if part.material is not None and row["material"] != part.material:
                self.object(f"{row['piece']}: of {row['material']}")
        drawn = [self.drawn.get(r["piece"]) for r in copy.rows]
        if any(d is None for d in drawn):
            self.object(f"{copy.words}: a piece isn't drawn")
            return
        on_sheets = [d for d in drawn if d is not None]
        for sheet, piece in on_sheets:
            self._check_stock(part, sheet, piece)
        shares = None if part.shape is None else shares_of(part, copy)
        if shares is None:
            if part.shape is None:
                self.verdict.not_judged.append(f"{copy.words}: outline")
            elif part.allowance_mm > 0.0:
                self.verdict.not_judged.append(f"{copy.words}: keyed pieces left oversize")
            else:
                self.object(*reassembled(part, copy, [p for _, p in on_sheets]))
                self.verdict.looked_at["keyed parts"] += 1
            for sheet, piece in on_sheets:
                self._put(sheet, Placed(piece, part, piece.cut, loose_of(part)))
            return
        for share, (sheet, piece) in zip(shares, on_sheets, strict=True):
            if sheet.file not in self.stock:
                continue
            stock = self.stock[sheet.file]
            said, placed = check_piece(part, share, piece, copy.key[1], stock)
            self.object(*said)
            self._put(sheet, placed or Placed(piece, part, piece.cut, loose_of(part)))
            self.verdict.looked_at["flat pieces"] += 1

    def _put(self, sheet: DrawnSheet, placed: Placed) -> None:
        self.placed.setdefault(sheet.file, []).append(placed)

    def _check_stock(self, part: FlatPart, sheet: DrawnSheet, piece: DrawnPiece) -> None:
        stock = self.stock.get(sheet.file)
        row: Row = self.rows[piece.name]
        if stock is None:
            return
        if (
            stock.kind != part.source
            or abs(stock.thickness_mm - part.thickness_mm) > 1e-6
            or stock.material != row["material"]
        ):
            self.object(f"{piece.name}: cut from {stock.name}")

    def straps(self, asked: list[tuple[FlatPart, Copy]], extra: dict[Key, Copy]) -> None:
        """Every butt has straps of its hand; one strap is used once."""
        for part, copy in asked:
            if part.shape is None:
                continue
            for want in wanted_straps(part, copy):
                found = None
                for key, other in extra.items():
                    name, hand, _ = other.key
                    if not name.startswith(f"{part.name} strap ") or hand != copy.key[1]:
                        continue
                    spot = self.drawn.get(other.rows[0]["piece"])
                    if spot and fits_strap(part, want, spot[1], hand):
                        found = key
                        sheet, piece = spot
                        strap = Placed(piece, part, piece.cut, 0.05)
                        self._put(sheet, strap)
                        self._check_stock(part, sheet, piece)
                        break
                if found is None:
                    self.object(f"{copy.words}: a butt without its strap")
                else:
                    del extra[found]
                    self.verdict.looked_at["straps"] += 1

    # ---- usage ----

    def usage(self) -> None:
        """Areas by sheet in usage.csv are those of stock and of drawn pieces, to its rounding."""
        unit = "m2" if self.written.usage and "area m2" in self.written.usage[0] else "ft2"
        to_mm2 = {"m2": 1e6, "ft2": 304.8**2}[unit]
        least = {"m2": 0.0011, "ft2": 0.011}[unit]
        lines = {r["of"]: r for r in self.written.usage}
        for sheet in self.written.sheets:
            if sheet.file not in self.stock or not sheet.pieces:
                continue
            place = self.rows[sheet.pieces[0].name]["from"]
            line = lines.get(place)
            if line is None:
                self.object(f"usage: no line for {place}")
                continue
            area = sum(p.cut.area for p in sheet.pieces) / to_mm2
            for row in self.rows.values():
                if row["from"] == place and row["across to mm"]:  # a rail of the same board
                    along_from, along_to, low, high = seat_of(row)
                    area += (along_to - along_from) * (high - low) / to_mm2
            if abs(number(line[f"pieces {unit}"]) - area) > least + 1e-4 * area:
                self.object(f"usage: {place} has pieces of {line[f'pieces {unit}']}, {area:.4f}")
            if abs(number(line[f"area {unit}"]) - sheet.edge.area / to_mm2) > least:
                self.object(f"usage: {place} is {line[f'area {unit}']}")
