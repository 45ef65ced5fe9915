"""A roster printed again, or after a stop: what is missing or changed is made, no more; and what parcels weigh."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from collections.abc import Iterator
from fractions import Fraction
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from source_folders import FIXTURES, SourceFolders

from pocketref.cli import main
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.press import PressRun
from pocketref.edition.proof import Proof, prove
from pocketref.edition.reuse import REUSED, EarlierFiles
from pocketref.edition.signing import sign_manifest
from pocketref.members.members import MemberRun
from pocketref.members.roster import Member, read_roster
from pocketref.publish.build import publish_edition

ROOT = Path(__file__).parents[2]
HEADER = "name,number,chapter,code,level,quantity\n"

STOPPED = """
import json, os, random, signal, sys, time
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from pocketref.edition.manifest_writing import write_source
from pocketref.edition.press import PressRun
from pocketref.edition.proof import prove
from pocketref.edition.reuse import EarlierFiles
from pocketref.members.members import MemberRun
from pocketref.members.roster import Member
from pocketref.publish.build import publish_edition

source, out = Path(sys.argv[2]), Path(sys.argv[3])
proof = prove(source / "content", source / "layouts")
members = [Member(f"M{n}", f"{n}", f"Chapter {n // 5}", "high-school", "90-ft", 1 + n % 3, n) for n in range(60)]
run = MemberRun(proof, members, "roster.csv", PressRun())

def publish(folder, die_after=None, told=None):
    done = []
    def progress(count):
        done.append(count)
        if len(done) == die_after:
            os.kill(os.getpid(), signal.SIGKILL)
    def build(left):
        for file in run.build(EarlierFiles(before=left), progress):
            if told is not None:
                told[file.name] = file.report
            yield file
    publish_edition(proof, [write_source(proof.library)], out / folder, build_more=build)

def read(folder):
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}

def left_in(folder):
    return sorted(path for path in folder.glob(".2027.*"))

def kill(folder, wait, **options):
    child = os.fork()
    if not child:
        publish(folder, **options)
        os._exit(0)
    if wait is not None:
        time.sleep(wait)
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)

start = time.monotonic()
publish("whole")
seconds, whole = time.monotonic() - start, read(out / "whole" / "2027")

# At any moment, by a seed: what has its name is whole, and so is the edition once it is there.
rng, torn = random.Random(7), []
for _ in range(8):
    kill("often", rng.uniform(0, seconds))
    for folder in left_in(out / "often"):
        torn += [n for n, data in read(folder).items() if not n.startswith(".") and data != whole.get(n)]
    most = len(left_in(out / "often"))
    assert most <= 2, most
    target = out / "often" / "2027"
    assert not target.exists() or read(target) == whole
publish("often")
assert read(out / "often" / "2027") == whole
assert [path.name for path in (out / "often").iterdir()] == ["2027"]

# After five of twelve chapters; then one of their files is cut short and one altered, as no run of its own leaves them.
kill("once", None, die_after=5)
(left,) = left_in(out / "once")
named = sorted(name for name in read(left) if name.endswith(".pdf"))
cut, altered = left / named[0], left / named[3]
cut.write_bytes(cut.read_bytes()[:-1])
altered.write_bytes(altered.read_bytes().replace(b"obj", b"OBJ", 1))
told = {}
publish("once", told=told)
assert read(out / "once" / "2027") == whole
assert [path.name for path in (out / "once").iterdir()] == ["2027"]
print(json.dumps({"torn": torn, "named": named, "told": told}))
"""


def test_a_run_killed_at_any_moment_leaves_whole_files_and_the_next_makes_what_is_missing(
    tmp_path: Path,
) -> None:
    command = [sys.executable, "-c", STOPPED, str(ROOT), str(FIXTURES), str(tmp_path)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["torn"] == []
    taken = [name for name, report in found["told"].items() if report.endswith(REUSED)]
    named = found["named"]
    assert len(named) == 10
    assert sorted(taken) == [name for name in named if name not in (named[0], named[3])]


def test_stopped_by_the_keyboard_what_is_made_is_kept_and_used_under_the_same_signature_alone(
    proven: Proof, tmp_path: Path
) -> None:
    keys = [partial(sign_manifest, Ed25519PrivateKey.generate()) for _ in "ab"]
    made = BuiltFile("members/a.pdf", b"one", 1, "1 page", "what it is made of")
    for sign, other in ((None, keys[0]), (keys[0], None), (keys[0], keys[1])):
        for after, is_used in ((other, False), (sign, True)):
            found: list[bool] = []

            def stop(left: EarlierFiles) -> Iterator[BuiltFile]:
                yield made
                raise KeyboardInterrupt

            def look(left: EarlierFiles, found: list[bool] = found) -> tuple[BuiltFile, ...]:
                known = left.take(made.name, made.made_of)
                found.append(known is not None and known.data == made.data)
                assert left.take(made.name, "another") is None
                return ()

            with pytest.raises(KeyboardInterrupt):
                publish_edition(proven, [], tmp_path, sign, build_more=stop)
            assert [path.name[:10] for path in tmp_path.iterdir() if path.name != "2027"] == [".2027.new-"]
            publish_edition(proven, [], tmp_path, after, build_more=look)
            assert found == [is_used]
            assert [path.name for path in tmp_path.iterdir()] == ["2027"]


def publish(folders: SourceFolders, roster: Path, *options: str) -> str:
    command = ["publish", *folders.options, "--out", str(folders.root / "out"), "--members", str(roster)]
    done = CliRunner().invoke(main, [*command, *options])
    assert done.exit_code == 0, done.output
    return next(
        line for line in done.output.splitlines() if line.startswith(f"{folders.root}/out/2027/members")
    )


def test_a_member_more_makes_one_chapter_again_and_a_changed_face_those_who_hold_it(
    folders: SourceFolders, tmp_path: Path
) -> None:
    """What it says is new or changed is what has other bytes."""
    field = folders.content / "fields" / "high-school-90-ft.yaml"
    (field.parent / "high-school-60-ft.yaml").write_text(
        field.read_text(encoding="utf-8").replace("90-ft", "60-ft", 1), encoding="utf-8"
    )
    card = (folders.layouts / "cards" / "batters-box.yaml").read_text(encoding="utf-8")
    other = card.replace("batters-box", "small", 1).replace("90-ft", "60-ft", 1).replace('"1"', '"2"', 1)
    folders.add("layouts/cards/small.yaml", other)
    rows = [
        f"Member {n},{n},{chapter},high-school,{level},1\n"
        for n, (chapter, level) in enumerate((("North", "90-ft"), ("South", "90-ft"), ("West", "60-ft")) * 3)
    ]
    roster = tmp_path / "roster.csv"
    roster.write_text(HEADER + "".join(rows), encoding="utf-8")
    assert publish(folders, roster).endswith("; 3 chapters")
    before = read_members(folders)
    roster.write_text(HEADER + "".join(rows) + "Bea Added,99,South,high-school,90-ft,1\n", encoding="utf-8")
    assert publish(folders, roster).endswith("; 1 of 3 chapters new or changed: south")
    assert list_changed(before, read_members(folders)) == {"south", "parcels.csv", "totals.csv"}
    before = read_members(folders)
    folders.replace("layouts/cards/small.yaml", "title: Batter's", "title: The small batter's")
    assert publish(folders, roster).endswith("; 1 of 3 chapters new or changed: west")
    # The digest of the edition, where a face bears it, is set into all.
    assert list_changed(before, read_members(folders)) == {"west"}


def test_a_changed_digest_changes_each_chapter_whose_cards_bear_it(
    folders: SourceFolders, tmp_path: Path
) -> None:
    folders.replace(
        "layouts/cards/batters-box.yaml", "  - {block: calls", "  - {block: qr}\n  - {block: calls"
    )
    roster = tmp_path / "roster.csv"
    rows = (f"Member {n},{n},{chapter},high-school,90-ft,1\n" for n, chapter in enumerate(("North", "South")))
    roster.write_text(HEADER + "".join(rows), encoding="utf-8")
    publish(folders, roster)
    before = read_members(folders)
    folders.replace("layouts/sheets/plate-area.yaml", "title: ", "title: The ")
    assert publish(folders, roster).endswith("; 2 chapters")
    assert list_changed(before, read_members(folders)) == {"north", "south"}


def read_members(folders: SourceFolders) -> dict[str, bytes]:
    home = folders.root / "out" / "2027" / "members"
    return {
        path.relative_to(home).as_posix(): path.read_bytes() for path in home.rglob("*") if path.is_file()
    }


def list_changed(one: dict[str, bytes], other: dict[str, bytes]) -> set[str]:
    """The chapters and files that differ."""
    return {name.split("/")[0] for name in one.keys() | other.keys() if one.get(name) != other.get(name)}


# --- parcels ---------------------------------------------------------------------------------------------


def read_csv(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"))))


def test_parcels_lie_by_chapter_postcode_and_name_a_member_s_sets_in_one(
    proven: Proof, tmp_path: Path
) -> None:
    roster = tmp_path / "roster.csv"
    roster.write_text(
        HEADER.replace("name,", "postcode,name,")
        + "0200,Zoe Abel,1,South,high-school,90-ft,2\n"
        + '0100,"Ñuñez, Ann ""Jo""",2,South,high-school,90-ft,1\n'
        + "0200,ángel Bo,3,South,high-school,90-ft,1\n"
        + ",Cy Dee,4,North,high-school,90-ft,1\n",
        encoding="utf-8",
    )
    members = read_roster(roster)
    files = {f.name: f.data for f in MemberRun(proven, members, "roster.csv", PressRun()).build()}
    # RFC 4180, 2: a line break is CR LF, and a quotation mark in a value is doubled.
    lines = files["members/parcels.csv"].decode("utf-8").split("\r\n")
    assert lines == [
        "chapter,postcode,number,name,sets,cards,grams",
        "North,,4,Cy Dee,1,1,",
        'South,0100,2,"Ñuñez, Ann ""Jo""",1,1,',
        "South,0200,3,ángel Bo,1,1,",
        "South,0200,1,Zoe Abel,2,2,",
        "",
    ]
    packed = read_csv(files["members/south/packing-list.csv"])
    assert [row["number"] for row in packed] == ["2", "3", "1"]


def test_a_parcel_weighs_what_its_stock_and_pouches_weigh_rounded_up_and_is_silent_without(
    folders: SourceFolders,
) -> None:
    """199 g/m2 is what tables of paper weights give for 110 lb index: 110 lb in 500 sheets of 25.5 by 30.5 in."""
    ream = (
        Fraction("110")
        * Fraction("453.59237")
        / (500 * Fraction("25.5") * Fraction("30.5") * Fraction("0.00064516"))
    )
    assert round(ream) == 199
    stock = "  index-3x5:\n    grammage: 199\n    laminate-grammage: 290\n    laminate-margin: 1/4 in\n"
    folders.replace("layouts/stocks.yaml", "  index-3x5:\n", stock)
    proof = prove(folders.content, folders.layouts)
    members = [Member(f"M {n}", f"{n}", "NS"[n % 2], "high-school", "90-ft", 10 * n, n) for n in (1, 2, 3)]
    files = {f.name: f for f in MemberRun(proof, members, "roster.csv", PressRun()).build()}
    # By hand: 0.127 x 0.0762 m2 of card is 1.9259 g, 0.1397 x 0.0889 m2 of pouch is 3.6016 g; both 5.5275 g.
    assert [row["grams"] for row in read_csv(files["members/parcels.csv"].data)] == ["111", "56", "166"]
    assert [row["grams"] for row in read_csv(files["members/totals.csv"].data)] == ["111", "222", "332"]
    assert files["members/s/packing-list.pdf"].report.endswith("222 g of cards")
