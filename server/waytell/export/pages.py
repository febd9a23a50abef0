"""Templates of the pages to print: what comes from outside is escaped, what is missing is an error."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined, Template


def template(name: str) -> Template:
    loader = PackageLoader("waytell.export", package_path=".")
    return Environment(loader=loader, autoescape=True, undefined=StrictUndefined).get_template(name)
