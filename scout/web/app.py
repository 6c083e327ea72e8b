"""The application factory."""

from __future__ import annotations

from datetime import timedelta
from importlib import import_module

from flask import Flask
from flask_compress import Compress

from scout import places
from scout.settings import Settings
from scout.usecases.checking import sweep
from scout.usecases.work import prepare
from scout.web import allowed, errors, listening, outbox, people, security, show, waiting, watching
from scout.web import work as request_work
from scout.web.arriving import Request

BLUEPRINTS = (
    "home",
    "people",
    "locations",
    "map",
    "rooms",
    "walk",
    "parts",
    "photos",
    "notes",
    "gates",
    "productions",
    "day",
    "scenes",
    "finding",
    "packets",
    "shares",
    "sheets",
    "bin",
    "history",
    "api",
    "files",
    "plan",
    "daylight",
    "sighting",
    "sound",
    "bounce",
    "card",
    "measuring",
    "outbox",
    "watching",
    "leaving",
    "codes",
    "passkeys",
)
SESSION_DAYS = 14


def create_app(settings: Settings) -> Flask:
    """The pages over one data folder, whose database is brought up to date first."""
    prepare(settings)
    sweep(settings)
    app = Flask("scout.web", template_folder=str(places.TEMPLATES), static_folder=str(show.STATIC))
    app.request_class = Request
    app.config.update(
        SILLBOOK=settings,
        SECRET_KEY=settings.session_key(),
        SESSION_COOKIE_NAME="sillbook",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_SECURE=settings.https,
        PERMANENT_SESSION_LIFETIME=timedelta(days=SESSION_DAYS),
        MAX_CONTENT_LENGTH=security.FORM_MOST_BYTES,
        MAX_FORM_MEMORY_SIZE=security.FORM_MOST_BYTES,
        MAX_FORM_PARTS=10_000,
        # a form may lie open for a day on a scout; the session is what ends
        WTF_CSRF_TIME_LIMIT=None,
        WTF_CSRF_SSL_STRICT=settings.https,
        SEND_FILE_MAX_AGE_DEFAULT=timedelta(
            days=365
        ),  # addresses of static files change with their content
        COMPRESS_ALGORITHM=["br", "gzip"],
        COMPRESS_STREAMS=False,  # photos, packets and recordings are compressed as they lie
        COMPRESS_MIMETYPES=[
            "application/json",
            "image/svg+xml",
            "text/css",
            "text/html",
            "text/javascript",
        ],
    )
    Compress(app)
    watching.start(app)
    listening.start(app, settings)
    request_work.close_after_requests(app)
    people.start(app)
    security.guard(app)
    allowed.start(app)
    show.register(app)
    errors.register(app)
    waiting.start(app)
    outbox.start(app)
    for name in BLUEPRINTS:
        app.register_blueprint(import_module(f"scout.web.{name}").bp)
    return app
