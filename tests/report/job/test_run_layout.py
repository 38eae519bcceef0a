"""Where labels and lines of a run drawing stand, by hand on small trees."""

import itertools
from collections.abc import Sequence

import pytest

from auditor.report.job.run_layout import (
    Drawing,
    Label,
    Line,
    Row,
    Ruler,
    Stroke,
    laid_out,
    ruler_for,
    ticks,
    width,
)

RULER = Ruler(40, 10.0)  # 40 columns of 10 m
ROOM = 70
THIN, THICK, DASHED, DOUBLE = Stroke(0), Stroke(2), Stroke(1, "dashed"), Stroke(0, "double")


def port(text: str = "C1.1") -> Row:
    return Row(None, 0.0, text, THIN, "source")


def label(row: int, x: int, text: str, look: str = "plain") -> Label:
    return Label(row, x, x + width(text, look), text, look)


def test_one_device():
    assert laid_out([port(), Row(0, 100.0, "A", THICK)], RULER, ROOM) == Drawing(
        2,
        (label(0, 1, "C1.1", "source"), label(1, 11, "A")),
        (Line(1, 1, 1, 3, THICK), Line(1, 3, 11, 3, THICK)),
    )


def test_no_device():
    assert laid_out([port()], RULER, ROOM) == Drawing(1, (label(0, 1, "C1.1", "source"),), ())
    assert laid_out([], RULER, ROOM) == Drawing(0, (), ())


def test_a_chain():
    assert laid_out([port(), Row(0, 50.0, "A", THICK), Row(1, 100.0, "B", DASHED)], RULER, ROOM).lines == (
        Line(1, 1, 1, 3, THICK),
        Line(1, 3, 6, 3, THICK),
        Line(6, 3, 6, 5, DASHED),
        Line(6, 5, 11, 5, DASHED),
    )


def test_a_star_is_as_thick_as_what_still_goes_down_and_solid_where_one_is():
    rows = [port(), Row(0, 20.0, "A", THICK), Row(0, 30.0, "B", DASHED), Row(0, 40.0, "C", THIN)]
    assert laid_out(rows, RULER, ROOM).lines == (
        Line(1, 1, 1, 3, Stroke(2, "solid")),
        Line(1, 3, 3, 3, THICK),
        Line(1, 3, 1, 5, Stroke(1, "solid")),
        Line(1, 5, 4, 5, DASHED),
        Line(1, 5, 1, 7, THIN),
        Line(1, 7, 5, 7, THIN),
    )


def test_a_branch_hangs_on_its_own_end():
    rows = [port(), Row(0, 50.0, "A"), Row(1, 60.0, "B"), Row(1, 90.0, "C"), Row(0, 70.0, "D")]
    drawing = laid_out(rows, RULER, ROOM)
    assert [each.x for each in drawing.labels] == [1, 6, 7, 10, 8]
    assert [line for line in drawing.lines if line.x == line.to_x] == [
        Line(1, 1, 1, 3, THIN),
        Line(1, 3, 1, 9, THIN),
        Line(6, 3, 6, 5, THIN),
        Line(6, 5, 6, 7, THIN),
    ]


def test_what_has_no_length_is_a_stub_and_what_stands_at_one_place_a_step():
    rows = [port(), Row(0, 50.0, "A"), Row(1, None, "lift L5", DOUBLE), Row(1, 50.0, "B"), Row(3, None, "C")]
    drawing = laid_out(rows, RULER, ROOM)
    assert [each.x for each in drawing.labels] == [1, 6, 9, 7, 10]
    assert Line(6, 5, 9, 5, DOUBLE) in drawing.lines


def test_a_row_without_a_line_goes_on_below_the_one_above_it():
    drawing = laid_out([port(), Row(0, None, "12 more"), Row(1, None, "farther", None)], RULER, ROOM)
    assert [each.x for each in drawing.labels] == [1, 4, 4]
    assert drawing.lines == (Line(1, 1, 1, 3, THIN), Line(1, 3, 4, 3, THIN))


def test_a_chain_longer_than_the_grid_goes_straight_down_at_its_end():
    rows = [port()] + [Row(place, float(place + 1), "K") for place in range(100)]
    drawing = laid_out(rows, Ruler(40, 10.0), ROOM)
    last = ROOM - width("K")
    assert [each.x for each in drawing.labels] == [1, *(min(last, place + 2) for place in range(100))]


def test_the_ruler_leaves_room_for_the_label_of_the_farthest():
    rows = [port(), Row(0, 400.0, "A" * 10)]
    ruler = ruler_for([rows], ROOM)
    assert ruler == Ruler(ROOM - 1 - width("A" * 10), 400.0 / (ROOM - 1 - width("A" * 10)))
    assert laid_out(rows, ruler, ROOM).labels[1].to_x == ROOM


def test_a_name_without_an_end_is_cut():
    drawn = laid_out([port("P" * 30_000), Row(0, 1.0, "m" * 30_000)], RULER, ROOM)
    assert [each.to_x <= ROOM and each.text.endswith("…") for each in drawn.labels] == [True, True]


def test_the_rulers_figures_stand_at_their_distances_and_the_limit_goes_first():
    labels, marks = ticks(Ruler(40, 10.0), 1.0, "m", 1)
    assert [(each.x, each.text) for each in labels] == [
        (11, "100 m"),
        (21, "200 m"),
        (31, "300 m"),
        (41, "400 m"),
    ]
    assert marks == [Line(each.x, 1, each.x, 2, Stroke()) for each in labels]
    labels, _ = ticks(Ruler(40, 10.0), 1.0, "m", 15, 310.0)
    assert [(each.x, each.text) for each in labels] == [(32, "limit 310 m"), (21, "200 m")]
    assert ticks(Ruler(40, 10.0), 1.0, "m", 1, 9000.0)[0] == ticks(Ruler(40, 10.0), 1.0, "m", 1)[0]


def trees() -> Sequence[Sequence[Row]]:
    """All trees of five ends behind a port, with distances that grow outward."""
    found = []
    for parents in itertools.product(*(range(place) for place in range(1, 6))):
        children: dict[int, list[int]] = {}
        for child, parent in enumerate(parents, 1):
            children.setdefault(parent, []).append(child)
        rows, stack = [], [(0, None)]
        while stack:
            end, above = stack.pop()
            far = 0.0 if above is None else rows[above].distance_m + 37.0 * end
            rows.append(Row(above, far, f"● KP-{end}, 1,100 ft, 23.1 V"))
            stack += [(child, len(rows) - 1) for child in children.get(end, ())]
        found.append(rows)
    return found


@pytest.mark.parametrize("rows", trees())
def test_no_label_meets_another_or_a_line(rows: Sequence[Row]):
    """Counted in half cells: a line takes the left edge of its column, or the middle of its row."""
    drawing = laid_out(rows, ruler_for([rows], ROOM), ROOM)
    assert [each.row for each in drawing.labels] == list(range(len(rows)))
    assert all(each.to_x <= ROOM for each in drawing.labels)
    for line, text in itertools.product(drawing.lines, drawing.labels):
        crosses_down = line.y < 2 * text.row + 2 and line.to_y > 2 * text.row and text.x < line.x < text.to_x
        crosses_over = line.y == line.to_y == 2 * text.row + 1 and line.to_x > text.x
        assert not (line.x == line.to_x and crosses_down)
        assert not crosses_over
