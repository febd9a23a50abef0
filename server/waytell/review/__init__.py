"""What the record tells when the work is done: shape left by creep, speed, sizes, spread, capability, edges.

Pure: events in, documents of `waytell.documents.review` out; no I/O and no clock. Lengths in mm, X as a radius.
"""
