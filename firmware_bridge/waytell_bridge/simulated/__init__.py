"""A simulated lathe with a hidden truth, a person winding it, and a virtual counter board that reports on it.

A source like any other: the demonstration, the tests and the documentation use it. It has its own geometry and knows
nothing of the program that listens to it, so that comparing what was told with what is true means something.
Everything below `serving` is pure: virtual time goes in with `advance`, chance comes from a seed. All settings are
invented for a small bench lathe (common practice, no source) unless a comment says otherwise.

What is not simulated anywhere: chatter, growth by heat, wear of the tool, chips and built-up edge, the helix that a
feed leaves (the tool is taken to meet the whole circumference in each step), the nose radius (the tool is a sharp
corner), a tilted saddle (Abbe error), the electrical side of a scale.
"""
