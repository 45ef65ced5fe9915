"""Whether what case plays name is there: subjects, codes, facts, answers, rulings, cautions."""

from __future__ import annotations

from collections.abc import Mapping

from pocketref.problems import ProblemLog, suggest_match
from pocketref.source.play_models import PlayModel, PlaysModel
from pocketref.source.ruling_models import SubjectModel, TableModel
from pocketref.source.text_models import CautionModel


def check_plays(
    plays: Mapping[str, PlaysModel | None],
    subjects: Mapping[str, SubjectModel | None],
    rulings: Mapping[tuple[str, str], TableModel | None],
    cautions: Mapping[str, CautionModel | None],
    problems: ProblemLog,
) -> None:
    """Note every reference of a play that leads nowhere. A file that could not be read (None) is let pass."""
    for file in plays.values():
        if file is None:
            continue
        if file.subject not in subjects:
            sentence = f"there are no facts for the subject '{file.subject}'"
            problems.error(
                "subject-unknown", sentence, suggest_match(file.subject, subjects), file.locate("subject")
            )
            continue
        tables = {code: table for (code, subject), table in rulings.items() if subject == file.subject}
        for play in file.cases.values():
            _check_facts(play, subjects[file.subject], problems)
            _check_expected(play, file.subject, tables, problems)
            if play.caution is not None and play.caution not in cautions:
                sentence = f"there is no caution '{play.caution}'"
                hint = suggest_match(play.caution, cautions)
                problems.error("caution-unknown", sentence, hint, play.locate("caution"))


def _check_facts(play: PlayModel, subject: SubjectModel | None, problems: ProblemLog) -> None:
    for name, answer in play.facts.items() if subject else ():
        fact = subject.facts.get(name) if subject else None
        if fact is None:
            known = subject.facts if subject else ()
            sentence = f"the subject has no fact '{name}'"
            problems.error(
                "fact-unknown", sentence, suggest_match(name, known), play.locate_key("facts", name)
            )
        elif answer not in fact.answers:
            sentence = f"'{name}' has no answer '{answer}': {fact.ask}"
            hint = suggest_match(answer, fact.answers)
            problems.error("answer-unknown", sentence, hint, play.locate("facts", name))


def _check_expected(
    play: PlayModel, subject: str, tables: Mapping[str, TableModel | None], problems: ProblemLog
) -> None:
    for code, ruling in play.expect.items():
        if code not in tables:
            sentence = f"'{code}' has no rulings on {subject}"
            problems.error(
                "code-unknown", sentence, suggest_match(code, tables), play.locate_key("expect", code)
            )
        elif (table := tables[code]) is not None and ruling not in table.rulings:
            sentence = f"{code} has no ruling '{ruling}' on {subject}"
            hint = suggest_match(ruling, table.rulings)
            problems.error("ruling-unknown", sentence, hint, play.locate("expect", code))
