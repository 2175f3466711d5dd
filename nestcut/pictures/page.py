"""All pictures of a job on one page that needs no network."""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape

from nestcut.pictures.fragment import Fragment

_STYLE = (
    "body{font:16px/1.45 sans-serif;max-width:58rem;margin:1.5rem auto;padding:0 1rem;"
    "color:black;background:white}figure{margin:0 0 2rem}svg{max-width:100%;height:auto;"
    "border:1px solid #999}figcaption{margin:.3rem 0}h2{font-size:1.15rem;margin:1.5rem 0 .4rem}"
)


def page(title: str, fragments: Iterable[Fragment], words: str = "") -> str:
    """Return one HTML page of fragments in their order.

    Parameters
    ----------
    title
        Of the page.
    words
        A paragraph below it; empty: none.
    """
    figures = "\n".join(_figure(f) for f in fragments)
    intro = f"<p>{escape(words)}</p>\n" if words else ""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>{escape(title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n<main>\n"
        f"<h1>{escape(title)}</h1>\n{intro}{figures}\n</main>\n</body>\n</html>\n"
    )


def _figure(fragment: Fragment) -> str:
    lines = "".join(f"<figcaption>{escape(w)}</figcaption>\n" for w in fragment.words)
    return f"<h2>{escape(fragment.title)}</h2>\n<figure>\n{fragment.svg}{lines}</figure>"
