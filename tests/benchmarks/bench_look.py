"""From a save to the new picture served: processor time for each card of the demo, and for a dimension on all of them.

    python tests/benchmarks/bench_look.py

A word of each card's title is changed, one card after another, each being looked at; then the width of the batter's
box, with every third card on screen in its turn. All of the process is measured: reading, layout, drawing, serving.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests/look")]

from looking import Page, open_page  # noqa: E402
from source_folders import SourceFolders  # noqa: E402

FIELD = "content/fields/high-school-90-ft.yaml"
WIDTHS = ("value: 4 ft,", "value: 3 ft 11 in,")


def time_edit(page: Page, folders: SourceFolders, part: str, edit: tuple[str, str, str]) -> float:
    """Seconds of processor time until the part's new faces, if they changed, are served."""
    with page.listen(part) as news:
        before = news.wait(lambda state: bool(state["faces"]) and state["current"] and state["proved"])
        start = time.process_time()
        folders.replace(*edit)
        state = news.wait(lambda now: now["current"] and now["saves"] > before["saves"])
        for face in state["faces"]:
            page.get(f"/faces/{face['digest']}")
        return time.process_time() - start


def report(what: str, times: list[float]) -> None:
    """The middle and the 95th of 100."""
    late = statistics.quantiles(times, n=20)[-1]
    middle = statistics.median(times)
    sys.stdout.write(
        f"{what}: {middle:.2f} s in the middle, {late:.2f} s at the 95th percentile of {len(times)}\n"
    )


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as place:
        folders = SourceFolders(Path(place))
        for name in ("content", "layouts"):
            shutil.copytree(ROOT / name, folders.root / name)
        cards = sorted(path.stem for path in (folders.layouts / "cards").glob("*.yaml"))
        with open_page(folders) as page:
            edits = {card: (f"layouts/cards/{card}.yaml", "title: ", "title: A ") for card in cards}
            report(
                "a word of a card",
                [time_edit(page, folders, f"cards/{c}", edit) for c, edit in edits.items()],
            )
            box = f"box-width:             {{{WIDTHS[0]}"
            times = []
            for number, card in enumerate(cards[::3]):
                old, new = (box, box.replace(*WIDTHS)) if number % 2 == 0 else (box.replace(*WIDTHS), box)
                times.append(time_edit(page, folders, f"cards/{card}", (FIELD, old, new)))
            report("a dimension of all cards", times)


if __name__ == "__main__":
    main()
