"""What a statement says in our words, where it is told in full: on the web page, and to be compared with its book."""

from __future__ import annotations

from pocketref.blocks.kinds import list_cited
from pocketref.blocks.setting import Setting
from pocketref.layouts.cards import write_side
from pocketref.layouts.footers import write_cites
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.rulings.effects import write_effect
from pocketref.source.field_models import DIMENSIONS, TOLERANCES, Dimension
from pocketref.source.library import Library
from pocketref.source.ruling_models import Conditions, RowModel, SubjectModel, TableModel
from pocketref.source.statements import Statement
from pocketref.source.syntax.kinds import HOUSE, Cite
from pocketref.units.notation import write_tape
from pocketref.words.speech import join_words, say


def write_statement(statement: Statement, library: Library) -> str:
    """What it is of, and what it says, as print has it; asterisks make bold."""
    model, keys = statement.model, statement.name.split("/")[1:]
    if isinstance(model, Dimension):
        is_size = keys[1] == "dimensions"
        words = say(DIMENSIONS[keys[2]]) if is_size else say("tolerance: {of}", of=say(TOLERANCES[keys[2]]))
        return f"{library.fields[keys[0]].name}, {words}: *{write_tape(model.value)}*"
    if isinstance(model, RowModel):
        code, subject = keys[0], library.subjects[keys[1]]
        ruling, *rest = write_ruling_effect(library.rulings[code, keys[1]], model).split("\n")
        what = f"{library.codes[code].name}. {subject.title}: {write_play(model.when, subject)}"
        return f"{what}: {ruling}. {' '.join(rest)}"
    title = getattr(model, "title", "") or getattr(model, "heading", "")
    return " ".join((f"*{title}:*", *model.entries) if title else model.entries)


def write_play(when: Conditions, subject: SubjectModel) -> str:
    """A row's conditions: each answer by what it says in print."""
    words = [
        join_words([subject.facts[fact].answers[answer] for answer in answers], is_or=True)
        for fact, answers in when.items()
    ]
    return "; ".join(words) or say("any play")


def write_ruling_effect(table: TableModel, row: RowModel, mark: str = "") -> str:
    """What a row comes to, a line each: its headline with the mark of doubt, its effect, and that it is open if so."""
    ruling = table.rulings[row.ruling]
    unsettled = [say("*Unsettled:* {what}. Check your league.", what=row.unsettled)] if row.unsettled else []
    return "\n".join([f"*{ruling.headline}{mark}*", write_effect(ruling), *unsettled])


def write_sources(cites: tuple[Cite, ...], library: Library) -> str:
    """Sections by work, and the house where that is a source."""
    printed = write_cites(tuple(cite for cite in cites if not cite.is_house), library)
    own = say(HOUSE) if any(cite.is_house for cite in cites) else ""
    return "; ".join(part for part in (printed, own) if part)


def find_faces(library: Library, layouts: Layouts) -> dict[int, list[str]]:
    """The faces that each statement stands on, by the id of its model, as the faces' own blocks say."""
    faces: dict[int, dict[str, None]] = {}
    all_layouts: list[CardModel | SheetModel] = [*layouts.cards, *layouts.sheets]
    for layout in all_layouts:
        is_card = isinstance(layout, CardModel)
        setting = Setting(library, layout.code, layout.level, "card" if is_card else "sheet")
        name = (
            say("card {name}", name=layout.number)
            if isinstance(layout, CardModel)
            else say("sheet {name}", name=layout.sheet)
        )
        sides = (("front", layout.front), ("back", layout.back))
        for face, blocks in ((write_side(side).lower(), blocks) for side, blocks in sides):
            for cited in list_cited(blocks, setting):
                faces.setdefault(id(cited), {})[f"{name} {face}" if layout.back else name] = None
    return {key: list(names) for key, names in faces.items()}
