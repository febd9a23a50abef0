"""Waytell: how far there is to go at a small manual lathe, whether a held slide moved, and what was really cut."""
