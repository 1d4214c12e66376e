"""What every page knows."""

from django.conf import settings

THEMES = ("light", "dark")


def site(request):
    """The signed-in person's location, what they may start, and a look chosen by hand."""
    user = getattr(request, "user", None)
    theme = request.COOKIES.get("theme", "")
    return {
        "location": getattr(user, "location", None) if user and user.is_authenticated else None,
        "can_open": bool(user and user.is_authenticated and (user.is_advisor or user.is_owner)),
        "can_keep": bool(user and user.is_authenticated and (user.is_technician or user.is_owner)),
        "theme": theme if theme in THEMES else "",
        "is_debug": settings.DEBUG,
    }
