from django.apps import AppConfig


class InvoicingConfig(AppConfig):
    name = "invoicing"

    def ready(self):
        import invoicing.background  # noqa: F401  Fills the registry of background work.
