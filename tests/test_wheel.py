"""A built wheel, unpacked, runs from an empty folder: templates, migrations and the demonstration
travel in it.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    built = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [
            sys.executable,
            "-m",
            "build",
            "--wheel",
            "--no-isolation",
            "--outdir",
            str(built),
            str(ROOT),
        ],
        check=True,
        capture_output=True,
    )
    wheel = next(built.glob("sillbook-*.whl"))
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(built / "site")
    return built / "site"


def run(unpacked: Path, folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(unpacked), "SILLBOOK_DATA": str(folder / "data")}
    environment.pop("SILLBOOK_DATABASE_URL", None)
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


def test_the_wheel_runs_the_demonstration_from_an_empty_folder(
    unpacked: Path, tmp_path: Path
) -> None:
    where = run(unpacked, tmp_path, "-c", "import scout; print(scout.__file__)")
    assert Path(where.stdout.strip()).is_relative_to(unpacked)  # not the checkout
    demo = run(unpacked, tmp_path, "-m", "scout", "demo", "--no-serve", "--json")
    assert demo.returncode == 0, demo.stderr
    told = json.loads(demo.stdout)
    data = tmp_path / "data"
    assert set(told) == {"data", "packet", "pages", "seconds"}
    assert (told["data"], told["packet"]) == (str(data), str(data / "packet.pdf"))
    assert Path(told["packet"]).read_bytes().startswith(b"%PDF")
    assert 5 < told["pages"] <= 20
    check = run(unpacked, tmp_path, "-m", "scout", "check", "--json")
    assert (check.returncode, check.stderr) == (0, "")
    assert json.loads(check.stdout)["faults"] == []
    assert json.loads(check.stdout)["photos"] >= 1
    again = run(unpacked, tmp_path, "-m", "scout", "demo", "--no-serve")
    assert again.returncode == 2
    assert "is not empty" in again.stderr
    page = (
        "from scout.web.app import create_app; from scout.settings import Settings; "
        "print(create_app(Settings.from_environment()).test_client().get('/', follow_redirects=True).status_code)"
    )
    assert run(unpacked, tmp_path, "-c", page).stdout.strip() == "200"


def test_what_is_for_tests_alone_stays_out_of_the_wheel(unpacked: Path) -> None:
    assert not (unpacked / "tests").exists()
    assert (unpacked / "scout" / "_shipped" / "templates").is_dir()
