"""What the environment says, read once at the rim and passed down; nothing below the use cases
reads it.
"""

from __future__ import annotations

import os
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, replace
from ipaddress import ip_address
from pathlib import Path
from typing import Literal
from urllib.parse import parse_qsl, quote, unquote, urlsplit

import platformdirs

from scout.errors import Refused
from scout.values import Name, names, said

MEGABYTE = 1_000_000
UNITS = ("metric", "feet")
BUCKET = "s3://BUCKET/PREFIX?endpoint=https://HOST&region=REGION"
LOGS = ("plain", "json")
LEAST_TOKEN = 20  # characters: nobody guesses so many
EXAMPLE_TILES = "https://tiles.example.org/{z}/{x}/{y}.png"
_YES, _NO = ("1", "yes", "true", "on"), ("", "0", "no", "false", "off")


@dataclass(frozen=True)
class MailServer:
    """Through whom letters go. `tls`: none goes to this machine alone."""

    host: str
    port: int
    user: str | None
    password: str | None
    tls: Literal["from_the_start", "started", "none"]
    sender: str


@dataclass(frozen=True)
class Settings:
    """Everything an installation can set. `database_url` None means SQLite in the data folder."""

    data_dir: Path
    database_url: str | None = None
    secret_key: str | None = None
    max_upload_bytes: int = 100 * MEGABYTE
    max_recording_bytes: int = (
        1_000 * MEGABYTE
    )  # 10 minutes of 16-bit stereo at 48 kHz are 115 MB, of a recorder's 96 kHz float 461
    units: Literal["metric", "feet"] = "metric"
    host: str = "127.0.0.1"
    port: int = 8520
    https: bool = False
    # whose X-Forwarded-* headers are believed; None: nobody's
    trusted_proxy: str | None = None
    # where phones reach this installation, without a last slash; None: printed codes have no address
    public_url: str | None = None
    tiles: str | None = None  # the address of map tiles; None: maps are drawn on a metric grid
    tiles_by: str = ""  # whom the tiles are owed to
    files: str | None = None  # a bucket; None: originals and packets lie in the data folder
    metrics_token: str | None = None  # None: /metrics answers this machine alone
    log: Literal["plain", "json"] = "plain"
    mail: MailServer | None = None  # None: links are shown, never sent
    workspaces: Path | None = None  # where several groups' folders lie; None: there is one group
    workspace: str | None = None  # whose settings these are

    @classmethod
    def from_environment(
        cls, environment: Mapping[str, str] | None = None, *, several: bool = False
    ) -> Settings:
        """Settings from SILLBOOK_* variables, of the workspace that is named. Raises Refused naming
        the variable, also where one is to be named; `several`: none is needed.
        """
        from scout.workspaces import chosen  # which reads settings

        env = os.environ if environment is None else environment
        data = env.get("SILLBOOK_DATA") or platformdirs.user_data_dir("sillbook", appauthor=False)
        https = env.get("SILLBOOK_HTTPS", "").strip().lower()
        if https not in {*_YES, *_NO}:
            raise Refused(
                "SILLBOOK_HTTPS",
                https,
                said("record.not_one_of", choices=names((*_YES, *_NO[1:]), "list")),
            )
        made = cls(
            data_dir=_folder(data),
            database_url=_database_url(env.get("SILLBOOK_DATABASE_URL")),
            secret_key=env.get("SILLBOOK_SECRET_KEY") or None,
            max_upload_bytes=_whole(env, "SILLBOOK_MAX_UPLOAD_MB", 100, least=1, most=2_000)
            * MEGABYTE,  # a row keeps the size in 31 bits
            max_recording_bytes=_whole(env, "SILLBOOK_MAX_RECORDING_MB", 1_000, least=1, most=2_000)
            * MEGABYTE,
            units=units_of(env),
            host=env.get("SILLBOOK_HOST", "127.0.0.1"),
            port=_whole(env, "SILLBOOK_PORT", 8520, least=0, most=65_535),
            https=https in _YES,
            trusted_proxy=_address(env.get("SILLBOOK_TRUSTED_PROXY")),
            public_url=_public(env.get("SILLBOOK_PUBLIC_URL")),
            tiles=_tiles(env),
            tiles_by=env.get("SILLBOOK_TILES_BY", "").strip(),
            files=_bucket(env.get("SILLBOOK_FILES")),
            metrics_token=_token(env.get("SILLBOOK_METRICS_TOKEN")),
            log="json" if _one_of(env, "SILLBOOK_LOG", LOGS) == "json" else "plain",
            mail=_mail(env),
        )
        return chosen(made, env, several=several)

    @property
    def url(self) -> str:
        """The SQLAlchemy address of the database."""
        if self.database_url:
            return self.database_url
        # In an address ? # and % have a meaning of their own: unquoted, a folder so named would
        # keep its database beside itself.
        return "sqlite:///" + quote(str(self.data_dir / "sillbook.db"), safe="/\\: ")

    @property
    def is_sqlite(self) -> bool:
        """Whether the database is the embedded default."""
        return self.url.startswith("sqlite")

    @property
    def tiles_origin(self) -> str | None:
        """Where pages with a map may fetch pictures from."""
        return (
            None if self.tiles is None else "{0.scheme}://{0.netloc}".format(urlsplit(self.tiles))
        )

    @property
    def cache_dir(self) -> Path:
        """What can be made again: derivatives of photos, instances of fonts."""
        return self.data_dir / "cache"

    def in_folder(self, data_dir: Path) -> Settings:
        """The same settings with another data folder, its own embedded database and files."""
        return replace(self, data_dir=data_dir.resolve(), database_url=None, files=None)

    def session_key(self) -> str:
        """The key that signs sessions: from the environment, else made once and kept in the data
        folder, readable by its owner alone.
        """
        if self.secret_key:
            return self.secret_key
        path = self.data_dir / "session.key"
        self.data_dir.mkdir(parents=True, exist_ok=True)
        try:
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except FileExistsError:
            key = path.read_text(encoding="ascii", errors="replace").strip()
            if len(key) >= 32:
                return key
            path.unlink()  # a half-written key signs nothing; make it again
            return self.session_key()
        with os.fdopen(handle, "w", encoding="ascii") as file:
            key = secrets.token_urlsafe(48)
            file.write(key)
        return key


def units_of(environment: Mapping[str, str]) -> Literal["metric", "feet"]:
    """What lengths are said in. Raises Refused."""
    return "feet" if _one_of(environment, "SILLBOOK_UNITS", UNITS) == "feet" else "metric"


def _one_of(env: Mapping[str, str], name: str, choices: tuple[str, ...]) -> str:
    """A word out of some, the first unless set. Raises Refused."""
    word = env.get(name, choices[0])
    if word not in choices:
        raise Refused(name, word, said("record.not_one_of", choices=names(choices, "list")))
    return word


def _bucket(text: str | None) -> str | None:
    """The address of a bucket. Raises Refused, which repeats nothing: a key may stand in it."""
    if not text:
        return None
    parts, asked = urlsplit(text), dict(parse_qsl(urlsplit(text).query, keep_blank_values=True))
    endpoint = asked.pop("endpoint", "http://no.one")
    region = asked.pop("region", "any")
    whole = (
        parts.scheme == "s3"
        and re.fullmatch(r"[a-z0-9][a-z0-9.-]{1,61}[a-z0-9]", parts.netloc)
        and re.fullmatch(r"(/[A-Za-z0-9._-]+)*/?", parts.path)
        and re.fullmatch(r"https?://[A-Za-z0-9.-]+(:\d{1,5})?/?", endpoint)
        and re.fullmatch(r"[a-z0-9-]+", region)
    )
    if not whole or asked or parts.fragment:
        raise Refused("SILLBOOK_FILES", None, said("setting.no_bucket", example=Name(BUCKET)))
    return text


def _token(text: str | None) -> str | None:
    if not text:
        return None
    if len(text) < LEAST_TOKEN or not text.isascii() or not text.isprintable():
        raise Refused("SILLBOOK_METRICS_TOKEN", None, said("setting.no_token", least=LEAST_TOKEN))
    return text


def _folder(text: str) -> Path:
    try:
        return Path(text).expanduser().resolve()
    except RuntimeError:  # ~somebody who has no home here
        raise Refused("SILLBOOK_DATA", text, said("setting.no_folder")) from None


def _address(text: str | None) -> str | None:
    if not text:
        return None
    try:
        return str(ip_address(text.strip()))
    except ValueError:
        raise Refused("SILLBOOK_TRUSTED_PROXY", text, said("setting.no_ip")) from None


def _public(text: str | None) -> str | None:
    if not text or not text.strip():
        return None
    url = text.strip().rstrip("/")
    if not re.fullmatch(r"https?://[A-Za-z0-9.-]+(:\d{1,5})?(/[A-Za-z0-9._~/-]*)?", url):
        raise Refused("SILLBOOK_PUBLIC_URL", text, said("setting.no_address"))
    return url


def _tiles(env: Mapping[str, str]) -> str | None:
    text = env.get("SILLBOOK_TILES", "").strip()
    if not text:
        return None
    parts = urlsplit(text)
    blanks = re.findall(r"\{[^}]*\}", text)
    whole = parts.scheme in {"http", "https"} and re.fullmatch(r"[A-Za-z0-9.:-]+", parts.netloc)
    if not whole or sorted(blanks) != ["{x}", "{y}", "{z}"] or not text.isprintable():
        raise Refused("SILLBOOK_TILES", text, said("setting.no_tiles", example=Name(EXAMPLE_TILES)))
    if not env.get("SILLBOOK_TILES_BY", "").strip():
        raise Refused("SILLBOOK_TILES_BY", None, said("setting.no_tiles_by"))
    return text


def _mail(env: Mapping[str, str]) -> MailServer | None:
    text, sender = env.get("SILLBOOK_SMTP", "").strip(), env.get("SILLBOOK_MAIL_FROM", "").strip()
    if not text:
        return None
    parts = urlsplit(text)
    try:
        port = parts.port
    except ValueError:
        port = 0
    if parts.scheme not in {"smtp", "smtps"} or not parts.hostname or port == 0 or parts.path:
        # without what was given: it may hold a password
        raise Refused("SILLBOOK_SMTP", None, said("setting.no_mail_server"))
    if not re.fullmatch(r"[^@\s]+@[^@\s]+", sender):
        raise Refused("SILLBOOK_MAIL_FROM", sender or None, said("setting.no_sender"))
    near = parts.hostname in {"localhost", "127.0.0.1", "::1"}
    return MailServer(
        parts.hostname,
        port or (465 if parts.scheme == "smtps" else 587),
        unquote(parts.username) if parts.username else None,
        unquote(parts.password) if parts.password else None,
        "from_the_start" if parts.scheme == "smtps" else "none" if near else "started",
        sender,
    )


def _database_url(url: str | None) -> str | None:
    if not url:
        return None
    for short in ("postgres://", "postgresql://"):
        if url.startswith(short):
            return "postgresql+psycopg://" + url[len(short) :]
    if not url.startswith(("sqlite:///", "postgresql+psycopg://")):
        raise Refused(
            "SILLBOOK_DATABASE_URL",
            url.partition("://")[0] if "://" in url else None,
            said("setting.no_database"),
        )
    return url


def _whole(env: Mapping[str, str], name: str, default: int, *, least: int, most: int) -> int:
    text = env.get(name)
    if not text:
        return default
    if not text.isdecimal() or not least <= int(text) <= most:
        raise Refused(name, text, said("setting.whole_number", least=least, most=most))
    return int(text)
