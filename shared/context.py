"""What every page knows."""

from django.conf import settings

THEMES = ("light", "dark")


def site(request):
    """The signed-in person's location, and a look chosen by hand (else the system decides)."""
    user = getattr(request, "user", None)
    theme = request.COOKIES.get("theme", "")
    return {
        "location": getattr(user, "location", None) if user and user.is_authenticated else None,
        "theme": theme if theme in THEMES else "",
        "is_debug": settings.DEBUG,
    }
