"""Several groups of people on one server who never see each other's rooms: each has a folder of its
own with all that is kept (database, files, secret, people), and is reached by names of its own.

What stands in `workspace.json` of a folder is a workspace; nothing else is kept of them anywhere.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import urlsplit

from scout.errors import Damaged, Refused
from scout.settings import Settings
from scout.values import Name, said

FILE, REMOVED = "workspace.json", "workspace.removed.json"
NAMED = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,38}[a-z0-9])?")
HOST = re.compile(r"[a-z0-9](?:[a-z0-9.-]{0,251}[a-z0-9])?")
NEAR = ".localhost"  # names that every system leads to itself (RFC 6761)
OF_EACH = {  # what one setting for all would let them share
    "SILLBOOK_DATABASE_URL": "--database",
    "SILLBOOK_FILES": "--files",
    "SILLBOOK_PUBLIC_URL": "--public-url",
}


@dataclass(frozen=True)
class Workspace:
    """One group's own; `hosts`: the names it is reached by, beside NAME.localhost."""

    name: str
    folder: Path
    hosts: tuple[str, ...]
    database: str | None = None
    files: str | None = None
    public_url: str | None = None

    @property
    def is_there(self) -> bool:
        """Whether it has not been removed since it was read."""
        return (self.folder / FILE).is_file()

    def settings(self, base: Settings) -> Settings:
        """The installation's settings as this workspace has them. One secret for all is made another
        one for each, so that nothing signed or sealed here is worth anything there. Raises Refused.
        """
        named = {
            "SILLBOOK_DATA": str(self.folder),
            "SILLBOOK_DATABASE_URL": self.database or "",
            "SILLBOOK_FILES": self.files or "",
            "SILLBOOK_PUBLIC_URL": self.public_url or "",
        }
        own = Settings.from_environment(named)
        secret = base.secret_key
        if secret is not None:
            of = f"workspace {self.name}".encode()
            secret = hmac.new(secret.encode(), of, hashlib.sha256).hexdigest()
        return replace(
            base,
            data_dir=own.data_dir,
            database_url=own.database_url,
            files=own.files,
            public_url=own.public_url,
            secret_key=secret,
            workspace=self.name,
        )


def all_in(folder: Path) -> dict[str, Workspace]:
    """The workspaces of a folder by name. Raises Damaged for a file that is none of ours, Refused where
    two would share what they keep.
    """
    found = {one.name: one for path in _files(folder) for one in _read(path)}
    _refuse_shared(found.values())
    return found


def of_each(base: Settings) -> dict[str, Settings]:
    """The settings of each group that an installation serves, by name; of its one group by none. A
    group whose file somebody broke waits, and the others go on: the pages say so in the log. Raises
    Refused where two would share what they keep.
    """
    if base.workspaces is None or base.workspace is not None:
        return {"": base}
    found: list[Workspace] = []
    for path in _files(base.workspaces):
        with suppress(Damaged):
            found += _read(path)
    _refuse_shared(found)
    return {one.name: one.settings(base) for one in found}


def called(folder: Path, name: str) -> Workspace:
    """One workspace. Raises Refused naming `--workspace`."""
    found = all_in(folder)
    if name not in found:
        raise Refused("--workspace", name, said("workspace.none", folder=Name(str(folder))))
    return found[name]


def by_host(found: Mapping[str, Workspace], host: str, *, near: bool) -> Workspace | None:
    """The workspace that a host leads to, exactly: no two are read that claim one. `near`: from this
    machine, where NAME.localhost leads to one too.
    """
    wanted = host_of(host)
    if wanted.endswith(NEAR):
        return found.get(wanted.removesuffix(NEAR)) if near else None
    return next((one for one in found.values() if wanted in one.hosts), None)


def host_of(text: str) -> str:
    """A host as it is compared: in small letters, without port and last dot."""
    return text.strip().lower().partition(":")[0].removesuffix(".")


def add(base: Settings, folder: Path, new: Workspace) -> Workspace:
    """Begin a workspace, or one that was removed again. Raises Refused for a name, a host, a database
    or files that another has.
    """
    if not NAMED.fullmatch(new.name):
        raise Refused("name", new.name, said("workspace.no_name"))
    hosts = tuple(dict.fromkeys(map(_host, new.hosts)))
    new = replace(new, hosts=hosts, folder=folder / new.name)
    new.settings(base)
    there = all_in(folder)
    if new.name in there:
        raise Refused("name", new.name, said("workspace.taken", name=Name(new.name)))
    _refuse_shared([*there.values(), new])
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    new.folder.mkdir(exist_ok=True, mode=0o700)
    kept = {
        "hosts": list(hosts),
        "database": new.database,
        "files": new.files,
        "public_url": new.public_url,
    }
    fresh = new.folder / f"{FILE}.new"
    fresh.unlink(missing_ok=True)
    handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)  # a password may be in it
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        json.dump(kept, file, indent=1)
    fresh.replace(new.folder / FILE)
    return new


def remove(folder: Path, name: str) -> Path:
    """Let nobody reach a workspace any more; its folder stays, and is returned. Raises Refused."""
    one = called(folder, name)
    (one.folder / FILE).replace(one.folder / REMOVED)
    return one.folder


def _files(folder: Path) -> list[Path]:
    return sorted(folder.glob(f"*/{FILE}")) if folder.is_dir() else []


def _read(path: Path) -> Iterator[Workspace]:
    """The workspace of a file; none in a folder that no workspace can have. Raises Damaged."""
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
        hosts = tuple(map(_host, held["hosts"]))
        texts = [held[key] for key in ("database", "files", "public_url")]
        if not all(one is None or isinstance(one, str) for one in texts):
            raise TypeError
    except (OSError, ValueError, TypeError, KeyError, AttributeError, Refused):
        raise Damaged(said("workspace.unreadable", file=Name(str(path)))) from None
    if NAMED.fullmatch(path.parent.name):
        yield Workspace(path.parent.name, path.parent, hosts, *texts)


def _host(text: str) -> str:
    host = host_of(text)
    try:
        host = host.encode("idna").decode("ascii")
    except UnicodeError:
        host = ""
    if not HOST.fullmatch(host) or host == "localhost" or host.endswith(NEAR):
        raise Refused("--host", text, said("workspace.no_host"))
    return host


def _refuse_shared(found: Iterable[Workspace]) -> None:
    """Raises Refused where two have a host, a database or a place of files in common."""
    seen: dict[tuple[str, str], str] = {}
    places: list[tuple[str, str]] = []
    for one in found:
        kept = [("--host", host) for host in one.hosts]
        kept += [("--database", _database(one.database))] if one.database else []
        for option, what in kept:
            if (option, what) in seen:
                raise Refused(option, None, said("workspace.shared", name=Name(seen[option, what])))
            seen[option, what] = one.name
        if one.files:
            parts = urlsplit(one.files)
            mine = f"{parts.netloc}/{parts.path.strip('/')}/".replace("//", "/")
            for theirs, name in places:  # nor one within the other: a check looks at all in a place
                if mine.startswith(theirs) or theirs.startswith(mine):
                    raise Refused("--files", None, said("workspace.shared", name=Name(name)))
            places.append((mine, one.name))


def _database(url: str) -> str:
    """Which database an address leads to, whoever asks and by which driver."""
    parts = urlsplit(url)
    if parts.scheme.startswith("sqlite"):
        return str(Path(url.removeprefix("sqlite:///")).resolve())
    return f"{(parts.hostname or '').lower()}:{parts.port or 5432}{parts.path}?{parts.query}"


def chosen(base: Settings, env: Mapping[str, str], *, several: bool) -> Settings:
    """The settings of the workspace that the environment names; the installation's own where none is
    and whoever asks takes several, or names a folder of data. Raises Refused, Damaged.
    """
    folder, name = env.get("SILLBOOK_WORKSPACES"), env.get("SILLBOOK_WORKSPACE")
    if not folder:
        if name:
            raise Refused("--workspace", name, said("workspace.not_set"))
        return base
    here = Path(folder).expanduser().resolve()
    for setting, option in OF_EACH.items():
        if env.get(setting):
            raise Refused(setting, None, said("workspace.of_each", option=Name(option)))
    base = replace(base, workspaces=here)
    if name:
        return called(here, name).settings(base)
    if several or env.get("SILLBOOK_DATA"):
        return base
    raise Refused("--workspace", None, said("workspace.which", folder=Name(str(here))))
