"""All settings, read from the environment; `DEVELOPERS.md` lists the variables."""

import os
from pathlib import Path

from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from shared import environment

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("DATA_DIR") or BASE_DIR / "var").resolve()
try:
    DATA_DIR.mkdir(parents=True, exist_ok=True)
except OSError as error:
    raise ImproperlyConfigured(f"DATA_DIR is '{DATA_DIR}' and cannot be made: {error.strerror}.") from None

DEBUG = environment.flag(os.environ, "DEBUG", default=False)
SECRET_KEY = environment.secret_key(os.environ, DATA_DIR)
ALLOWED_HOSTS = environment.words(os.environ, "ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = environment.words(os.environ, "CSRF_TRUSTED_ORIGINS")
SITE_URL = (os.environ.get("SITE_URL") or "http://127.0.0.1:8000").rstrip("/")
if not SITE_URL.startswith(("http://", "https://")):
    raise ImproperlyConfigured(f"SITE_URL is '{SITE_URL}'. Write http:// or https:// and the host.")
HTTPS = environment.flag(os.environ, "HTTPS", default=SITE_URL.startswith("https://"))
REDIS_URL = environment.redis_url(os.environ)

INSTALLED_APPS = [
    "shared",
    "shop",
    "diagnostics",
    "invoicing",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_filters",
    "csp",
    "axes",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "shared.access.SignInRequired",
    "shop.middleware.LocationTimeZone",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "shared.urls"
WSGI_APPLICATION = "shared.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.debug",
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shared.context.site",
            ],
            # Every part of a page; `shared/templatetags/__init__.py` says what there is.
            "builtins": [
                f"shared.templatetags.{name}"
                for name in ["bar", "boxes", "chains", "drawings", "forms", "lists", "readings", "words"]
            ],
        },
    },
]

DATABASES = {"default": environment.database(os.environ, DATA_DIR)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "shop.StaffMember"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "signin"
LOGIN_REDIRECT_URL = "front"
LOGOUT_REDIRECT_URL = "signin"
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "shop/signin_locked.html"
AXES_VERBOSE = False

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(exist_ok=True)
MEDIA_ROOT = DATA_DIR / "media"
PHOTOS_DIR = DATA_DIR / "photos"

# Uploads go to the disk piece by piece, never into memory, and no further than the limit.
UPLOAD_LIMIT = environment.megabytes(os.environ, "UPLOAD_LIMIT_MB", default=500, most=100_000)
FILE_UPLOAD_HANDLERS = ["shared.uploads.Guard", "django.core.files.uploadhandler.TemporaryFileUploadHandler"]
FILE_UPLOAD_PERMISSIONS = 0o640
FILE_UPLOAD_TEMP_DIR = DATA_DIR / "uploads"
FILE_UPLOAD_TEMP_DIR.mkdir(exist_ok=True)
CAPTURES_DIR = DATA_DIR / "captures"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
if DEBUG:
    STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
if HTTPS:
    SECURE_SSL_REDIRECT = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "object-src": [NONE],
    }
}

# Letters; without a mail server they stay files in the data folder.
globals().update(environment.mail(os.environ, DATA_DIR))
DEFAULT_FROM_EMAIL = os.environ.get("EMAIL_FROM") or "Holdfast <holdfast@localhost>"

# Background work: rows of the outbox are the truth, Celery is only hinted at. Times measured with Redis away.
CELERY_BROKER_URL = REDIS_URL or "memory://"
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_BROKER_CONNECTION_TIMEOUT = 2
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_PUBLISH_RETRY = False
CELERY_TASK_PUBLISH_RETRY_POLICY = {"max_retries": 0}
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "socket_connect_timeout": 1,
    "socket_timeout": 2,
    "retry_on_timeout": False,
    "max_retries": 0,
    "visibility_timeout": 3600,
}
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE = {
    "sweep-outbox": {"task": "shared.tasks.sweep_outbox", "schedule": 30.0},
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "INFO"},
    "loggers": {
        "weasyprint": {"level": "ERROR"},
        "fontTools": {"level": "ERROR"},
        "axes": {"level": "WARNING"},
    },
}
