"""What is said about a workbook before it is annotated, and what happens then."""

import io
import zipfile

import openpyxl

from tests.annotate import books
from tests.annotate.calls import annotate, cautions
from tests.annotate.compare import parts
from tests.annotate.test_forms import repacked

SIGNATURE = (
    b'<Relationship Id="rIdSig" Type="http://schemas.openxmlformats.org/package/2006/relationships/'
    b'digital-signature/origin" Target="_xmlsignatures/origin.sigs"/>'
)
LINK = (
    b'<Relationship Id="rIdLink" Type="http://schemas.openxmlformats.org/officeDocument/2006/'
    b'relationships/%b" Target="%b"/>'
)


def with_parts(data: bytes, **contents: bytes) -> bytes:
    out = io.BytesIO(data)
    with zipfile.ZipFile(out, "a") as archive:
        for name, content in contents.items():
            archive.writestr(name.replace("__", "/"), content)
    return out.getvalue()


def related(kind: bytes, target: bytes) -> bytes:
    def change(content: bytes) -> bytes:
        if b"worksheets/sheet1.xml" not in content or b"<Relationships" not in content:
            return content
        return content.replace(b"</Relationships>", LINK % (kind, target) + b"</Relationships>")

    return repacked(books.plain(), everything=change)


def test_nothing_is_said_of_a_plain_workbook():
    assert cautions(books.plain()) == []


def test_a_signature_no_longer_holds_and_its_parts_stay():
    def sign(content: bytes) -> bytes:
        if b"xl/workbook.xml" not in content or b"<Relationships" not in content:
            return content
        return content.replace(b"</Relationships>", SIGNATURE + b"</Relationships>")

    source = with_parts(repacked(books.plain(), everything=sign), _xmlsignatures__origin="signed")
    (said,) = cautions(source)
    assert "digitally signed" in said
    annotated = annotate(source, [books.columns(books.table())], None)
    assert parts(annotated)["_xmlsignatures/origin"] == parts(source)["_xmlsignatures/origin"]
    assert cautions(annotated) == [said]


def test_protected_sheets_and_structure_are_named():
    said = cautions(books.by_openpyxl())
    assert len(said) == 2
    assert "structure is protected" in said[0]
    assert "'Protected'" in said[1]


def test_protection_stays_as_it_was():
    annotated = annotate(books.by_openpyxl(), [books.columns(books.table())], books.scratch())
    book = openpyxl.load_workbook(io.BytesIO(annotated))
    assert book.security.lockStructure
    assert book["Protected"].protection.sheet


def test_macros_links_and_connections_are_kept_and_not_run():
    assert (
        "macros" in cautions(books.plain(lambda book, sheet: book.add_vba_project(io.BytesIO(b"x"), True)))[0]
    )
    source = with_parts(
        related(b"externalLink", b"externalLinks/externalLink1.xml"), xl__externalLinks__externalLink1=""
    )
    assert "other workbooks" in cautions(source)[0]
    live = related(b"externalLink", b"externalLinks/live")
    assert (
        "DDE"
        in cautions(with_parts(live, xl__externalLinks__live=b"<externalLink><ddeLink/></externalLink>"))[0]
    )
    assert "not refreshed" in cautions(related(b"connections", b"connections.xml"))[0]
