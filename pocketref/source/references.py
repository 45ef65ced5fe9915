"""Whether what the files name is there: works and sections, facts and answers, rulings, subjects, fields."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from pocketref.problems import ProblemLog, suggest_match, write_unknown
from pocketref.source.edition_models import CodeModel, EditionModel, WorkModel
from pocketref.source.field_models import FieldModel
from pocketref.source.play_models import PlayModel, PlaysModel
from pocketref.source.ruling_models import NeverModel, RowModel, SubjectModel, TableModel
from pocketref.source.statements import Cited, ComparisonModel
from pocketref.source.syntax.kinds import HOUSE
from pocketref.source.syntax.located import SourceModel
from pocketref.source.text_models import CautionModel, TextModel
from pocketref.words.catalogue import ENGLISH_NAME, is_language_name
from pocketref.words.terminal import tell

K = TypeVar("K")
M = TypeVar("M", bound=SourceModel)


@dataclass(frozen=True, slots=True)
class ReadContent:
    """Every file read so far; None stands for a file that is there but could not be read.

    A reference to such a file is let pass: its own problems come first.
    """

    works: Mapping[str, WorkModel] | None
    codes: Mapping[str, CodeModel] | None
    edition: EditionModel | None
    fields: Mapping[str, FieldModel | None]
    subjects: Mapping[str, SubjectModel | None]
    rulings: Mapping[tuple[str, str], TableModel | None]
    texts: Mapping[str, TextModel]
    cautions: Mapping[str, CautionModel | None]
    plays: Mapping[str, PlaysModel | None] = field(default_factory=dict)
    compared: tuple[ComparisonModel, ...] = ()


def keep_read(models: Mapping[K, M | None]) -> dict[K, M]:
    """The models without those that could not be read."""
    return {name: model for name, model in models.items() if model is not None}


def check_references(read: ReadContent, problems: ProblemLog) -> None:
    """Note every reference that leads nowhere, and every ruling that no row leads to."""
    if read.edition is not None:
        _check_edition(read.edition, read, problems)
    if read.codes is not None:
        _check_codes(read.codes, read, problems)
    texts: list[TextModel | CautionModel] = [*read.texts.values(), *keep_read(read.cautions).values()]
    cited: list[Cited] = [*_list_cited(read), *texts]
    for each in cited if read.works is not None else ():
        _check_cites(each, read.works or {}, problems)
    for table in keep_read(read.rulings).values():
        _check_table(table, read.subjects, problems)
    for text in texts:
        _check_bold(text, problems)
    _check_plays(read, problems)


def _list_cited(read: ReadContent) -> Iterator[Cited]:
    """The figures and rows, each of which says where it comes from."""
    for level in keep_read(read.fields).values():
        yield from (*level.dimensions.values(), *level.tolerances.values())
    for table in keep_read(read.rulings).values():
        yield from table.rows


def _check_codes(codes: Mapping[str, CodeModel], read: ReadContent, problems: ProblemLog) -> None:
    """Each code's work must be listed, and each folder of rulings must be a code's."""
    for code in codes.values():
        if read.works is not None:
            problems.need(code.work, read.works, "work", code.locate("work"))
    named = [(name, table) for (name, _), table in keep_read(read.rulings).items()]
    for name, model in (*named, *((level.code, level) for level in keep_read(read.fields).values())):
        problems.need(name, codes, "code", model.locate("code"), tell("codes are listed in codes.yaml"))


def _check_bold(model: TextModel | CautionModel, problems: ProblemLog) -> None:
    """Warn of an asterisk without another: all the words after it come out bold."""
    for index, entry in enumerate(model.entries):
        if entry.count("*") % 2:
            sentence = tell(
                "the '*' before '{value}' has no second one", value=entry.rpartition("*")[2].strip()[:30]
            )
            hint = tell("bold words stand between two: *bold*")
            problems.warn("text-bold-open", sentence, hint, model.locate("entries", index))


PLACEHOLDER = "(placeholder)"
"""What a value says that an association has yet to write."""

# Domains kept free for examples: RFC 2606, sections 2 and 3.
_EXAMPLE_ADDRESS = re.compile(
    r"(?:^|[/.@])(?:example\.(?:com|net|org)|[a-z0-9-]+\.example)(?:[:/]|$)", re.IGNORECASE
)


def _check_placeholders(edition: EditionModel, problems: ProblemLog) -> None:
    """Warn of values that came with a new folder and are still to be written."""
    hint = tell("write your own before you print")
    for key in ("association", "place"):
        if PLACEHOLDER in getattr(edition, key):
            sentence = tell("the edition's {key} is still a placeholder", key=key)
            problems.warn("edition-placeholder", sentence, hint, edition.locate(key))
    if not edition.invented and _EXAMPLE_ADDRESS.search(edition.address):
        sentence = tell(
            "cards would send people to {address}, an address kept free for examples", address=edition.address
        )
        hint = tell("write the web address that your editions are under: 'address: https://...'")
        problems.warn("edition-placeholder", sentence, hint, edition.locate("address"))


def _check_edition(edition: EditionModel, read: ReadContent, problems: ProblemLog) -> None:
    for index, level in enumerate(edition.levels):
        if level not in read.fields:
            hint = suggest_match(level, read.fields) or tell("add fields/{level}.yaml", level=level)
            where = edition.locate("levels", index)
            problems.error("level-unknown", write_unknown("field", level), hint, where)
    codes = {code for code, _ in read.rulings}
    for index, code in enumerate(edition.codes):
        if code not in codes:
            hint = suggest_match(code, codes) or tell("add a table under rulings/{code}", code=code)
            sentence = tell("there are no rulings of a code '{code}'", code=code)
            problems.error("code-unknown", sentence, hint, edition.locate("codes", index))
    for key, names in (("levels", edition.levels), ("codes", edition.codes)):
        check_repeats(names, problems, edition, key)
    _check_placeholders(edition, problems)
    _check_season(edition, problems)
    _check_bulletins(edition, problems)


def check_languages(edition: EditionModel, known: Iterable[str], problems: ProblemLog) -> None:
    """Note languages that there is no catalogue of, that stand twice, or of which there is but one."""
    names, key = edition.languages, "languages"
    for index, name in enumerate(names):
        if name != ENGLISH_NAME and not (name in known and is_language_name(name)):
            sentence = write_unknown("catalogue of a language", name)
            more = tell("pocketref words {name} begins its catalogues", name=name)
            where = edition.locate(key, index)
            problems.unknown("language-unknown", sentence, name, (ENGLISH_NAME, *known), where, more)
    check_repeats(names, problems, edition, key)
    if len(names) == 1:
        hint = tell(
            "name two or more, the edition's own first; for another one in place of English: --language"
        )
        problems.error(
            "languages-one",
            tell("the edition names '{names}' alone", names=names[0]),
            hint,
            edition.locate(key),
        )


def _check_bulletins(edition: EditionModel, problems: ProblemLog) -> None:
    """Note bulletins that are not numbered 1, 2, 3, or not dated one after the other while the edition holds."""
    through = edition.valid.through
    day = edition.valid.from_
    hint = tell(
        "give it a day after {day}, the first day of the edition, and not after {through}, its last",
        day=day,
        through=through,
    )
    for number, bulletin in enumerate(edition.bulletins, 1):
        if bulletin.number != number:
            sentence = tell(
                "a bulletin has the number {number}, and {wanted} is the next",
                number=bulletin.number,
                wanted=number,
            )
            more = tell("number it {number}: each bulletin adds one to the edition's mark", number=number)
            problems.error("bulletin-number", sentence, more, bulletin.locate("number"))
        if not day < bulletin.date <= through:
            sentence = tell("bulletin {number} is dated {date}", number=number, date=bulletin.date)
            problems.error("bulletin-date", sentence, hint, bulletin.locate("date"))
        day = bulletin.date
        hint = tell(
            "give it a day after {day}, that of bulletin {number}, and not after {through}, its last",
            day=day,
            number=number,
            through=through,
        )


def _check_season(edition: EditionModel, problems: ProblemLog) -> None:
    """Warn of a season whose year the edition does not hold in, as where only one of the two was written anew."""
    years = [int(year) for year in re.findall(r"\b(?:19|20)\d\d\b", edition.season)]
    valid = edition.valid
    if years and not any(valid.from_.year <= year <= valid.through.year for year in years):
        sentence = tell(
            "the season is {season}, but the edition holds from {from_} through {through}",
            season=edition.season,
            from_=valid.from_,
            through=valid.through,
        )
        problems.warn(
            "edition-season", sentence, tell("write both for the same year"), edition.locate("valid")
        )


def check_repeats(names: Iterable[str], problems: ProblemLog, model: SourceModel, *path: str) -> None:
    """Note each name that stands in a list of the model's a second time."""
    seen = set()
    for index, name in enumerate(names):
        if name in seen:
            where = model.locate(*path, index)
            problems.error(
                "name-repeated", tell("'{name}' stands twice in the list", name=name), tell("keep one"), where
            )
        seen.add(name)


def _check_cites(model: Cited, works: Mapping[str, WorkModel], problems: ProblemLog) -> None:
    """Note each citation whose work or section is not listed."""
    for index, cite in enumerate(model.source):
        work, where = cite.work, model.locate("source", index)
        if cite.is_house:
            continue
        if work not in works:
            sentence = tell("works.yaml has no work '{work}'", work=work)
            problems.unknown("cite-work", sentence, work, [*works, HOUSE], where)
        elif cite.section not in (sections := works[work].sections):
            sentence = tell("'{work}' lists no section '{section}'", work=work, section=cite.section)
            more = tell("add a new section under '{work}' in works.yaml", work=work)
            problems.unknown("cite-section", sentence, cite.section, sections, where, more)


def _check_table(
    table: TableModel, subjects: Mapping[str, SubjectModel | None], problems: ProblemLog
) -> None:
    _check_rulings(table, subjects, problems)
    if table.subject not in subjects:
        sentence = tell("there are no facts for the subject '{subject}'", subject=table.subject)
        hint = suggest_match(table.subject, subjects) or tell(
            "add rulings/subjects/{subject}.yaml", subject=table.subject
        )
        problems.error("subject-unknown", sentence, hint, table.locate("subject"))
        return
    subject = subjects[table.subject]
    if subject is None:
        return
    rows: list[RowModel | NeverModel] = [*table.never, *table.rows]
    for row in rows:
        _check_conditions(row, subject, problems)
    for index, name in enumerate(table.order):
        if name not in subject.facts:
            sentence = tell("'{subject}' has no fact '{name}'", subject=subject.subject, name=name)
            problems.unknown("fact-unknown", sentence, name, subject.facts, table.locate("order", index))
    check_repeats(table.order, problems, table, "order")


def _check_rulings(
    table: TableModel, subjects: Mapping[str, SubjectModel | None], problems: ProblemLog
) -> None:
    for row in table.rows:
        if row.ruling not in table.rulings:
            sentence = tell("this table has no ruling '{ruling}'", ruling=row.ruling)
            problems.unknown("ruling-unknown", sentence, row.ruling, table.rulings, row.locate("ruling"))
    used = {row.ruling for row in table.rows}
    for name, ruling in table.rulings.items():
        if name not in used:
            hint, where = tell("add a row for it, or take it out"), table.locate_key("rulings", name)
            problems.warn(
                "ruling-unused", tell("no row leads to the ruling '{name}'", name=name), hint, where
            )
        if ruling.see is not None:
            problems.need(ruling.see, subjects, "subject", ruling.locate("see"))


def _check_conditions(row: RowModel | NeverModel, subject: SubjectModel, problems: ProblemLog) -> None:
    for name, answers in row.when.items():
        fact = subject.facts.get(name)
        if fact is None:
            sentence, where = (
                tell("'{subject}' has no fact '{name}'", subject=subject.subject, name=name),
                row.locate_key("when", name),
            )
            problems.unknown("fact-unknown", sentence, name, subject.facts, where)
            continue
        for index, answer in enumerate(answers):
            if answer not in fact.answers:
                sentence, where = (
                    tell("'{name}' has no answer '{answer}'", name=name, answer=answer),
                    row.locate("when", name, index),
                )
                problems.unknown("answer-unknown", sentence, answer, fact.answers, where)
        check_repeats(answers, problems, row, "when", name)


def _check_plays(read: ReadContent, problems: ProblemLog) -> None:
    """Note every reference of a play that leads nowhere. A file that could not be read is let pass."""
    for file in keep_read(read.plays).values():
        if file.subject not in read.subjects:
            sentence = tell("there are no facts for the subject '{subject}'", subject=file.subject)
            where = file.locate("subject")
            problems.unknown("subject-unknown", sentence, file.subject, read.subjects, where)
            continue
        tables = {code: table for (code, subject), table in read.rulings.items() if subject == file.subject}
        for play in file.cases.values():
            if subject := read.subjects[file.subject]:
                check_play_facts(play, subject, problems)
            _check_expected(play, file.subject, tables, problems)
            if play.caution is not None:
                problems.need(play.caution, read.cautions, "caution", play.locate("caution"))


def check_play_facts(play: PlayModel, subject: SubjectModel, problems: ProblemLog) -> None:
    """Note every fact and answer of a play that its subject does not have."""
    for name, answer in play.facts.items():
        fact = subject.facts.get(name)
        if fact is None:
            sentence, where = (
                tell("the subject has no fact '{name}'", name=name),
                play.locate_key("facts", name),
            )
            problems.unknown("fact-unknown", sentence, name, subject.facts, where)
        elif answer not in fact.answers:
            sentence = tell(
                "'{name}' has no answer '{answer}': {ask}", name=name, answer=answer, ask=fact.ask
            )
            problems.unknown("answer-unknown", sentence, answer, fact.answers, play.locate("facts", name))


def _check_expected(
    play: PlayModel, subject: str, tables: Mapping[str, TableModel | None], problems: ProblemLog
) -> None:
    for code, ruling in play.expect.items():
        if code not in tables:
            sentence, where = (
                tell("'{code}' has no rulings on {subject}", code=code, subject=subject),
                play.locate_key("expect", code),
            )
            problems.unknown("code-unknown", sentence, code, tables, where)
        elif (table := tables[code]) is not None and ruling not in table.rulings:
            sentence, where = (
                tell(
                    "{code} has no ruling '{ruling}' on {subject}", code=code, ruling=ruling, subject=subject
                ),
                play.locate("expect", code),
            )
            problems.unknown("ruling-unknown", sentence, ruling, table.rulings, where)
