"""Readers of drawing files. They share no code with the writers: of the product they import errors only.

All lengths are millimetres, y up; on a page the origin is its lower left corner. What a reader can not take
for a line or for words, and what would hide or change a mark, is named in `oddities`, so that nothing is
left out silently. A file that is broken raises `ReadError`.

- `svg.read_svg(data: bytes) -> Page`
- `pdf.read_pdf(data: bytes) -> PdfFile` with `.pages: tuple[Page, ...]`
- `dxf.read_dxf(data: bytes) -> Part`, its numbers as they stand in the file; `.units` says what they count
"""
