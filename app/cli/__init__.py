"""The command line: the same work as the desk, for scripts and for machines without a screen."""
