"""What the checks leave open stands in the order of the work and in the packet that a build writes."""

from __future__ import annotations

from pathlib import Path

import pypdfium2

from templgen.build.write import build_job
from tests.unit.layout.jobs import head
from tests.unit.layout.opening_jobs import opening_job


def test_a_build_writes_the_stop_into_packet_and_order_of_work(tmp_path: Path) -> None:
    job = tmp_path / "hatch.toml"
    top = 'paper = "a3"\n' + head()
    job.write_text(opening_job(top=top, more='hand = { needs = ["two hands"] }\n'), encoding="utf-8")
    build_job(job, tmp_path / "out", previews=False)
    order = (tmp_path / "out" / "order-of-work.csv").read_text(encoding="utf-8")
    pages = pypdfium2.PdfDocument(tmp_path / "out" / "bench-packet.pdf")
    packet = "".join(page.get_textpage().get_text_range() for page in pages)
    for text in (order, packet):
        assert "STOP: what is not settled about hatch" in text
        assert "two hands through hatch" in text
