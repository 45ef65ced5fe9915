"""Next states in words, as a key and a terminal print them, and for a program."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pocketref.rulings.next_state import HOME, Fate, Next, NextState
from pocketref.rulings.situation import OUTS, write_count
from pocketref.source.ruling_models import RunnerOut
from pocketref.words.speech import join_words, say

STATE_WORDS: Mapping[str, str] = {
    "retired": "three outs, the side is retired",
    "leads off": "three outs, the side is retired, and this batter leads off the next inning",
    "as ruled": "as the ball is ruled",
    "take play": "the offence may take the play as it fell instead",
    "batter out": "batter out",
    "batter bats": "batter bats on",
    "batter bats, count": "batter bats on, {count}",
    "batter advances": "batter to {base}",
    "batter at risk": "batter runs",
    "batter": "batter {fate}",
    "runner stays": "runner stays on {held}",
    "runners stays": "runners stay on {held}",
    "runner returns": "{who} back to {held}",
    "runner out": "{who} from {held} out",
    "runner scores": "runner from {held} scores",
    "runner advances": "runner from {held} to {base}",
    "runner if going": "{who} on {held} one base if going with the pitch, else back",
    "runner": "{who} on {held} {fate}",
    "unless": "{who} out, of those on {held}; who is not, {fate}",
    "may run": "may run",
    "to last touched": "back to the base last touched",
    "at risk": "may advance",
    "league": "by the league\u2019s rule",
    "stays": "stays",
    "returns": "back to the base held at the pitch",
    "advances": "one base on",
    "if going": "one base on if going with the pitch, else back",
}
"""What is said of the batter, of a runner or several, and of each fate; the page's script fills them in likewise."""


def write_states(states: Sequence[NextState], uncaught: str = "") -> list[str]:
    """What a ruling makes of the game, each case that is left open with its own sentence.

    `uncaught` is what the code says besides of a third strike that is not caught.
    """
    said = [write_state(state) for state in states]
    if len(states) > 1:
        said = [f"{state.when}: {words}" for state, words in zip(states, said, strict=True)]
    if states[0].may_take_play:
        said.append(say(STATE_WORDS["take play"]))
    if uncaught and any(state.batter.fate is Fate.MAY_RUN for state in states):
        said.append(uncaught)
    return [f"{words[0].upper()}{words[1:]}." for words in said]


def write_state(state: NextState) -> str:
    """One state: the batter, outs, each runner, in the fewest words."""
    if state.is_side_retired:
        return say(STATE_WORDS["leads off" if state.batter.fate is Fate.BATS else "retired"])
    if all(each.fate is Fate.AS_RULED for each in (state.batter, *state.runners.values())):
        return say(STATE_WORDS["as ruled"])
    return "; ".join((f"{_write_batter(state)}, {say(OUTS[state.outs])}", *_write_runners(state.runners)))


def _write_batter(state: NextState) -> str:
    fate = state.batter.fate
    key = f"batter {fate}, count" if fate is Fate.BATS and state.count else f"batter {fate}"
    words = STATE_WORDS.get(key, STATE_WORDS["batter"])
    return say(
        words,
        count=write_count(state.count),
        base=say(state.batter.base),
        fate=say(STATE_WORDS.get(fate, "")),
    )


def _write_runners(runners: Mapping[str, Next]) -> list[str]:
    """The runners, those of one fate together, the one nearest home first."""
    groups: dict[tuple[Fate, tuple[RunnerOut, ...]], list[str]] = {}
    for base, each in runners.items():
        groups.setdefault((each.fate, each.unless), []).append(base)
    return [_write_group(fate, unless, bases, runners) for (fate, unless), bases in groups.items()]


def _write_group(
    fate: Fate, unless: Sequence[RunnerOut], bases: Sequence[str], runners: Mapping[str, Next]
) -> str:
    who = "runners" if len(bases) > 1 else "runner"
    held = join_words([say(base) for base in reversed(bases)])
    said = say(STATE_WORDS.get(fate, ""))
    if unless:
        return say(
            STATE_WORDS["unless"], who=join_words([say(each) for each in unless]), held=held, fate=said
        )
    if fate is Fate.ADVANCES:
        return ", ".join(_write_advance(base, runners[base].base) for base in bases)
    words = STATE_WORDS.get(f"{who} {fate}", STATE_WORDS.get(f"runner {fate}", STATE_WORDS["runner"]))
    return say(words, who=say(who), held=held, fate=said)


def _write_advance(base: str, to: str) -> str:
    words = STATE_WORDS["runner scores" if to == HOME else "runner advances"]
    return say(words, held=say(base), base=say(to))


def list_states(states: Sequence[NextState]) -> list[dict[str, object]]:
    """The states for a program; keys are stable, and an empty text means that it is not settled yet."""
    return [
        {
            "when": state.when,
            "outs": state.outs,
            "side-retired": state.is_side_retired,
            "count": state.count,
            "batter": {"fate": state.batter.fate, "base": state.batter.base},
            "runners": {
                base: {"fate": each.fate, "base": each.base, "unless": list(each.unless)}
                for base, each in state.runners.items()
            },
            "runs": state.runs,
            "may-take-play": state.may_take_play,
        }
        for state in states
    ]
