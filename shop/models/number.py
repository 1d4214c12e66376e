from django.db import models, transaction


class NumberSeries(models.Model):
    """The last number given out of one series; numbers are never given twice."""

    name = models.CharField(max_length=32, unique=True)
    last = models.PositiveBigIntegerField(default=0)

    def __str__(self):
        return f"{self.name}: {self.last}"

    @classmethod
    def take(cls, name, *, above=0):
        """Return the next number of the series, at least `above` + 1. Needs a transaction."""
        with transaction.atomic():
            cls.objects.get_or_create(name=name)
            series = cls.objects.select_for_update().get(name=name)
            series.last = max(series.last, above) + 1
            series.save(update_fields=["last"])
        return series.last
