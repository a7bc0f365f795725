"""What the shop does with mat: the picture of the whole deck, outlines of the pieces, sheets to cut them from."""
