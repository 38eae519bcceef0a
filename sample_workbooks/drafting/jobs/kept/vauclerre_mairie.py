"""A list of cores, in French: one row a core, two cores a cable. One cable closes a loop."""

from drafting.kept import Book, Sheet
from drafting.office import RUST, rows

_PULLS = (  # cable, from, to, metres, what an audit reports
    ("CB01", "C1/1", "BP01", "18,5", None),
    ("CB02", "BP01", "BP02", "12", None),
    ("CB03", "BP02", "TH01", "5,5", None),
    ("CB04", "BP02", "BP03", "27", "loop"),
    ("CB05", "BP03", "DP01", "9", None),
    ("CB06", "BP03", "BP01", "33", None),
    ("CB07", "C1/2", "BP04", "41", None),
    ("CB08", "BP04", "TH02", "7,5", None),
)

_CORES = Sheet(
    name="Carnet de fils",
    above=("Mairie de Vauclerre : carnet de fils du bus", "Repère de conducteur : + et - du même câble"),
    headings=("Câble", "Conducteur", "Tenant", "Aboutissant", "Type", "Longueur (m)", "expect"),
    widths=(10, 12, 11, 12, 9, 13, 22),
    rows=[
        [cable, core, near, far, "L15", metres, expect if core == "+" else None]
        for cable, near, far, metres, expect in _PULLS
        for core in "+-"
    ],
    below=("L15 : 1,5 mm², 2 fils, souple, non blindé, 90 pF/m, 600 V",),
)

_DEVICES = Sheet(
    name="Appareils",
    headings=("Repère", "Local", "Désignation", "Puissance (W)", "expect"),
    widths=(10, 20, 22, 14, 22),
    rows=rows("""
BP01 | Accueil            | clavier              | 0,6
BP02 | Salle du conseil   | clavier              | 0,6
BP03 | Salle des mariages | clavier              | 0,6
BP04 | Bureau du maire    | clavier              | 0,6
TH01 | Salle du conseil   | thermostat           | 0,8
TH02 | Bureau du maire    | thermostat           | 0,8
DP01 | Salle des mariages | détecteur de présence | 0,4
"""),
)

BOOK = Book(file="as_kept/vauclerre_mairie.xlsx", theme=RUST, sheets=(_CORES, _DEVICES))
