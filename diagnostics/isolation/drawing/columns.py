"""Spines and what stands beside them: the one shape that every drawing is made of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from diagnostics.isolation.drawing import sizes
from diagnostics.isolation.drawing.branches import Branch, arranged, split
from diagnostics.isolation.drawing.lettering import LINE
from diagnostics.isolation.drawing.picture import Rect
from diagnostics.isolation.drawing.plan import (
    SPREAD_LEAST,
    SPREAD_LEG,
    SPREAD_STEP,
    SPREAD_STUB,
    Group,
    Placed,
    Plan,
)
from diagnostics.isolation.drawing.sheet import Sheet, Side
from diagnostics.isolation.drawing.wiring import (
    beside_drop,
    beside_leg,
    fits,
    line_of_words,
    room_below,
    words_of,
)


@dataclass(frozen=True, slots=True)
class Columns:
    """Draws branches on a sheet after a plan."""

    sheet: Sheet
    plan: Plan

    def column(self, root: Branch, sides: tuple[Side, ...], start: float, y: float, level: int) -> Placed:
        """Draw a branch downwards from y: its spine, and what stands beside each place of it."""
        current: Branch | None = root
        middle, turn, bottom = None, 0, y
        while current is not None:
            beside, onward = split(current, level)
            box, bottom = self._trunk_box(current, sides, start, bottom, beside, level, current is root)
            middle = box.middle if middle is None else middle
            foot = box.bottom
            if self._is_joint(current, beside, sides, level):
                bottom = max(bottom, self._inline(beside, box, sides, turn))
                turn += len(beside)
            elif beside:
                foot, bottom = self._comb(beside, sides, start, box.bottom, bottom, level)
            if onward is not None:
                bottom = self._drop(current, onward, sides, start, (foot, bottom), level)
            current = onward
        return Placed(middle or y, middle or y, bottom)

    # ---- the spine

    def _spine(self, sides: tuple[Side, ...], start: float) -> float:
        return sides[0].axis if len(sides) == 2 else sides[0].x(start + sizes.SPINE_AT)

    def _trunk_box(
        self,
        branch: Branch,
        sides: tuple[Side, ...],
        start: float,
        y: float,
        beside: list[Branch],
        level: int,
        is_first: bool,
    ) -> tuple[Rect, float]:
        side, place = sides[-1], branch.place
        width = max(sizes.NARROWEST, min(sizes.TRUNK_BOX, side.limit - start - sizes.MARGIN))
        if len(sides) == 2:
            width = -2 * start
        if self._is_joint(branch, beside, sides, level):
            start, width = (-sizes.JOINT / 2 if len(sides) == 2 else start), sizes.JOINT
        inset = 0.0 if is_first or len(sides) == 2 else sizes.SPINE_AT + 9
        y = self._notes(branch, side.rect(start, y, width, 0), y, inset)
        has_zone = self.sheet.has_zone(place) and not self._is_joint(branch, beside, sides, level)
        stands_beside, has_head = has_zone and len(sides) == 2, has_zone and len(sides) == 1
        y += (
            sizes.HEAD
            if has_head
            else sizes.MARGIN
            if stands_beside
            else self._joint_shift(branch, sides, level)
        )
        box = self.sheet.put(place, side, start, y, width)
        if has_head:
            self.sheet.panel(place.zone, box, inset=inset if side.sign > 0 else 0.0)
        elif stands_beside:
            self.sheet.panel_beside(place.zone, box)
        return box, box.bottom + (sizes.MARGIN if has_zone else 0.0)

    def _notes(self, branch: Branch, box: Rect, y: float, inset: float) -> float:
        """Name the extra links of a place above its box."""
        for wire, other in self.plan.notes.get(branch.place.id, []):
            words = line_of_words(self.sheet.marks.of_wire(wire.id), f"link to {other}") or f"link to {other}"
            self.sheet.note(wire.id, words, box.x + inset, y, box.width - inset)
            y += LINE
        return y

    def _drop(
        self,
        upper: Branch,
        lower: Branch,
        sides: tuple[Side, ...],
        start: float,
        heights: tuple[float, float],
        level: int,
    ) -> float:
        """Draw the wire from one place of a spine to the next and return where that one may begin."""
        foot, y = heights
        wire = lower.wire
        assert wire is not None
        words = [(wire.label, "label")] if wire.label else []
        words += words_of(self.sheet.marks.of_wire(wire.id)).every
        spine, side = self._spine(sides, start), sides[-1]
        free = side.limit - start - sizes.SPINE_AT if len(sides) == 1 else side.limit
        texts = beside_drop(words, spine, y + 6, free, side.sign)
        y += max(sizes.ONWARD, 14 + LINE * len(words))
        top = self._top_of(lower, sides, y, level)
        self.sheet.connect(wire, ((spine, foot), (spine, top)), upper.place.id, *texts)
        return y

    def _top_of(self, branch: Branch, sides: tuple[Side, ...], y: float, level: int) -> float:
        """Where the upper edge of the box will be if its room begins at y."""
        y += LINE * len(self.plan.notes.get(branch.place.id, []))
        is_joint = self._is_joint(branch, split(branch, level)[0], sides, level)
        if is_joint or not self.sheet.has_zone(branch.place):
            return y + self._joint_shift(branch, sides, level)
        return y + (sizes.MARGIN if len(sides) == 2 else sizes.HEAD)

    # ---- one branch in the line of its joint

    def _is_joint(self, branch: Branch, beside: list[Branch], sides: tuple[Side, ...], level: int) -> bool:
        return (
            level == 0
            and branch.place.kind in ("splice", "connector")
            and 0 < len(beside) <= len(sides)
            and all(child.is_leaf for child in beside)
            and branch.place.id not in self.plan.looped
            # A panel of its own needs the room beside it; that of its branch is named there.
            and (
                not self.sheet.has_zone(branch.place)
                or all(child.place.zone == branch.place.zone for child in beside)
            )
        )

    def _joint_shift(self, branch: Branch, sides: tuple[Side, ...], level: int) -> float:
        """How far a joint stands below the upper edge of its row, so that its branch is level with it."""
        beside = split(branch, level)[0]
        if not self._is_joint(branch, beside, sides, level):
            return 0.0
        own = self.sheet.letter(branch.place, sizes.JOINT).height / 2
        edge = sizes.JOINT if len(sides) == 1 else sizes.JOINT / 2
        return max(0.0, *(self._inline_rise(child, sides[-1], edge) - own for child in beside))

    def _inline_rise(self, child: Branch, side: Side, edge: float) -> float:
        """How far below the upper edge of its row the box of an inline branch has its middle."""
        leg = self._inline_leg()
        height = self.sheet.letter(child.place, self._width(side, edge + leg + sizes.MARGIN)).height
        head = sizes.HEAD if self.sheet.has_zone(child.place) else 0.0
        notes = len(self.plan.notes.get(child.place.id, [])) + self._lines_above(child, leg)
        return head + LINE * notes + height / 2

    def _inline_leg(self) -> float:
        return min(self.plan.leg(0), sizes.WORDS_FROM + sizes.MARGIN)

    def _inline(self, beside: list[Branch], joint: Rect, sides: tuple[Side, ...], turn: int) -> float:
        """Draw the branch of a joint in its own row, left and right by turns; return the lower edge."""
        bottom = joint.bottom
        for place, child in enumerate(beside):
            side = sides[(turn + place) % len(sides)]
            edge = side.u(joint) + joint.width
            leg = self._inline_leg()
            width = self._width(side, edge + leg + sizes.MARGIN)
            top = joint.middle - self._inline_rise(child, side, edge)
            stacked = self._stack([([child], 1)], side, edge, top, leg, width)
            bottom = max(bottom, stacked.bottom)
        return bottom

    # ---- legs in rows

    def _comb(
        self, beside: list[Branch], sides: tuple[Side, ...], start: float, foot: float, y: float, level: int
    ) -> tuple[float, float]:
        """Draw legs in rows on a bar from `foot` down; return the foot of the bar and the lower edge."""
        groups = [(group, level + 1) for group in arranged(beside)]
        edge = sizes.BAR / 2 + (0.0 if len(sides) == 2 else start + sizes.SPINE_AT)
        leg = self.plan.leg(level)
        halves = [groups] if len(sides) == 1 else self._halves(groups, sides[1], edge, leg)
        bottom, last = y, y
        for side, half in zip(sides, halves, strict=True):
            if half:
                width = self._spread_width(half, side, edge + leg + sizes.MARGIN)
                stacked = self._stack(half, side, edge, y + sizes.GAP, leg, width)
                bottom, last = max(bottom, stacked.bottom), max(last, stacked.last)
        spine = self._spine(sides, start)
        self.sheet.bar(Rect(spine - sizes.BAR / 2, foot, sizes.BAR, last + 9 - foot))
        return last + 9, max(bottom, last + 9)

    def _halves(self, groups: list[Group], side: Side, edge: float, leg: float) -> list[list[Group]]:
        """Part legs between left and right so that both are about as high; the first stand left."""
        if len(groups) == 1:
            (members, level), half = groups[0], (len(groups[0][0]) + 1) // 2
            return [[(members[:half], level)], [(members[half:], level)] if members[half:] else []]
        trial = Columns(self.sheet.scratch(), self.plan)
        width = self._width(side, edge + leg + sizes.MARGIN)
        heights = [trial._stack([group], side, edge, 0.0, leg, width).bottom + sizes.GAP for group in groups]
        whole = sum(heights)
        sums = [0.0, *accumulate(heights)]
        cut = min(range(len(sums)), key=lambda place: (max(sums[place], whole - sums[place]), -place))
        return [groups[:cut], groups[cut:]]

    def _width(self, side: Side, u: float) -> float:
        return max(sizes.NARROWEST, min(sizes.BOX, side.limit - u - sizes.MARGIN))

    def _spread_width(self, groups: Sequence[Group], side: Side, u: float) -> float:
        """How wide boxes are so that the branches that can spread stand in columns."""
        depths = [child.depth for group, _ in groups for child in group if self._can_spread(child, side, u)]
        return _share(side, u, max(depths, default=1)) if depths else self._width(side, u)

    def _can_spread(self, branch: Branch, side: Side, u: float) -> bool:
        return self.plan.spreads and _share(side, u, branch.depth) >= SPREAD_LEAST

    def _stack(
        self, groups: list[Group], side: Side, edge: float, y: float, leg: float, width: float
    ) -> Placed:
        """Draw branches one below the other from y on, their legs leaving at `edge`."""
        middles: list[float] = []
        u = edge + leg + sizes.MARGIN
        for number, (group, level) in enumerate(groups):
            y += sizes.GAP if number else 0.0
            first = group[0]
            if first.is_leaf:
                y = self._rows(group, side, (edge, leg, u), y, width, middles)
                continue
            y = self._above(first, leg, side.rect(u, y, width, 0), y)
            if self._can_spread(first, side, u) and _share(side, u, first.depth) >= width:
                placed = self._spread(first, side, u, y, width, level)
            else:
                placed = self.column(first, (side,), u, y, level)
            self._leg(first, side, edge, u, placed.middle)
            middles.append(placed.middle)
            y = placed.bottom
        return Placed(middles[0], middles[-1], y)

    def _rows(
        self,
        group: list[Branch],
        side: Side,
        leg_at: tuple[float, float, float],
        y: float,
        width: float,
        middles: list[float],
    ) -> float:
        """Draw ends, one a row, all behind one panel if they lie in a zone; return the lower edge."""
        edge, leg, u = leg_at
        zone = group[0].place.zone if self.sheet.has_zone(group[0].place) else ""
        y += sizes.HEAD if zone else 0.0
        top = y
        for number, child in enumerate(group):
            y += sizes.GAP if number else 0.0
            y = self._notes(child, side.rect(u, y, width, 0), y, 0.0)
            y = self._above(child, leg, side.rect(u, y, width, 0), y)
            box = self.sheet.put(child.place, side, u, y, width)
            self._leg(child, side, edge, u, box.middle)
            middles.append(box.middle)
            y = max(box.bottom, box.middle + self._room_below(child, leg))
        if zone:
            self.sheet.panel(zone, side.rect(u, top, width, y - top))
            y += sizes.MARGIN
        return y

    # ---- the wire of a leg

    def _lines_above(self, branch: Branch, leg: float) -> int:
        assert branch.wire is not None
        mark = self.sheet.marks.of_wire(branch.wire.id)
        return int(not fits(words_of(mark), leg) and bool(words_of(mark).every))

    def _room_below(self, branch: Branch, leg: float) -> float:
        assert branch.wire is not None
        said = words_of(self.sheet.marks.of_wire(branch.wire.id))
        return room_below(said) if fits(said, leg) else 0.0

    def _above(self, branch: Branch, leg: float, box: Rect, y: float) -> float:
        """Put the words of a leg that is too short for them above its box."""
        assert branch.wire is not None
        if not self._lines_above(branch, leg):
            return y
        words = line_of_words(self.sheet.marks.of_wire(branch.wire.id), "wire")
        self.sheet.note(branch.wire.id, words, box.x, y, box.width)
        return y + LINE

    def _leg(self, branch: Branch, side: Side, edge: float, u: float, y: float) -> None:
        """Draw the wire from the spine to a box, its words along it where they fit."""
        wire = branch.wire
        assert wire is not None
        said = words_of(self.sheet.marks.of_wire(wire.id))
        x0, x1 = side.x(edge), side.x(u)
        inner = side.x(u - sizes.MARGIN)
        texts = beside_leg(said, x0, inner, y) if fits(said, abs(inner - x0)) else ()
        above = wire.start if wire.end == branch.place.id else wire.end
        self.sheet.connect(wire, ((x0, y), (x1, y)), above, *texts)

    # ---- a supply that spreads outward

    def _spread(self, branch: Branch, side: Side, u: float, y: float, width: float, level: int) -> Placed:
        """Draw a branch outward, each place beside the one it hangs on, the first in the same row."""
        height = self.sheet.letter(branch.place, width).height
        head = sizes.HEAD if self.sheet.has_zone(branch.place) else 0.0
        beside, onward = split(branch, level)
        groups: list[Group] = [(group, level + 1) for group in arranged(beside)]
        groups += [([onward], level)] if onward else []
        if not groups:
            box = self.sheet.put(branch.place, side, u, y + head, width)
            bottom = box.bottom
        else:
            y = max(y, y + head + height / 2 - self._rise(groups[0], width))
            has_bar = len(groups) > 1 or len(groups[0][0]) > 1
            bar = u + width + sizes.MARGIN + SPREAD_STUB
            edge = bar + sizes.BAR if has_bar else u + width
            leg = SPREAD_STEP - sizes.MARGIN if not has_bar else SPREAD_LEG
            stacked = self._stack(groups, side, edge, y, leg, width)
            box = self.sheet.put(branch.place, side, u, stacked.middle - height / 2, width)
            if has_bar:
                self._side_bar(side, u + width, bar, (stacked.middle, stacked.last))
            bottom = max(box.bottom, stacked.bottom)
        if head:
            self.sheet.panel(branch.place.zone, box)
            bottom = max(bottom, box.bottom + sizes.MARGIN)
        return Placed(box.middle, box.middle, bottom)

    def _side_bar(self, side: Side, edge: float, bar: float, heights: tuple[float, float]) -> None:
        first, last = heights
        self.sheet.bar(side.rect(bar, first - 9, sizes.BAR, last - first + 18))
        self.sheet.bars.append(f"M{side.x(edge):g} {first:g}H{side.x(bar):g}")

    def _rise(self, group: Group, width: float) -> float:
        """How far below its upper edge the first branch of a group is met by its wire."""
        branch, level = group[0][0], group[1]
        head = sizes.HEAD if self.sheet.has_zone(branch.place) else 0.0
        own = head + self.sheet.letter(branch.place, width).height / 2
        beside, onward = split(branch, level)
        if not beside and onward is None:
            return own
        first: Group = (arranged(beside)[0], level + 1) if beside else ([onward], level)  # type: ignore[list-item]
        return max(own, self._rise(first, width))


def _share(side: Side, u: float, depth: int) -> float:
    """How wide boxes may be if `depth` of them stand in a row from u on."""
    room = side.limit - u - sizes.MARGIN - (depth - 1) * SPREAD_STEP
    return min(sizes.BOX, room / depth)
