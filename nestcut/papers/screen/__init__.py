"""``shop.html``: the plan as one page for a phone, without a network."""

from nestcut.papers.screen.html import HtmlMatter, html_page

__all__ = [
    "HtmlMatter",
    "html_page",
]
