"""The installation past one machine, as its files name it: every setting and option there is one."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import click
import pytest
import yaml

from scout.cli import cli
from scout.settings import Settings

FOLDER = Path(__file__).resolve().parent.parent / ".compose"
GIVEN = "a word of twenty letters"


def filled(text: str) -> str:
    """A text as it is once the names of `.env` are given."""
    return re.sub(r"\$\{([A-Z_]+):\?\}", "example.org", text)


@pytest.fixture(scope="module")
def services() -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load((FOLDER / "compose.yaml").read_text(encoding="utf-8"))
    return dict(found["services"])


def ours(services: dict[str, Any]) -> dict[str, Any]:
    return {name: one for name, one in services.items() if one["image"] == "sillbook"}


def test_there_are_three_of_pages_two_of_work_and_what_they_need(services: dict[str, Any]) -> None:
    kinds = [one["command"][0] for one in ours(services).values()]
    assert (kinds.count("serve"), kinds.count("work")) == (3, 2)
    assert set(services) - set(ours(services)) == {"proxy", "database", "store"}
    for one in ours(services).values():
        group, _, _ = cli.resolve_command(click.Context(cli), list(one["command"]))
        assert group is not None
        command = cli.get_command(click.Context(cli), group)
        assert command is not None
        command.make_context(group, list(one["command"][1:]))  # raises for an option there is not


def test_every_setting_is_one_and_is_taken(services: dict[str, Any]) -> None:
    known = (Path(__file__).parents[1] / "scout" / "settings.py").read_text(encoding="utf-8")
    for one in ours(services).values():
        given = {name: filled(value) for name, value in one["environment"].items()}
        given["SILLBOOK_METRICS_TOKEN"] = GIVEN
        for name in given:
            assert name.startswith(("AWS_", "OMP_")) or f'"{name}"' in known
        settings = Settings.from_environment(given)
        assert settings.https
        assert not settings.is_sqlite
        assert settings.files is not None
        assert {"AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"} <= set(given)
        proxy = services["proxy"]["networks"]["default"]["ipv4_address"]
        assert settings.trusted_proxy == proxy


def test_the_proxy_knows_every_process_of_pages_and_keeps_figures_inside(
    services: dict[str, Any],
) -> None:
    text = (FOLDER / "Caddyfile").read_text(encoding="utf-8")
    webs = [name for name, one in ours(services).items() if one["command"][0] == "serve"]
    line = next(line for line in text.splitlines() if "reverse_proxy" in line)
    assert re.findall(r"(\w+):8520", line) == webs
    assert re.search(r"@inside path .*/metrics", text)
