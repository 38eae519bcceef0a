"""What people type on our sheets and beside their own rows: the headings by which it finds its subject again."""

from auditor.job.acceptances import KEY_HEADING
from auditor.job.answers import RECORD_HEADING, SENTENCE_HEADING

REMARKS_HEADING = "Audit remarks"  # of the column beside a table that holds what was typed over the others
TICK_HEADING = "Cut"  # of the boxes on the cut list

# Headings that, where all of one line stand in a row, say which cells below name the subject of a row; the
# first line that stands there counts.
SUBJECTS = (
    (KEY_HEADING,),
    (RECORD_HEADING,),
    ("File", "Rule", "Subject"),
    ("Job", "Run"),
    ("File",),
    (SENTENCE_HEADING,),
    ("Port", "Device"),
    ("Pull",),
    ("Port",),
    ("Run",),
    ("Cable",),
)
