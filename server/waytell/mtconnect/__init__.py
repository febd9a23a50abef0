"""A view of the machines by an open standard, MTConnect 1.4 (ANSI/MTC1.4): probe, current and sample."""
