"""Settings: one file, safe by default, no environment variable needed to run or test on one's own machine.

Set COUNTERPOISE_PRODUCTION=1 to serve others: then SECRET_KEY and ALLOWED_HOSTS are required.
"""

import os
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from .environment import env_bool, env_int, env_list, secret_key

BASE_DIR = Path(__file__).resolve().parent.parent
LOCAL_DIR = BASE_DIR / ".local"

PRODUCTION = env_bool("COUNTERPOISE_PRODUCTION", False)
DEBUG = env_bool("DEBUG", False)
if PRODUCTION and DEBUG:
    raise ImproperlyConfigured("DEBUG shows secrets to visitors: unset it when COUNTERPOISE_PRODUCTION is on.")
SECRET_KEY = secret_key(PRODUCTION, LOCAL_DIR)
ALLOWED_HOSTS = env_list("ALLOWED_HOSTS", [] if PRODUCTION else ["127.0.0.1", "localhost", "[::1]"])
if PRODUCTION and not ALLOWED_HOSTS:
    raise ImproperlyConfigured("Set ALLOWED_HOSTS to the host names that the site answers to, parted by commas.")
CSRF_TRUSTED_ORIGINS = env_list("CSRF_TRUSTED_ORIGINS", [])

INSTALLED_APPS = [
    "whitenoise.runserver_nostatic",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.humanize",
    "django.contrib.staticfiles",
    "django_htmx",
    "template_partials",
    "crispy_forms",
    "crispy_bootstrap5",
    "csp",
    "rules",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "config.apps.ConfigConfig",
    "herbs.apps.HerbsConfig",
    "lessons.apps.LessonsConfig",
    "quizzes.apps.QuizzesConfig",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "config.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

DATABASES: dict[str, Any] = {
    "default": dj_database_url.config(
        default=f"sqlite:///{LOCAL_DIR / 'db.sqlite3'}", conn_max_age=60, conn_health_checks=True
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    name = DATABASES["default"]["NAME"]
    if name != ":memory:":
        # A relative file is meant from the project's root, wherever the command is started.
        DATABASES["default"]["NAME"] = str(BASE_DIR / name)
        (BASE_DIR / name).parent.mkdir(parents=True, exist_ok=True)
    # A transaction that reads, then writes, cannot wait for the lock unless it takes it at once.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
    }

AUTH_USER_MODEL = "lessons.User"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
AUTHENTICATION_BACKENDS = [
    "rules.permissions.ObjectPermissionBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "home"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
# Files are collected for production only; elsewhere they are served from where they lie.
STATIC_ROOT = BASE_DIR / "staticfiles" if PRODUCTION else None
STATICFILES_DIRS = [BASE_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if PRODUCTION
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
# Pictures that people add; served by a view, so that only members see them and only as pictures.
MEDIA_ROOT = Path(os.environ.get("MEDIA_ROOT") or LOCAL_DIR / "media")
WHITENOISE_USE_FINDERS = not PRODUCTION

ACCOUNT_LOGIN_METHODS = {"username", "email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "username*", "password1*", "password2*"]
ACCOUNT_EMAIL_VERIFICATION = "mandatory"
ACCOUNT_EMAIL_SUBJECT_PREFIX = "Counterpoise: "
ACCOUNT_DEFAULT_HTTP_PROTOCOL = "https" if PRODUCTION else "http"
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_SESSION_REMEMBER = None  # asked at log-in
ACCOUNT_REAUTHENTICATION_TIMEOUT = 300
# A whole class logs in from one school's address at once; one account is still guarded against guessing.
ACCOUNT_RATE_LIMITS = {"login": "300/m/ip", "login_failed": "100/m/ip,5/5m/key", "signup": "250/h/ip"}
# How many proxies of one's own stand before the site: only their word on a visitor's address and https is taken.
TRUSTED_PROXIES = env_int("TRUSTED_PROXIES", 0)
ALLAUTH_TRUSTED_PROXY_COUNT = TRUSTED_PROXIES
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]
MFA_TOTP_ISSUER = "Counterpoise"

# Letters go to a folder on one's own machine, and through a mail server in production.
EMAIL_HOST = os.environ.get("EMAIL_HOST", "")
if PRODUCTION and not EMAIL_HOST:
    raise ImproperlyConfigured("Set EMAIL_HOST to a mail server: without its letters nobody can verify an address.")
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if EMAIL_HOST else 'filebased'}.EmailBackend"
EMAIL_FILE_PATH = LOCAL_DIR / "mail"
EMAIL_PORT = env_int("EMAIL_PORT", 587)
EMAIL_HOST_USER = os.environ.get("EMAIL_HOST_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("EMAIL_HOST_PASSWORD", "")
EMAIL_USE_TLS = env_bool("EMAIL_USE_TLS", True)
DEFAULT_FROM_EMAIL = os.environ.get("DEFAULT_FROM_EMAIL", "Counterpoise <counterpoise@localhost>")

# Rate limits count in a cache that every worker shares: a table of the database.
# Files that wait for a confirmation lie there too, so that it may hold more than the library's 300 entries.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "shared_cache",
        "OPTIONS": {"MAX_ENTRIES": 10_000},
    }
}

LOGGING = (
    {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"json": {"()": "config.logs.JsonFormatter"}},
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "json"}},
        "root": {"handlers": ["stderr"], "level": "WARNING"},
        "loggers": {"counterpoise": {"level": "INFO"}},
    }
    if PRODUCTION
    else {"version": 1, "disable_existing_loggers": False}
)

CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],  # Bootstrap draws its select arrows and checks from data: addresses
        "connect-src": [SELF],
        "font-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    },
}
CSRF_FAILURE_VIEW = "config.errors.csrf_failure"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if PRODUCTION:
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    SECURE_SSL_REDIRECT = env_bool("SECURE_SSL_REDIRECT", True)
    SECURE_REDIRECT_EXEMPT = [r"^health/$"]
    if TRUSTED_PROXIES:
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = env_bool("SECURE_HSTS_INCLUDE_SUBDOMAINS", True)
    SECURE_HSTS_PRELOAD = env_bool("SECURE_HSTS_PRELOAD", True)

MATERIA_MEDICA_DIR = BASE_DIR / "herbs" / "data"
