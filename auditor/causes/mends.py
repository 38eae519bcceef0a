"""What could mend a finding, each way as a change of the job's rows; none of them is tried here."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from auditor.bus.cables import to_specification
from auditor.bus.measure import Bus
from auditor.bus.other_ends import OtherEnds
from auditor.bus.pieces import Piece, unfed_pieces
from auditor.bus.ports import counted
from auditor.bus.topology import Loop
from auditor.job.change import Change
from auditor.job.likeness import likeness
from auditor.job.model import Device, Port, Pull, natural_key, row_of
from auditor.results.findings import Finding, Level, fault_of
from auditor.rules import (
    cable_spec,
    double_entry,
    joined_ports,
    loop,
    missing_value,
    port_use,
    unfed,
    unknown_end,
)

MOST_FINDINGS = 40  # findings of one kind for which ways to mend are thought of; project convention
MOST_NAMES = 3  # ends that are tried for one that is wrong; project convention
IN_ORDER = 40.0  # per cent of likeness that a place in the list counts for; project convention
DRAWN = "\0"  # what the id of a pull that is drawn begins with; no cell can hold it, and no sentence shows it
_HAIR_M = 0.001  # the length of a pull that is drawn to see what it feeds: the least that it can add


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """One way to mend a finding.

    `fault` and `way` are the clauses that tell of it: «Pull CB-058 ends at DM-203, which is no device» and
    «as TS-204, which nothing feeds».
    """

    finding: Finding
    change: Change
    fault: str
    way: str
    otherwise: str = ""  # what to do where that is not meant
    rank: int = 0  # which of the ways to mend this finding, the likeliest is 0
    feeds: Piece | None = None
    dark: bool = False  # nothing feeds the pull that it corrects, so that what it feeds may stay dark


def possible_mends(bus: Bus, findings: Sequence[Finding]) -> list[Mend]:
    """Ways to mend the findings that others can follow from, the likeliest of each finding first."""
    found = _Mends(bus, [each for each in findings if each.level is not Level.NOTE])
    kinds = (
        found.of_ends(),
        found.of_rows(),
        found.of_loops(),
        found.of_ports(),
        found.of_cables(),
        found.of_pieces(),
    )
    every = (ways for kind in kinds for ways in islice(kind, MOST_FINDINGS))
    mends = (replace(mend, rank=rank) for ways in every for rank, mend in enumerate(ways))
    return sorted(mends, key=_likeliest_first)


def _likeliest_first(mend: Mend) -> tuple[bool, int, int]:
    """A pull is only missing where none that is there could feed what is dark."""
    return bool(mend.change.drawn), mend.rank, -len(mend.feeds.rows if mend.feeds else ())


class _Mends:
    """The ways to mend one job, a sequence for each finding."""

    def __init__(self, bus: Bus, findings: Sequence[Finding]) -> None:
        self._bus, self._findings = bus, findings
        self._about: dict[tuple[str, str], list[Finding]] = defaultdict(list)  # rule and subject -> findings
        for finding in findings:
            self._about[finding.rule, finding.subject].append(finding)
        self._pieces = unfed_pieces(bus.topology)
        self._others = OtherEnds(bus)
        self._unfed = self._others.unfed
        self._unknown = frozenset(end for _, end in bus.topology.unknown_ends)
        runs = sorted(bus.runs, key=lambda state: state.run.cable_m)
        self._sources = [name for state in runs for name in state.run.sources]
        self._place_of_pull = {id(pull): place for place, pull in enumerate(bus.job.pulls)}
        self._place_of_device = {device.tag: place for place, device in enumerate(bus.job.devices)}

    def of_ends(self) -> Iterator[list[Mend]]:
        """An end that is not known, or blank, names something else."""
        for pull, end in self._bus.topology.unknown_ends if self._bus.job.devices else ():
            field = "near" if end == pull.near else "far"
            finding = self._finding(unknown_end.NAME, pull.id, pull.cells.get(field, pull.where))
            if finding is not None:
                ways = self._other_ends(finding, pull, field, fault_of(finding))
                yield [*ways, *self._as_fed(finding, pull, end)]
        for pull in self._bus.job.pulls:
            for field, said in missing_value.BLANK_END.items():
                finding = self._finding_of_blank(pull, said)
                if pull.landed and finding is not None:
                    yield self._other_ends(finding, pull, field, fault_of(finding), "; fill it in")

    def _finding_of_blank(self, pull: Pull, said: str) -> Finding | None:
        """The finding that tells of a blank end; others tell what else the row lacks."""
        row = row_of(pull.where)
        own = self._about.get((missing_value.NAME, pull.id), ())
        return next((each for each in own if said in each.message and row_of(each.where) == row), None)

    def _other_ends(
        self, finding: Finding, pull: Pull, field: str, fault: str, otherwise: str | None = None
    ) -> list[Mend]:
        """The pull with another name at one end: one that is spelt alike, or the beginning of what nothing feeds.

        Parameters
        ----------
        otherwise : what to do where that is not meant; None: as it is told of an end that is not known
        """
        end, other = (pull.near, pull.far) if field == "near" else (pull.far, pull.near)
        own = next((piece for piece in self._pieces if {end, other} & piece.ends - {""}), None)
        spelt = self._others.nearest(pull, end) if end else None
        may_be = set(self._others.of(pull, end))
        roots = [root for root in self._roots(pull, end, own) if root in may_be]
        # Where a pull arrives, nothing fed it yet.
        likeliest = [*roots, spelt] if field == "far" else [spelt, *roots]
        names = dict.fromkeys(name for name in likeliest if name)
        mends = (
            self._with_end(finding, pull, field, name, fault, otherwise or "")
            for name in islice(names, MOST_NAMES)
        )
        return [
            replace(
                mend,
                dark=own is not None,
                otherwise=_if_unknown(end, mend, own) if otherwise is None else mend.otherwise,
            )
            for mend in mends
        ]

    def _as_fed(self, finding: Finding, pull: Pull, end: str) -> Iterator[Mend]:
        """An unknown end where what nothing feeds begins, as something that is fed: which name is not known."""
        own = next((piece for piece in self._pieces if piece.root == end), None)
        if own is None or not self._sources or self._others.nearest(pull, end):
            return
        pulls = [each for each in own.pulls if end in (each.near, each.far)]
        yield Mend(
            finding=finding,
            change=Change(pulls={id(each): _renamed(each, end, self._sources[0]) for each in pulls}),
            fault=fault_of(finding),
            way="with an end there that is fed",
            otherwise=f"; correct {end}, or add it to the device list, and the pull that feeds it",
            feeds=own,
            dark=True,
        )

    def _roots(self, pull: Pull, end: str, own: Piece | None = None) -> list[str]:
        """The devices where what nothing feeds begins, the likeliest for an end of a pull first: those spelt alike,
        and those that stand in the list of devices where the pull stands among the pulls."""
        roots = [piece.root for piece in self._pieces if piece is not own and piece.root in self._unfed]
        next_to = self._listed_next_to(pull)
        return sorted(roots, key=lambda root: -likeness(end, root) - IN_ORDER * (root in next_to))[
            :MOST_NAMES
        ]

    def _listed_next_to(self, pull: Pull) -> set[str]:
        """The devices that stand in their list beside those at which the pulls before and after arrive."""
        at = self._place_of_pull[id(pull)]
        pulls = self._bus.job.pulls
        beside = [pulls[place].far for place in (at - 1, at + 1) if 0 <= place < len(pulls)]
        places = {self._place_of_device[far] for far in beside if far in self._place_of_device}
        devices = self._bus.job.devices
        return {
            devices[place].tag
            for other in places
            for place in (other - 1, other + 1)
            if 0 <= place < len(devices)
        }

    def _with_end(
        self, finding: Finding, pull: Pull, field: str, name: str, fault: str, otherwise: str
    ) -> Mend:
        same = [
            row
            for row in self._bus.job.pulls
            if (row.id, row.near, row.far) == (pull.id, pull.near, pull.far)
        ]
        return Mend(
            finding=finding,
            change=Change(
                pulls={id(row): _at(row, field, name) for row in same},
                ports=self._others.further_ports(name),
            ),
            fault=fault,
            way=f"as {self._end_text(name)}",
            otherwise=otherwise,
            feeds=next((piece for piece in self._pieces if name in piece.ends), None),
        )

    def _end_text(self, name: str) -> str:
        """An end as the schedule spells it, and that nothing feeds it yet."""
        shown = self._others.shown(name)
        if name not in self._unfed:
            return shown
        several = len(self._pieces) > 1
        return f"{shown}, {f'one of {len(self._pieces)} that nothing feeds' if several else 'which nothing feeds'}"

    def of_rows(self) -> Iterator[list[Mend]]:
        """A row that was listed twice goes, or one of two devices has a tag of its own."""
        listed: list[Device | Pull] = [*self._bus.job.devices, *self._bus.job.pulls]
        rows = {row_of(each.where): each for each in listed}
        for finding in reversed(self._findings):  # the later of two rows is the likelier copy
            row = rows.get(row_of(finding.where)) if finding.rule == double_entry.NAME else None
            if isinstance(row, Device):
                yield [*self._as_two_devices(finding, row), self._without(finding, row)]
            elif row is not None:
                ends = self._other_ends(finding, row, "far", f"Pull {row.id} ends at {row.far}", "")
                fed = [each for each in ends if each.feeds is not None]
                yield [*fed[:1], self._without(finding, row)]

    def _without(self, finding: Finding, row: Device | Pull) -> Mend:
        return Mend(
            finding=finding,
            change=Change(gone=frozenset(((row.where.sheet, row.where.row),))),
            fault=fault_of(finding),
            way="without this row",
            otherwise="; delete it, or give it a name of its own",
        )

    def _as_two_devices(self, finding: Finding, row: Device) -> Iterator[Mend]:
        """The row as a device of its own, with the pulls that lead to the controller on which it is listed."""
        others = {
            each.controller for each in self._bus.job.devices if each.tag == row.tag and each is not row
        }
        if row.controller is None or not others - {None, row.controller}:
            return
        own = f"{row.tag} on {row.controller}"
        pulls = self._leading_to(row.controller, row.tag)
        yield Mend(
            finding=finding,
            change=Change(
                devices={id(row): replace(row, tag=own)},
                pulls={id(pull): _renamed(pull, row.tag, own) for pull in pulls},
            ),
            fault=fault_of(finding),
            way="as two devices with a tag each",
            otherwise="; rename one, in its pulls as well",
        )

    def _leading_to(self, controller: str, tag: str) -> list[Pull]:
        """The pulls at a tag whose other end is joined to a port of the controller on a way past the tag."""
        import networkx as nx

        graph = nx.Graph()
        graph.add_edges_from(
            (pull.near, pull.far)
            for pull in self._bus.job.pulls
            if pull.landed and pull.near and pull.far and tag not in (pull.near, pull.far)
        )
        ports = [name for name, port in self._bus.job.ports.items() if port.controller == controller]
        reached = {*ports, controller}
        for port in ports:
            reached |= nx.node_connected_component(graph, port) if port in graph else set()
        at_tag = [pull for pull in self._bus.job.pulls if tag in (pull.near, pull.far)]
        return [pull for pull in at_tag if {pull.near, pull.far} & reached]

    def of_loops(self) -> Iterator[list[Mend]]:
        """A pull of a loop, or of a path between ports, ends elsewhere or is lifted."""
        for state in self._bus.runs:
            for rule, paths in ((loop.NAME, state.run.loops), (joined_ports.NAME, state.run.joins)):
                for path in paths:
                    finding = self._finding(rule, path.lift.id, path.lift.where)
                    if finding is not None:
                        yield list(self._of_path(finding, path))

    def _of_path(self, finding: Finding, path: Loop) -> Iterator[Mend]:
        """First the pulls whose far end another pull reaches too: in a schedule of branches none does."""
        joins = finding.rule == joined_ports.NAME
        where = "two ports are joined there" if joins else "a loop closes there"
        lift = path.lift
        reached = Counter(pull.far for pull in self._bus.job.pulls)
        for pull in sorted(path.pulls, key=lambda each: (reached[each.far] < 2, each is not path.lift)):
            for name in self._roots(pull, pull.far):
                fault = f"Pull {pull.id} ends at {pull.far}, and {where}"
                mend = self._with_end(finding, pull, "far", name, fault, "; if that is not meant, lift it")
                yield mend if pull is lift else _of_another_pull(mend, pull, self._end_text(name), lift)
        yield Mend(
            finding=finding,
            change=Change(pulls={id(lift): replace(lift, landed=False)}),
            fault=fault_of(finding),
            way=f"with pull {lift.id} ({lift.near} to {lift.far}) lifted",
            otherwise="; lift it or leave it unlanded as a spare return",
        )

    def of_ports(self) -> Iterator[list[Mend]]:
        """A port that a controller does not have is one that it has."""
        ports = self._bus.job.ports
        counts = {controller.name: controller.ports for controller in self._bus.controllers}
        for finding in self._findings:
            port = ports.get(finding.subject) if finding.rule == port_use.NAME else None
            if port is not None:
                names = counted([port.port], counts[port.controller])
                targets = [Port(controller=port.controller, port=name) for name in names]
                free = sorted(targets, key=lambda each: (each.name in ports, natural_key(each.name)))
                yield [self._on_port(finding, port, target) for target in free[:MOST_NAMES]]

    def _on_port(self, finding: Finding, port: Port, target: Port) -> Mend:
        pulls = [pull for pull in self._bus.job.pulls if port.name in (pull.near, pull.far)]
        return Mend(
            finding=finding,
            change=Change(
                pulls={id(pull): _renamed(pull, port.name, target.name) for pull in pulls},
                ports={} if target.name in self._bus.job.ports else {target.name: target},
            ),
            fault=fault_of(finding),
            way=f"on {target.name}",
            otherwise="; correct the end, or say how many ports there are",
        )

    def of_cables(self) -> Iterator[list[Mend]]:
        """Cable to specification stands in the place of cable that is not."""
        for finding in self._findings:
            state = self._bus.cables.get(finding.subject) if finding.rule == cable_spec.NAME else None
            if state is not None and state.off_spec:
                other = replace(
                    to_specification(state.name, self._bus.profile), fire_rating=state.cable.fire_rating
                )
                yield [
                    Mend(
                        finding=finding,
                        change=Change(cables={state.name: other}),
                        fault=finding.message.partition("; the limits of ")[0],
                        way="with cable to specification in its place",
                        otherwise="; order cable with the insulation that is asked for: no shorter run mends that"
                        if state.insulation_low
                        else "; or keep within its limits",
                    )
                ]

    def of_pieces(self) -> Iterator[list[Mend]]:
        """A pull is missing that feeds a piece."""
        for piece in self._pieces if self._sources else ():
            finding = self._finding_of_root(piece)
            if finding is None or len(piece.rows) < 2 or piece.root in self._unknown:
                continue
            listed = [f"{device.controller}.{device.port}" for device in piece.devices]
            source = next((name for name in listed if name in self._bus.job.ports), self._sources[0])
            where = (piece.devices or piece.pulls)[0].where
            drawn = Pull(
                id=f"{DRAWN}{piece.root}",
                near=source,
                far=piece.root,
                length_m=_HAIR_M,
                where=where,
                cable=self._usual_cable(),
            )
            yield [
                Mend(
                    finding=finding,
                    change=Change(drawn=(drawn,)),
                    fault=fault_of(finding),
                    way="with a pull that feeds it",
                    otherwise="; add the missing pull or correct an end's name",
                    feeds=piece,
                )
            ]

    def _finding_of_root(self, piece: Piece) -> Finding | None:
        """The finding that tells that the root of a piece is not fed."""
        rows = {row_of(device.where) for device in piece.devices if device.tag == piece.root}
        rows = rows or {row_of(pull.where) for pull in piece.pulls if piece.root in (pull.near, pull.far)}
        return next(
            (each for each in self._findings if each.rule == unfed.NAME and row_of(each.where) in rows), None
        )

    def _usual_cable(self) -> str | None:
        return next((pull.cable for pull in self._bus.job.pulls if pull.cable), None)

    def _finding(self, rule: str, subject: str, where: object) -> Finding | None:
        own = self._about.get((rule, subject), ())
        return next((each for each in own if each.where == where), None)


def _if_unknown(end: str, mend: Mend, own: Piece | None) -> str:
    """What to do about an unknown end where another name is not meant: a device of its name feeds nothing, and is not
    fed where the pull is not."""
    add = "" if own or mend.feeds else f"add {end} to the device list or "
    return f"; if that is not meant, {add}correct it"


def _of_another_pull(mend: Mend, pull: Pull, end: str, told_of: Pull) -> Mend:
    """The mend of a finding that is told of another pull of its path: the sentence begins with that."""
    return replace(
        mend,
        fault=fault_of(mend.finding),
        way=f"with pull {pull.id} ending not at {pull.far} but at {end}",
        otherwise=f"; if that is not meant, lift pull {told_of.id} ({told_of.near} to {told_of.far})",
    )


def _at(pull: Pull, field: str, name: str) -> Pull:
    return replace(pull, near=name) if field == "near" else replace(pull, far=name)


def _renamed(pull: Pull, name: str, other: str) -> Pull:
    near, far = (other if end == name else end for end in (pull.near, pull.far))
    return replace(pull, near=near, far=far)
