"""Weight, trim, safe loading, foam and drive told plainly: text, CSV, JSON and tables for the terminal."""
