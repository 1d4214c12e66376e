from django.apps import AppConfig


class SharedConfig(AppConfig):
    name = "shared"

    def ready(self):
        from django.forms import ChoiceField, Field, ModelChoiceField

        Field.default_error_messages["required"] = "Fill this in."
        for choice in (ChoiceField, ModelChoiceField):
            choice.default_error_messages["required"] = "Choose one."
        # Fills the registry of background work.
        import shared.background

        # Tasks find this application by its being the last one made.
        import shared.celery  # noqa: F401
