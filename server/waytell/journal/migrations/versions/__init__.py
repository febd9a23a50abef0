"""One step a file: what changed, and how an older journal comes to have it."""
