"""Spoilt content of any kind raises PocketrefError with printable problems, or reads; never anything else."""

from __future__ import annotations

import tempfile
import unicodedata
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.problems import PocketrefError, Problem, render_problem
from pocketref.source.library import read_library

FILES = ("works.yaml", "edition.yaml", "fields/youth-60-ft.yaml", "rulings/subjects/stance.yaml")
FILES = (*FILES, "rulings/youth/stance.yaml")

# Pieces that mean something to YAML or to a reader, besides plain bytes.
PIECES = st.sampled_from(
    [
        *(b": ", b"- ", b"\n", b"\n  ", b"\t", b"{", b"}", b"[", b"]", b",", b"'", b'"', b"#", b"&a ", b"*a"),
        *(b"!!x ", b"!", b"|", b">", b"%", b"---\n", b"...\n", b"<<: ", b"? ", b"\0", b"\xff", b"\xc3\xa9"),
        *(b"\xef\xbb\xbf", b"\\", b"yes", b"house", b"1/2 in", b"[" * 40, b"~", b"kind: x\n", b"\r"),
    ]
)


def read_problems(content: Path) -> tuple[Problem, ...]:
    try:
        return read_library(content).warnings
    except PocketrefError as error:
        return error.problems


def check(sample: dict[str, str], name: str, spoilt: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        content = Path(folder) / "content"
        for other, text in sample.items():
            (content / other).parent.mkdir(parents=True, exist_ok=True)
            (content / other).write_bytes(spoilt if other == name else text.encode())
        for problem in read_problems(content):
            assert problem.where is not None
            assert problem.where.file.startswith("content/")
            shown = render_problem(problem).replace("\n", "")
            assert not any(unicodedata.category(letter) == "Cc" for letter in shown)


@given(st.data())
@settings(max_examples=120)
def test_random_bytes_in_a_file_are_only_ever_problems(sample: dict[str, str], data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(FILES))
    spoilt = sample[name].encode()
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(spoilt)))
        end = data.draw(st.integers(start, min(start + 20, len(spoilt))))
        spoilt = spoilt[:start] + data.draw(PIECES | st.binary(max_size=4)) + spoilt[end:]
    check(sample, name, spoilt)


@given(st.data())
@settings(max_examples=100)
def test_moved_lines_and_changed_values_are_only_ever_problems(
    sample: dict[str, str], data: st.DataObject
) -> None:
    name = data.draw(st.sampled_from(FILES))
    lines = sample[name].splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        at, other = (data.draw(st.integers(0, len(lines) - 1)) for _ in range(2))
        line = lines[at]
        head, colon, tail = line.partition(": ")
        lines[at] = data.draw(
            st.sampled_from(
                [
                    lines[other],
                    f"{line}\n{line}",
                    line[2:],
                    f"  {line}",
                    head + colon + "[]",
                    head + colon + "{}",
                    head + colon + "[[a], {b: c}]",
                    head + colon,
                    tail,
                    head + colon + f"{{x: {tail}}}",
                    head + colon + f"[{tail}]",
                    head.upper() + colon + tail[::-1],
                ]
            )
        )
    check(sample, name, "\n".join(lines).encode())
