from celery import shared_task
from django.utils import timezone

from shared import outbox


@shared_task
def do_outbox_row(row_pk):
    """Do one row of the outbox; a row that is done or taken is left alone."""
    outbox.do(row_pk)


@shared_task
def sweep_outbox():
    """Ask for the work of the day and the month, and take the rows that no hint reached."""
    outbox.ask_regular(now=timezone.now())
    for row_pk in outbox.waiting(now=timezone.now()):
        do_outbox_row.delay(row_pk)
