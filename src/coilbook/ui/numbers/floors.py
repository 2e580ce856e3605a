"""The two least weights to pair among the settings: the keeper's own numbers of the species this collection keeps."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtWidgets import QLineEdit, QWidget

from coilbook.husbandry.figures import FigureKey
from coilbook.husbandry.fit_to_pair import Floors
from coilbook.husbandry.profile import shipped_profile
from coilbook.operations.own_numbers import set_number, shipped_number
from coilbook.reads.outlook_fit import floors_now
from coilbook.reads.species_numbers import source_of_collection
from coilbook.records.settings import LIMITS, Settings
from coilbook.records.vocabulary import Sex
from coilbook.ui.desk import Desk
from coilbook.ui.parts.fields import FieldRow
from coilbook.wording.language import translated

#: number and, as an older release kept it, setting of each sex
_OF = {
    Sex.FEMALE: (FigureKey.FEMALE_BREEDING_MASS_G, "female_floor_g"),
    Sex.MALE: (FigureKey.MALE_BREEDING_MASS_G, "male_floor_g"),
}


class FloorFields:
    """A field for each sex; an empty one shows the shipped number in its place. `keep` writes a setting."""

    def __init__(
        self, desk: Desk, row_of: Callable[[QWidget], FieldRow[QWidget]], keep: Callable[[str, object], None]
    ) -> None:
        self._desk, self._row_of, self._keep = desk, row_of, keep
        self.by_sex = {sex: QLineEdit() for sex in _OF}
        for sex, editor in self.by_sex.items():
            editor.editingFinished.connect(partial(self._typed, sex))

    def show_floors(self) -> None:
        """Show what counts now."""
        settings, today = self._desk.settings, self._desk.clock().date()
        floors = floors_now(self._desk.collection, settings, today)
        shipped = Floors.of(Settings(species=settings.species), shipped_profile(settings.species), today)
        for sex, editor in self.by_sex.items():
            own, usual = floors.weights[sex], shipped.weights[sex]
            editor.setText("" if own.source is not None else f"{own.mass_dg / 10:g}")
            words = translated("{grams}, as of the species ({source})")
            editor.setPlaceholderText(words.format(grams=usual.mass_dg // 10, source=usual.source))

    def _typed(self, sex: Sex) -> None:
        """A weight, or nothing: then the shipped one counts."""
        editor, (key, name) = self.by_sex[sex], _OF[sex]
        typed, row, most = editor.text().strip(), self._row_of(editor), LIMITS[name][1]
        if typed and not (typed.isdecimal() and 1 <= int(typed) <= most):
            row.refuse(translated("A number from {least} to {most}.").format(least=1, most=most))
            return
        row.accept()
        # what an older release kept among the settings counts no more
        kept = partial(self._kept, name)
        numbers = source_of_collection(self._desk.collection).numbers()
        if typed and (key not in numbers or numbers[key].value != int(typed)):
            if getattr(self._desk.settings, name) != int(typed):
                self._desk.run(set_number, kept, key=key, value=float(typed))
        elif not typed and key in numbers:
            self._desk.run(shipped_number, kept, key=key)
        elif not typed:
            self._keep(name, 0)

    def _kept(self, name: str, _outcome: object) -> None:
        self._keep(name, 0)
