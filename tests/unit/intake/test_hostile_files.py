"""Files that are noise, or were once sheets: read, or refused in a sentence; never anything else."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coilbook.intake.plan import propose
from coilbook.intake.planned import Known
from coilbook.intake.workbook import read_sheets
from coilbook.records.message import Refusal

DEMO = Path(__file__).parents[3] / "demo"
KNOWN = Known(dt.date(2026, 11, 25))
_FEW = settings(max_examples=60, deadline=None)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file to write over and over."""
    return tmp_path_factory.mktemp("hostile") / "sheet"


def _take(place: Path, content: bytes) -> None:
    place.write_bytes(content)
    try:
        sheets = read_sheets(place)
    except Refusal as refusal:
        assert str(refusal).endswith(".")
        return
    plan = propose(sheets, {}, KNOWN)
    assert len(plan.rows) == sum(len(sheet.rows) for sheet in sheets)


@_FEW
@given(content=st.binary(max_size=2000))
def test_noise(place: Path, content: bytes) -> None:
    _take(place, content)


@_FEW
@given(
    start=st.sampled_from([b"PK\x03\x04", b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff", b"sep=;\n", b"Id,Sex\n"]),
    rest=st.binary(max_size=500),
)
def test_noise_that_begins_like_a_sheet(place: Path, start: bytes, rest: bytes) -> None:
    _take(place, start + rest)


@_FEW
@given(text=st.text(alphabet=st.sampled_from("Ff01-.,;|\t\n\"x/?♀='\r é"), max_size=300))
def test_text_of_signs_that_matter(place: Path, text: str) -> None:
    _take(place, ("Id,Sex,DOB,Weight,Dam,1/3\n" + text).encode())


_MUTATION = st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 255))


def _mutated(content: bytes, mutations: list[tuple[float, int]]) -> bytes:
    changed = bytearray(content)
    for where, byte in mutations:
        changed[int(where * len(changed))] = byte
    return bytes(changed)


@_FEW
@given(mutations=st.lists(_MUTATION, min_size=1, max_size=20), cut=st.floats(0.2, 1))
def test_the_demo_text_damaged(place: Path, mutations: list[tuple[float, int]], cut: float) -> None:
    content = (DEMO / "old-records.csv").read_bytes()[:6000]
    _take(place, _mutated(content, mutations)[: int(len(content) * cut)])


@settings(max_examples=30, deadline=None)
@given(mutations=st.lists(_MUTATION, min_size=1, max_size=8))
def test_the_demo_workbook_damaged(place: Path, mutations: list[tuple[float, int]]) -> None:
    _take(place, _mutated((DEMO / "old-records.xlsx").read_bytes(), mutations))


def _parts() -> dict[str, bytes]:
    with zipfile.ZipFile(DEMO / "old-records.xlsx") as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@settings(max_examples=30, deadline=None)
@given(
    mutations=st.lists(_MUTATION, min_size=1, max_size=4),
    part=st.sampled_from(["xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/styles.xml", "[Content_Types].xml"]),
)
def test_the_insides_of_a_workbook_damaged(place: Path, mutations: list[tuple[float, int]], part: str) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, content in _parts().items():
            archive.writestr(name, _mutated(content, mutations) if name == part else content)
    _take(place, packed.getvalue())
