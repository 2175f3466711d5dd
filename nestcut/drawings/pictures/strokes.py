"""How outlines and lines look in a picture; the key below it shows the same."""

PART = {"stroke": "black", "fill": "#f2e3c0", "stroke-width": "2"}
ASKED = {"fill": "url(#asked)", "stroke": "#06c"}
NOT_TAKEN = {"fill": "none", "stroke-width": "0.8", "stroke-dasharray": "6 3"}
OPEN = {"stroke": "#a30", "stroke-width": "1.5"}
RING = {"fill": "none", "stroke": "#c00", "stroke-width": "2.5"}
MIDDLE = {"text-anchor": "middle"}
GREY = {"fill": "#666", "font-size": "10"}
