"""A random job, written in a random layout, unit, language and format, and read back: the same job."""

import csv
import io
from dataclasses import dataclass
from importlib.util import find_spec
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.intake import read_job
from auditor.job.model import Job

from .workbooks import workbook

UNITS = {"ft": 0.3048, "m": 1.0, "in": 0.0254, "yd": 0.9144, "cm": 0.01}
LANGUAGES = {
    "en": {
        "tag": ["Tag", "Device", "ID"], "qty": ["Qty", "Quantity"], "power": ["Power", "Load"], "room": ["Room", "Location"],
        "id": ["Pull", "Cable no.", "Pull ID"], "from": ["From", "From end"], "to": ["To", "Destination"],
        "length": ["Length", "Cable length", "Est. length"], "cable": ["Cable type", "Wire type"], "fed": ["Fed from", "Fed by"],
    },
    "de": {
        "tag": ["Gerät", "Kennzeichen"], "qty": ["Anzahl", "Stück"], "power": ["Leistung"], "room": ["Raum", "Ort"],
        "id": ["Kabelnr.", "Kabel-Nr."], "from": ["Von"], "to": ["Nach", "Ziel"],
        "length": ["Länge", "Kabellänge", "Laenge"], "cable": ["Kabeltyp", "Leitungstyp"], "fed": ["Gespeist von"],
    },
    "fr": {
        "tag": ["Repère", "Appareil"], "qty": ["Quantité", "Qté"], "power": ["Puissance"], "room": ["Pièce", "Local"],
        "id": ["N° câble"], "from": ["Tenant", "Depuis"], "to": ["Aboutissant", "Vers"],
        "length": ["Longueur", "Longueur câble"], "cable": ["Type de câble"], "fed": ["Alimenté par"],
    },
    "es": {
        "tag": ["Etiqueta", "Dispositivo"], "qty": ["Cantidad"], "power": ["Potencia"], "room": ["Sala", "Ubicación"],
        "id": ["Nº cable"], "from": ["Desde"], "to": ["Hasta"],
        "length": ["Longitud"], "cable": ["Tipo de cable"], "fed": ["Alimentado desde"],
    },
}  # fmt: skip


KINDS = ["xlsx", "csv", "semicolons", *(["xls"] if find_spec("xlwt") else [])]


@dataclass(frozen=True)
class Row:
    """One device with the pull that feeds it; lengths in tenths of the written unit."""

    tag: str
    quantity: int
    tenth_w: int
    room: str | None
    near: int  # index of the device above it; -1: a port
    tenth_length: int


@st.composite
def jobs(draw: st.DrawFn) -> list[Row]:
    count = draw(st.integers(2, 12))
    stem = draw(st.sampled_from(["K", "KP-", "Dev", "R2-K"]))
    return [
        Row(
            tag=f"{stem}{number + 1}",
            quantity=draw(st.integers(1, 5)),
            tenth_w=draw(st.integers(0, 50)),
            room=draw(st.sampled_from([None, "Hall", "Küche 2", "Bar, north"])),
            near=draw(st.integers(-1, number - 1)),
            tenth_length=draw(st.integers(1, 2000)),
        )
        for number in range(count)
    ]


def ends(rows: list[Row], style: str) -> list[tuple[str, str]]:
    """(as written, as it must be read) of the end that feeds each device."""
    result = []
    for number, row in enumerate(rows):
        if row.near >= 0:
            result.append((rows[row.near].tag, rows[row.near].tag))
        else:
            port = number % 2 + 1
            result.append((style.format(port), f"C1.{port}"))
    return result


def written_length(row: Row, unit: str, style: str, comma: bool) -> Any:
    """A length as a number under a heading with its unit, or as a text with the unit in the cell."""
    value = row.tenth_length / 10
    if style == "number":
        return value
    text = f"{value:.1f}".replace(".", ",") if comma else f"{value:.1f}"
    return f"{text} {unit}" if style == "text with unit" else text


@st.composite
def files(draw: st.DrawFn) -> tuple[bytes, str, list[Row], list[tuple[str, str]], str, bool]:
    rows = draw(jobs())
    language = draw(st.sampled_from(sorted(LANGUAGES)))
    word = {name: draw(st.sampled_from(words)) for name, words in LANGUAGES[language].items()}
    unit = draw(st.sampled_from(sorted(UNITS)))
    fed = ends(rows, draw(st.sampled_from(["C1.{}", "C1 port {}", "C1-P{}", "C1 / {}"])))
    kind = draw(st.sampled_from(KINDS))
    combined = kind in ("csv", "semicolons") or draw(st.booleans())
    comma = language != "en" and unit not in ("ft", "in", "yd") and kind != "csv" and draw(st.booleans())
    style = draw(st.sampled_from(["number", "text", "text with unit"]))
    heading = (
        word["length"]
        if style == "text with unit"
        else draw(st.sampled_from(["{} ({})", "{} [{}]", "{}, {}", "{} {}"])).format(word["length"], unit)
    )
    lengths = [written_length(row, unit, style, comma) for row in rows]
    title = draw(
        st.sampled_from([[], [["Hill lodge"], []], [["Hill lodge", "", "rev B"], ["as of may"], []]])
    )
    if combined:
        table = [
            [
                word["tag"],
                word["fed"],
                heading,
                word["cable"],
                f"{word['power']} (W)",
                word["qty"],
                word["room"],
            ]
        ]
        table += [
            [r.tag, e[0], x, "TP16", r.tenth_w / 10, r.quantity, r.room]
            for r, e, x in zip(rows, fed, lengths, strict=True)
        ]
        sheets = {"Schedule": title + table}
    else:
        devices = [[word["tag"], word["room"], word["qty"], f"{word['power']} (W)"]]
        devices += [[r.tag, r.room, r.quantity, r.tenth_w / 10] for r in rows]
        pulls = [[word["id"], word["from"], word["to"], heading, word["cable"]]]
        pulls += [
            [f"P{i}", e[0], r.tag, x, "TP16"]
            for i, (r, e, x) in enumerate(zip(rows, fed, lengths, strict=True))
        ]
        sheets = {"Devices": title + devices, "Pulls": title + pulls}
    return _bytes(sheets, kind), f"job.{'csv' if kind == 'semicolons' else kind}", rows, fed, unit, combined


def _bytes(sheets: dict[str, list[list[Any]]], kind: str) -> bytes:
    if kind == "xlsx":
        return workbook(sheets)
    if kind == "xls":
        return _xls(sheets)
    held = io.StringIO()
    rows = [
        ["" if value is None else value for value in row] for content in sheets.values() for row in content
    ]
    if kind == "semicolons":  # as a spreadsheet program writes it where 41,5 is the custom
        rows = [[str(v).replace(".", ",") if isinstance(v, float) else v for v in row] for row in rows]
    csv.writer(held, delimiter=";" if kind == "semicolons" else ",").writerows(rows)
    return held.getvalue().encode("cp1252" if kind == "semicolons" else "utf-8")


def _xls(sheets: dict[str, list[list[Any]]]) -> bytes:
    import xlwt

    book = xlwt.Workbook()
    for title, rows in sheets.items():
        sheet = book.add_sheet(title)
        for r, row in enumerate(rows):
            for c, value in enumerate(row):
                if value not in (None, ""):
                    sheet.write(r, c, value)
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


def in_short(job: Job) -> tuple[Any, ...]:
    return (
        [(d.tag, d.quantity, d.power_w, d.room) for d in job.devices],
        [(p.near, p.far, p.cable, p.landed) for p in job.pulls],
    )


@settings(max_examples=150, derandomize=True, deadline=None)
@given(files())
def test_what_is_written_is_read(
    file: tuple[bytes, str, list[Row], list[tuple[str, str]], str, bool],
) -> None:
    data, name, rows, fed, unit, combined = file
    job = read_job(data, name)
    assert in_short(job) == (
        [(r.tag, r.quantity, pytest.approx(r.tenth_w / 10), r.room) for r in rows],
        [(e[1], r.tag, "TP16", True) for r, e in zip(rows, fed, strict=True)],
    )
    assert [p.length_m for p in job.pulls] == [pytest.approx(r.tenth_length / 10 * UNITS[unit]) for r in rows]
    assert [u for record in (*job.devices, *job.pulls) for u in record.unread] == []
    assert len({p.id for p in job.pulls}) == len(rows)
    assert job.rows_read == len(rows) * (1 if combined else 2) + job.rows_left_out
