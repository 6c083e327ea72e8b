"""HTTPS without a proxy: a certificate of our own, and a front that takes TLS off before waitress,
which speaks none.

    phone ==TLS==> front (asyncio) --loopback--> waitress

Waitress is told the phone's own address, not the front's: guards go by who asks.
"""

from __future__ import annotations

import asyncio
import os
import socket
import ssl
import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, IPv6Address, ip_address
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

FILE = "https.pem"
DAYS, RENEW_DAYS = 397, 30  # from memory: phones refuse what is valid for longer than 398 days
HANDSHAKE_S, PIECE_BYTES = 15.0, 65_536


@dataclass(frozen=True)
class Certificate:
    """Key and certificate in one file; `fingerprint` as a browser shows it (SHA-256)."""

    path: Path
    fingerprint: str
    made_now: bool


def certificate(folder: Path, addresses: Sequence[str], now: datetime | None = None) -> Certificate:
    """The certificate kept in a folder, made anew where there is none, where it is damaged, ends
    soon, or is for other addresses. Its file is readable by its owner alone.
    """
    now = now or datetime.now(UTC)
    path = folder / FILE
    wanted = [ip_address(one) for one in addresses]
    with suppress(OSError, ValueError):
        kept = x509.load_pem_x509_certificate(path.read_bytes())
        serialization.load_pem_private_key(path.read_bytes(), None)
        names = kept.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        ends = kept.not_valid_after_utc - now
        if set(wanted) <= set(names.get_values_for_type(x509.IPAddress)) and ends > timedelta(
            days=RENEW_DAYS
        ):
            path.chmod(0o600)
            return Certificate(path, _fingerprint(kept), made_now=False)
    key = ec.generate_private_key(ec.SECP256R1())
    made = _signed(key, wanted, now)
    text = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    ) + made.public_bytes(serialization.Encoding.PEM)
    fresh = path.with_suffix(".new")
    fresh.unlink(missing_ok=True)
    with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(text)
    fresh.replace(path)
    return Certificate(path, _fingerprint(made), made_now=True)


def _signed(
    key: ec.EllipticCurvePrivateKey, addresses: list[IPv4Address | IPv6Address], now: datetime
) -> x509.Certificate:
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Sillbook on this network")])
    usage = [ExtendedKeyUsageOID.SERVER_AUTH]
    names = [x509.DNSName("localhost"), *map(x509.IPAddress, addresses)]
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))  # the phone's clock may be behind
        .not_valid_after(now + timedelta(days=DAYS - 1))
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(x509.ExtendedKeyUsage(usage), critical=False)
        .sign(key, hashes.SHA256())
    )


def _fingerprint(made: x509.Certificate) -> str:
    return made.fingerprint(hashes.SHA256()).hex(":").upper()


class Front:
    """Takes connections with TLS and hands what is in them to a server on this machine, in a thread
    of its own; a connection that says nothing keeps nobody else waiting.
    """

    def __init__(self, listening: socket.socket, inner: socket.socket, made: Certificate) -> None:
        self.listening, self.inner = listening, inner.getsockname()
        self.context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        self.context.minimum_version = ssl.TLSVersion.TLSv1_2
        self.context.load_cert_chain(made.path)
        self.loop = asyncio.new_event_loop()
        self.thread = threading.Thread(target=self._run, daemon=True)
        self.ending = asyncio.Event()
        self.peers: dict[int, Any] = {}  # who is behind which port of this machine

    def peer(self, address: Any) -> Any:
        """Who is behind a connection from the front; anybody else on this machine is himself."""
        return self.peers.get(address[1], address)

    def start(self) -> None:
        """Begin, in a thread of its own."""
        self.thread.start()

    def stop(self) -> None:
        """Take no more connections and leave those that are open."""
        with suppress(RuntimeError):  # it has ended
            self.loop.call_soon_threadsafe(self.ending.set)
        if self.thread.ident is None:  # it never began
            self.loop.close()
        else:
            self.thread.join(5)

    def _run(self) -> None:
        asyncio.set_event_loop(self.loop)
        self.loop.run_until_complete(self._until_ending())
        left = asyncio.all_tasks(self.loop)
        for task in left:
            task.cancel()
        self.loop.run_until_complete(asyncio.gather(*left, return_exceptions=True))
        self.loop.close()

    async def _until_ending(self) -> None:
        """Serve until `stop`, which may be asked for before the server has begun."""
        server = await asyncio.start_server(
            self._hand_on,
            sock=self.listening,
            ssl=self.context,
            ssl_handshake_timeout=HANDSHAKE_S,
        )
        await self.ending.wait()
        server.close()

    async def _hand_on(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        way = socket.socket()
        way.setblocking(False)
        way.bind(("127.0.0.1", 0))
        port = way.getsockname()[1]
        self.peers[port] = writer.get_extra_info("peername")
        inner = None
        try:
            await asyncio.get_running_loop().sock_connect(way, self.inner)
            answers, inner = await asyncio.open_connection(sock=way)
            await asyncio.gather(_pass_on(reader, inner), _pass_on(answers, writer))
        except OSError:
            pass  # one side is gone
        finally:
            for end in (writer, inner or way):
                end.close()
            del self.peers[port]


async def _pass_on(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """All that comes, to the other side, as fast as it takes it; then the end."""
    try:
        while piece := await reader.read(PIECE_BYTES):
            writer.write(piece)
            await writer.drain()
    finally:
        writer.close()
