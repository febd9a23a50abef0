"""From the bytes of a counter board to readings: knows wires, never work."""
