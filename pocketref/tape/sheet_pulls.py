"""The pulls that a check sheet of a plan asks for."""

from __future__ import annotations

from collections.abc import Sequence

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, pulls
from pocketref.tape.readings import Reading
from pocketref.tape.stakeout import BASE_MARKS


def list_untaped(plan: Plan, readings: Sequence[Reading]) -> tuple[str, ...]:
    """The names of the pulls on the plan's check sheet that have no reading."""
    taped = {reading.pair for reading in readings}
    return tuple(
        p.name for p in list_sheet_pulls(plan) if frozenset((p.from_station, p.to_station)) not in taped
    )


def list_sheet_pulls(plan: Plan) -> tuple[Pull, ...]:
    """The pulls that a check sheet of the plan has blanks for: of a whole field, those between its bases."""
    if "1B" not in plan.stations:
        return pulls(plan)
    return tuple(pull for pull in pulls(plan) if {pull.from_station, pull.to_station} <= set(BASE_MARKS))
