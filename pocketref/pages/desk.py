"""What a face's blocks are made from: content, code and level, and what is computed from them once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from pocketref.field.plan import Plan, construct_plate_area
from pocketref.rulings.chart import Chart, build_chart
from pocketref.rulings.construct import construct_table
from pocketref.rulings.table import Table
from pocketref.scene.plate_figure import Detail
from pocketref.source.field_models import FieldModel
from pocketref.source.library import Library
from pocketref.source.ruling_models import TableModel
from pocketref.units.length import Length


@dataclass(frozen=True)
class Desk:
    """What a face's blocks are made from: the content, and the code and level the face goes by."""

    library: Library
    code: str
    level: str
    detail: Detail

    @property
    def field(self) -> FieldModel:
        """The level the face is of."""
        return self.library.fields[f"{self.code}-{self.level}"]

    @cached_property
    def lengths(self) -> Mapping[str, Length]:
        """The level's dimensions by name."""
        return {name: dimension.value for name, dimension in self.field.dimensions.items()}

    @cached_property
    def plan(self) -> Plan:
        """The plan of the plate area."""
        return construct_plate_area(self.lengths)

    def table_model(self, subject: str) -> TableModel:
        """The code's table on a subject, as its author wrote it."""
        return self.library.rulings[self.code, subject]

    def chart(self, subject: str) -> tuple[Chart, Table]:
        """The shortest chart of the code's table on a subject, and the table."""
        table = construct_table(self.library.subjects[subject], self.table_model(subject))
        return build_chart(table), table
