"""What a text beside a name says that the name is."""

from auditor.intake.words import fold, matcher


def describes_controller(text: str) -> bool:
    """Whether a text says of its row that it is a controller with ports: `Bus controller, 2 outputs`."""
    folded = fold(text)
    return bool(matcher("controller").search(folded) and matcher("port").search(folded))
