"""The computed columns of each table, in the order in which rows hold them."""

from diagnostics.comebacks.watched import Job

PAIR = (
    "counts",
    "level",
    "level_complaint",
    "system",
    "symptom",
    "days",
    "km",
    "in_window",
    "exclusion",
    "verdict",
    "reason",
    "skipped",
    "unsupported_parts",
    "open_assumptions",
    "policy",
)
JOB = ("location_id", "vehicle_id", *Job._fields)
CHECK = ("code", "phase", "complaint_ref", "state", "system", "symptom", "difficulty")
