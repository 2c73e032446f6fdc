"""The demo caseload: an invented scenario, so that the first minute shows what the work is for."""
