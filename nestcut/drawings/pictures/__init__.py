"""One picture of a drawing, numbered as in the job file, drawn as SVG and as PNG."""
