"""What a person sees: templates, parts, fit pages and notes, each a drawing at 1:1 on its page."""

from templgen.sheets.build import build_sheets
from templgen.sheets.compose import Sheet
from templgen.sheets.cut_drawings import cut_drawings, left_out_of_cuts
from templgen.sheets.measuring import measuring_sheet
from templgen.sheets.schedule import drill_schedule

__all__ = ["Sheet", "build_sheets", "cut_drawings", "drill_schedule", "left_out_of_cuts", "measuring_sheet"]
