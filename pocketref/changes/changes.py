"""What differs between two editions, or two codes: calls that flip, figures, cautions, texts, and the rest apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields

from pocketref.changes.model_changes import Change, compare_groups, compare_models, write_value
from pocketref.changes.ruling_changes import RulingChange, compare_rulings, compare_tables, write_cite
from pocketref.edition.source_reading import EditionSource
from pocketref.problems import PocketrefError, Problem, suggest_match
from pocketref.source.edition_models import EditionModel, WorkModel
from pocketref.source.field_models import Dimension, FieldModel
from pocketref.source.library import Library
from pocketref.source.play_models import PlayModel
from pocketref.units.notation import write_exact

_LAYOUT_PARTS = ("cards", "sheets", "stocks.yaml", "styles.yaml")


@dataclass(frozen=True, slots=True)
class ChangeSet:
    """Everything that differs, by what it is to a reader; `old` and `new` say between what."""

    old: str
    new: str
    association: str
    is_of_codes: bool = False
    """Whether two codes of one edition are compared: then nothing was before or after."""
    rulings: tuple[RulingChange, ...] = ()
    """Plays that are ruled differently, as the fewest rows that hold exactly those."""
    dimensions: tuple[Change, ...] = ()
    tolerances: tuple[Change, ...] = ()
    cautions: tuple[Change, ...] = ()
    texts: tuple[Change, ...] = ()
    plays: tuple[Change, ...] = ()
    """Case plays whose answer changes, that are new, or that are told otherwise."""
    wording: tuple[Change, ...] = ()
    """Questions and rulings in other words, none of which changes a call."""
    edition: tuple[Change, ...] = ()
    works: tuple[Change, ...] = ()
    """Works, their sections, and what is cited for what did not change."""
    layouts: tuple[str, ...] = ()
    """Layout files that differ, where both editions say what they were laid out from."""
    places: Mapping[str, str] = field(default_factory=dict)
    """What print calls fields, texts, cautions and plays, by the name they have in the source."""

    @property
    def count(self) -> int:
        """How many changes there are; 0 if nothing differs."""
        groups = (getattr(self, item.name) for item in fields(self))
        return sum(len(group) for group in groups if isinstance(group, tuple))


def compare_editions(old: EditionSource, new: EditionSource) -> ChangeSet:
    """What changed from one edition to another."""
    before, after = old.library, new.library
    dimensions, tolerances, field_cites = _compare_fields(before.fields, after.fields, after)
    rulings, wording, row_cites = compare_rulings(before, after)
    texts, text_cites = compare_groups(before.texts, after.texts, "text")
    cautions, caution_cites = compare_groups(
        {f"cautions/{name}": caution for name, caution in before.cautions.items()},
        {f"cautions/{name}": caution for name, caution in after.cautions.items()},
        "caution",
    )
    works = _compare_works(before, after)
    return ChangeSet(
        old=before.edition.edition,
        new=after.edition.edition,
        association=after.edition.association,
        rulings=rulings,
        dimensions=dimensions,
        tolerances=tolerances,
        cautions=cautions,
        texts=texts,
        plays=_compare_plays(before, after),
        wording=wording,
        edition=_compare_edition(before.edition, after.edition),
        works=(*works, *field_cites, *row_cites, *text_cites, *caution_cites),
        layouts=_compare_layouts(old.inputs, new.inputs),
        places=_name_places(before) | _name_places(after),
    )


def compare_codes(library: Library, left: str, right: str) -> ChangeSet:
    """Where a second code differs from a first: the subjects that both rule on, and fields of the same level.

    PocketrefError ("code-unknown") with the closest match for a code that is not there.
    """
    for code in (left, right):
        if code not in library.codes:
            hint = suggest_match(code, library.codes)
            raise PocketrefError([Problem("code-unknown", f"there is no code '{code}'", hint)])
    rulings: list[RulingChange] = []
    wording: list[Change] = []
    for subject in library.subjects:
        tables = [library.rulings.get((code, subject)) for code in (left, right)]
        if tables[0] is not None and tables[1] is not None:
            facts = library.subjects[subject]
            rulings += compare_tables((library, facts, tables[0]), (library, facts, tables[1]))
        elif tables[0] is not None or tables[1] is not None:
            wording.append(
                Change(subject, "table", *("" if table is None else "ruled on" for table in tables))
            )
    lefts, rights = _by_level(library, left), _by_level(library, right)
    shared = [level for level in lefts if level in rights]
    dimensions, tolerances, _ = _compare_fields(
        {level: lefts[level] for level in shared}, {level: rights[level] for level in shared}, library
    )
    return ChangeSet(
        old=library.codes[left].name,
        new=library.codes[right].name,
        association=library.edition.association,
        is_of_codes=True,
        rulings=tuple(rulings),
        dimensions=dimensions,
        tolerances=tolerances,
        wording=tuple(wording),
        places={level: lefts[level].name for level in shared},
    )


def _name_places(library: Library) -> dict[str, str]:
    """Each field by its name and its code's, as "60-ft diamond, youth"; texts, cautions and plays by their titles."""
    diamonds = {
        key: f"{model.name}, {library.codes[model.code].name.lower()}"
        for key, model in library.fields.items()
    }
    texts = {
        key: _name_text(library, key, text.heading) for key, text in library.texts.items() if text.heading
    }
    cautions = {f"cautions/{key}": caution.title for key, caution in library.cautions.items()}
    plays = {key: case.title for key, case in _list_cases(library).items()}
    return diamonds | texts | cautions | plays | {"edition": "The edition"}


def _name_text(library: Library, key: str, heading: str) -> str:
    """A text's heading, after the title of the subject that it is on, as many subjects have a text "Look"."""
    subject = library.subjects.get(key.split("/")[1]) if "/" in key else None
    return f"{subject.title}, {heading[0].lower()}{heading[1:]}" if subject else heading


def _by_level(library: Library, code: str) -> dict[str, FieldModel]:
    return {model.level: model for model in library.fields.values() if model.code == code}


def _compare_fields(
    old: Mapping[str, FieldModel], new: Mapping[str, FieldModel], citing: Library
) -> tuple[tuple[Change, ...], tuple[Change, ...], tuple[Change, ...]]:
    """Dimensions, tolerances, and citations of those that kept their value."""
    dimensions: list[Change] = []
    tolerances: list[Change] = []
    cites: list[Change] = []
    for key in dict.fromkeys((*old, *new)):
        before, after = old.get(key), new.get(key)
        if before is None or after is None:
            dimensions.append(
                Change(key, "field", *(model.name if model else "" for model in (before, after)))
            )
            continue
        if before.name != after.name:
            dimensions.append(Change(key, "name", before.name, after.name))
        changes, cited = _compare_values(key, before.dimensions, after.dimensions, citing)
        dimensions += changes
        cites += cited
        changes, cited = _compare_values(key, before.tolerances, after.tolerances, citing)
        tolerances += changes
        cites += cited
    return tuple(dimensions), tuple(tolerances), tuple(cites)


def _compare_values(
    where: str, old: Mapping[str, Dimension], new: Mapping[str, Dimension], citing: Library
) -> tuple[list[Change], list[Change]]:
    changes: list[Change] = []
    cites: list[Change] = []
    for name in dict.fromkeys((*old, *new)):
        before, after = old.get(name), new.get(name)
        if before is None or after is None or before.value != after.value:
            one, other = ("" if side is None else write_exact(side.value) for side in (before, after))
            source = ", ".join(write_cite(citing, cite) for cite in after.source) if after else ""
            changes.append(Change(where, name, one, other, source))
        else:
            cites += compare_models(f"{where}: {name}", before, after, skip=("value",))
    return changes, cites


def _compare_plays(old: Library, new: Library) -> tuple[Change, ...]:
    before, after = _list_cases(old), _list_cases(new)
    changes: list[Change] = []
    for key in dict.fromkeys((*before, *after)):
        one, other = before.get(key), after.get(key)
        if one is None or other is None:
            changes.append(
                Change(key, "play", *("" if case is None else case.title for case in (one, other)))
            )
            continue
        subject = key.partition("/")[0]
        for code in dict.fromkeys((*one.expect, *other.expect)):
            answers = [_name_answer(old, code, subject, one), _name_answer(new, code, subject, other)]
            if one.expect.get(code) != other.expect.get(code):
                changes.append(Change(key, code, *answers))
        changes += compare_models(key, one, other, skip=("expect",))
    return tuple(changes)


def _list_cases(library: Library) -> dict[str, PlayModel]:
    """Each play by its subject and name."""
    return {
        f"{file.subject}/{name}": case for file in library.plays.values() for name, case in file.cases.items()
    }


def _name_answer(library: Library, code: str, subject: str, case: PlayModel) -> str:
    """The ruling that a code gives on a play, by its headline."""
    outcome = case.expect.get(code, "")
    table = library.rulings.get((code, subject))
    return table.rulings[outcome].headline if table and outcome in table.rulings else outcome


def _compare_edition(old: EditionModel, new: EditionModel) -> tuple[Change, ...]:
    return tuple(compare_models("edition", old, new))


def _compare_works(old: Library, new: Library) -> list[Change]:
    changes: list[Change] = []
    for name in dict.fromkeys((*old.works, *new.works)):
        before, after = old.works.get(name), new.works.get(name)
        if before is None or after is None:
            titles = ("" if work is None else work.title for work in (before, after))
            changes.append(Change(name, "work", *titles))
        else:
            changes += compare_models(name, before, after, skip=("sections",))
            changes += _compare_sections(name, before, after)
    for code in dict.fromkeys((*old.codes, *new.codes)):
        one, other = old.codes.get(code), new.codes.get(code)
        if one is None or other is None:
            changes.append(
                Change(code, "code", *("" if model is None else model.name for model in (one, other)))
            )
        else:
            changes += compare_models(code, one, other)
    return changes


def _compare_sections(name: str, old: WorkModel, new: WorkModel) -> list[Change]:
    return [
        Change(name, section, write_value(old.sections.get(section)), write_value(new.sections.get(section)))
        for section in dict.fromkeys((*old.sections, *new.sections))
        if old.sections.get(section) != new.sections.get(section)
    ]


def _compare_layouts(old: Mapping[str, str], new: Mapping[str, str]) -> tuple[str, ...]:
    """Names of layout files that differ; none unless both editions name the layouts they were made from."""
    before, after = _list_layouts(old), _list_layouts(new)
    if not before or not after:
        return ()
    return tuple(name for name in sorted(before.keys() | after.keys()) if before.get(name) != after.get(name))


def _list_layouts(inputs: Mapping[str, str]) -> dict[str, str]:
    """Layout files by their name within the layouts folder, whatever that is called."""
    inner = {name.partition("/")[2]: digest for name, digest in inputs.items()}
    return {name: digest for name, digest in inner.items() if name.split("/")[0] in _LAYOUT_PARTS}
