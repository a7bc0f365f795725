"""A surveyed scan on paper and as files: the survey, a boat file to start from, the report, the picture."""
