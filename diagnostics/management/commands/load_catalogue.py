from django.core.management.base import BaseCommand
from django.utils import timezone

from diagnostics.protocols import load_catalogue


class Command(BaseCommand):
    help = "Add the starter library: systems, symptoms, test kinds, protocols. What the shop changed stays."

    def handle(self, *args, **options):
        added = load_catalogue(at=timezone.now())
        self.stdout.write(", ".join(f"{number} {what}" for what, number in added.items()) + " added")
