"""Readers of what the exporters write. They share no code with the writers and import nothing of templgen.

All lengths are millimetres, y up; on a page the origin is its lower left corner. A reader raises
`ReadError` on what it does not know, so that nothing is left out silently.

- `svg_reader.read_svg(data: bytes) -> Page`
- `pdf_reader.read_pdf(data: bytes) -> PdfFile` with `.pages: tuple[Page, ...]`, `.title`, `.keywords`,
  `.print_scaling`, `.bookmarks`
- `dxf_reader.read_dxf(data: bytes) -> Part` with `.units` ($INSUNITS), `.measurement`, `.version`,
  `.comments`, `.layers`, `.outlines`, `.words`
- `gdal_reader.read_with_gdal(data: bytes, suffix=".dxf") -> list[Feature]`: layer, points, words (arcs come
  as points that lie on them)
- `raster.pdf_picture(data, dpi, page=0)` by pdfium and `raster.svg_picture(data, dpi)` by cairo: grey
  values 0 (black) to 1 as rows from the top; `raster.ink_centre(...)` measures in them

What they give (`model.py`):

- `Page(width, height, outlines, words, boxes, title, about)`; `.circles(layer=None)`, `.on(layer)`
- `Outline(pieces, closed, filled, layer, width, dash, name)`: a chain of pieces `Straight`, `Bezier`, `Bow`,
  each with `.start`, `.end`, `.at(t)`. `.points(n)` are points along it, `.round()` the `Round` (centre,
  radius) that it is, or None, `.bounds()`, `.length()`
- `Words(text, at, angle, size, layer, box)`: `at` is the start of the base line (for DXF the anchor),
  `size` the em (PDF) or the capital height (DXF), `box` the ink (SVG: xmin, ymin, xmax, ymax)

A PDF knows no layers: there, tell the kinds by `width` and `dash`.
"""
