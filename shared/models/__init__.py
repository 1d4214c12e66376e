from shared.models.audit import AuditEntry
from shared.models.outbox import OutboxRow
from shared.models.sent import SentForm

__all__ = ["AuditEntry", "OutboxRow", "SentForm"]
