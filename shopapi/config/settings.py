"""Django's settings. Those of a deployment come from the environment (`shopapi/config/environment.py`)."""

import json
import tomllib
from datetime import timedelta
from email.utils import parseaddr
from typing import Any
from urllib.parse import unquote, urlparse

from csp.constants import NONE, SELF
from pydantic import SecretStr

from shopapi.config.environment import ROOT, Environment
from shopapi.config.logs import LOGGING as LOGGING  # noqa: PLC0414 - a setting of Django
from shopapi.config.middleware import file_headers
from shopapi.config.schedule import QUEUES, WORK, schedule
from shopapi.config.tiles import tile_origin
from shopapi.config.vapid import public_key_of

_env = Environment.read()


def _database(secret: SecretStr, *, pgbouncer: bool = False) -> dict[str, Any]:
    url = urlparse(secret.get_secret_value())
    # A socket's folder is in the query (?host=/run/postgresql), as is anything else for libpq (sslmode=verify-full).
    query = {name: unquote(value) for name, _, value in (part.partition("=") for part in url.query.split("&") if part)}
    host, port = query.pop("host", unquote(url.hostname or "")), query.pop("port", str(url.port or ""))
    # PgBouncer refuses startup options: there the role has the same limits (`launch/roles.sql`).
    limits = {} if pgbouncer else {"options": "-c lock_timeout=8s -c statement_timeout=60s"}
    return {
        "ENGINE": "django.db.backends.postgresql",
        "NAME": unquote(url.path.lstrip("/")),
        "USER": unquote(url.username or ""),
        "PASSWORD": unquote(url.password or ""),
        "HOST": host,
        "PORT": port,
        "OPTIONS": {**query, **limits},
        # A cursor of the server belongs to a connection, which PgBouncer changes between transactions.
        "DISABLE_SERVER_SIDE_CURSORS": pgbouncer,
    }


SECRET_KEY = _env.secret_key.get_secret_value()
SECRET_KEY_FALLBACKS = [key for key in _env.secret_key_fallbacks.get_secret_value().split(",") if key]
DEBUG = _env.debug
ORIGIN = _env.origin
DATA_DIR = _env.data
METRICS_TOKEN = _env.metrics_token.get_secret_value()
METRICS_FOLDER = _env.metrics_folder
VERSION = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["version"]
REDIS_URL = _env.redis_url.get_secret_value()
MATRIX_URL = _env.matrix_url
GEOCODER_URL = _env.geocoder_url
TILES_URL = _env.tiles_url
TILES_CREDIT = _env.tiles_credit.strip()
_tiles = tile_origin(TILES_URL)
PROXIES = _env.proxies

_origin = urlparse(ORIGIN)
SECURE = _origin.scheme == "https"
ALLOWED_HOSTS = [_origin.hostname, "localhost", "127.0.0.1", "[::1]"]
CSRF_TRUSTED_ORIGINS = [ORIGIN]

DATABASES = {
    "default": _database(_env.database_url, pgbouncer=_env.pgbouncer),
    "owner": _database(_env.migrate_database_url),
}
if _env.replica_url.get_secret_value():
    DATABASES["replica"] = _database(_env.replica_url, pgbouncer=_env.pgbouncer)
    # Reports are then read from the primary.
    DATABASES["replica"]["OPTIONS"]["connect_timeout"] = 2
    DATABASES["replica"] |= {"CONN_MAX_AGE": 60, "CONN_HEALTH_CHECKS": True}
    DATABASE_ROUTERS = ["shopapi.core.replica.ReplicaRouter"]
# The tests create their database as the owner role and then work in it as the application role.
DATABASES["default"]["TEST"] = {"MIRROR": "owner"}
DATABASES["default"]["ATOMIC_REQUESTS"] = True
if _env.pool:
    DATABASES["default"]["OPTIONS"]["pool"] = {"min_size": 1, "max_size": 8, "timeout": 5}
else:
    DATABASES["default"]["CONN_MAX_AGE"] = 60
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

INSTALLED_APPS = [
    "shopapi.config.apps.ShopAdminConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "django.contrib.postgres",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "csp",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "rest_framework",
    "shopapi.core",
    "shopapi.accounts",
    "shopapi.files",
    "shopapi.documents",
    "shopapi.notices",
    "shopapi.customers",
    "shopapi.machines",
    "shopapi.jobs",
    "shopapi.bench",
    "shopapi.labor",
    "shopapi.parts",
    "shopapi.quotes",
    "shopapi.dispatch",
    "shopapi.billing",
    "shopapi.reminders",
    "shopapi.sync",
    "shopapi.webhooks",
    "shopapi.config.apps.DrawbarConfig",
]

MIDDLEWARE = [
    "shopapi.config.access.log_requests",
    "shopapi.config.middleware.tell_time",
    "shopapi.config.middleware.speak_language",
    "django.middleware.security.SecurityMiddleware",
    # Before WhiteNoise, which answers by itself: a file is shown under the same policy as a page.
    "csp.middleware.CSPMiddleware",
    "shopapi.config.middleware.refuse_features",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "shopapi.config.compression.compress_answers",
    "shopapi.config.middleware.never_store",
    "shopapi.config.middleware.guard_links",
    "shopapi.config.storable_text.refuse_unstorable",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "shopapi.accounts.api.sessions.note_contact",
    "shopapi.accounts.api.refusals.note_refusals",
    "django.contrib.messages.middleware.MessageMiddleware",
]
ROOT_URLCONF = "shopapi.config.urls"
WSGI_APPLICATION = "shopapi.config.wsgi.application"
APPEND_SLASH = False
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        # Before those of the apps, Django's admin among them.
        "DIRS": [ROOT / "shopapi" / "config" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ]
        },
    }
]

# Signing in
AUTH_USER_MODEL = "accounts.User"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("email",)},
    },
]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTHENTICATION_BACKENDS = ["django.contrib.auth.backends.ModelBackend"]
# WebKit drops Secure cookies received over http, even from localhost, so the attribute depends on the scheme alone.
SESSION_COOKIE_NAME = "__Host-session" if SECURE else "session"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE
# A session ends without contact for so long, and so long after its sign-in; both count from what the server saw.
SESSION_IDLE = timedelta(days=_env.session_idle_days)
SESSION_LONGEST = timedelta(days=_env.session_days)
SESSION_COOKIE_AGE = int(SESSION_LONGEST.total_seconds())
CSRF_COOKIE_NAME = "__Host-csrf" if SECURE else "csrf"
CSRF_COOKIE_HTTPONLY = True
CSRF_HEADER_NAME = "HTTP_X_CSRF_TOKEN"

# Security headers
SECURE_SSL_REDIRECT = False
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if SECURE else None
SECURE_HSTS_SECONDS = int(timedelta(days=365).total_seconds()) if SECURE else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:", "blob:", *([_tiles] if _tiles else [])],
        # Voice notes are played from this phone's storage.
        "media-src": [SELF, "blob:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        # No text becomes HTML or script; a page that needs a policy for it names it (`csp_replace`).
        "require-trusted-types-for": ["'script'"],
        "trusted-types": [NONE],
    }
}

# Files: the built app at the root; hashed assets are immutable, everything else is revalidated
STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
WHITENOISE_USE_FINDERS = True
WHITENOISE_ROOT = ROOT / "pwa" / "dist"
WHITENOISE_MIMETYPES = {".webmanifest": "application/manifest+json"}
WHITENOISE_ADD_HEADERS_FUNCTION = file_headers
SHELL = WHITENOISE_ROOT / "index.html"
INTRODUCTION = ROOT / "shopapi" / "config" / "reference" / "introduction.md"
API_DOCUMENT = ROOT / "pwa" / "openapi" / "openapi.json"
DATA_UPLOAD_MAX_MEMORY_SIZE = 1024 * 1024


# Pictures: on this disk, or in a bucket of any S3-compatible store
def _picture_store() -> dict[str, Any]:
    if not _env.files_bucket:
        # A picture that is processed again overwrites the first.
        options = {"location": DATA_DIR / "pictures", "allow_overwrite": True}
        return {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": options}
    options = {
        "bucket_name": _env.files_bucket,
        "endpoint_url": _env.files_endpoint or None,
        "region_name": _env.files_region or None,
        "access_key": _env.files_key.get_secret_value(),
        "secret_key": _env.files_secret.get_secret_value(),
        "default_acl": None,
        "querystring_auth": True,
    }
    return {"BACKEND": "storages.backends.s3.S3Storage", "OPTIONS": options}


STORAGES = {
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    "pictures": _picture_store(),
}

# For how many days traces of finished work are kept (`sync/services/retention.py`); business records stay.
KEEP_DAYS = {
    "outbox": _env.keep_outbox_days,
    "receipts": _env.keep_receipts_days,
    "changes": _env.keep_changes_days,
    "commands": _env.keep_commands_days,
    "audit": _env.keep_audit_days,
}
UPLOAD_BYTES_A_DAY = _env.upload_mb_per_day * 1_000_000
OPEN_UPLOADS = _env.open_uploads


# Notices: the transports of this server. Without one, a message is sent from a member's own phone.
def _smtp() -> dict[str, Any]:
    url = urlparse(_env.smtp_url.get_secret_value())
    if not url.hostname:
        return {}
    tls = {"smtps": "always", "smtp+starttls": "start", "smtp": "never"}[url.scheme]
    return {
        "host": url.hostname,
        "port": url.port or {"always": 465, "start": 587, "never": 25}[tls],
        "tls": tls,
        "user": unquote(url.username or ""),
        "password": unquote(url.password or ""),
        "sender": _env.mail_from,
        "address": parseaddr(_env.mail_from)[1],
    }


def _sms() -> dict[str, Any]:
    url = _env.sms_url.get_secret_value()
    if not url:
        return {}
    header, _, value = _env.sms_header.get_secret_value().partition(":")
    return {
        "url": url,
        "method": _env.sms_method,
        "format": _env.sms_format,
        "body": json.loads(_env.sms_body),
        "headers": {header.strip(): value.strip()} if header.strip() else {},
    }


def _vapid() -> dict[str, str]:
    private = _env.vapid_key.get_secret_value()
    if not private:
        return {}
    # Push services ask for a contact address (RFC 8292, section 2.1).
    return {"private": private, "public": public_key_of(private), "subject": _env.vapid_contact or ORIGIN}


SMTP, SMS, VAPID = _smtp(), _sms(), _vapid()
PUSH_HOSTS = _env.push_hosts.split(",")
PUSH_LOOPBACK = False
# Webhooks go to public addresses only; tests alone allow http://127.0.0.1.
WEBHOOK_LOOPBACK = False
# Resolvers of secret links in messages: functions (actor, id) -> full address. They are named here because their apps
# are higher than notices. A message is not sent if its function raises a refusal.
NOTICE_LINKS = {
    "approval": "shopapi.quotes.services.links.address_to_send",
    "ticket": "shopapi.dispatch.services.ticket_links.address_to_send",
    "invoice": "shopapi.billing.services.bill_links.invoice_address",
    "billing_printout": "shopapi.billing.services.bill_links.printout_address",
}

LANGUAGE_CODE = "en-us"
USE_I18N = False
TIME_ZONE = "UTC"
USE_TZ = True

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "shopapi.accounts.api.authentication.KeySignIn",
        "shopapi.accounts.api.authentication.SessionSignIn",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.AllowAny"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_SCHEMA_CLASS": "shopapi.core.http.openapi.OperationSchema",
    "DEFAULT_CONTENT_NEGOTIATION_CLASS": "shopapi.core.http.answers.Negotiation",
    "EXCEPTION_HANDLER": "shopapi.core.http.problems.handle_error",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Drawbar",
    "DESCRIPTION": INTRODUCTION.read_text("utf-8"),
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_AUTHENTICATION": [],
    "SERVE_PERMISSIONS": ["rest_framework.permissions.AllowAny"],
    "COMPONENT_SPLIT_REQUEST": True,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "/icon.svg",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    # Schemas come from pydantic with inline enumerations; drf-spectacular must not extract and name any.
    "POSTPROCESSING_HOOKS": [
        "shopapi.core.http.openapi.share_problems",
        "shopapi.config.reference.describe.describe",
    ],
    # An operation without a description has none; drf-spectacular would take that of the view's base.
    "GET_LIB_DOC_EXCLUDES": "shopapi.core.http.openapi.bases_of_views",
}

# Work after the commit: the broker only wakes a worker, the outbox is the record
# The client calls a socket unix://, Celery redis+socket://.
CELERY_BROKER_URL = REDIS_URL.replace("unix://", "redis+socket://", 1)
# Answers of the travel time service; losing them costs only new requests.
CACHES = {"default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}}
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 600,
    "unacked_restore_interval": 2,
    "unacked_restore_throttle": 1,
    "socket_timeout": 3,
    "socket_connect_timeout": 2,
    # The first queue with anything in it, not each in turn.
    "queue_order_strategy": "priority",
}
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
# Each PDF leaves about 0.27 MB behind, so a child is replaced after so many tasks, or once it has used so many KiB.
CELERY_WORKER_MAX_TASKS_PER_CHILD = 400
CELERY_WORKER_MAX_MEMORY_PER_CHILD = 400_000
# Somebody waits for mail and PDFs, so pictures have the lowest priority (9, of 0 to 9), also after
# periodic work.
CELERY_TASK_ROUTES = {
    "files.clean_picture": {"priority": 9},
    # The server of another program may answer slowly.
    "webhooks.send_deliveries": {"priority": 6},
}
CELERY_TASK_DEFAULT_QUEUE = WORK
CELERY_TASK_QUEUES = QUEUES
CELERY_BEAT_SCHEDULE = schedule()
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "beat")
