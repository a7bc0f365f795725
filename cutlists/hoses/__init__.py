"""Hoses on paper: lists, what to buy, drawings."""
