"""Keeps what the owner's audit counts: pairs of visits, watched jobs, and what each was asked for.

Everything here is computed from the orders of one vehicle at a time, and written where it differs.
"""

from diagnostics.watching.asking import RECOUNT, ask_recount
from diagnostics.watching.recounting import recount, usual_processes
from diagnostics.watching.refreshing import refresh
from diagnostics.watching.writing import Written, mark_stale

__all__ = ["RECOUNT", "Written", "ask_recount", "mark_stale", "recount", "refresh", "usual_processes"]
