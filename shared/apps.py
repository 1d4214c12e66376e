from django.apps import AppConfig


class SharedConfig(AppConfig):
    name = "shared"

    def ready(self):
        from django.forms import Field

        Field.default_error_messages["required"] = "Fill this in."
        # Tasks find this application by its being the last one made.
        import shared.celery  # noqa: F401
