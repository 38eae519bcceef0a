"""What stops a file or a command. Each error carries one sentence for the user and an exit code."""


class AuditorError(Exception):
    """Base: a sentence that says what was wanted, what was found and what to do."""

    exit_code = 2


class UnusableFileError(AuditorError):
    """A workbook that cannot be audited; the batch goes on and the job is `unreadable`."""

    exit_code = 3


class ProfileError(AuditorError):
    """A profile that is not right: names the file, the field and what would be right."""


class LayoutError(AuditorError):
    """A layout file that is not right: names the file, the field and what would be right."""


class OutputError(AuditorError):
    """An output folder or file that cannot be written."""


class PlanError(AuditorError):
    """Input that no plan can be made from (reels of length 0, contradictory pins); names the item."""


class StoppedError(AuditorError):
    """A run that its user stopped: says how far it came."""

    exit_code = 130
