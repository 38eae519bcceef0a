"""The jobs, in the order in which they are written."""

from drafting.jobs import (
    aldersund_offices,
    corvane_store,
    dunvarrow_boathouse,
    ellersund_workshop,
    fallowmere_chapel,
    mirrowby_gallery,
    ostrel_court,
    oxtarn_barn,
    pellbrook_library,
    quillmere_guest_house,
    saltmarrow_clinic,
    tarnbeck_waterworks,
    thornquay_school,
    varnholt_tower,
)

BOOKS = tuple(
    module.BOOK
    for module in (
        quillmere_guest_house,
        oxtarn_barn,
        pellbrook_library,
        saltmarrow_clinic,
        dunvarrow_boathouse,
        ellersund_workshop,
        thornquay_school,
        varnholt_tower,
        corvane_store,
        fallowmere_chapel,
        aldersund_offices,
        mirrowby_gallery,
        tarnbeck_waterworks,
        ostrel_court,
    )
)
