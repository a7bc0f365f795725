"""Strength on paper: a table of uses, the working of the worst, pictures coloured by use."""
