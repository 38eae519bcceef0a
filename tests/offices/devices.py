"""Lists of the devices: plain, a sheet a floor, tags in ranges, a matrix of rooms and kinds."""

from collections.abc import Callable, Iterator

from tests.offices.book import Column, Row, Table
from tests.offices.design import Device
from tests.offices.draft import Draft


def device_table(draft: Draft) -> Table:
    """A row for each device; a type for the legend where the legend has the power."""
    legend = draft.power_style.where == "legend"
    columns = [Column(role="tag"), Column(role="description"), Column(role="floor"), Column(role="room")]
    if draft.quantities:
        columns.append(Column(role="quantity"))
    columns.append(Column(role="type") if legend else Column(role="power", unit="power"))
    table = Table(kind="devices", columns=columns)
    for device in draft.design.devices:
        table.rows.append(
            Row(values=_values(draft, device, legend), group=draft.say("floor", n=device.floor))
        )
    return table


def _values(draft: Draft, device: Device, legend: bool) -> list[object]:
    power = draft.code(device.kind) if legend else device.power_w
    quantity = [device.quantity] if draft.quantities else []
    return [device.tag, draft.kind(device), draft.floor(device.floor), draft.room(device), *quantity, power]


def _plain(draft: Draft) -> None:
    draft.add(device_table(draft))


def _by_floor(draft: Draft) -> None:
    table = device_table(draft)
    for group in dict.fromkeys(row.group for row in table.rows):
        part = Table(kind="devices", columns=[Column(role=c.role, unit=c.unit) for c in table.columns])
        part.rows = [row for row in table.rows if row.group == group]
        draft.add(part, f"{draft.sheet_name('devices')} {group}")


def _ranges(draft: Draft) -> None:
    """Neighbouring tags of one kind share a row: `KP-01 thru KP-04`, quantity 4."""
    draft.quantities = True
    table = device_table(draft)
    table.rows = []
    legend = draft.power_style.where == "legend"
    slash = any("/" in device.tag for device in draft.design.devices)
    how = draft.rng("ranges").choice((*draft.says("thru"), "list", "list" if slash else "slash"))
    for group in _neighbours(draft.design.devices):
        values = _values(draft, group[0], legend)
        if len(group) > 1:
            values[0] = _spelled(how, [device.tag for device in group])
            values[4] = len(group)
        table.rows.append(Row(values=values))
    draft.add(table)


def _neighbours(devices: tuple[Device, ...]) -> Iterator[list[Device]]:
    """Devices of one kind and floor in order, cut where their numbers do not follow each other."""
    kinds = dict.fromkeys((device.kind, device.floor) for device in devices)
    for kind, floor in kinds:
        group: list[Device] = []
        for device in (d for d in devices if (d.kind, d.floor) == (kind, floor)):
            alone = device.quantity > 1 or device.power_w is None
            if group and (
                alone
                or group[-1].quantity > 1
                or not _follows(group[-1].tag, device.tag)
                or group[-1].power_w is None
            ):
                yield group
                group = []
            group.append(device)
        yield group


def _follows(one: str, other: str) -> bool:
    """Whether two tags differ in their last number only, by one."""
    head, tail = _split(one)
    head_2, tail_2 = _split(other)
    return head == head_2 and len(tail) == len(tail_2) and bool(tail) and int(tail_2) == int(tail) + 1


def _split(tag: str) -> tuple[str, str]:
    stem = tag.rstrip("0123456789")
    return stem, tag[len(stem) :]


def _spelled(how: str, tags: list[str]) -> str:
    if how == "list":
        return ", ".join(tags)
    if how == "slash":
        return "/".join([tags[0], *(_split(tag)[1] for tag in tags[1:])])
    return how.format(a=tags[0], b=tags[-1])


def _matrix(draft: Draft) -> None:
    """Rooms down, kinds across, tags in the cells."""
    kinds = list(dict.fromkeys(device.kind for device in draft.design.devices))
    words = [draft.words.KINDS[kind][0] for kind in kinds]
    columns = [Column(role="floor"), Column(role="room")]
    columns += [Column(role="tags", heading=word, about=word) for word in words]
    table = Table(kind="matrix", columns=columns)
    mark = draft.rng("matrix").choice((", ", " / ", "; ", "\n"))
    for room in dict.fromkeys((device.floor, device.room) for device in draft.design.devices):
        mine = [device for device in draft.design.devices if (device.floor, device.room) == room]
        cells = [mark.join(d.tag for d in mine if d.kind == kind) or None for kind in kinds]
        table.rows.append(Row(values=[draft.floor(mine[0].floor), draft.room(mine[0]), *cells]))
    draft.add(table)


DEVICE_LISTS: dict[str, tuple[Callable[[Draft], None], int]] = {
    "device list": (_plain, 12),
    "device lists by floor": (_by_floor, 2),
    "tags in ranges": (_ranges, 2),
    "room matrix": (_matrix, 2),
}
