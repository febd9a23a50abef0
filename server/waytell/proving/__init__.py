"""Can these readings be trusted, and how far? Checks of the scales, what they find, and what follows: pure."""
