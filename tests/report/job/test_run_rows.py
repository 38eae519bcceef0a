"""What the rows of a run drawing say, on jobs that are audited."""

import itertools
from dataclasses import replace

from auditor.audit import audit as audited
from auditor.job.model import Device, Job
from auditor.profile.load import load_profile
from auditor.report.job.run_blocks import run_blocks
from auditor.report.job.run_layout import Row
from auditor.report.job.run_rows import MOST_DEVICES, facts_of, rows_of
from auditor.report.job.run_tree import run_trees
from auditor.results.audit_result import Audit
from tests.builders import SPEC, device, job, pull

PROFILE = load_profile("two-wire-35w")


def rows(made: Job | Audit, place: int = 0) -> list[Row]:
    result = audited(made, PROFILE) if isinstance(made, Job) else made
    return rows_of(run_trees(result)[place], facts_of(result))


def texts(made: Job | Audit, place: int = 0) -> list[str]:
    return [row.text for row in rows(made, place)]


def looks(made: Job | Audit, place: int = 0) -> list[tuple[str, str]]:
    """(text, how the line to it is drawn) of each row."""
    return [
        (row.text, f"{row.stroke.weight} {row.stroke.pattern}") for row in rows(made, place) if row.stroke
    ]


def heads(made: Job) -> list[list[str]]:
    result = audited(made, PROFILE)
    return [[label.text for label in block.heads] for block in run_blocks(result, facts_of(result))]


def test_a_device_has_its_distance_and_its_volts_and_a_line_by_its_load():
    """24 W at B over 400 ft of 16 AWG, about 3.4 ohm out and back: V = 24 - 3.4 * 24 / V gives 19.9 V."""
    made = job(
        [pull("C1.1", "SP1", 100), pull("SP1", "A", 20), pull("SP1", "B", 300)],
        [device("A", 0.1), device("B", 12.0, quantity=2)],
        splices=["SP1"],
    )
    assert looks(made) == [
        ("■ C1.1, 24 V", "0 solid"),
        ("○ SP1, splice, 100 ft", "2 solid"),
        ("● A, 120 ft, 23.0 V", "0 solid"),
        ("● B (2 devices), 400 ft, 19.9 V", "2 solid"),
    ]


def test_cable_off_specification_is_dashed_and_a_derated_reach_is_too_far():
    thin = replace(SPEC, name="THIN", area_mm2=0.82, gauge="18 AWG")
    made = job([pull("C1.1", "A", 400), pull("A", "B", 150, cable="THIN")])
    made = replace(made, cables={"CAB": SPEC, "THIN": thin})
    assert looks(made) == [
        ("■ C1.1, 24 V", "0 solid"),
        ("● A, 400 ft, 24.0 V", "2 solid"),
        ("● B, 550 ft (too far), 24.0 V", "2 dashed"),
    ]
    assert heads(made)[0][1].startswith(
        "C1.1 (fail): 2 devices, 550 ft of cable, farthest B at 550 of 500 ft"
    )


def test_the_pull_to_lift_hangs_where_it_starts_and_is_named_where_it_ends():
    made = job([pull("C1.1", "A", 50), pull("A", "B", 40), pull("B", "C", 30), pull("C", "A", 20, id="L9")])
    assert texts(made) == [
        "■ C1.1, 24 V",
        "● A, 50 ft, 24.0 V",
        "● C, 70 ft, 24.0 V, × B-C",
        "● B, 90 ft, 24.0 V",
        "× lift B-C to C, 30 ft",
    ]
    lift = rows(made)[-1]
    assert (lift.above, lift.distance_m, lift.stroke.pattern, lift.look) == (3, None, "double", "strong")


def test_two_ports_that_are_joined_stand_in_one_drawing():
    made = job([pull("C1.1", "A", 50), pull("A", "B", 40), pull("B", "C1.2", 30)])
    assert texts(made) == [
        "■ C1.1, 24 V",
        "● A, 50 ft, 24.0 V",
        "× lift A-B to B, 40 ft, joins ports",
        "■ C1.2, 24 V",
        "● B, 30 ft, 24.0 V, × A-B",
    ]


def test_a_loop_that_the_profile_allows_is_not_to_be_lifted():
    made = job([pull("L1.1", "A", 50), pull("A", "B", 40), pull("B", "L1.1", 30)])
    result = audited(made, load_profile("iso-iec-14908-2"))
    assert not facts_of(result).lift
    assert texts(result) == [
        "■ L1.1, 24 V",
        "● B, 30 ft, 24.0 V",
        "● A, 50 ft, 24.0 V",
        "A-B to B, 40 ft, closes a loop",
    ]


def test_a_length_that_is_not_stated_is_said_and_no_distance_is_made_up():
    made = job([pull("C1.1", "A", 50), pull("A", "B", None), pull("B", "C", 30)])
    assert looks(made) == [
        ("■ C1.1, 24 V", "0 solid"),
        ("● A, 50 ft", "0 solid"),
        ("● B, distance not known", "0 dotted"),
        ("● C, distance not known", "0 solid"),
    ]
    assert [row.distance_m for row in rows(made)][2:] == [None, None]
    assert heads(made)[0][1:] == [
        "C1.1 (review): 3 devices, reach not known, volts not known, load",
        "not known",
    ]


def test_what_is_past_its_reach_all_the_same_says_what_is_known():
    made = job([pull("C1.1", "A", 1100), pull("A", "B", None)])
    assert texts(made) == ["■ C1.1, 24 V", "● A, 1,100 ft (too far)", "● B, at least 1,100 ft (too far)"]


def test_a_branch_that_nothing_feeds_starts_at_the_end_that_should_have():
    made = job(
        [pull("C1.1", "A", 50), pull("X9", "B", 20), pull("B", "C", 30)], [device(tag) for tag in "ABCD"]
    )
    assert looks(made, 1) == [
        ("? X9, nothing that the job lists", "0 solid"),
        ("● B, 20 ft", "0 solid"),
        ("● C, 50 ft", "0 solid"),
    ]
    _, (heading, *why), (without,) = heads(made)
    assert heading == "Not fed by any port"
    assert " ".join(why) == (
        "X9: 2 devices. B is not fed: its cable leads to no port; add the missing pull or correct an end's name"
    )
    assert without == "No landed pull ends at D."


def test_a_spare_return_is_dotted():
    spare = pull("A", "C1.1", 90, id="S1", landed=False)
    made = job([pull("C1.1", "A", 50), spare])
    assert looks(made)[-1] == ("spare S1 to C1.1, 90 ft", "0 dotted")


def test_a_tag_listed_twice_has_one_row():
    made = job([pull("C1.1", "A", 50)], [device("A"), device("A")])
    assert texts(made)[1] == "● A (2 rows), 50 ft, 24.0 V"


def chain(count: int) -> Job:
    ends = ["C1.1", *(f"K{number}" for number in range(1, count + 1))]
    return job([pull(near, far, 10) for near, far in itertools.pairwise(ends)])


def test_sixty_devices_are_drawn_and_of_sixty_one_the_farther_are_summed_up():
    assert len(rows(chain(MOST_DEVICES))) == 1 + MOST_DEVICES
    drawn = texts(chain(MOST_DEVICES + 1))
    assert drawn[:2] == ["■ C1.1, 24 V", "● K1, 10 ft, 24.0 V"]
    assert drawn[-3:] == [
        "● K59, 590 ft, 23.3 V",
        "… 2 devices more, lowest 23.3 V",
        "    10 to 20 ft farther",
    ]
    assert len(drawn) == 1 + MOST_DEVICES + 1


def test_what_is_summed_up_says_what_is_too_far():
    assert texts(chain(102))[-1] == "    10 to 430 ft farther, 2 too far"


def test_each_long_branch_is_summed_up_where_it_hangs():
    pulls = [pull("C1.1", f"{name}0", 10) for name in "AB"]
    pulls += [pull(f"{name}{n}", f"{name}{n + 1}", 10) for name in "AB" for n in range(39)]
    drawn = texts(job(pulls))
    summed = ["… 11 devices more, lowest 23.7 V", "    10 to 110 ft farther"]
    assert [text for text in drawn if text.startswith(("…", " "))] == summed * 2
    assert sum(text.startswith("●") for text in drawn) == MOST_DEVICES - 2


def test_the_further_ends_of_a_star_are_one_sum():
    made = job([pull("C1.1", f"K{number}", number) for number in range(1, 101)])
    drawn = texts(made)
    assert drawn[1:4] == [
        "… 41 devices more, lowest 24.0 V",
        "    60 to 100 ft farther",
        "● K1, 1 ft, 24.0 V",
    ]
    assert drawn[-1] == "● K59, 59 ft, 24.0 V"


def test_every_device_is_drawn_or_counted():
    for count in (1, 59, 60, 61, 62, 100, 300):
        drawn = texts(chain(count))
        counted = sum(int(text.split()[1]) for text in drawn if text.startswith("…"))
        assert sum(text.startswith("●") for text in drawn) + counted == count


def test_a_job_without_a_pull_has_no_drawing():
    lone = Device(tag="A", power_w=1.0, where=device("A").where)
    assert heads(job([], [lone])) == []
