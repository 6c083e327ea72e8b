"""What a machine asks that watches the pages: whether they answer, figures, and a line a request.
Nothing of it holds a fact, a token, a name or an address.
"""

from __future__ import annotations

import hmac
import logging
import time
from collections.abc import Iterator

from flask import Blueprint, Flask, Response, current_app, g, jsonify, request
from flask.typing import ResponseReturnValue
from prometheus_client import (
    CONTENT_TYPE_LATEST,
    CollectorRegistry,
    Counter,
    Histogram,
    ProcessCollector,
    generate_latest,
)
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.registry import Collector

from scout.errors import NotAllowed, ScoutError
from scout.media.photos.gate import GATE
from scout.settings import Settings
from scout.usecases import people, watching
from scout.usecases.work import open_work
from scout.values import said
from scout.web.security import from_this_machine
from scout.web.work import settings, work

bp = Blueprint("watching", __name__)
log = logging.getLogger("scout.web.requests")
METHODS = frozenset({"GET", "HEAD", "OPTIONS", "POST", "PUT", "DELETE"})
HELD_S = 2.0  # whoever asks more often is told the same: asking costs the database something
# seconds; a page is meant to come within a tenth, a packet's picture within one
BUCKETS = (0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30)


class Figures:
    """What is counted in one process over its life."""

    def __init__(self, of: Settings) -> None:
        self.settings = of
        self.held: tuple[float, watching.Standing] | None = None
        self.registry = CollectorRegistry()
        ProcessCollector(registry=self.registry)
        labels = ("rule", "method", "status")
        self.requests = Counter(
            "sillbook_requests", "Requests answered.", labels, registry=self.registry
        )
        self.seconds = Histogram(
            "sillbook_request_seconds",
            "From a request's arrival to the beginning of its answer.",
            ("rule", "method"),
            buckets=BUCKETS,
            registry=self.registry,
        )
        self.registry.register(_Now(self))

    def standing(self) -> watching.Standing:
        """How it stands, asked anew every few seconds at most."""
        now = time.monotonic()
        if self.held is None or now - self.held[0] > HELD_S:
            self.held = now, watching.standing(self.settings)
        return self.held[1]


class _Now(Collector):
    """What is looked up when somebody asks, rather than counted."""

    def __init__(self, figures: Figures) -> None:
        self.figures = figures

    def describe(self) -> Iterator[GaugeMetricFamily]:
        """Nothing to ask for beforehand: without it the database would be asked at the start."""
        return iter(())

    def collect(self) -> Iterator[GaugeMetricFamily]:
        """Jobs by state, readiness, and the gate that photos are drawn behind."""
        found = self.figures.standing()
        yield GaugeMetricFamily("sillbook_ready", "1: pages can be served.", float(found.ready))
        if found.worker_s is not None:
            silent = "Since the last sign of a worker."
            yield GaugeMetricFamily("sillbook_worker_silent_seconds", silent, found.worker_s)
        yield GaugeMetricFamily("sillbook_decoding_pixels", "Pixels being drawn.", GATE.inside)
        waiting = "Photos that wait until there is memory to draw them."
        yield GaugeMetricFamily("sillbook_decoding_waiting", waiting, GATE.waiting)
        jobs = GaugeMetricFamily("sillbook_jobs", "Jobs by state.", labels=("kind", "state"))
        try:
            with open_work(self.figures.settings, reading=True) as here:
                for key, count in watching.jobs(here).items():
                    jobs.add_metric(key, count)
        except ScoutError:  # which sillbook_ready says
            return
        yield jobs


def start(app: Flask) -> None:
    """Count every request of the application, and write its line."""
    app.extensions["sillbook_figures"] = Figures(app.config["SILLBOOK"])
    app.before_request(_begin)
    app.after_request(_count)


def _figures() -> Figures:
    found: Figures = current_app.extensions["sillbook_figures"]
    return found


def _begin() -> None:
    g.began = time.perf_counter()


def _count(response: Response) -> Response:
    taken_s = time.perf_counter() - g.get("began", time.perf_counter())
    found = request.url_rule
    rule = found.rule if found is not None else "none"
    method = request.method if request.method in METHODS else "other"
    figures = _figures()
    figures.requests.labels(rule, method, str(response.status_code)).inc()
    figures.seconds.labels(rule, method).observe(taken_s)
    if figures.settings.log == "json":
        fields = {
            "rule": rule,
            "method": method,
            "status": response.status_code,
            "ms": round(1000 * taken_s, 1),
        }
        if figures.settings.workspace is not None:
            fields["workspace"] = figures.settings.workspace
        log.info("request", extra={"fields": fields})
    return response


@bp.get("/health")
def health() -> ResponseReturnValue:
    """Whether pages and database answer; for a watcher, without login and without facts."""
    people.any_person(work())
    return jsonify(status="ok")


@bp.get("/ready")
def ready() -> ResponseReturnValue:
    """Whether this process can serve pages: 503 where it cannot. Silent workers are said and hold
    nobody up: packets wait for them, pages do not.
    """
    found = _figures().standing()
    told = {
        "database": found.database,
        "migrations": found.migrations,
        "files": found.files,
        "workers": found.working,
        "worker_silent_s": None if found.worker_s is None else round(found.worker_s),
    }
    status = "not ready" if not found.ready else "ready" if found.working else "no workers"
    return jsonify(status=status, **told), 200 if found.ready else 503


@bp.get("/metrics")
def metrics() -> ResponseReturnValue:
    """Figures as Prometheus reads them, for this machine or for whoever has the token."""
    token = settings().metrics_token
    sent = request.headers.get("Authorization", "").encode()
    if not from_this_machine() and (
        token is None or not hmac.compare_digest(sent, f"Bearer {token}".encode())
    ):
        raise NotAllowed(said("kept.metrics_closed"))
    return Response(generate_latest(_figures().registry), mimetype=CONTENT_TYPE_LATEST)
