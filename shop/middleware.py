from django.utils import timezone


class LocationTimeZone:
    """Show times in the zone of the signed-in person's shop."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        location = getattr(request.user, "location", None)
        if location is None:
            timezone.deactivate()
            return self.get_response(request)
        with timezone.override(location.zone):
            return self.get_response(request)
