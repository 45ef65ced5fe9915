"""Next states in words, as a key and a terminal print them, and for a program."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pocketref.rulings.next_state import HOME, Fate, Next, NextState
from pocketref.rulings.situation import OUTS, write_count
from pocketref.source.ruling_models import RunnerOut

_OTHERS: Mapping[Fate, str] = {
    Fate.MAY_RUN: "may run",
    Fate.TO_TOUCHED: "back to the base last touched",
    Fate.AT_RISK: "may advance",
    Fate.AS_RULED: "as the ball is ruled",
    Fate.LEAGUE: "by the league\u2019s rule",
}
_OTHERS_OF_ONE_OUT: Mapping[Fate, str] = {
    Fate.STAYS: "stays",
    Fate.RETURNS: "back to the base held at the pitch",
    Fate.ADVANCES: "one base on",
    Fate.IF_GOING: "one base on if going with the pitch, else back",
}


def write_states(states: Sequence[NextState], uncaught: str = "") -> list[str]:
    """What a ruling makes of the game, each case that is left open with its own sentence.

    `uncaught` is what the code says besides of a third strike that is not caught.
    """
    said = [write_state(state) for state in states]
    if len(states) > 1:
        said = [f"{state.when}: {words}" for state, words in zip(states, said, strict=True)]
    if states[0].may_take_play:
        said.append("the offence may take the play as it fell instead")
    if uncaught and any(state.batter.fate is Fate.MAY_RUN for state in states):
        said.append(uncaught)
    return [f"{words[0].upper()}{words[1:]}." for words in said]


def write_state(state: NextState) -> str:
    """One state: the batter, outs, each runner, in the fewest words."""
    if state.is_side_retired:
        leads = ", and this batter leads off the next inning" if state.batter.fate is Fate.BATS else ""
        return f"three outs, the side is retired{leads}"
    players = {"batter": state.batter, **{f"runner on {base}": each for base, each in state.runners.items()}}
    if all(each.fate is Fate.AS_RULED for each in players.values()):
        return "as the ball is ruled"
    return "; ".join(
        filter(None, (f"{_write_batter(state)}, {OUTS[state.outs]}", *_write_runners(state.runners)))
    )


def _write_batter(state: NextState) -> str:
    match state.batter.fate:
        case Fate.OUT:
            return "batter out"
        case Fate.BATS:
            return f"batter bats on, {write_count(state.count)}" if state.count else "batter bats on"
        case Fate.ADVANCES:
            return f"batter to {state.batter.base}"
        case Fate.AT_RISK:
            return "batter runs"
        case other:
            return f"batter {_OTHERS[other]}"


def _write_runners(runners: Mapping[str, Next]) -> list[str]:
    """The runners, those of one fate together, the one nearest home first."""
    groups: dict[tuple[Fate, tuple[RunnerOut, ...]], list[str]] = {}
    for base, each in runners.items():
        groups.setdefault((each.fate, each.unless), []).append(base)
    return [_write_group(fate, unless, bases, runners) for (fate, unless), bases in groups.items()]


def _write_group(
    fate: Fate, unless: Sequence[RunnerOut], bases: Sequence[str], runners: Mapping[str, Next]
) -> str:
    if unless:
        others = _OTHERS.get(fate, _OTHERS_OF_ONE_OUT.get(fate, ""))
        return f"{' and '.join(unless)} out, of those on {_join(bases)}; who is not, {others}"
    held = _join(bases)
    who = "runners" if len(bases) > 1 else "runner"
    match fate:
        case Fate.STAYS:
            return f"{who} {'stay' if len(bases) > 1 else 'stays'} on {held}"
        case Fate.RETURNS:
            return f"{who} back to {held}"
        case Fate.OUT:
            return f"{who} from {held} out"
        case Fate.ADVANCES:
            return ", ".join(_write_advance(base, runners[base].base) for base in bases)
        case Fate.IF_GOING:
            return f"{who} on {held} one base if going with the pitch, else back"
        case other:
            return f"{who} on {held} {_OTHERS[other]}"


def _join(bases: Sequence[str]) -> str:
    """The bases, from first on."""
    *most, last = reversed(bases)
    return f"{', '.join(most)} and {last}" if most else last


def _write_advance(base: str, to: str) -> str:
    return f"runner from {base} scores" if to == HOME else f"runner from {base} to {to}"


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
