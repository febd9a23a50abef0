"""The documents that cross an edge (acts, state, passes, configuration), each defined once, as models.

Their JSON Schema is what the HTTP API, the live stream, the journal and the wire log carry. Lengths in mm, X as a
radius, times in seconds; names end in their unit. Plain dataclasses serve inside the engine; these serve outside.
"""
