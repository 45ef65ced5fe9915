"""What spoilt records are fed to: readings as YAML, CSV or filled-in sheets, answers and rosters."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from random import Random

from class_answers import find_sheet, know, rule_as, take_in, training, write_class
from csv_mutations import mutate_csv
from field_sheets import LEVEL, fill_sheet, library, plan_of, publish, read_pulls
from json_mutations import mutate_json
from pdf_mutations import mutate_pdf
from refusals import check_problems, collect
from source_folders import FIXTURES
from source_mutations import Mutant, adjust, mutate
from source_pieces import read_samples

from pocketref.changes.change_text import write_changes, write_changes_json
from pocketref.changes.changes import compare_editions
from pocketref.edition.manifest import MANIFEST, SOURCE
from pocketref.edition.manifest_writing import write_source
from pocketref.edition.press import PressRun
from pocketref.edition.proof import prove
from pocketref.edition.source_reading import read_edition_source
from pocketref.edition.verify import verify_folder
from pocketref.marks.mark_files import write_marks_json
from pocketref.marks.mark_text import write_marks
from pocketref.marks.marking import mark_answers
from pocketref.members.members import MemberRun
from pocketref.members.roster import read_roster
from pocketref.problems import Problem
from pocketref.publish.build import publish_edition
from pocketref.tape_report.tape_answer import write_tape_answer, write_tape_json
from pocketref.tape_report.tape_file import judge_file

MOUND = """\
level: high-school-90-ft
plan: mound
plate-height: 10 in
readings:
  - {ahead: 18 in, below: 1 in}
  - {ahead: 30 in, below: 2 in}
  - {ahead: 5 ft, below: 4 7/8 in}
"""
ROSTER = "\n".join(
    [
        "name,number,chapter,code,level,quantity",
        "Ann Exemplar,1001,North Shore,high-school,90-ft,1",
        '"O\'Neil, ""Jo""",1002,Côte Nord,high-school,90-ft,2',
        "Zoë Ångström,A-7/2,North Shore,high-school,90-ft,1",
        "Bo Invented,1004,Low Fell,high-school,90-ft,3",
        "",
    ]
)


def write_yaml(plan: str) -> str:
    """Readings of a plan, one pull misread and one corner out."""
    pulls = read_pulls(plan_of(plan), {}, {})
    rows = [f"  - {{from: {n.split('-')[0]}, to: {n.split('-')[1]}, reading: {r}}}" for n, r in pulls.items()]
    head = [
        f"level: {LEVEL}",
        f"plan: {plan}",
        "tape: steel",
        "temperature: 80 F",
        "resolution: 1/16 in",
        "readings:",
    ]
    return "\n".join([*head, *rows]) + "\n"


def write_csv(plan: str) -> str:
    """The same as CSV."""
    rows = [
        f"{name.replace('-', ',')},{reading}" for name, reading in read_pulls(plan_of(plan), {}, {}).items()
    ]
    return "\n".join([f"level,{LEVEL}", f"plan,{plan}", "temperature,80 F", "from,to,reading", *rows]) + "\n"


class ReadingsSubject:
    """Files of readings: judged, and the answer written."""

    def __init__(self, folder: Path) -> None:
        self.notes: Counter[str] = Counter()
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        files = {
            "plate.yaml": write_yaml("plate-area"),
            "diamond.yaml": write_yaml("diamond"),
            "mound.yaml": MOUND,
        }
        self._samples = read_samples(files)
        self._tables = {"plate.csv": write_csv("plate-area"), "diamond.csv": write_csv("diamond")}

    def make(self, rng: Random) -> Mutant:
        """Half YAML, half CSV."""
        if rng.random() < 0.5:
            name = rng.choice(sorted(self._tables))
            return mutate_csv(rng, name, self._tables[name])
        return (adjust if rng.random() < 0.4 else mutate)(rng, self._samples)

    def feed(self, mutant: Mutant, number: int) -> tuple[Problem, ...]:
        """Judge the file."""
        path = self._folder / mutant.name
        path.write_bytes(mutant.data)
        return collect(lambda: self._judge(path))

    def _judge(self, path: Path) -> None:
        judged = judge_file(path, library())
        assert write_tape_answer(judged)
        assert write_tape_json(judged)
        self.notes["judged"] += 1


class SheetSubject(ReadingsSubject):
    """Filled-in sheets."""

    def __init__(self, folder: Path) -> None:
        self.notes = Counter()
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        filled = {
            "plate-area.pdf": read_pulls(plan_of("plate-area"), {"F3": (2.0, 0.0)}) | {"Tape used": "steel"},
            "mound.pdf": {"plate-height": "10 in", "below-18-in": "1 in", "below-30-in": "2 in"},
        }
        self._sheets = {name: fill_sheet(publish(name[:-4]), values) for name, values in filled.items()}

    def make(self, rng: Random) -> Mutant:
        """One of the sheets."""
        name = rng.choice(sorted(self._sheets))
        return mutate_pdf(rng, name, self._sheets[name])


OF_A_FOLDER = frozenset(
    {"edition-unknown", "edition-later", "manifest-altered", "file-missing", "file-extra", "file-altered"}
)
"""Said of a folder that was named on the command line; the sentence names the file within."""


class EditionSubject:
    """Published editions whose manifest or source is spoilt: verified, and compared with what they were."""

    def __init__(self, folder: Path) -> None:
        self.notes: Counter[str] = Counter()
        proof = prove(FIXTURES / "content", FIXTURES / "layouts")
        self._edition = publish_edition(proof, [write_source(proof.library)], folder / "out")
        self._files = {name: (self._edition / name).read_text() for name in (MANIFEST, SOURCE)}
        self._source = read_edition_source(self._edition)

    def make(self, rng: Random) -> Mutant:
        """The manifest or the source."""
        name = rng.choice((MANIFEST, SOURCE, SOURCE))
        return mutate_json(rng, name, self._files[name])

    def feed(self, mutant: Mutant, number: int) -> tuple[Problem, ...]:
        """Verify the folder, then compare it."""
        path = self._edition / mutant.name
        path.write_bytes(mutant.data)
        try:
            found = collect(self._verify, OF_A_FOLDER)
            return found + collect(self._compare, OF_A_FOLDER)
        finally:
            path.write_text(self._files[mutant.name])

    def _verify(self) -> None:
        verdict = verify_folder(self._edition)
        check_problems(verdict.problems, OF_A_FOLDER)
        self.notes["altered" if verdict.problems else "unaltered"] += 1

    def _compare(self) -> None:
        changes = compare_editions(self._source, read_edition_source(self._edition))
        assert write_changes(changes)
        assert write_changes_json(changes)
        self.notes["compared"] += 1


class AnswersSubject:
    """Answers to a training sheet: read, marked and told."""

    def __init__(self, folder: Path) -> None:
        self.notes: Counter[str] = Counter()
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        minds = [know, rule_as("professional")] * 3
        self._text = write_class(find_sheet("weekly-01"), minds, slips=0.2)

    def make(self, rng: Random) -> Mutant:
        """Answers, spoilt."""
        return mutate_csv(rng, "answers.csv", self._text)

    def feed(self, mutant: Mutant, number: int) -> tuple[Problem, ...]:
        """Read and mark them: every row is marked, empty or told."""
        intake = take_in(self._folder, mutant.data, mutant.name)
        marks = mark_answers(intake, training().sheets, training().books)
        check_problems(intake.problems.problems)
        assert bool(marks.unmarked) == bool(intake.problems.errors)
        assert write_marks(marks)
        assert write_marks_json(marks)
        self.notes["marked" if marks.sheets else "not marked"] += 1
        return tuple(intake.problems.problems)


class RosterSubject:
    """Rosters: read, and now and then printed."""

    def __init__(self, folder: Path, print_every: int = 100) -> None:
        self.notes: Counter[str] = Counter()
        self._folder, self._print_every = folder, print_every
        folder.mkdir(parents=True, exist_ok=True)
        self._proof = prove(FIXTURES / "content", FIXTURES / "layouts")

    def make(self, rng: Random) -> Mutant:
        """A roster, spoilt."""
        return mutate_csv(rng, "roster.csv", ROSTER)

    def feed(self, mutant: Mutant, number: int) -> tuple[Problem, ...]:
        """Read the roster; check that its sets exist; print it now and then."""
        path = self._folder / mutant.name
        path.write_bytes(mutant.data)
        return collect(lambda: self._run(path, number))

    def _run(self, path: Path, number: int) -> None:
        members = read_roster(path)
        self.notes["read"] += 1
        run = MemberRun(self._proof, members, path.name, PressRun())
        self.notes["prepared"] += 1
        if number % self._print_every == 0 and len(members) < 100:
            list(run.build())
            self.notes["printed"] += 1
