"""Blocks of rows on pages of two panels."""

import itertools

from auditor.report.job.run_pages import Part, balanced, placed


def test_blocks_go_down_the_left_panel_then_down_the_right_one():
    assert placed([10, 10, 10], 21, 40) == [
        Part(0, 0, 10, 0, 0),
        Part(1, 0, 10, 0, 11),
        Part(2, 0, 10, 1, 0),
    ]


def test_a_block_is_kept_whole_where_little_is_left_and_cut_where_much_is():
    assert placed([15, 18], 20, 40) == [Part(0, 0, 15, 0, 0), Part(1, 0, 18, 1, 0)]
    assert placed([8, 18], 20, 40) == [
        Part(0, 0, 8, 0, 0),
        Part(1, 0, 11, 0, 9),
        Part(1, 11, 18, 1, 0, continued=True),
    ]


def test_a_block_longer_than_a_panel_goes_on_in_the_next_and_leaves_no_few_rows_alone():
    assert placed([62], 30, 40) == [
        Part(0, 0, 30, 0, 0),
        Part(0, 30, 56, 1, 0, continued=True),
        Part(0, 56, 62, 2, 0, continued=True),
    ]


def test_what_fits_one_page_is_balanced():
    assert [part.panel for part in balanced([10, 9], 30, 40)] == [0, 1]
    assert [part.panel for part in balanced([10, 9, 8, 8], 30, 40)] == [0, 0, 1, 1]
    assert balanced([50, 50], 30, 40) == placed([50, 50], 30, 40)


def test_every_row_stands_once_and_no_panel_is_overfull():
    for sizes in (
        [1],
        [3, 60, 2, 2, 41, 40, 39, 1, 1],
        [200],
        [25] * 9,
        [7] * 40,
        [38, 38, 38],
        [100, 5, 30],
    ):
        parts = balanced(sizes, 33, 38)
        rows = [(part.block, row) for part in parts for row in range(part.first, part.last)]
        assert rows == [(block, row) for block, size in enumerate(sizes) for row in range(size)]
        assert all(part.below <= (33 if part.panel < 2 else 38) for part in parts)
        for one, other in itertools.pairwise(parts):
            assert (other.panel, other.top) >= (one.panel, one.below)
