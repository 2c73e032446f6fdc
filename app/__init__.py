"""Everything with a window or a command line."""
