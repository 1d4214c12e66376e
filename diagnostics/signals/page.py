"""What the page of a recorded signal shows."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from diagnostics.captures import drawing
from diagnostics.captures.digest import count_frames, frames
from diagnostics.job.forms.base import DIAGNOSIS
from diagnostics.models import Capture
from diagnostics.recording.captures import is_asked_for, shelf
from diagnostics.signals import computed
from shared.wording import percent_text

MARKS = ("", "ring", "peak", "box")  # By the place of a channel; the drawing of the server has the same.
PHASE_WORDS = {"before": "before the repair", "after": "after the repair"}
SHORT = 12  # Digits of a hash that a person compares.
MOST_OTHERS = 50


class CapturePage:
    """One recording for one reader. Properties are read when the template asks for them."""

    def __init__(self, capture: Capture, user: Any) -> None:
        self.capture, self.user = capture, user

    @property
    def phase(self) -> str:
        return PHASE_WORDS[self.capture.phase]

    @property
    def equipment(self) -> str:
        is_connected = self.capture.equipment_connected
        return "with test equipment connected" if is_connected else "without test equipment"

    @property
    def short_hash(self) -> str:
        return self.capture.sha256[:SHORT]

    @property
    def size(self) -> str:
        return size_text(self.capture.size)

    @property
    def state_url(self) -> str:
        return reverse("capture-state", args=[self.capture.pk])

    @cached_property
    def is_coming(self) -> bool:
        """Whether it is still being read, or waits for it."""
        return self.capture.status == Capture.Status.WAITING and is_asked_for(self.capture)

    @property
    def has_failed(self) -> bool:
        return self.capture.status == Capture.Status.WAITING and not self.is_coming

    # --- drawn -----------------------------------------------------------------------------------------

    @cached_property
    def picture(self) -> drawing.Picture:
        return capture_picture(self.capture)

    @property
    def said(self) -> str:
        return drawing.said(self.picture, self.capture.title)

    @property
    def svg(self) -> SafeString:
        """The whole as a picture of the page; every text in it is escaped by its maker."""
        return mark_safe(drawing.fluid_svg(self.picture, self.said))

    @property
    def small_svg(self) -> SafeString:
        return mark_safe(drawing.fluid_svg(self.picture, self.said, lane=drawing.SMALL_LANE))

    @property
    def lanes(self) -> list[dict[str, Any]]:
        """One lane a channel, for the page's own drawing."""
        return [
            lane_data(one, place, [trace(0, place, place, "ink", MARKS[place % len(MARKS)])])
            for place, one in enumerate(self.picture.lanes)
        ]

    @property
    def source(self) -> dict[str, Any]:
        """Where the drawing gets its windows, and how far the recording reaches."""
        return {
            "url": reverse("capture-window", args=[self.capture.pk]),
            "since": self.picture.since,
            "until": self.picture.until,
            "samples": self.capture.overview["samples"],
            "shift": 0,
            "start": 0,
        }

    @property
    def data(self) -> dict[str, Any]:
        return {"sources": [self.source], "lanes": self.lanes}

    @property
    def stretch(self) -> str:
        """How much was recorded: "2.5 s, 1,000,000 samples of 2 channels"."""
        samples = self.capture.overview["samples"]
        count = len(self.picture.lanes)
        channels = "1 channel" if count == 1 else f"{count} channels"
        length = drawing.quantity(self.picture.until - self.picture.since, "s")
        return f"{length}, {samples:,} samples of {channels}"

    # --- computed --------------------------------------------------------------------------------------

    @property
    def analysis(self) -> dict[str, Any]:
        return self.capture.analysis

    @property
    def states(self) -> tuple[computed.State, ...]:
        return computed.states(self.analysis, self._labels)

    @property
    def computed(self) -> tuple[computed.Row, ...]:
        return computed.rows(self.analysis, len(self.picture.lanes))

    @property
    def pulses(self) -> tuple[computed.Pulses, ...]:
        return computed.pulses(self.analysis, self._labels)

    @property
    def short_states(self) -> str:
        """The state of each channel, from what a list of recordings reads anyway."""
        return computed.short_states(self.capture.overview["channels"])

    @property
    def traffic(self) -> list[dict[str, Any]]:
        """What was decoded of each line, with its share of busy time in words."""
        return [
            {**one, "busy": f"{percent_text(one['busy_share'] or 0)} %", "on": " and ".join(one["channels"])}
            for one in self.analysis["traffic"]
        ]

    @property
    def _labels(self) -> list[str]:
        return [lane.label for lane in self.picture.lanes]

    @cached_property
    def frames(self) -> Frames:
        return Frames(self.capture)

    # --- what may be done ------------------------------------------------------------------------------

    @property
    def may_change(self) -> bool:
        return any(self.user.has_role(role) for role in DIAGNOSIS)

    def url(self, kind: str) -> str:
        """The address of a form that changes this recording; empty for who may not."""
        if not self.may_change:
            return ""
        return reverse("order-record-row", args=[self.capture.order_id, kind, self.capture.pk])

    @property
    def urls(self) -> dict[str, str]:
        kinds = ("capture-correction", "capture-sheet", "capture-aside", "capture-again")
        return {kind.removeprefix("capture-"): self.url(kind) for kind in kinds}

    @cached_property
    def others(self) -> list[Capture]:
        """Recordings of the same vehicle to lay it against, those of the same job first."""
        found = Capture.objects.filter(
            order__vehicle=self.capture.order.vehicle_id,
            status=Capture.Status.READY,
            set_aside_at__isnull=True,
        ).exclude(pk=self.capture.pk)
        found = found.select_related("order").defer("analysis", "overview").order_by("-done_on", "-pk")
        return sorted(found[:MOST_OTHERS], key=lambda one: one.order_id != self.capture.order_id)


class Pair:
    """Two recordings on one time line: the first in the order of the work, the other laid over it."""

    def __init__(self, one: CapturePage, two: CapturePage) -> None:
        self.one, self.two = one, two

    @property
    def vehicles_differ(self) -> bool:
        return self.one.capture.order.vehicle_id != self.two.capture.order.vehicle_id

    @property
    def data(self) -> dict[str, Any]:
        """The first begins at 0 s, the second where their first like edges meet, or at 0 s too.

        Channels of one place share a lane and a scale where their unit is the same.
        """
        sources = []
        for page, later in ((self.one, 0.0), (self.two, self._edges_apart or 0.0)):
            start = later - page.source["since"]
            sources.append({**page.source, "shift": start, "start": start})
        return {"sources": sources, "lanes": self.lanes}

    @cached_property
    def _edges_apart(self) -> float | None:
        """By how much the second comes later so that the first edges of one direction in A meet. [s]"""
        edges = [computed.first_edges(page.analysis) for page in (self.one, self.two)]
        for direction in ("up", "down"):
            if all(direction in found for found in edges):
                one, two = (found[direction] for found in edges)
                return (one - self.one.source["since"]) - (two - self.two.source["since"])
        return None

    @property
    def caption(self) -> str:
        meets = "with its first edge on that of the first" if self._edges_apart is not None else "at 0 s too"
        return (
            f"The first begins at 0 s, the second {meets}. Channels of one place and one unit share a lane "
            "and a scale."
        )

    @property
    def compared(self) -> tuple[computed.Beside, ...]:
        """The computed values of both, channel by channel."""
        labels = [lane.label for lane in max(self.one.picture.lanes, self.two.picture.lanes, key=len)]
        return computed.beside(self.one.analysis, self.two.analysis, labels)

    @property
    def svg(self) -> SafeString:
        """Both pictures, one under the other, for who has no script."""
        return mark_safe(self.one.small_svg + self.two.small_svg)

    @cached_property
    def lanes(self) -> list[dict[str, Any]]:
        lanes = []
        ours, theirs = self.one.picture.lanes, self.two.picture.lanes
        for place in range(max(len(ours), len(theirs))):
            first = ours[place] if place < len(ours) else None
            second = theirs[place] if place < len(theirs) else None
            if first and second and first.unit == second.unit:
                lanes.append(self._shared(first, second, place, len(lanes)))
                continue
            for source, lane in enumerate((first, second)):
                if lane:
                    lanes.append(lane_data(lane, len(lanes), [self._trace(source, place)]))
        return lanes

    def _shared(self, first: drawing.Lane, second: drawing.Lane, place: int, number: int) -> dict[str, Any]:
        label = first.label if first.label == second.label else f"{first.label}; {second.label}"
        both = drawing.Lane(label, first.unit, first.low + second.low, first.high + second.high)
        return lane_data(both, number, [self._trace(0, place), self._trace(1, place)])

    def _trace(self, source: int, place: int) -> dict[str, Any]:
        ink, mark, style = (("line", "ring", 2), ("ink", "", 0))[source]
        return {**trace(source, place, style, ink, mark), "name": ("first", "second")[source]}


class Frames:
    """The decoded frames of a recording, read from its file a page at a time."""

    def __init__(self, capture: Capture) -> None:
        self._folder = shelf().drawn(capture.sha256, capture.pk)

    def __len__(self) -> int:
        return count_frames(self._folder)

    def __getitem__(self, places: slice) -> list[dict[str, Any]]:
        found = frames(self._folder, places.start, places.stop - places.start)
        return [{**frame, "at": drawing.quantity(frame["start"], "s", 6)} for frame in found]


def capture_picture(capture: Capture) -> drawing.Picture:
    """Return the whole of a recording in few columns; each channel is called by what it is connected to."""
    names = [channel["name"] for channel in capture.overview["channels"]]
    return drawing.picture(
        capture.overview,
        [
            capture.point(place) or ("" if name == drawing.letter(place) else name)
            for place, name in enumerate(names)
        ],
    )


def lane_data(lane: drawing.Lane, place: int, traces: list[dict[str, Any]]) -> dict[str, Any]:
    """Return a lane as the page's drawing takes it."""
    scale = drawing.value_scale(lane)
    return {
        "letter": drawing.letter(place),
        "label": lane.label,
        "unit": lane.unit,
        "start": scale.start,
        "end": scale.end,
        "ticks": drawing.marks(scale, lane.unit),
        "traces": [{**one, "key": str(number or "")} for number, one in enumerate(traces)],
    }


def trace(source: int, channel: int, style: int, ink: str, mark: str) -> dict[str, Any]:
    """Return one line of a lane: whose it is, and how it is drawn."""
    return {"source": source, "channel": channel, "style": style, "ink": ink, "mark": mark}


def size_text(size: int) -> str:
    """Return a file's size as people say it: "34 kB"."""
    for factor, unit in ((1_000_000_000, "GB"), (1_000_000, "MB"), (1000, "kB")):
        if size >= factor:
            return f"{size / factor:.3g} {unit}"
    return f"{size} bytes"
