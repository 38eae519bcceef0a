"""Which findings follow from which: a possible mend is applied to the job, and the job is judged again."""
