"""What can be bought or drawn: sections, sheet, fittings, and the text they are written in."""
