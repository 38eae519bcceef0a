"""Jobs as other offices hand them over, in the order in which they are written."""

from drafting.jobs.kept import (
    arenmora_casa_de_cultura,
    brackenholt_hall,
    hollinmere_surgery,
    lindmoor_schule,
    tamwick_depot,
    vauclerre_mairie,
)

BOOKS = tuple(
    module.BOOK
    for module in (
        brackenholt_hall,
        lindmoor_schule,
        hollinmere_surgery,
        tamwick_depot,
        vauclerre_mairie,
        arenmora_casa_de_cultura,
    )
)
