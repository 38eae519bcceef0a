"""Lengths as marks on the drum: start and end."""

from tests.offices.book import Column
from tests.offices.draft import Draft, length_column
from tests.offices.shapes import MEASURED, Shape
from tests.offices.shapes.pull_lists import pull_table


def _marks(draft: Draft) -> None:
    rng = draft.rng("drum")
    table = pull_table(draft)
    place = table.at("length")
    lengths = [float(str(value)) for value in table.values("length")]
    for row in table.rows:
        del row.values[place]
    del table.columns[place]
    drums, starts, ends = _wound(
        lengths, rng.choice((300, 500, 1000)), rng.choice((0, 2, 1000, 3240)), rng.random() < 0.2
    )
    table.insert(place, length_column("start_mark"), list(starts))
    table.insert(place + 1, length_column("end_mark"), list(ends))
    if rng.random() < 0.5:
        table.insert(place, Column(role="drum"), [f"D{number}" for number in drums])
    if rng.random() < 0.5:
        table.above = [[draft.say("drum")]]
    draft.add(table)


def _wound(
    lengths: list[float], holds: float, first: float, backwards: bool
) -> tuple[list[int], list[float], list[float]]:
    """Drum, start mark and end mark of each cable in order; a drum that is used up gives way to the next."""
    drums, starts, ends = [], [], []
    drum, at = 1, first
    for length in lengths:
        if at + length > first + holds and at > first:
            drum, at = drum + 1, first + 7 * drum
        drums.append(drum)
        starts.append(at)
        ends.append(at + length)
        at += length
    return (drums, ends, starts) if backwards else (drums, starts, ends)


SHAPES = [Shape(name="drum marks", write=_marks, faults=MEASURED, plain_lengths=True)]
