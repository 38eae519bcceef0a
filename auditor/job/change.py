"""A change of a job's rows, to be tried."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from auditor.job.model import Cable, Controller, Device, Job, Port, Pull, Row, row_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Rows that read otherwise, rows that go and pulls that come."""

    pulls: Mapping[int, Pull] = field(default_factory=dict)  # id() of a row -> the row instead
    devices: Mapping[int, Device] = field(default_factory=dict)  # the same
    gone: frozenset[Row] = frozenset()
    drawn: tuple[Pull, ...] = ()
    ports: Mapping[str, Port] = field(default_factory=dict)  # further ones, as all that follow
    controllers: Mapping[str, Controller] = field(default_factory=dict)
    cables: Mapping[str, Cable] = field(
        default_factory=dict
    )  # one of a name that is there stands in its place
    splices: frozenset[str] = frozenset()

    def meets(self, other: "Change") -> bool:
        """Whether both change one row, or what stands for one cable type."""
        return bool(
            self.pulls.keys() & other.pulls.keys()
            or self.devices.keys() & other.devices.keys()
            or self.gone & other.gone
            or self.cables.keys() & other.cables.keys()
        )

    def applied(self, job: Job) -> Job:
        """The job so changed; what the reader remarked of a row that goes, goes with it. A port whose controller nobody
        lists has one that states nothing."""
        pulls = [self.pulls.get(id(pull), pull) for pull in job.pulls if row_of(pull.where) not in self.gone]
        devices = [
            self.devices.get(id(device), device)
            for device in job.devices
            if row_of(device.where) not in self.gone
        ]
        named = {port.controller: Controller(name=port.controller) for port in self.ports.values()}
        return replace(
            job,
            pulls=(*pulls, *self.drawn),
            devices=tuple(devices),
            ports={**job.ports, **self.ports},
            controllers={**named, **job.controllers, **self.controllers},
            cables={**job.cables, **self.cables},
            splices=job.splices | self.splices,
            remarks=tuple(each for each in job.remarks if row_of(each.where) not in self.gone),
        )


def together(changes: Sequence[Change]) -> Change:
    """All changes as one."""
    return Change(
        pulls={key: pull for each in changes for key, pull in each.pulls.items()},
        devices={key: device for each in changes for key, device in each.devices.items()},
        gone=frozenset(row for each in changes for row in each.gone),
        drawn=tuple(pull for each in changes for pull in each.drawn),
        ports={name: port for each in changes for name, port in each.ports.items()},
        controllers={name: one for each in changes for name, one in each.controllers.items()},
        cables={name: cable for each in changes for name, cable in each.cables.items()},
        splices=frozenset(name for each in changes for name in each.splices),
    )
