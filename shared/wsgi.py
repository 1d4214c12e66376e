"""What an app server runs."""

import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shared.settings")
# Read when the algebra library is loaded; see manage.py.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from django.core.wsgi import get_wsgi_application

application = get_wsgi_application()
