"""Whether what case plays name is there: subjects, codes, facts, answers, rulings, cautions."""

from __future__ import annotations

from collections.abc import Mapping

from pocketref.problems import ProblemLog
from pocketref.source.play_models import PlayModel
from pocketref.source.references import ReadContent, keep_read
from pocketref.source.ruling_models import SubjectModel, TableModel


def check_plays(read: ReadContent, problems: ProblemLog) -> None:
    """Note every reference of a play that leads nowhere. A file that could not be read is let pass."""
    for file in keep_read(read.plays).values():
        if file.subject not in read.subjects:
            sentence = f"there are no facts for the subject '{file.subject}'"
            where = file.locate("subject")
            problems.unknown("subject-unknown", sentence, file.subject, read.subjects, where)
            continue
        tables = {code: table for (code, subject), table in read.rulings.items() if subject == file.subject}
        for play in file.cases.values():
            if subject := read.subjects[file.subject]:
                _check_facts(play, subject, problems)
            _check_expected(play, file.subject, tables, problems)
            if play.caution is not None and play.caution not in read.cautions:
                sentence, where = f"there is no caution '{play.caution}'", play.locate("caution")
                problems.unknown("caution-unknown", sentence, play.caution, read.cautions, where)


def _check_facts(play: PlayModel, subject: SubjectModel, problems: ProblemLog) -> None:
    for name, answer in play.facts.items():
        fact = subject.facts.get(name)
        if fact is None:
            sentence, where = f"the subject has no fact '{name}'", play.locate_key("facts", name)
            problems.unknown("fact-unknown", sentence, name, subject.facts, where)
        elif answer not in fact.answers:
            sentence = f"'{name}' has no answer '{answer}': {fact.ask}"
            problems.unknown("answer-unknown", sentence, answer, fact.answers, play.locate("facts", name))


def _check_expected(
    play: PlayModel, subject: str, tables: Mapping[str, TableModel | None], problems: ProblemLog
) -> None:
    for code, ruling in play.expect.items():
        if code not in tables:
            sentence, where = f"'{code}' has no rulings on {subject}", play.locate_key("expect", code)
            problems.unknown("code-unknown", sentence, code, tables, where)
        elif (table := tables[code]) is not None and ruling not in table.rulings:
            sentence, where = f"{code} has no ruling '{ruling}' on {subject}", play.locate("expect", code)
            problems.unknown("ruling-unknown", sentence, ruling, table.rulings, where)
