"""What the shop does with mat: a picture of the whole deck, outlines of the pieces, sheets to cut from."""
