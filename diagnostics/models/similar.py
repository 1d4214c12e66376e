from django.db import models


class JobText(models.Model):
    """The words of one job that was handed back, for finding jobs like another one. Computed.

    Beside it stands a full-text index: a table of its own on SQLite, an index on PostgreSQL
    (`diagnostics/similar/fulltext.py`).
    """

    order = models.OneToOneField(
        "shop.RepairOrder", primary_key=True, on_delete=models.CASCADE, related_name="text"
    )
    words = models.TextField()

    def __str__(self):
        return self.words
