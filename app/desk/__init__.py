"""The desk's window: what holds the screens."""
