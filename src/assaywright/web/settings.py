"""Django's settings, made from the folder of the records and the environment."""

import os
from datetime import timedelta
from pathlib import Path

from assaywright.web import folder as place
from assaywright.web.figures import mark_of_the_environment
from assaywright.web.logs import logs

DATA_FOLDER = place.folder()
SECRET_KEY = place.secret(DATA_FOLDER)
DATABASES = {"default": place.database(DATA_FOLDER)}
FILES_FOLDER = DATA_FOLDER / "files"
DEMONSTRATION = (DATA_FOLDER / place.MARK).exists()

DEBUG = False
ALLOWED_HOSTS = os.environ.get("ASSAYWRIGHT_HOSTS", "localhost,127.0.0.1,[::1]").split(",")
SECURE = os.environ.get("ASSAYWRIGHT_PLAIN_HTTP", "") != "1"  # TLS unless the person at the machine says otherwise
OWN_AUTHORITY = os.environ.get("ASSAYWRIGHT_OWN_AUTHORITY", "") == "1"  # nobody gave the server a certificate
AUTHORITY: Path | None = DATA_FOLDER / "tls" / "authority.pem" if OWN_AUTHORITY else None

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "django_htmx",
    "axes",
    "assaywright.records",
    "assaywright.web.apps.WebConfig",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "assaywright.web.middleware.PageSecurity",
    "assaywright.web.middleware.RefusedActs",
    "assaywright.web.middleware.DoorLeavesCookies",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "assaywright.web.middleware.SessionGoesOn",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "assaywright.web.middleware.SignedIn",
    "assaywright.web.middleware.RefusalsAsPages",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "assaywright.web.urls"
TEMPLATES = [{
    "BACKEND": "django.template.backends.django.DjangoTemplates",
    "APP_DIRS": True,
    "OPTIONS": {"context_processors": [
        "django.template.context_processors.request",
        "django.contrib.auth.context_processors.auth",
        "assaywright.web.context.of_every_page",
    ]},
}]
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "assaywright.web.access.PresentPeople"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "today"
SESSION_COOKIE_AGE = 31 * 60  # half an hour after the last page: it is written down once a minute
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Strict"
SESSION_COOKIE_SECURE = SECURE
CSRF_COOKIE_SECURE = SECURE
CSRF_COOKIE_SAMESITE = "Strict"
CSRF_FAILURE_VIEW = "assaywright.web.pages.errors.forged"
SECURE_SSL_REDIRECT = False  # the server itself speaks TLS and nothing else,
SILENCED_SYSTEM_CHECKS = ["security.W008"]  # so that nobody need be sent there
SECURE_HSTS_SECONDS = 31_536_000 if SECURE else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE
SECURE_HSTS_PRELOAD = SECURE
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False
AXES_SENSITIVE_PARAMETERS = [  # never kept with a refused attempt
    "username", "ip_address", "name", "password", "new_password", "again_password", "link", "unsent",
    "csrfmiddlewaretoken",
]
PASSWORD_RESET_TIMEOUT = 3 * 24 * 60 * 60
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_CALLABLE = "assaywright.web.access.too_often"
DATA_UPLOAD_MAX_MEMORY_SIZE = 5_000_000

STATIC_URL = "/static/"
WHITENOISE_USE_FINDERS = True  # straight from the installed program: no copy that an upgrade could leave behind
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
USE_TZ = True
TIME_ZONE = "UTC"
DECIMAL_MARK = mark_of_the_environment()
LABORATORY_ZONE = os.environ.get("ASSAYWRIGHT_ZONE", "Europe/Berlin")
LANGUAGE_CODE = "en-gb"
USE_I18N = True
LOG_FOLDER = DATA_FOLDER / "log"
LOGGING = logs(LOG_FOLDER)
