"""The title block of a job in words."""

from __future__ import annotations

from django.utils.functional import cached_property

from shared.moments import Moment
from shared.templatetags.words import day_short, when, when_short
from shared.wording import distance_text
from shop.models import OdometerReading, RepairOrder
from shop.vin import remark


class Head:
    """Who, which vehicle, since when, promised for when, waiting on whom."""

    def __init__(self, order: RepairOrder) -> None:
        self.order = order

    @property
    def vin_note(self) -> str:
        return remark(self.order.vehicle.vin) if self.order.vehicle.vin else ""

    @cached_property
    def _odometer(self) -> dict[str, OdometerReading]:
        return {reading.moment: reading for reading in self.order.odometer_readings.all()}

    @property
    def odometer(self) -> str:
        reading = self._odometer.get("in")
        return distance_text(reading.value, reading.unit) if reading else "not read"

    @property
    def odometer_note(self) -> str:
        """What else is known: at hand-over, or that it went backwards and why."""
        came_in, went_out = self._odometer.get("in"), self._odometer.get("out")
        if went_out:
            return f"{distance_text(went_out.value, went_out.unit)} at hand-over"
        if came_in and came_in.is_backwards:
            return f"goes backwards: {came_in.explanation or 'not explained'}"
        return ""

    @property
    def promised(self) -> str:
        return when(self.order.promised_at) if self.order.promised_at else "No time promised"

    @property
    def opened(self) -> str:
        return f"opened {when_short(self.order.opened)}"

    @property
    def waiting(self) -> str:
        since = f"since {when_short(self.order.waiting_since)}" if self.order.waiting_since else ""
        return ": ".join(filter(None, [since, self.order.waiting_note]))

    @property
    def closed(self) -> str:
        return f"closed by {self.order.closed_by}" if self.order.closed_by else ""

    @property
    def arrival(self) -> str:
        """Day and odometer at arrival, for the end of a dimension line."""
        return _end(self.order.opened, self._odometer.get("in"))


def hand_over_words(order: RepairOrder) -> str:
    """Day and odometer at hand-over of an earlier job; its readings should be prefetched."""
    readings = {reading.moment: reading for reading in order.odometer_readings.all()}
    return _end(order.returned, readings.get("out"))


def _end(moment: Moment | None, reading: OdometerReading | None) -> str:
    distance = distance_text(reading.value, reading.unit) if reading else "odometer not read"
    return f"{day_short(moment)} {moment.on.year}, {distance}" if moment else distance
