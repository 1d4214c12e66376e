"""Who may code a return a second time: somebody who had no hand in either of its jobs."""

from __future__ import annotations

from diagnostics.snapshot import Order


def had_a_hand(name: str, *orders: Order) -> bool:
    """Return whether a name stands on a job as technician, on a test, work, time, a check or a hand-off."""
    return any(name in _names(order) for order in orders)


def _names(order: Order) -> set[str]:
    return {
        order.technician.strip(),
        *(test.by.strip() for test in order.tests),
        *(item.by.strip() for item in order.work),
        *(entry.by.strip() for entry in order.time),
        *(check.by.strip() for check in order.checks),
        *(name.strip() for hand_off in order.handoffs for name in (hand_off.giver, hand_off.receiver)),
    }
