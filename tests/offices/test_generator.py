"""The generator itself: every habit is written, and the same seed gives the same bytes."""

import io
import zipfile
from pathlib import Path

import pytest
from python_calamine import CalamineWorkbook

from tests.offices.book import Placement
from tests.offices.choices import draft_of
from tests.offices.devices import DEVICE_LISTS
from tests.offices.dice import USUAL
from tests.offices.faults import FAULTS
from tests.offices.habits import habits
from tests.offices.judge import RIGHT, audited, judge
from tests.offices.names import JOINS, RESPELLED, TAGS
from tests.offices.office import Office, office, plain_office
from tests.offices.shapes import shapes
from tests.offices.strangers import STRANGERS
from tests.offices.styles import LENGTHS_SAID, POWERS_SAID
from tests.offices.truth import truth
from tests.offices.words import LANGUAGES, language

HABITS = [habit.name for habit in habits()]
SHAPES = [f"shape: {shape.name}" for shape in shapes()]


@pytest.mark.parametrize("name", SHAPES)
def test_every_shape_is_written(name: str) -> None:
    assert name in office(7, name).habits


@pytest.mark.parametrize("name", HABITS)
def test_every_habit_is_written(name: str) -> None:
    assert any(name in office(seed, name).habits for seed in range(80)), name


def test_every_choice_is_made() -> None:
    """Over many seeds each spelling, unit, language and fault comes up."""
    drawn: set[str] = set()
    for seed in range(700):
        drawn |= set(draft_of(seed, "").habits)
    wanted = {
        *USUAL,
        *(f"devices: {name}" for name in (*DEVICE_LISTS, "in the rows")),
        *(f"language: {name}" for name in LANGUAGES),
        *(
            f"headings: {name}"
            for name in ("in the language", "technical", "camel", "snake", "invented", "none")
        ),
        *(f"ports: {name}" for name in (*JOINS, "none, controllers only")),
        *(f"tags: {name}" for name in TAGS),
        *(f"tags respelled: {name}" for name in RESPELLED),
        *(f"length unit: {where}" for where in LENGTHS_SAID),
        *(f"power unit: {where}" for where in POWERS_SAID),
        *(f"lengths in {unit}" for unit in ("ft", "m", "mm", "cm")),
        *(f"power in {unit}" for unit in ("W", "mW", "mA", "mA, no voltage")),
        *(f"fault: {name}" for name in (*FAULTS, "none")),
        *(f"form: {name}" for name in ("tree", "chain", "star")),
    }
    assert wanted <= drawn, sorted(wanted - drawn)


def test_every_stranger_is_written() -> None:
    made = [office(seed, "a sheet that is no job") for seed in range(120)]
    names = {name for each in made for name in each.habits}
    assert {f"no job: {name}" for name in STRANGERS} <= names


def test_every_kind_of_file_is_written() -> None:
    made = [office(seed, "shape: combined, fed from") for seed in range(150)]
    names = {name for each in made for name in each.habits}
    assert {"two jobs in one workbook", "csv", "csv, semicolons", "ods"} <= names
    assert {each.name.rsplit(".", 1)[1] for each in made} == {"xlsx", "csv", "ods"}


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 4])
def test_the_same_seed_gives_the_same_bytes(seed: int) -> None:
    one, other = office(seed), office(seed)
    assert one.data == other.data
    assert one == other


def test_other_seeds_give_other_workbooks() -> None:
    assert len({office(seed).data for seed in range(20)}) == 20


@pytest.mark.parametrize("name", LANGUAGES)
def test_every_language_has_all_words(name: str) -> None:
    own, english = language(name), language("en")
    for words in ("HEADINGS", "SHEETS", "KINDS", "SAYS"):
        assert set(getattr(own, words)) == set(getattr(english, words)), words
    assert set(language("technical").HEADINGS) == set(english.HEADINGS)


@pytest.mark.parametrize("seed", range(30))
def test_columns_stand_where_the_office_says(seed: int) -> None:
    made = office(seed)
    if not made.name.endswith("xlsx"):
        made = office(seed + 1000)
    cells = _cells(made)
    tags = {device.tag for device in made.design.devices}
    for table in made.tables:
        rows = range(table.first_row, table.last_row + 1)
        for column, role in table.roles.items():
            values = [cells.get((table.sheet, row, column), "") for row in rows]
            if role == "tag" and "devices: tags in ranges" not in made.habits and "job" not in table.context:
                assert tags & set(map(str, values)), (table.sheet, column)
            if table.units.get(column) in ("ft", "m", "mm", "cm"):
                assert any(sign.isdigit() for value in values for sign in str(value)), (table.sheet, role)
            if role == "far":
                ends = {str(pull.far) for pull in made.design.pulls} & set(map(str, values))
                assert ends or table.void or any("respelled" in habit for habit in made.habits), values
        _headed(table, cells)


def _headed(table: Placement, cells: dict[tuple[str, int, int], object]) -> None:
    """A heading stands over each column, but for columns that have none in the office's hand."""
    bare = ("near_terminal", "far_terminal", "blank")
    for column, role in table.roles.items() if table.heading_row else ():
        assert role in bare or cells.get((table.sheet, table.heading_row, column)), (table.sheet, role)


def _cells(made: Office) -> dict[tuple[str, int, int], object]:
    book = CalamineWorkbook.from_filelike(io.BytesIO(made.data))
    return {
        (name, row, column): value
        for name in book.sheet_names
        for row, values in enumerate(book.get_sheet_by_name(name).to_python(skip_empty_area=False), 1)
        for column, value in enumerate(values, 1)
        if value != ""
    }


def test_a_struck_part_stands_in_the_cell() -> None:
    name = "part of a length struck out"
    made = next(each for each in (office(seed, name) for seed in range(80)) if name in each.habits)
    with zipfile.ZipFile(io.BytesIO(made.data)) as book:
        assert b"<strike/>" in book.read("xl/sharedStrings.xml")


@pytest.mark.parametrize("fault", ["", *FAULTS])
def test_a_fault_leads_to_its_verdict(fault: str) -> None:
    for seed in range(5):
        found = truth(plain_office(seed, fault).design)
        assert found.verdict == (FAULTS[fault].verdict if fault else "pass")
        rules = FAULTS[fault].fails if fault else frozenset()
        assert rules <= found.fails <= rules | {"reach"}  # a long chain also reaches too far


@pytest.mark.parametrize("fault", ["", *FAULTS])
def test_a_plain_workbook_is_read_right(fault: str, tmp_path: Path) -> None:
    """A control of truth and judge: what is written without a habit comes back as the design is."""
    for seed in range(4):
        made = plain_office(seed, fault)
        path = tmp_path / made.name
        path.write_bytes(made.data)
        assert judge(audited(path), made.truth) == (RIGHT, ""), seed


def test_lengths_from_the_port_are_said_where_only_a_heading_says_it() -> None:
    """Without it nobody can tell them from the lengths of the pulls."""
    shape = "shape: lengths from the port, by heading"
    for seed in range(60):
        assert "no words for lengths from the port" not in office(seed, shape).may_ask
