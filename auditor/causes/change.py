"""What a mend does to the rows of a job."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from auditor.job.model import Cable, Controller, Device, Job, Port, Pull, Row, row_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Rows that read otherwise, rows that go and pulls that come."""

    pulls: Mapping[int, Pull] = field(default_factory=dict)  # id() of a row -> the row instead
    devices: Mapping[int, Device] = field(default_factory=dict)
    gone: frozenset[Row] = frozenset()
    drawn: tuple[Pull, ...] = ()
    ports: Mapping[str, Port] = field(default_factory=dict)  # further ones
    cables: Mapping[str, Cable] = field(default_factory=dict)  # name -> what stands for it

    def meets(self, other: "Change") -> bool:
        """Whether both change one row."""
        return bool(
            self.pulls.keys() & other.pulls.keys()
            or self.devices.keys() & other.devices.keys()
            or self.gone & other.gone
            or self.cables.keys() & other.cables.keys()
        )

    def applied(self, job: Job) -> Job:
        """The job with these rows; what the reader remarked of a row that goes, goes with it."""
        pulls = [self.pulls.get(id(pull), pull) for pull in job.pulls if row_of(pull.where) not in self.gone]
        devices = [
            self.devices.get(id(device), device)
            for device in job.devices
            if row_of(device.where) not in self.gone
        ]
        controllers = {
            name: Controller(name=name) for name in {each.controller for each in self.ports.values()}
        }
        return replace(
            job,
            pulls=(*pulls, *self.drawn),
            devices=tuple(devices),
            ports={**job.ports, **self.ports},
            cables={**job.cables, **self.cables},
            controllers={**controllers, **job.controllers},
            remarks=tuple(each for each in job.remarks if row_of(each.where) not in self.gone),
        )


def together(changes: "list[Change]") -> Change:
    """All changes as one."""
    return Change(
        pulls={key: pull for each in changes for key, pull in each.pulls.items()},
        devices={key: device for each in changes for key, device in each.devices.items()},
        gone=frozenset(row for each in changes for row in each.gone),
        drawn=tuple(pull for each in changes for pull in each.drawn),
        ports={name: port for each in changes for name, port in each.ports.items()},
        cables={name: cable for each in changes for name, cable in each.cables.items()},
    )
