"""Who may open what. Every page asks for a sign-in unless it says otherwise."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

View = Callable[..., HttpResponse]


def public(view: View) -> View:
    """Mark a view that needs no sign-in: the sign-in page, the customer's link."""
    view.is_public = True
    return view


def roles(*names: str) -> Callable[[View], View]:
    """Let only people with one of these roles in."""

    def guard(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args, **kwargs):
            if not any(request.user.has_role(name) for name in names):
                raise PermissionDenied(f"This page is for: {', '.join(names)}.")
            return view(request, *args, **kwargs)

        guarded.roles = names
        return guarded

    return guard


class SignInRequired:
    """Send everybody who has not signed in to the sign-in page, except on public pages."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        if getattr(view, "is_public", False) or request.user.is_authenticated:
            return None
        return redirect_to_login(request.get_full_path())
