"""Faults that a design may have on purpose, one each; `None` where a design has no place for it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random

from tests.offices.design import Design, Device, Port, Pull
from tests.offices.names import same
from tests.offices.truth import CABLE_M, CONTROLLER_W, REACH_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    make: Callable[[Random, Design], Design | None]
    fails: frozenset[str] = frozenset()  # rules; none: a review
    many: tuple[int, int] | None = None  # devices on the first port
    forms: frozenset[str] = frozenset(("tree", "chain", "star"))

    @property
    def verdict(self) -> str:
        return "fail" if self.fails else "review"


def _stretched(design: Design, pulls: set[int], factor: float) -> Design:
    """The pulls of these numbers longer by a factor, in steps of half a unit."""
    changed = tuple(
        replace(pull, length=round(pull.length * factor * 2) / 2)
        if pull.number in pulls and pull.length
        else pull
        for pull in design.pulls
    )
    return replace(design, pulls=changed)


def _run_length(rng: Random, design: Design) -> Design | None:
    port = rng.choice(design.ports)
    mine = {pull.number for pull in design.pulls if design.port_of(pull.far) == port}
    total_m = sum(pull.length or 0 for pull in design.pulls if pull.number in mine) * design.metres
    long = _stretched(design, mine, rng.uniform(1.03, 1.2) * CABLE_M / total_m)
    return replace(long, fault="run-length")


def _reach(rng: Random, design: Design) -> Design | None:
    path = _path(design, rng.choice(design.devices).tag)
    reach_m = sum(pull.length or 0 for pull in path) * design.metres
    if len(path) > 1 or design.form == "star":
        far = _stretched(design, {pull.number for pull in path}, rng.uniform(1.03, 1.25) * REACH_M / reach_m)
        return replace(far, fault="reach")
    return None


def _path(design: Design, tag: str) -> list[Pull]:
    path = []
    pull = design.fed_by(tag)
    while pull is not None:
        path.append(pull)
        pull = None if isinstance(pull.near, Port) else design.fed_by(pull.near)
    return path


def _device_count(rng: Random, design: Design) -> Design | None:
    return replace(_stretched(design, {pull.number for pull in design.pulls}, 0.45), fault="device-count")


def _power(rng: Random, design: Design) -> Design | None:
    most = max(
        sum(d.power_w or 0 for d in design.devices if design.port_of(d.tag).controller == controller)
        for controller in design.controllers
    )
    factor = rng.uniform(1.05, 1.3) * CONTROLLER_W / most
    step = 0.024 * 2.5  # 2.5 mA at 24 V
    devices = tuple(
        replace(d, power_w=max(1, round((d.power_w or 0) * factor / step)) * step) for d in design.devices
    )
    short = _stretched(design, {pull.number for pull in design.pulls}, 0.5)
    return replace(short, devices=devices, fault="power")


def _loop(rng: Random, design: Design) -> Design | None:
    one, other = rng.sample(design.devices, 2)
    joined = any({pull.near, pull.far} == {one.tag, other.tag} for pull in design.pulls)
    if joined or design.port_of(one.tag) != design.port_of(other.tag):
        return None
    extra = replace(
        design.pulls[0],
        number=len(design.pulls) + 1,
        near=one.tag,
        far=other.tag,
        length=design.pulls[-1].length,
    )
    return replace(design, pulls=(*design.pulls, extra), fault="loop")


def _unfed(rng: Random, design: Design) -> Design | None:
    lost = rng.choice([pull for pull in design.pulls if not isinstance(pull.near, Port)] or [None])
    if lost is None or lost.far in design.splices:
        return None
    return replace(design, pulls=tuple(pull for pull in design.pulls if pull is not lost), fault="unfed")


def _typo(rng: Random, design: Design) -> Design | None:
    return _mistyped(rng, design, _slip, "typo")


def _look_alike(rng: Random, design: Design) -> Design | None:
    return _mistyped(rng, design, _other_letter, "look-alike")


def _mistyped(rng: Random, design: Design, slip: Callable[[Random, str], str], fault: str) -> Design | None:
    pull = rng.choice(design.pulls)
    wrong = slip(rng, str(pull.far))
    taken = {same(tag) for tag in (*(d.tag for d in design.devices), *design.splices)}
    if pull.far in design.splices or len(wrong) < 4 or same(wrong) in taken:
        return None
    pulls = tuple(replace(p, far=wrong) if p is pull else p for p in design.pulls)
    return replace(design, pulls=pulls, fault=fault, slip=(wrong, str(pull.far)))


def _slip(rng: Random, tag: str) -> str:
    """The tag with two digits swapped, S for 5, or its last digit twice; empty where it has none."""
    digits = [place for place, sign in enumerate(tag) if sign.isdigit()]
    swaps = [p for p in digits if p + 1 in digits and tag[p] != tag[p + 1]]
    fives = [p for p in digits if tag[p] == "5"]
    if swaps and rng.random() < 0.5:
        p = rng.choice(swaps)
        return tag[:p] + tag[p + 1] + tag[p] + tag[p + 2 :]
    if fives and rng.random() < 0.5:
        return tag[: fives[0]] + "S" + tag[fives[0] + 1 :]
    return tag + tag[-1] if digits else ""


def _other_letter(rng: Random, tag: str) -> str:
    """The tag with O for 0 or I for 1."""
    alike = [place for place, sign in enumerate(tag) if sign in "01"]
    if not alike:
        return ""
    p = rng.choice(alike)
    return tag[:p] + {"0": "O", "1": "I"}[tag[p]] + tag[p + 1 :]


def _off_specification(rng: Random, design: Design) -> Design | None:
    if not design.cables_stated:
        return None
    thin = replace(design.cables[0], name=design.cables[0].name + rng.choice(("-L", "T", " S")), awg=18)
    far = rng.choice(design.pulls)
    pulls = tuple(replace(pull, cable=thin.name) if pull is far else pull for pull in design.pulls)
    return replace(_shorter(design, pulls), cables=(*design.cables, thin), fault="off-specification cable")


def _shorter(design: Design, pulls: tuple[Pull, ...]) -> Design:
    return _stretched(replace(design, pulls=pulls), {pull.number for pull in pulls}, 0.5)


def _no_length(rng: Random, design: Design) -> Design | None:
    blank = rng.choice(design.pulls)
    pulls = tuple(replace(pull, length=None) if pull is blank else pull for pull in design.pulls)
    return replace(design, pulls=pulls, fault="a length missing")


def _no_power(rng: Random, design: Design) -> Design | None:
    blank: Device = rng.choice(design.devices)
    devices = tuple(replace(d, power_w=None) if d is blank else d for d in design.devices)
    return replace(design, devices=devices, fault="a power missing")


UNKNOWN = frozenset({"unknown-end", "unfed"})  # the end that nothing knows, and what hung on it

FAULTS: dict[str, Fault] = {
    "run-length": Fault(make=_run_length, fails=frozenset({"run-length"})),
    "reach": Fault(make=_reach, fails=frozenset({"reach"})),
    "device-count": Fault(
        make=_device_count, fails=frozenset({"device-count"}), many=(52, 58), forms=frozenset({"tree"})
    ),
    "power": Fault(make=_power, fails=frozenset({"power"}), forms=frozenset({"tree", "chain"})),
    "loop": Fault(make=_loop, fails=frozenset({"loop"}), forms=frozenset({"tree", "chain"})),
    "unfed": Fault(make=_unfed, fails=frozenset({"unfed"}), forms=frozenset({"tree", "chain"})),
    "typo": Fault(make=_typo, fails=UNKNOWN),
    "look-alike": Fault(make=_look_alike, fails=UNKNOWN),
    "off-specification cable": Fault(make=_off_specification),
    "a length missing": Fault(make=_no_length),
    "a power missing": Fault(make=_no_power),
}
