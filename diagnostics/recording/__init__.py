"""Everything people write into an order: keyword-only acts, one transaction and one audit entry each."""

from diagnostics.recording.assumptions import accept_assumption, add_assumption, settle_assumption
from diagnostics.recording.captures import (
    add_capture,
    amend_capture,
    put_on_sheet,
    read_again,
    set_aside_capture,
)
from diagnostics.recording.causes import add_suspect, amend_cause, name_cause, settle_suspect
from diagnostics.recording.entries import OrderIsClosed
from diagnostics.recording.events import claim_effect, record_event, record_reversal
from diagnostics.recording.explanations import approve, approve_waiver, explain, waive_step
from diagnostics.recording.handoffs import acknowledge, hand_off
from diagnostics.recording.photos import add_photos, set_aside_photo
from diagnostics.recording.proof import record_check, record_customer_trial, record_trials
from diagnostics.recording.readings import dispose_of_reading, live, record_test, supersede_test
from diagnostics.recording.repair import add_work, amend_work, disturb
from diagnostics.recording.scans import assume_not_fitted, import_meanings, keep_scan, supersede_scan
from diagnostics.recording.searches import (
    PRESSED_BY_MISTAKE,
    keep_route,
    name_found,
    pose_again,
    start_search,
    stop_search,
    take_reading,
    tell_search,
    undo_reading,
)
from diagnostics.recording.seeing import add_note, amend_attempt, record_attempt, set_trial_plan
from diagnostics.recording.visit import (
    amend_declined,
    assign,
    authorise_minutes,
    decline,
    plan_return,
    promise,
    record_outside_event,
    record_time,
    set_waiting,
)

__all__ = [
    "PRESSED_BY_MISTAKE",
    "OrderIsClosed",
    "accept_assumption",
    "acknowledge",
    "add_assumption",
    "add_capture",
    "add_note",
    "add_photos",
    "add_suspect",
    "add_work",
    "amend_attempt",
    "amend_capture",
    "amend_cause",
    "amend_declined",
    "amend_work",
    "approve",
    "approve_waiver",
    "assign",
    "assume_not_fitted",
    "authorise_minutes",
    "claim_effect",
    "decline",
    "dispose_of_reading",
    "disturb",
    "explain",
    "hand_off",
    "import_meanings",
    "keep_route",
    "keep_scan",
    "live",
    "name_cause",
    "name_found",
    "plan_return",
    "pose_again",
    "promise",
    "put_on_sheet",
    "read_again",
    "record_attempt",
    "record_check",
    "record_customer_trial",
    "record_event",
    "record_outside_event",
    "record_reversal",
    "record_test",
    "record_time",
    "record_trials",
    "set_aside_capture",
    "set_aside_photo",
    "set_trial_plan",
    "set_waiting",
    "settle_assumption",
    "settle_suspect",
    "start_search",
    "stop_search",
    "supersede_scan",
    "supersede_test",
    "take_reading",
    "tell_search",
    "undo_reading",
    "waive_step",
]
