"""Search over the caseload: what is asked for, what is found, and the panel that shows it."""
