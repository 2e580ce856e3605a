"""What the margin says of the label in focus: what stands on it, what never does, why the code stands twice."""

from __future__ import annotations

from coilbook.labels.layout import LabelLayout
from coilbook.labels.stock import LabelKind, margin_warning
from coilbook.reads.label_rows import LabelRow
from coilbook.ui.desk import Desk
from coilbook.ui.labels.run import Queue
from coilbook.ui.margin_content import Evidence, MarginContent, MarginSection
from coilbook.wording.language import translated

_ON_CARD = (
    "id, over 6 mm, to read at one metre",
    'sex, sign and letter; "?" when unsure',
    "genetics, short; the doubtful not in bold",
    "hatch year, what she eats, flags",
)
_NO_LABEL = "The label in focus explains itself here: what stands on it, and what never does."
_STANDS = {
    LabelKind.CAGE_CARD: _ON_CARD,
    LabelKind.SLOT: ("rack and slot, 10 mm, to read across the room", "nothing about any animal"),
    LabelKind.EGG_BOX: (
        "clutch and box, large",
        "dam and sires, the doubtful in brackets",
        "day of laying, which is day 0; eggs by number",
        "the hatch window, as it stands today",
        "weight at the start in a frame, with the lid or without",
    ),
    LabelKind.EGG_BOX_LID: ("the box it belongs to: lids get swapped", "its clutch"),
    LabelKind.CUP: ("clutch and egg", 'look so far, with "?"', "sex, weight, day of hatching"),
}
_NEVER = {LabelKind.SLOT: "an animal, a person"}


def label_margin(desk: Desk, queue: Queue | None, row: LabelRow | None) -> MarginContent:
    """The margin for the row in focus."""
    heading = translated("Why, for the label in focus")
    if queue is None or row is None:
        return MarginContent(heading=heading, why=translated(_NO_LABEL), strip=translated("labels"))
    layout = queue.layout_of(row)
    verdict, needs_you = _verdict(desk, queue, row, layout)
    stands = [Evidence(shape="tick", word=translated(words)) for words in _STANDS[queue.kind]]
    twice = layout is not None and len(layout.symbols) > 1
    stands.append(
        Evidence(shape="tick", word=translated("the code twice, in opposite corners" if twice else "the code"))
    )
    never = Evidence(shape="cross", word=translated(_NEVER.get(queue.kind, "price, buyer, any address")))
    why = translated(
        "A stain over one corner square kills a code at any level. Two corners rarely stain together, and the id"
        " stands in letters."
    )
    before = translated(
        "Print at 100%, no fit to page. The test sheet measures a printer once; the offset is then kept. Wipe one"
        " label twenty times with what you clean with."
    )
    sections = [
        *_more_than_known(desk, row),
        MarginSection(translated("Stands on it"), tuple(stands)),
        MarginSection(translated("Never on it"), (never,)),
        *([MarginSection(translated("Why twice"), text=why)] if twice else []),
        MarginSection(translated("Before the first sheet"), text=before),
    ]
    return MarginContent(
        heading=heading,
        whose=row.name,
        sex=desk.style.sex_sign(row.sex, row.sex_percent) if row.animal is not None else ("", ""),
        about=", ".join(part for part in (row.says, row.place, _code_words(row)) if part),
        verdict=verdict,
        needs_you=needs_you,
        sections=tuple(sections),
        rests_on=_printed_words(desk, row),
        strip=verdict if verdict.startswith(row.name) else f"{row.name}. {verdict}",
    )


def _code_words(row: LabelRow) -> str:
    return translated("code {code}").format(code=row.code.shown) if row.code is not None else ""


def _more_than_known(desk: Desk, row: LabelRow) -> list[MarginSection]:
    """What the card would say that the evidence does not bear out."""
    if not row.warnings:
        return []
    told = " ".join(desk.render(warning) for warning in row.warnings)
    lower = translated("Lower it on the animal's page: type card 25% clown under its genes.")
    return [MarginSection(translated("Says more than is known"), text=f"{told} {lower}")]


def _verdict(desk: Desk, queue: Queue, row: LabelRow, layout: LabelLayout | None) -> tuple[str, bool]:
    if row.problem is not None:
        return desk.render(row.problem), True
    if layout is not None and layout.problems:
        return desk.render(layout.problems[0]), True
    warning = margin_warning(queue.stock, queue.printer)
    if warning is not None:
        return desk.render(warning), True
    if row.warnings:
        return translated("Fits, and says both numbers."), True
    return translated("Everything fits."), False


def _printed_words(desk: Desk, row: LabelRow) -> str:
    if row.printed_at is None:
        return translated("Never printed before. An old label would still open the same record.")
    moment = desk.style.moment(row.printed_at)
    words = "Last printed {when}. The code has not changed; the old label still opens it."
    return translated(words).format(when=moment)
