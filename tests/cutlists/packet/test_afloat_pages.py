"""The packet's page of weight and trim, read back from the PDF."""

from pypdf import PdfReader

from cutlists.packet.afloat_pages import afloat_pages
from cutlists.packet.page import Stamp, write_pages
from cutlists.packet.paper import PAPERS
from model.capacity.float_report import check_float
from tests.model.boats import demo


def test_it_is_one_page_with_its_cautions(tmp_path):
    boat = demo("flat14")
    pages = list(afloat_pages(boat, check_float(boat), PAPERS["A4"]))
    assert len(pages) == 1
    path = tmp_path / "afloat.pdf"
    write_pages(path, pages, Stamp(boat.title, "1", "", "millimetres", ""), lambda _: None)
    text = " ".join(PdfReader(path).pages[0].extract_text().split())
    for words in (
        "capacity plate",
        "not approved engineering",
        "least freeboard",
        "33 CFR 183.35",
        "in the water",
    ):
        assert words in text


def test_without_a_report_there_is_no_page():
    assert list(afloat_pages(demo("flat14"), None, PAPERS["A4"])) == []
