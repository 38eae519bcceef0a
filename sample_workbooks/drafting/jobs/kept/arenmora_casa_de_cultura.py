"""A room matrix, in Spanish: rooms down, kinds across, tags in the cells; a legend says what each kind draws."""

from drafting.kept import Book, Sheet
from drafting.office import NAVY, rows

_MATRIX = Sheet(
    name="Equipos por sala",
    above=("Casa de cultura de Arenmora: equipos por sala",),
    headings=("Sala", "Teclado", "Termostato", "Detector", "expect"),
    widths=(24, 12, 12, 12, 22),
    rows=rows("""
Entrada            | TC1 |     | DT1
Sala de exposición | TC2 | TM1 | DT2
Auditorio          | TC3 | TM2 | DT3
Taller             | TC4 | TM3 |
Despacho           |     | TM4 |
"""),
)

_KINDS = Sheet(
    name="Consumos",
    headings=("Tipo", "Potencia (W)", "expect"),
    widths=(16, 14, 22),
    rows=rows("""
Teclado    | 0,6
Termostato | 0,8
Detector   | 0,4
"""),
)

_PULLS = Sheet(
    name="Cables",
    above=(
        "Casa de cultura de Arenmora: tendido",
        "Cable BE15: 1,5 mm², 2 conductores, flexible, sin pantalla, 88 pF/m, 600 V",
    ),
    headings=("Cable", "Desde", "Hasta", "Longitud (m)", "Tipo", "expect"),
    widths=(10, 14, 12, 14, 10, 22),
    rows=rows("""
C-01 | CU1 salida 1 | TC1 | 16   | BE15
C-02 | TC1          | DT1 | 8,5  | BE15
C-03 | TC1          | TC2 | 24   | BE15
C-04 | TC2          | TM1 | 5    | BE15
C-05 | TC2          | DT2 | 11   | BE15
C-06 | CU1 salida 2 | TC3 | 38,5 | BE15
C-07 | TC3          | TM2 | 6    | BE15
C-08 | TC3          | DT3 | 14   | BE15
C-09 | TC3          | TC4 | 29   | BE15
C-10 | TC4          | TM3 | 4,5  | BE15
C-11 | TM3          | TM4 | 18   | BE15
"""),
)

BOOK = Book(file="as_kept/arenmora_casa_de_cultura.xlsx", theme=NAVY, sheets=(_MATRIX, _KINDS, _PULLS))
