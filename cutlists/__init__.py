"""What the shop does next: saw list, outlines, pictures and files for other programs."""
