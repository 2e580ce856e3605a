"""The one finder of the program's own files: installed package first, else the checkout."""

from __future__ import annotations

from pathlib import Path

import pytest

from coilbook.records.message import StorageTrouble
from coilbook.wording import resources
from coilbook.wording.resources import demo_path, resource_path


def test_fonts_and_stocks_are_found() -> None:
    assert resource_path("fonts", "CoilbookSans-Regular.ttf").is_file()
    assert list(resource_path("stocks").glob("*.toml"))
    assert demo_path().is_dir()


def test_an_installed_package_goes_before_a_checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package, checkout = tmp_path / "site" / "coilbook", tmp_path
    for base in (package, checkout):
        (base / "resources").mkdir(parents=True)
        (base / "resources" / "word.txt").write_text(base.name)
    (checkout / "resources" / "only.txt").write_text("checkout")
    monkeypatch.setattr(resources, "_PACKAGE", package)
    monkeypatch.setattr(resources, "_CHECKOUT", checkout)
    assert resource_path("word.txt").read_text() == "coilbook"
    assert resource_path("only.txt").read_text() == "checkout"


def test_a_missing_file_is_one_plain_sentence() -> None:
    with pytest.raises(StorageTrouble, match=r"'resources/fonts/gone.ttf' is missing. Install"):
        resource_path("fonts", "gone.ttf")
