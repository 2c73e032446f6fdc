"""Reading clips: an index by demuxing, and exact frames by number or by time."""
