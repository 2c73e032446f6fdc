"""Long work: progress, cancelling, and threads that the desk can wait for."""
