"""Stick plans: what to buy of each tube and what to cut from which length."""
