from shop.models.complaint import Complaint, ComplaintNote
from shop.models.customer import Customer
from shop.models.location import Location
from shop.models.number import NumberSeries
from shop.models.order import RepairOrder
from shop.models.photo import Photo
from shop.models.staff import StaffMember
from shop.models.taxonomy import Symptom, System
from shop.models.vehicle import OdometerReading, Vehicle, VehicleOtherId
from shop.models.visit import (
    Authorisation,
    DeclinedItem,
    DisturbedComponent,
    OutsideEvent,
    PlannedReturn,
    TimeEntry,
)
from shop.models.work import PartFitted, WorkItem

__all__ = [
    "Authorisation",
    "Complaint",
    "ComplaintNote",
    "Customer",
    "DeclinedItem",
    "DisturbedComponent",
    "Location",
    "NumberSeries",
    "OdometerReading",
    "OutsideEvent",
    "PartFitted",
    "Photo",
    "PlannedReturn",
    "RepairOrder",
    "StaffMember",
    "Symptom",
    "System",
    "TimeEntry",
    "Vehicle",
    "VehicleOtherId",
    "WorkItem",
]
