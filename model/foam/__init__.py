"""Flotation foam as blocks that are cut from board and fit under the decks."""
