from django.apps import AppConfig


class SharedConfig(AppConfig):
    name = "shared"

    def ready(self):
        # Tasks find this application by its being the last one made.
        import shared.celery  # noqa: F401
