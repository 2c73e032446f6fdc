"""The caseload screen: the list of cases."""
