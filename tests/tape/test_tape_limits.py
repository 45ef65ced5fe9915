"""What a file of readings may say at most, how it is cut into cells, and which readings are refused as such."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from field_samples import FIELD, read_lengths
from tape_samples import plan_of

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan, construct_plan, construct_plate_area, construct_station
from pocketref.problems import PocketrefError
from pocketref.tape.adjust import adjust_readings
from pocketref.tape.error_budget import STEEL, predict_reading_error_mm
from pocketref.tape.readings import (
    PLATE_MARKS,
    Pin,
    Reading,
    check_readings,
    choose_pins,
    measure_share,
    merge_repeats,
    refuse_slip,
)
from pocketref.tape.readings_file import FieldReadings
from pocketref.tape_report.written_readings import read_written
from pocketref.units.length import Length
from pocketref.units.notation import read_length

Reader = Callable[[str], FieldReadings]
DIMENSIONS = read_lengths(FIELD)
PLATE = construct_plate_area(DIMENSIONS)
DIAMOND = construct_diamond(DIMENSIONS)
HEAD = "level,high-school-90-ft\nplan,plate-area\n"
COLUMNS = "from,to,reading\n"
ROW = "A,F1,2 ft 6 1/8 in\n"


def inches(number: float | str | Fraction) -> Length:
    return Length(Fraction(number))


@pytest.fixture
def read(tmp_path: Path) -> Reader:
    def write_and_read(text: str) -> FieldReadings:
        path = tmp_path / "day.csv"
        path.write_text(text, encoding="utf-8")
        readings = read_written(path, path.read_bytes())
        assert isinstance(readings, FieldReadings)
        return readings

    return write_and_read


def told(call: Callable[[], object]) -> list[tuple[str, str, str]]:
    """Code, place and sentence of each problem."""
    with pytest.raises(PocketrefError) as raised:
        call()
    return [
        (p.code, f"{p.where.line}:{p.where.column}" if p.where else "", p.sentence)
        for p in raised.value.problems
    ]


# --- limits ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "degrees", ["-40 F", "160 F", "-40 C", "71.1 C", "68 F", "20 C", "85 deg F", "29.5 °C"]
)
def test_a_tape_s_temperature_may_be_from_40_below_to_160_f(read: Reader, degrees: str) -> None:
    """160 F is 71.1 C; both scales meet at -40."""
    found = read(f"{HEAD}temperature,{degrees}\n{COLUMNS}{ROW}").readings[0].temperature_f
    number = float(degrees.split()[0])
    assert found == pytest.approx(number if degrees.endswith("F") else number * 9 / 5 + 32)


@pytest.mark.parametrize("degrees", ["-41 F", "161 F", "-40.1 C", "71.2 C", "200 C"])
def test_no_tape_is_used_in_greater_cold_or_heat(read: Reader, degrees: str) -> None:
    ((code, place, sentence),) = told(lambda: read(f"{HEAD}temperature,{degrees}\n{COLUMNS}{ROW}"))
    assert (code, place) == ("value-temperature", "3:13")
    assert sentence == f"no tape is used at {degrees}"


def test_a_file_holds_three_hundred_readings_and_no_more(read: Reader) -> None:
    assert len(read(HEAD + COLUMNS + 300 * ROW).readings) == 300
    assert told(lambda: read(HEAD + COLUMNS + 301 * ROW))


def test_a_file_has_at_least_one_reading(read: Reader) -> None:
    assert told(lambda: read(HEAD + COLUMNS))


def test_a_mark_of_twenty_letters_is_read_and_a_longer_one_is_no_station(read: Reader) -> None:
    assert read(f"{HEAD}{COLUMNS}A,{'F' * 20},30 in\n").readings[0].to_station == "F" * 20
    ((code, place, _),) = told(lambda: read(f"{HEAD}{COLUMNS}A,{'F' * 21},30 in\n"))
    assert (code, place) == ("station-unknown", "4:3")


def test_a_reading_s_own_temperature_and_step_overrule_the_file_s(read: Reader) -> None:
    text = f"{HEAD}temperature,85 F\nresolution,1/8 in\nfrom,to,reading,temperature,resolution\n"
    plain, own, freezing = read(f"{text}A,F1,30 in\nA,F4,40 in,60 F,1/2 in\nA,F2,50 in,0 F\n").readings
    assert (plain.temperature_f, plain.resolution) == (85, inches("1/8"))
    assert (own.temperature_f, own.resolution) == (60, inches("1/2"))
    assert (freezing.temperature_f, freezing.resolution) == (0, inches("1/8"))


def test_a_tape_is_read_to_a_sixteenth_and_held_to_a_sixteenth_unless_said() -> None:
    """Both are our own figures, told in print: a step as a uniform spread and a standard deviation, with the tape's."""
    length = inches(720)
    tape, step, hand = 3 / 16 / math.sqrt(3), 1 / 16 / math.sqrt(12), 1 / 16
    warmth = 0.0000065 * 5 * 720
    expected = 25.4 * math.sqrt(tape**2 + step**2 + hand**2 + warmth**2)
    assert predict_reading_error_mm(length, 68.0, None, STEEL) == pytest.approx(expected, rel=1e-9)
    cold = 25.4 * math.sqrt(tape**2 + step**2 + hand**2 + (0.0000065 * 720 * 30) ** 2 / 3)
    assert predict_reading_error_mm(length, None, None, STEEL) == pytest.approx(cold, rel=1e-9)
    assert predict_reading_error_mm(length, 68.0, inches("1/16"), STEEL) == pytest.approx(expected, rel=1e-12)


# --- cells ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("before", ["", "# taped by two, in the rain\n", "\n\n"])
def test_cells_are_set_apart_by_commas_semicolons_or_tabs(read: Reader, mark: str, before: str) -> None:
    found = read(before + (HEAD + COLUMNS + ROW).replace(",", mark))
    assert found.level == "high-school-90-ft"
    assert [(r.from_station, r.to_station, r.length) for r in found.readings] == [
        ("A", "F1", inches("30.125"))
    ]


def test_the_row_of_column_names_says_what_sets_cells_apart(read: Reader) -> None:
    """A comma within the first row is no end of a cell where the columns have semicolons."""
    problems = told(
        lambda: read("weather, fine\nlevel;high-school-90-ft\nplan;plate-area\nfrom;to;reading\nA;F1;30 in\n")
    )
    assert problems == [("csv-setting", "1:1", "'weather, fine' is no known setting")]


def test_a_file_without_column_names_is_told_at_its_start(read: Reader) -> None:
    assert told(lambda: read(HEAD)) == [("csv-columns", "1:1", "day.csv has no row of column names")]


def test_a_column_that_is_missing_is_told_at_the_row_of_column_names(read: Reader) -> None:
    problems = told(lambda: read(f"{HEAD}from,to\nA,F1\n"))
    assert problems == [("csv-columns", "3:1", "there is no column 'reading'")]


def test_empty_cells_at_the_end_of_rows_say_nothing(read: Reader) -> None:
    found = read(f"{HEAD}from,to,reading,,\nA,F1,30 in,,\n,,,,\nA,F4,40 in,,,,\n")
    assert [r.length for r in found.readings] == [inches(30), inches(40)]


def test_a_place_counts_the_spaces_before_a_cell(read: Reader) -> None:
    assert told(lambda: read(f"{HEAD}{COLUMNS}A , F1,  30\n"))[0][:2] == ("unit-missing", "4:12")


def test_a_setting_without_a_value_and_one_that_stands_twice_are_told(read: Reader) -> None:
    problems = told(lambda: read(f"level\n{HEAD}plan,plate-area\n{COLUMNS}{ROW}"))
    assert [(place, sentence) for _, place, sentence in problems] == [
        ("1:1", "'level' takes one value"),
        ("4:1", "'plan' stands twice"),
    ]


def test_a_setting_written_as_in_yaml_is_shown_as_csv_has_it(read: Reader) -> None:
    with pytest.raises(PocketrefError) as raised:
        read(f"level: high-school-90-ft\n{COLUMNS}{ROW}")
    assert raised.value.problems[0].hint == "write level,high-school-90-ft"


def test_a_cell_of_a_row_without_a_column_is_told_with_both_counts(read: Reader) -> None:
    problems = told(lambda: read(f"{HEAD}{COLUMNS}A,F1,30 in,85 F\n"))
    assert problems == [("csv-row", "4:1", "this row has 4 cells, but there are 3 columns")]


# --- readings as such ---------------------------------------------------------------------------------------


def reasons(plan: Plan, *readings: Reading) -> list[str]:
    return [sentence for _, _, sentence in told(lambda: check_readings(plan, readings))]


def test_a_step_of_nothing_is_refused_and_any_other_is_not() -> None:
    check_readings(PLATE, [Reading("A", "F1", inches(30), resolution=inches("1/64"))])
    sentences = reasons(PLATE, Reading("A", "F1", inches(30), resolution=inches(0)))
    assert sentences == ["A-F1 is read to steps of 0 in"]


def test_a_reading_of_nothing_is_refused_and_of_an_eighth_is_not() -> None:
    check_readings(PLATE, [Reading("A", "F1", inches("1/8"))])
    assert reasons(PLATE, Reading("A", "F1", inches(0))) == ["A-F1 reads 0 in"]


@pytest.mark.parametrize("back", [False, True])
def test_a_pull_read_twice_within_half_an_inch_is_one_pull(back: bool) -> None:
    ends = ("F1", "A") if back else ("A", "F1")
    first = Reading("A", "F1", inches(30), 60.0, inches("1/8"))
    check_readings(PLATE, [first, Reading(*ends, inches("30.5"))])
    assert reasons(PLATE, first, Reading(*ends, inches("30.5625"))) == [
        f"{'-'.join(ends)} is read twice, 9/16 in apart; it is first read before"
    ]


def test_the_mean_of_a_pull_read_again_keeps_what_all_its_readings_share() -> None:
    first, other = Reading("A", "F1", inches(30), 60.0, inches("1/8")), Reading("A", "F4", inches(40), 60.0)
    alike = Reading("F1", "A", inches("30.25"), 70.0, inches("1/8"))
    mean, single = merge_repeats([first, other, alike])
    assert (mean.name, mean.length, mean.temperature_f, mean.resolution, mean.times) == (
        "A-F1",
        inches("30.125"),
        65.0,
        inches("1/8"),
        2,
    )
    assert single == other
    (loose,) = merge_repeats([first, Reading("A", "F1", inches("30.25"), None, inches("1/16"))])
    assert (loose.temperature_f, loose.resolution) == (None, None)


def test_a_side_is_impossible_beyond_half_as_much_again_as_the_other_two_and_2_ft() -> None:
    """Ours: the other two are 100 and 60 in, so the third may read up to 160 × 1.5 + 24 = 264 in."""
    plan = construct_plan(
        "three",
        stations=[
            construct_station(mark, mark, x, y) for mark, x, y in (("A", 0, 0), ("B", 60, 0), ("C", 0, 100))
        ],
        areas=(),
        lines=(),
        arcs=(),
        figures={},
    )
    two = [Reading("A", "B", inches(60)), Reading("C", "A", inches(100))]
    check_readings(plan, [*two, Reading("B", "C", inches(264))])
    sentences = reasons(plan, *two, Reading("B", "C", inches("264.25")))
    assert sentences == ["B-C reads 22 ft 1/4 in, but B-A-C is only 13 ft 4 in"]


# --- pins ----------------------------------------------------------------------------------------------------


def pins_of(plan: Plan, *pairs: str) -> tuple[Pin, ...]:
    ends = (pair.split("-") for pair in pairs)
    return choose_pins(plan, [Reading(start, end, inches(100)) for start, end in ends])


def test_around_home_plate_the_whole_plate_is_held() -> None:
    assert pins_of(PLATE, "A-F1") == tuple(Pin(mark) for mark in ("A", "P1", "P2", "P3", "P4"))


@pytest.mark.parametrize("aim", ["2B", "PP", "MC"])
def test_a_field_points_at_what_is_taped_on_its_centre_line(aim: str) -> None:
    diamond = construct_diamond(read_lengths(FIELD, mound_diameter="18 ft", mound_centre="59 ft"))
    assert pins_of(diamond, "A-1B", f"A-{aim}") == (Pin("A"), Pin(aim, 0.0, None))


def test_second_base_goes_before_the_pitcher_s_plate_and_that_before_the_mound() -> None:
    diamond = construct_diamond(read_lengths(FIELD, mound_diameter="18 ft", mound_centre="59 ft"))
    assert pins_of(diamond, "A-MC", "A-PP", "A-2B")[1].station == "2B"
    assert pins_of(diamond, "A-MC", "A-PP")[1].station == "PP"


@pytest.mark.parametrize("corner", ["P1", "P2", "P3", "P4"])
def test_each_corner_of_the_plate_in_use_is_known_to_an_eighth_beside_second_base(corner: str) -> None:
    """3.2 mm, an eighth of an inch: the plate is too small to aim a field by."""
    assert pins_of(DIAMOND, f"{corner}-1B", "A-2B") == (Pin("A"), Pin("2B", 0.0, None), Pin(corner, 3.2, 3.2))


@pytest.mark.parametrize("corner", ["P1", "P2", "P3", "P4"])
def test_without_second_base_a_corner_of_the_plate_gives_the_direction(corner: str) -> None:
    assert pins_of(DIAMOND, f"{corner}-1B", "A-1B") == (Pin("A"), Pin(corner))


# --- units ---------------------------------------------------------------------------------------------------


def slipped(count: int, share: Fraction, sound: int = 0) -> list[Reading]:
    """Readings of the plate area, so many of them at a share of their lengths, then so many sound."""
    readings = []
    for index, mark in enumerate(
        ("F1", "F2", "F3", "F4", "T1", "T2", "T3", "T4", "L1", "L3")[: count + sound]
    ):
        station = PLATE.stations[mark]
        length = Length.from_mm(Fraction(math.hypot(station.x_mm, station.y_mm)))
        factor = share if index < count else Fraction(1)
        readings.append(Reading("A", mark, Length(length.inches * factor), 68.0))
    return readings


UNITS_MM = {
    "millimetres": Fraction(1),
    "centimetres": Fraction(10),
    "inches": Fraction("25.4"),
    "feet": Fraction("304.8"),
    "metres": Fraction(1000),
}
PAIRS = [(meant, written) for meant in UNITS_MM for written in UNITS_MM if meant != written]


@pytest.mark.parametrize(("meant", "written"), PAIRS)
def test_three_readings_in_another_unit_give_it_away(meant: str, written: str) -> None:
    """127 mm written as 127 cm reads ten times as long, and so on: by the units' definitions alone."""
    share = UNITS_MM[written] / UNITS_MM[meant]
    ((code, _, sentence),) = told(lambda: refuse_slip(PLATE, slipped(3, share)))
    assert code == "readings-unit"
    assert sentence.startswith("nearly all readings (3 of 3) are ")
    assert sentence.endswith(f": {meant} written as {written}?")


def test_two_readings_may_be_off_alike_by_chance() -> None:
    refuse_slip(PLATE, slipped(2, Fraction(12)))


def test_readings_as_planned_are_in_their_own_unit() -> None:
    refuse_slip(PLATE, slipped(10, Fraction(1)))


def test_four_readings_in_five_say_so_and_fewer_do_not() -> None:
    assert told(lambda: refuse_slip(PLATE, slipped(8, Fraction(12), sound=2)))
    refuse_slip(PLATE, slipped(7, Fraction(12), sound=3))


@pytest.mark.parametrize(
    ("off", "is_told"), [("1.03", True), ("0.97", True), ("1.05", False), ("0.95", False)]
)
def test_a_share_within_4_percent_of_two_units_is_theirs(off: str, is_told: bool) -> None:
    readings = slipped(4, 12 * Fraction(off))
    if is_told:
        assert told(lambda: refuse_slip(PLATE, readings))
    else:
        refuse_slip(PLATE, readings)


def test_stations_the_plan_has_not_say_nothing_of_the_unit() -> None:
    """They are told as such, not as a slip."""
    readings = [Reading("A", mark, inches(12), 68.0) for mark in ("X1", "X2", "X3")]
    refuse_slip(PLATE, readings)
    assert {code for code, *_ in told(lambda: adjust_readings(PLATE, readings))} == {"station-unknown"}


def test_a_pull_from_a_station_to_itself_says_nothing_of_the_unit_either() -> None:
    readings = [*slipped(3, Fraction(12)), Reading("A", "A", inches(12), 68.0)]
    ((_, _, sentence),) = told(lambda: refuse_slip(PLATE, readings))
    assert sentence.startswith("nearly all readings (3 of 3) are 12 of their targets")


def test_the_plate_s_marks_are_its_five_corners() -> None:
    assert set(PLATE_MARKS) == {name for name, s in PLATE.stations.items() if "of the plate" in s.label}


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ('"the ""far corner of F""",F1,30 in', 2),
        ('A,"the ""far corner of F""",30 in', 4),
        ('A,F1,"3 ""feet"', 7),
    ],
)
def test_a_cell_with_quotes_in_quotes_has_the_place_where_it_begins(
    read: Reader, row: str, column: int
) -> None:
    """The cell reads differently from the line; it is told where the line has it."""
    assert f"4:{column}" in [place for _, place, _ in told(lambda: read(f"{HEAD}{COLUMNS}{row}\n"))]


def test_a_cell_too_long_to_be_one_is_told_at_its_row(read: Reader) -> None:
    problems = told(lambda: read(f"{HEAD}{COLUMNS}A,F1,{'3' * 140_000}\n"))
    assert ("csv-row", "4:1") in [(code, place) for code, place, _ in problems]


@pytest.mark.parametrize(
    ("start", "end", "length", "share"),
    [("A", "2B", "127 ft 3 3/8 in", 1.0), ("A", "ZZ", "30 in", 0.0), ("ZZ", "A", "30 in", 0.0)],
)
def test_a_reading_is_weighed_against_its_target_where_it_has_one(
    start: str, end: str, length: str, share: float
) -> None:
    reading = Reading(start, end, read_length(length), 68.0)
    assert measure_share(DIAMOND, reading) == pytest.approx(share, abs=1e-4)


def test_between_two_stations_in_one_place_there_is_no_target() -> None:
    plan = plan_of({"A": (3, 4), "B": (3, 4), "C": (9, 12)})
    assert measure_share(plan, Reading("A", "B", inches(5), 68.0)) == 0
    assert measure_share(plan, Reading("A", "C", inches(5), 68.0)) == pytest.approx(0.5)
