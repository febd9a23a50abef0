"""Requests in, pages and state out: thin. Nothing here knows what a figure means."""
