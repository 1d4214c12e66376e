from django.apps import AppConfig


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"

    def ready(self):
        import diagnostics.background  # noqa: F401  Fills the registry of background work.
        from diagnostics import protocols, returns
        from shop import hooks

        hooks.on_complaint_entered(protocols.set_required_steps)
        hooks.on_vehicles_changed(returns.refresh_vehicles)
