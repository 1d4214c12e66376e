"""Which vehicle on record a line means: the same id or the same VIN is the same vehicle."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q

from diagnostics.exchange.faults import BadLine, Fault, shown
from diagnostics.snapshot import Vehicle
from shop.models import Vehicle as VehicleRow
from shop.models import VehicleOtherId
from shop.vin import clean_vin

_DESCRIBED = ("plate", "year", "make", "model", "engine", "left_on")


class Fleet:
    """The vehicles of one file and of the site, a batch at a time.

    A VIN wins over an id that was never seen: that id then means the vehicle of the VIN, in this
    file and in later ones. What a line leaves out stays as it is on record.
    """

    def __init__(self) -> None:
        self._other_ids: dict[str, str] = {}
        self._by_code: dict[str, VehicleRow] = {}
        self._by_vin: dict[str, VehicleRow] = {}
        self._changed: dict[str, VehicleRow] = {}
        self._learned: dict[str, VehicleRow] = {}
        self.changed_pks: set[int] = set()  # of vehicles that were on record already

    def load(self, vehicles: Iterable[Vehicle]) -> None:
        """Look up all vehicles of a batch with two queries; forget the batch before."""
        vehicles = list(vehicles)
        learned = VehicleOtherId.objects.filter(code__in={vehicle.id for vehicle in vehicles})
        self._other_ids |= dict(learned.values_list("code", "vehicle__code"))
        codes = {self._other_ids.get(vehicle.id, vehicle.id) for vehicle in vehicles}
        vins = {vin for vehicle in vehicles if (vin := clean_vin(vehicle.vin))}
        found = VehicleRow.objects.filter(Q(code__in=codes) | Q(vin__in=vins))
        self._by_code = {row.code: row for row in found}
        self._by_vin = {row.vin: row for row in self._by_code.values() if row.vin}
        self._changed, self._learned = {}, {}

    def match(self, given: Vehicle, *, field: str) -> VehicleRow:
        """Return the row of this vehicle, with what is new written on it but not saved.

        Raises
        ------
        BadLine
            If id and VIN name two vehicles. `field` is the path of the vehicle in the line.
        """
        row = self._found(given, f"{field}.vin" if field else "vin")
        if row is None:
            row = VehicleRow(code=given.id)
            self._by_code[given.id] = row
            self._changed[row.code] = row
        vin = clean_vin(given.vin)
        if vin and not row.vin:
            row.vin = vin
            self._by_vin[vin] = row
            self._changed[row.code] = row
        for name in _DESCRIBED:
            value = getattr(given, name)
            if value not in ("", None) and value != getattr(row, name):
                setattr(row, name, value)
                self._changed[row.code] = row
        return row

    def save(self) -> None:
        """Write the new and the changed vehicles of the batch, and the ids learned."""
        new = [row for row in self._changed.values() if row.pk is None]
        known = [row for row in self._changed.values() if row.pk is not None]
        VehicleRow.objects.bulk_create(new)
        VehicleRow.objects.bulk_update(known, ["vin", *_DESCRIBED], batch_size=100)
        self.changed_pks.update(row.pk for row in known)
        VehicleOtherId.objects.bulk_create(
            [VehicleOtherId(code=code, vehicle=row) for code, row in self._learned.items()],
            ignore_conflicts=True,
        )
        self._changed, self._learned = {}, {}

    def _found(self, given: Vehicle, field: str) -> VehicleRow | None:
        vin = clean_vin(given.vin)
        by_code = self._by_code.get(self._other_ids.get(given.id, given.id))
        by_vin = self._by_vin.get(vin) if vin else None
        if by_code is None:
            if by_vin is not None:
                self._other_ids[given.id] = by_vin.code
                self._learned[given.id] = by_vin
            return by_vin
        if by_vin not in (None, by_code):
            raise BadLine([_two_vehicles(field, given, by_vin.code)])
        if vin and by_code.vin and by_code.vin != vin:
            raise BadLine([_other_vin(field, given, by_code.vin)])
        return by_code


def _two_vehicles(field: str, given: Vehicle, other: str) -> Fault:
    wrong = f"{shown(given.vin)} is the VIN of vehicle {shown(other)}, not of {shown(given.id)}"
    return Fault(field, wrong, "the VIN of this vehicle, or the other vehicle's id")


def _other_vin(field: str, given: Vehicle, on_record: str) -> Fault:
    wrong = f"{shown(given.vin)} is not the VIN of vehicle {shown(given.id)}, which is {shown(on_record)}"
    return Fault(field, wrong, "the VIN on record, or another vehicle id")
