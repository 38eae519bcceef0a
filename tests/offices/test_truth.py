"""The truth of two designs, worked out by hand."""

from dataclasses import replace

import pytest

from tests.offices.design import Cable, Design, Device, Port, Pull
from tests.offices.truth import Figures, as_written, truth

P1, P2 = Port(1, 1), Port(1, 2)


def device(tag: str, power_w: float | None = 0.5, quantity: int = 1) -> Device:
    return Device(tag=tag, kind="keypad", floor=1, room=1, power_w=power_w, quantity=quantity)


def pulls(*ends: tuple[Port | str, Port | str, float | None], cable: str = "CAB") -> tuple[Pull, ...]:
    rows = enumerate(ends, 1)
    return tuple(Pull(number=n, near=a, far=b, length=length, cable=cable) for n, (a, b, length) in rows)


def tree(**more: object) -> Design:
    """Port 1: K1 at 100 ft, behind it K2 at 150 ft and, through a joint at 120 ft, K3 and K4 at 130 and
    160 ft; 50 ft, 20 ft, 10 ft and 40 ft beyond K1. Port 2: K5, three pieces, at 30 ft."""
    return Design(
        **{
            "unit": "ft",
            "form": "tree",
            "ports": (P1, P2),
            "devices": (*map(device, ("K1", "K2", "K3", "K4")), device("K5", 1.0, 3)),
            "pulls": pulls(
                (P1, "K1", 100),
                ("K1", "K2", 50),
                ("K1", "J1", 20),
                ("J1", "K3", 10),
                ("J1", "K4", 40),
                (P2, "K5", 30),
            ),
            "splices": ("J1",),
            "cables": (Cable(name="CAB", awg=16),),
            "cables_stated": True,
        }
        | more
    )


def chain(*lengths: float | None, **more: object) -> Design:
    """K1, K2, K3 ... on one port, in metres."""
    tags = [f"K{n}" for n in range(1, len(lengths) + 1)]
    ends = zip([P1, *tags], tags, lengths, strict=False)
    made = tree(
        unit="m", form="chain", ports=(P1,), devices=tuple(map(device, tags)), pulls=pulls(*ends), splices=()
    )
    return replace(made, **more)


def test_a_tree_in_feet() -> None:
    found = truth(tree())
    one, two = found.runs
    assert (found.verdict, found.fails) == ("pass", frozenset())
    assert one.whole == Figures(
        cable_m=pytest.approx(220 * 0.3048), reach_m=pytest.approx(160 * 0.3048), devices=4, power_w=2.0
    )
    assert two.whole == Figures(
        cable_m=pytest.approx(30 * 0.3048), reach_m=pytest.approx(30 * 0.3048), devices=3, power_w=3.0
    )
    assert (one.farthest, two.farthest) == ({"K4"}, {"K5"})
    assert [branch.devices for branch in one.branches] == [4]


def test_a_chain_in_metres() -> None:
    (run,) = truth(chain(100.0, 100.0, 50.5)).runs
    assert run.whole == Figures(cable_m=250.5, reach_m=250.5, devices=3, power_w=1.5)
    assert run.farthest == {"K3"}


@pytest.mark.parametrize(
    ("design", "verdict", "fails"),
    [
        (chain(100.0, 100.0, 104.8), "review", set()),  # at the limit of 304.8 m: more than 90 % of it
        (chain(100.0, 100.0, 105.0), "fail", {"reach"}),
        (chain(100.0, 100.0, 74.0), "pass", set()),  # 274.0 m: 90 % is 274.3 m
        (
            chain(100.0, 40.0, cables_stated=False),
            "review",
            set(),
        ),  # 140 m: 90 % of the derated limit is 137.2 m
        (chain(100.0, 30.0, cables_stated=False), "pass", set()),
        (chain(100.0, 30.0, cables=(Cable(name="CAB", awg=18),)), "review", set()),
        (chain(100.0, 60.0, cables=(Cable(name="CAB", awg=18),)), "fail", {"reach"}),
        (chain(10.0, None, 10.0), "review", set()),
        (tree(pulls=tree().pulls[:1] + tree().pulls[2:]), "fail", {"unfed"}),
        (tree(pulls=(*tree().pulls, *pulls(("K2", "K4", 10)))), "fail", {"loop"}),
        (tree(devices=tuple(device(f"K{n}", 8.0) for n in range(1, 6))), "fail", {"power"}),
        (tree(devices=tuple(device(f"K{n}", quantity=12) for n in range(1, 6))), "review", set()),
        (tree(devices=tuple(device(f"K{n}", quantity=13) for n in range(1, 6))), "fail", {"device-count"}),
    ],
)
def test_verdict(design: Design, verdict: str, fails: set[str]) -> None:
    found = truth(design)
    assert (found.verdict, found.fails) == (verdict, fails)


def test_a_loop_counts_all_cable_and_the_shortest_way() -> None:
    design = tree(pulls=(*tree().pulls, *pulls(("K2", "K4", 1))))  # K4 by K2: 151 ft, not 160
    (run, _) = truth(design).runs
    assert run.whole.cable_m == pytest.approx(221 * 0.3048)
    assert run.whole.reach_m == pytest.approx(151 * 0.3048)
    assert run.farthest == {"K4"}


def test_a_length_that_is_missing_leaves_no_figure() -> None:
    (run,) = truth(chain(10.0, None, 10.0)).runs
    assert run.whole == Figures(cable_m=None, reach_m=None, devices=3, power_w=1.5)
    assert run.farthest == frozenset()


def test_a_power_that_is_missing_leaves_no_sum() -> None:
    (run,) = truth(chain(10.0, 10.0, devices=(device("K1"), device("K2", None)))).runs
    assert run.whole == Figures(cable_m=20.0, reach_m=20.0, devices=2, power_w=None)


def test_a_slip_has_two_truths() -> None:
    design = tree(fault="look-alike", slip=("KZ", "K2"))
    written = replace(design, pulls=tuple(replace(p, far="KZ") if p.far == "K2" else p for p in design.pulls))
    found = truth(written)
    assert (found.verdict, found.fails) == ("fail", {"unfed", "unknown-end"})
    assert found.other is not None
    assert found.other.verdict == "pass"
    assert found.other.runs == truth(tree()).runs
    assert as_written(written).runs[0].whole.devices == 3
