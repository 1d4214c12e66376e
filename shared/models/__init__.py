from shared.models.audit import AuditEntry
from shared.models.outbox import OutboxRow

__all__ = ["AuditEntry", "OutboxRow"]
