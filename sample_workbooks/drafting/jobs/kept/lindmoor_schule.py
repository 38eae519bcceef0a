"""A sheet a panel, in German: outputs are numbered on each sheet anew; one room is out of reach."""

from drafting.kept import Book, Sheet
from drafting.office import RUST, rows

_HEADINGS = (
    "Kennzeichen",
    "Raum",
    "Gerät",
    "Leistung (W)",
    "gespeist von",
    "Länge (m)",
    "Leitung",
    "expect",
)
_WIDTHS = (13, 22, 18, 12, 14, 11, 10, 22)


def _panel(name: str, place: str, text: str, below: tuple[str, ...] = ()) -> Sheet:
    return Sheet(
        name=name,
        above=("Schule Lindmoor, Busliste", f"Verteiler: {name}", f"Ort: {place}"),
        headings=_HEADINGS,
        widths=_WIDTHS,
        rows=rows(text),
        below=below,
    )


BOOK = Book(
    file="as_kept/lindmoor_schule.xlsx",
    theme=RUST,
    sheets=(
        _panel(
            "UV1",
            "Erdgeschoss, Hausmeister",
            """
T11 | Eingang       | Taster      | 0,6 | Ausgang 1 | 14,5 | BL15
T12 | Aula          | Taster      | 0,6 | T11       | 22   | BL15
R11 | Aula          | Raumregler  | 0,8 | T12       | 6,5  | BL15
T13 | Lehrerzimmer  | Taster      | 0,6 | Ausgang 2 | 31   | BL15
R12 | Lehrerzimmer  | Raumregler  | 0,8 | T13       | 4    | BL15
""",
            ("BL15: 1,5 mm², 2 Adern, feindrähtig, ungeschirmt, 90 pF/m, 600 V",),
        ),
        _panel(
            "UV2",
            "Obergeschoss, Flur",
            """
T21 | Klasse 1      | Taster      | 0,6 | Ausgang 1 | 28   | BL15
T22 | Klasse 2      | Taster      | 0,6 | T21       | 12,5 | BL15
R21 | Klasse 2      | Raumregler  | 0,8 | T22       | 5    | BL15
T23 | Verbindungsgang | Taster    | 0,6 | Ausgang 2 | 150  | BL15
T24 | Turnhalle     | Taster      | 0,6 | T23       | 100  | BL15
M21 | Turnhalle     | Melder      | 0,4 | T24       | 60   | BL15 | reach
""",
        ),
    ),
)
