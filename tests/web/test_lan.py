"""Served to a network: who may begin it, HTTPS with a certificate of its own, and what a phone is told."""

from __future__ import annotations

import http.client
import socket
import ssl
import stat
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from cryptography import x509

from scout.cli import serve_command
from scout.errors import NotAllowed, Refused, Unavailable
from scout.records import Person
from scout.settings import Settings
from scout.usecases import people
from scout.usecases.work import open_work, prepare
from scout.web import tls
from tests.web.real_server import started

NOW = datetime(2026, 6, 1, tzinfo=UTC)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    made = Settings(data_dir=tmp_path / "data", secret_key="s" * 40)
    prepare(made)
    return made


def test_a_certificate_is_kept_and_made_anew_when_it_no_longer_serves(tmp_path: Path) -> None:
    first = tls.certificate(tmp_path, ["127.0.0.1", "192.0.2.7"], NOW)
    assert first.made_now
    assert stat.S_IMODE(first.path.stat().st_mode) == 0o600
    read = x509.load_pem_x509_certificate(first.path.read_bytes())
    # RFC 5280, 4.2.1.6: an address stands among the alternative names; 398 days: from memory
    names = read.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert {str(one) for one in names.get_values_for_type(x509.IPAddress)} == {
        "127.0.0.1",
        "192.0.2.7",
    }
    assert read.not_valid_after_utc - read.not_valid_before_utc <= timedelta(days=398)
    again = tls.certificate(tmp_path, ["192.0.2.7"], NOW + timedelta(days=300))
    assert (again.made_now, again.fingerprint) == (False, first.fingerprint)
    assert tls.certificate(tmp_path, ["192.0.2.7"], NOW + timedelta(days=380)).made_now
    assert tls.certificate(tmp_path, ["192.0.2.8"], NOW + timedelta(days=380)).made_now
    first.path.write_text("half a key", encoding="ascii")
    whole = tls.certificate(tmp_path, ["192.0.2.8"], NOW)
    assert whole.made_now
    assert stat.S_IMODE(whole.path.stat().st_mode) == 0o600


@pytest.fixture
def secure(settings: Settings) -> Iterator[tuple[Settings, int, Path]]:
    """The real server behind its front, on any free port."""
    made = tls.certificate(settings.data_dir, ["127.0.0.1"])
    listening, inner = (serve_command.listen("127.0.0.1", 0) for _ in range(2))
    listening.listen()
    front = tls.Front(listening, inner, made)
    server: Any = serve_command.server_of(
        Settings(settings.data_dir, secret_key="s" * 40, https=True), inner, front
    )
    thread = started(server)
    front.start()
    yield settings, listening.getsockname()[1], made.path
    front.stop()
    server.close()
    server.task_dispatcher.shutdown()
    thread.join(10)


def asked(
    port: int, path: str, trusted: Path, source: str = "127.0.0.1", body: bytes | None = None
) -> tuple[int, http.client.HTTPMessage, bytes]:
    context = ssl.create_default_context(cafile=str(trusted))
    connection = http.client.HTTPSConnection(
        "127.0.0.1", port, timeout=20, context=context, source_address=(source, 0)
    )
    connection.request("GET" if body is None else "POST", path, body)
    answer = connection.getresponse()
    told = answer.status, answer.headers, answer.read()
    connection.close()
    return told


def test_https_by_its_own_certificate(secure: tuple[Settings, int, Path]) -> None:
    _, port, trusted = secure
    # somebody who connects and says nothing, and somebody who speaks plain HTTP, hold nobody up
    mute = socket.create_connection(("127.0.0.1", port))
    plain = socket.create_connection(("127.0.0.1", port))
    plain.sendall(b"GET / HTTP/1.1\r\n\r\n")
    status, headers, body = asked(port, "/first-user", trusted)
    assert (status, b"</html>" in body) == (200, True)
    assert "Secure" in headers["Set-Cookie"]
    assert headers["Strict-Transport-Security"]
    mute.close()
    plain.close()
    # property: what is longer than a piece arrives whole, and the server's limit is still its own
    status, _, _ = asked(port, "/first-user", trusted, body=b"x" * 3_000_000)
    assert status == 400
    with pytest.raises(ssl.SSLError):
        asked(port, "/first-user", Path(ssl.get_default_verify_paths().cafile or __file__))


def test_who_asks_is_the_phone_and_not_the_front(secure: tuple[Settings, int, Path]) -> None:
    _, port, trusted = secure
    # 127.0.0.2 is this machine too, but not by the name that the first person's guard lets in
    assert asked(port, "/first-user", trusted, source="127.0.0.2")[0] == 403
    assert asked(port, "/first-user", trusted)[0] == 200


def test_the_network_is_not_served_before_somebody_can_log_in(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    served: list[tuple[Any, ...]] = []

    def serve(*args: Any, **told: Any) -> None:
        served.append((args[1], told["https"], told["code"]))

    monkeypatch.setenv("SILLBOOK_DATA", str(settings.data_dir))
    monkeypatch.setattr(serve_command, "lan_address", lambda: "192.0.2.7")
    monkeypatch.setattr(serve_command, "serve", serve)

    def run(*args: str) -> Any:
        return CliRunner().invoke(serve_command.command, args).exception

    refused = run("--lan", "--https")
    assert isinstance(refused, NotAllowed)
    assert "scout user add" in str(refused)
    assert isinstance(run("--lan", "--host", "127.0.0.1"), Refused)
    with open_work(settings) as work:
        people.add_person(work, Person(name="Ada", email="ada@example.org"), "a long enough one")
    assert run("--lan", "--https") is None
    assert run("--lan") is None
    assert run() is None
    assert served == [
        ("192.0.2.7", True, True),
        ("192.0.2.7", False, True),
        ("127.0.0.1", False, False),
    ]


@pytest.mark.parametrize("begun", [False, True])
def test_a_front_stops_at_any_moment(tmp_path: Path, begun: bool) -> None:
    # property: asked to stop before it has opened its sockets, or before it began, it ends in order
    # (pytest turns an error in a thread into a failure)
    made = tls.certificate(tmp_path, ["127.0.0.1"])
    for _ in range(20):
        with (
            serve_command.listen("127.0.0.1", 0) as listening,
            serve_command.listen("127.0.0.1", 0) as inner,
        ):
            front = tls.Front(listening, inner, made)
            if begun:
                front.start()
            front.stop()
            assert not front.thread.is_alive()


@pytest.mark.parametrize("https", [False, True])
def test_the_address_and_what_sensors_need_are_printed(
    settings: Settings,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    https: bool,
) -> None:
    class Stopped:
        def run(self) -> None:
            """Stopped at once."""

    monkeypatch.setattr(serve_command, "server_of", lambda *_: Stopped())
    opened = [socket.create_server(("127.0.0.1", 0)) for _ in range(2)]
    left = iter(opened)
    monkeypatch.setattr(serve_command, "listen", lambda _host, _port: next(left))
    monkeypatch.setattr(serve_command.sys.stdout, "isatty", lambda: True)
    serve_command.serve(settings, "192.0.2.7", 0, count=0, https=https, code=True)
    for one in opened:
        one.close()
    told = capfd.readouterr().out
    assert ("https://192.0.2.7:" if https else "http://192.0.2.7:") in told
    assert "▀" in told or "█" in told
    if https:
        kept = tls.certificate(settings.data_dir, ["192.0.2.7"])
        assert not kept.made_now
        assert kept.fingerprint in told.replace("\n", "")
    else:
        assert "--https" in told
        assert "compass" in told


def test_the_address_on_the_network_is_never_the_machine_alone() -> None:
    with suppress(Unavailable):  # a machine without a network says so
        assert not serve_command.lan_address().startswith("127.")
