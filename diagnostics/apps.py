from django.apps import AppConfig


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"

    def ready(self):
        import diagnostics.background  # noqa: F401  Fills the registry of background work.
        from diagnostics import hand_over, protocols, watching
        from diagnostics.similar import indexing
        from shared import computing
        from shop import closing, hooks

        computing.offer(
            "diagnostics.captures.waves",
            "diagnostics.codes.answers",
            "diagnostics.codes.live",
            "diagnostics.codes.structure",
            "diagnostics.isolation.named",
            "diagnostics.metrology.named",
            "diagnostics.statistics.named_charts",
            "diagnostics.statistics.named_expert",
            "diagnostics.statistics.named_shares",
            "diagnostics.statistics.named_survival",
            "diagnostics.statistics.named_tables",
            "diagnostics.statistics.named_units",
            "diagnostics.sums.battery",
            "diagnostics.sums.brake",
            "diagnostics.sums.charging",
            "diagnostics.sums.circuit",
            "diagnostics.sums.drop",
            "diagnostics.sums.engine",
            "diagnostics.sums.fuel",
            "diagnostics.sums.fuse",
            "diagnostics.sums.network",
            "diagnostics.sums.network_bytes",
            "diagnostics.sums.network_voltages",
            "diagnostics.sums.pressure",
            "diagnostics.sums.refrigerant",
            "diagnostics.sums.relay",
            "diagnostics.sums.sensor",
            "diagnostics.sums.signal",
            "diagnostics.sums.standing",
            "diagnostics.sums.tyre",
            "diagnostics.sums.wire",
            "diagnostics.trials.proof",
            "diagnostics.trials.statistics",
        )
        if hand_over.gaps_at_hand_over not in closing.closing_checks:
            closing.closing_checks.append(hand_over.gaps_at_hand_over)
        hooks.on_complaint_entered(protocols.set_required_steps)
        hooks.on_vehicles_changed(watching.refresh)
        hooks.on_vehicles_changed(indexing.index_vehicles)
