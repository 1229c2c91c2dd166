"""Readers and pictures for tests only; those of SVG, PDF and DXF are in templgen.proof.readers.

- `gdal_reader.read_with_gdal(data: bytes, suffix=".dxf") -> list[Feature]`: layer, points, words (arcs come
  as points that lie on them)
- `raster.pdf_picture(data, dpi, page=0)` by pdfium and `raster.svg_picture(data, dpi)` by cairo: grey
  values 0 (black) to 1 as rows from the top; `raster.ink_centre(...)` measures in them
"""
