"""Django's settings.  What a shop may change is an environment variable.

``CASTWORTHY_DATA``
    folder of the record (SQLite file, photos, secret key)
``DATABASE_URL``
    a PostgreSQL server instead of SQLite
``CASTWORTHY_HOSTS``
    names and addresses this server answers to, comma between, beside this machine's own
``CASTWORTHY_HTTPS``
    ``1`` behind a proxy that speaks https: cookies travel over https only
``CASTWORTHY_PROXY``
    address of that proxy when it runs on another machine
``CASTWORTHY_TZ``
    the shop's time zone, such as ``Europe/Paris``; else the machine's
"""

import os

import dj_database_url

from castworthy.server import place

DEBUG = False
SECRET_KEY = place.secret_key()
HTTPS = os.environ.get("CASTWORTHY_HTTPS", "").strip() == "1"

_more_hosts = [h.strip() for h in os.environ.get("CASTWORTHY_HOSTS", "").split(",") if h.strip()]
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *_more_hosts]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "castworthy.records.apps.RecordsConfig",
    "castworthy.web.apps.WebConfig",
    "castworthy.server.apps.ServerConfig",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "castworthy.web.middleware.PolicyMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "castworthy.web.middleware.FirstRunMiddleware",
    "castworthy.web.middleware.SentenceMiddleware",
]

ROOT_URLCONF = "castworthy.server.urls"
WSGI_APPLICATION = "castworthy.server.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "castworthy.web.frame.around",
                "castworthy.web.frame.around",
            ],
        },
    },
]

_SQLITE_START = """
PRAGMA journal_mode = WAL;
PRAGMA synchronous = FULL;
PRAGMA foreign_keys = ON;
PRAGMA cache_size = -32000;
"""

if _url := os.environ.get("DATABASE_URL", "").strip():
    DATABASES = {"default": dj_database_url.parse(_url, conn_max_age=600, conn_health_checks=True)}
else:
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": str(place.database_file()),
            "CONN_MAX_AGE": None,
            "OPTIONS": {
                "timeout": 20,
                "transaction_mode": "IMMEDIATE",
                "init_command": _SQLITE_START,
            },
        }
    }

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}

AUTH_USER_MODEL = "records.Person"
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "rack"
_VALIDATION = "django.contrib.auth.password_validation"
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": f"{_VALIDATION}.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("username", "full_name")},
    },
    {"NAME": f"{_VALIDATION}.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": f"{_VALIDATION}.CommonPasswordValidator"},
    {"NAME": f"{_VALIDATION}.NumericPasswordValidator"},
]

SESSION_ENGINE = "django.contrib.sessions.backends.db"
SESSION_COOKIE_AGE = 12 * 60 * 60
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SECURE = HTTPS
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 24 * 60 * 60
    CSRF_TRUSTED_ORIGINS = [f"https://{host.lstrip('.')}" for host in _more_hosts]

STATIC_URL = "static/"
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
MEDIA_ROOT = place.photo_folder()
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 10_000  # a large sheet's form sends one field a cell
FILE_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
FILE_UPLOAD_PERMISSIONS = 0o600

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = place.time_zone()

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"()": "castworthy.server.log.OneLine"},
    },
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {
        "django": {"handlers": ["stderr"], "level": "WARNING", "propagate": False},
        "castworthy": {"handlers": ["stderr"], "level": "INFO", "propagate": False},
    },
}
