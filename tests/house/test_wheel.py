"""The wheel in an empty environment outside the checkout: it carries its resources and proves itself."""

from __future__ import annotations

import subprocess
import sys
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The `coilbook` command of a wheel installed into a new environment, with nothing of the checkout around it."""
    place = tmp_path_factory.mktemp("wheel")
    built = subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--outdir", str(place), str(ROOT)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert built.returncode == 0, built.stderr[-2000:] + built.stdout[-2000:]
    (wheel,) = place.glob("*.whl")
    venv.create(place / "env", with_pip=True)
    python = place / "env" / "bin" / "python"
    done = subprocess.run(
        [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", str(wheel)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    return place / "env" / "bin" / "coilbook"


def _run(command: Path, *words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    # the environment is made anew: nothing of this test run's paths may help the installed program
    clean = {"PATH": "/usr/bin:/bin", "HOME": str(folder), "QT_QPA_PLATFORM": "offscreen", "LANG": "C.UTF-8"}
    return subprocess.run(
        [str(command), *words], cwd=folder, env=clean, capture_output=True, text=True, check=False, timeout=240
    )


@pytest.mark.timeout(600)
def test_the_installed_program_tests_itself(installed: Path, tmp_path: Path) -> None:
    done = _run(installed, "selftest", folder=tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.timeout(600)
def test_the_installed_program_opens_the_demo(installed: Path, tmp_path: Path) -> None:
    """Builds the demo, then drives the real window over it, from the wheel's own resources."""
    built = _run(installed, "demo", "--build-only", "--folder", str(tmp_path / "demo"), folder=tmp_path)
    assert built.returncode == 0, built.stdout + built.stderr
    assert (tmp_path / "demo" / "collection.sqlite").is_file()
    done = _run(installed, "tour", str(tmp_path / "out"), "--quick", "--screen", "history", folder=tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr
    assert list((tmp_path / "out").rglob("*.png"))
