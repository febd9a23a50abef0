"""What the readings mean at the lathe. Pure: no I/O, no clock of its own, no threads.

Millimetres, seconds, radians. ISO 841 sense: Z along the spindle, positive away from the headstock; X square to it,
positive away from the centre line, always a radius. Of the bridge only `waytell_bridge.reading` may be known here.
"""
