"""What the sample workbooks are made of: the office's look, and one module a job."""
